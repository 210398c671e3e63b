"""The checks of the joists, one row each; a ratio above 1 or a limit passed is referred.

ok approves no floor: nobody has looked at these joists, their bearings, notches and holes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from kit.base.checks import CLOSED_MM, Check
from kit.strength.joist_settlement import Settlement
from kit.strength.joist_stress import Governing
from kit.strength.joist_work import JoistSag, JoistWork, NoJoists, Unloaded
from kit.strength.timber import KSYS

#: Share of the span that a joist may sag in the end where what it carries is brittle.
SPAN_OVER = 250.0

#: Greatest difference of settlement that furniture is left with [mm] (common practice, no source).
SETTLEMENT_MM = 2.0

#: What is less rounds to none [mm].
_LEVEL_MM = 0.005

_PRACTICE = "common practice, no source"
_NO_APPROVAL = "ok approves no floor"
_SPAN_SOURCE = (
    "span/250, brittle finish: The Structural Engineer, note 19 (read in a public copy); what"
    " comes of {under} alone, the room's use comes on top"
)
_NONE_COMPUTED = "no joist that carries anything is computed"


def joist_checks(work: JoistWork | NoJoists, lift_mm: float) -> Iterator[Check]:
    """Yield the checks of the joists.

    Parameters
    ----------
    work : JoistWork or NoJoists
    lift_mm : float
        How much the front row is set high [mm].

    Yields
    ------
    Check
        Without joists one row that says why. With joists: those that are not computed, and what
        is taken for granted about the first and the last one, where there is any; bending, shear
        and final deflection of the worst one; their bearing and the boards, not checked; of each
        run what the lift leaves of the settlement between its rows, and that along its front row.
    """
    if isinstance(work, NoJoists):
        yield _not_checked("joists", "floor", work.reason)
        return
    yield from _beyond(work)
    yield from _too_far_before(work)
    yield from _ends(work)
    yield from _strength_checks(work)
    yield _not_checked("bearing of joist", "all joists", "their bearing length is not given")
    for one in work.settlements:
        subject = f"run {one.run}, front row" if len(work.settlements) > 1 else "front row"
        yield _row_against_row(one, subject, lift_mm)
        yield _along_the_row(one, subject)
    yield _boards(work)


def _beyond(work: JoistWork) -> Iterator[Check]:
    out = [joist for joist in work.joists if joist.beyond]
    if out:
        places = ", ".join(f"{joist.across_mm:g}" for joist in out)
        stacks = ", ".join(dict.fromkeys(name for joist in out for name in joist.beyond))
        axis, (first, *_, last) = work.grid.across, work.given.bearing_mm
        subject = f"joist{'s' * (len(out) > 1)} at {axis} = {places} mm"
        reason = f"beyond the outermost bearings, {first:g} to {last:g} mm"
        yield _not_checked("joists", subject, f"{stacks}: {reason}")


def _too_far_before(work: JoistWork) -> Iterator[Check]:
    """Say which stacks stand so far before the first joist that nobody knows what carries them."""
    first = work.joists[0]
    if first.before:
        said = ", ".join(f"{name} stands {_far(mm)}" for name, mm in first.before)
        known = f"at most half the centres, {work.grid.centres_mm / 2:g} mm, are taken as on it"
        reason = f"{said} before the first joist ({known}): look at first_mm"
        yield _not_checked("stacks before the first joist", _subject(work, first), reason)


def _far(mm: float) -> str:
    return f"{mm / 1000:.1f} m" if mm >= 1000 else f"{mm:.0f} mm"


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
        for check in ("joist bending", "joist shear", _deflection(work)):
            yield _not_checked(check, "all joists", _NONE_COMPUTED)
        return
    yield _ratio(work, "joist bending", loaded, lambda joist: joist.bending, "6.1.6")
    yield _ratio(work, "joist shear", loaded, lambda joist: joist.shear, "6.1.7, not notched")
    sags = max(loaded, key=lambda joist: joist.span_sag_mm / joist.span_mm)
    limit = sags.span_mm / SPAN_OVER
    verdict = _verdict(sags.span_sag_mm, limit)
    subject = _subject(work, sags)
    yield Check(
        _deflection(work),
        subject,
        sags.span_sag_mm,
        limit,
        "mm",
        verdict,
        _SPAN_SOURCE.format(under=work.under),
    )


def _deflection(work: JoistWork) -> str:
    return f"joist deflection, final, {work.under} alone"


def _ratio(
    work: JoistWork,
    check: str,
    loaded: list[JoistSag],
    of: Callable[[JoistSag | Unloaded], Governing],
    clause: str,
) -> Check:
    worst = max(loaded, key=lambda joist: of(joist).ratio)
    found, unloaded = of(worst), of(work.unloaded)
    source = (
        f"EN 1995-1-1 {clause}; EN 338 {work.given.strength_class}; {_loads(work, found)}, kmod"
        f" {found.kmod:g}, ksys {KSYS:g}; without the furniture {unloaded.ratio:.2f};"
        f" {_NO_APPROVAL}"
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
    several = len(given.bearing_mm) > 2
    lies = "on those spans where it asks most" if several else "all along the joist"
    room = f"room {given.imposed_kn_per_m2:g} kN/m2 {lies}"
    return f"{dead} + 1.5 (stored, people, {room})"


def _row_against_row(found: Settlement, subject: str, lift_mm: float) -> Check:
    """Check what the front lift leaves of the settlement: both ways it leans what stands there."""
    check = "front row against back row, settled"
    if not found.known:
        return _not_checked(check, subject, found.why_unknown)
    left, in_the_end = found.front_drop_mm - lift_mm, found.front_drop_final_mm - lift_mm
    source = (
        f"{_PRACTICE}; with a front lift of {lift_mm:.2f} mm the front row comes to lie"
        f" {_way(left)}, in the end {_way(in_the_end)}; {found.said_in('{:.2f} mm'.format)}"
    )
    return Check(
        check, subject, left, SETTLEMENT_MM, "mm", _verdict(abs(left), SETTLEMENT_MM), source
    )


def _way(down_mm: float) -> str:
    """Say which way the front row lies off the back row."""
    if abs(down_mm) < _LEVEL_MM:
        return "level with the back row"
    return f"{abs(down_mm):.2f} mm {'lower' if down_mm > 0 else 'higher'} than the back row"


def _along_the_row(found: Settlement, subject: str) -> Check:
    check, differs = "settlement differs along the front row", found.front.differs_mm
    if not found.front.known:
        return _not_checked(check, subject, found.front.why_unknown)
    source = (
        f"{_PRACTICE}; which one front lift cannot answer; at once, at full contents, in the end"
        f" {found.front.differs_final_mm:.2f} mm"
    )
    return Check(
        check, subject, differs, SETTLEMENT_MM, "mm", _verdict(differs, SETTLEMENT_MM), source
    )


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
