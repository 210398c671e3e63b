"""The checks of the joists, one row each; a ratio above 1 or a limit passed is referred.

ok approves no floor: nobody has looked at these joists, their bearings, notches and holes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from kit.base.checks import CLOSED_MM, Check
from kit.strength.joist_stress import Governing
from kit.strength.joist_work import JoistSag, JoistWork, NoJoists
from kit.strength.timber import KSYS

#: Share of the span that a joist may sag in the end where what it carries is brittle.
SPAN_OVER = 250.0

#: Greatest difference of settlement that furniture is left with [mm] (common practice, no source).
SETTLEMENT_MM = 2.0

_PRACTICE = "common practice, no source"
_NO_APPROVAL = "ok approves no floor"
_SPAN_SOURCE = (
    "span/250, brittle finish: The Structural Engineer, note 19 (read in a public copy); what the"
    " furniture adds, the room's use comes on top"
)
_ALL_BEYOND = "every joist has stacks beyond its outermost bearings"
_ROW_UNKNOWN = "a row stands on joists that are not computed"


def joist_checks(work: JoistWork | NoJoists) -> Iterator[Check]:
    """Yield the checks of the joists.

    Parameters
    ----------
    work : JoistWork or NoJoists

    Yields
    ------
    Check
        Without joists one row that says why. With joists: those that are not computed, and what
        is taken for granted about the first and the last one, where there is any; bending, shear
        and final deflection of the worst one; their bearing and the boards, not checked; the
        settlement between the rows and along the front row.
    """
    if isinstance(work, NoJoists):
        yield _not_checked("joists", "floor", work.reason)
        return
    yield from _beyond(work)
    yield from _ends(work)
    yield from _strength_checks(work)
    yield _not_checked("bearing of joist", "all joists", "their bearing length is not given")
    yield from _settlement_checks(work)
    yield _boards(work)


def _beyond(work: JoistWork) -> Iterator[Check]:
    out = [joist for joist in work.joists if not joist.computed]
    if out:
        places = ", ".join(f"{joist.across_mm:g}" for joist in out)
        stacks = ", ".join(dict.fromkeys(name for joist in out for name in joist.beyond))
        axis, (first, *_, last) = work.grid.across, work.given.bearing_mm
        subject = f"joist{'s' * (len(out) > 1)} at {axis} = {places} mm"
        reason = f"beyond the outermost bearings, {first:g} to {last:g} mm"
        yield _not_checked("joists", subject, f"{stacks}: {reason}")


def _ends(work: JoistWork) -> Iterator[Check]:
    """Say what was taken for granted about the first and the last joist."""
    said = []
    if work.before_first:
        names = ", ".join(work.before_first)
        said.append(f"the first joist is taken to carry all of what stands before it: {names}")
    last = work.joists[-1]
    if any(part.share < 1 for part in last.carries):
        names = ", ".join(part.support for part in last.carries)
        said.append(
            f"a joist is taken to lie beyond the last stack, at {work.grid.across} ="
            f" {last.across_mm:g} mm: {names}"
        )
    if said:
        yield _not_checked("first and last joist", "all joists", "; ".join(said))


def _strength_checks(work: JoistWork) -> Iterator[Check]:
    loaded = [joist for joist in work.joists if joist.carries and joist.computed]
    if not loaded:
        for check in ("joist bending", "joist shear", "joist deflection, final"):
            yield _not_checked(check, "all joists", _ALL_BEYOND)
        return
    yield _ratio(work, "joist bending", loaded, lambda joist: joist.bending, "6.1.6")
    yield _ratio(work, "joist shear", loaded, lambda joist: joist.shear, "6.1.7, not notched")
    sags = max(loaded, key=lambda joist: joist.span_sag_mm / joist.span_mm)
    limit = sags.span_mm / SPAN_OVER
    verdict = _verdict(sags.span_sag_mm, limit)
    subject = _subject(work, sags)
    yield Check(
        "joist deflection, final", subject, sags.span_sag_mm, limit, "mm", verdict, _SPAN_SOURCE
    )


def _ratio(
    work: JoistWork,
    check: str,
    loaded: list[JoistSag],
    of: Callable[[JoistSag], Governing],
    clause: str,
) -> Check:
    worst = max(loaded, key=lambda joist: of(joist).ratio)
    found = of(worst)
    source = (
        f"EN 1995-1-1 {clause}; EN 338 {work.given.strength_class}; {_loads(work, found)}, kmod"
        f" {found.kmod:g}, ksys {KSYS:g}; {_NO_APPROVAL}"
    )
    verdict = _verdict(found.ratio, 1.0)
    return Check(check, _subject(work, worst), found.ratio, 1.0, "ratio", verdict, source)


def _loads(work: JoistWork, found: Governing) -> str:
    given = work.given
    dead = f"1.35 (furniture's own mass, floor {given.dead_kn_per_m2:g} kN/m2)"
    if found.duration == "permanent":
        return dead
    if found.duration == "long":
        return f"{dead} + 1.5 stored"
    room = f"room {given.imposed_kn_per_m2:g} kN/m2 all along the joist"
    return f"{dead} + 1.5 (stored, people, {room})"


def _settlement_checks(work: JoistWork) -> Iterator[Check]:
    found = work.settlement
    checks = (
        ("front row settles more than the back row", found.front_drop_mm, found.said),
        (
            "settlement differs along the front row",
            found.front.differs_mm,
            "which one front lift cannot answer; at once, at full contents",
        ),
    )
    for check, value, said in checks:
        if math.isnan(value):
            yield _not_checked(check, "front row", _ROW_UNKNOWN)
        else:
            source = f"{_PRACTICE}; {said}"
            verdict = _verdict(value, SETTLEMENT_MM)
            yield Check(check, "front row", value, SETTLEMENT_MM, "mm", verdict, source)


def _boards(work: JoistWork) -> Check:
    support, distance = work.off_joist
    stands = f"its middle is {distance:.0f} mm from the edge of the nearest joist"
    if distance == 0:
        stands = "like all others it stands over a joist"
    return _not_checked(
        "boards between joists", support, f"{stands}; the boards' strength is not computed"
    )


def _subject(work: JoistWork, joist: JoistSag) -> str:
    return f"joist at {work.grid.across} = {joist.across_mm:g} mm"


def _verdict(value: float, limit: float) -> str:
    return "ok" if value <= limit + CLOSED_MM else "refer"


def _not_checked(check: str, subject: str, reason: str) -> Check:
    return Check(check, subject, math.nan, math.nan, "", "not_checked", reason)
