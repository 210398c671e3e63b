"""What carries a base and what its errors do to the furniture, put together for all methods."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from kit.base.checks import Check
from kit.base.datum import Datum, ceiling_height_mm
from kit.base.layout import Layout, massless
from kit.job import Job
from kit.strength.bearers import PieceAtRest
from kit.strength.furniture import Consequence, Gap, Together
from kit.strength.joist_checks import joist_checks
from kit.strength.joists import JoistWork, NoJoists
from kit.strength.stack_loads import StackLoad
from kit.strength.standing import TiltUp, Tipping, tilt_up
from kit.strength.unit_checks import (
    ON_BEARERS,
    WITH_SETTLEMENT,
    hanging_checks,
    subject_of,
    tipping_cautions,
    unit_checks,
)

#: How the names of checks begin that say what timber, boards and packers carry.
_CARRY = ("joist ", "bearer bending", "bearer shear", "bearer sag", "bearing of", "bearing on",
          "pressure on", "member over an opening")  # fmt: skip


#: How the names of checks begin that say how units stand.
_STAND = ("lean ", "wind ", "taper ", "gap ", "unit hanging")


@dataclass(frozen=True)
class Strength:
    """What carries the base, and what its errors do to the furniture.

    Parameters
    ----------
    laid : tuple of PieceAtRest
        Each piece of bearer at rest on its stacks.
    stacks : tuple of StackLoad
        What each stack carries.
    joists : JoistWork or NoJoists
        What the joists give under the furniture, or why that is not known.
    units : tuple of Consequence
        How each unit leans and winds.
    gaps : tuple of Gap
        Between neighbouring units at the top.
    settled : Together
        Units and gaps with the front lift and what the joists give; nan where that is not known.
    tilts : tuple of TiltUp
        How each unit can be stood up.
    tippings : tuple of Tipping
        What tips and slides each unit while nothing holds it.
    checks : tuple of Check
        The verdicts on all of it.
    cautions : tuple of str
        One sentence each.
    within_mm : float
        How far the tops may be off either way where they are set by hand: ``units`` and ``gaps``
        then tell what 95 of 100 units keep within, without sign; 0 where each is known [mm].
    one_surface : bool
        Whether they are off together, as one surface is, and no unit exceeds what is told.
    greatest_n : float
        The most that a support is taken to carry, units full [N]: under bearers that bear on it,
        under a stiff unit that stands on some of its supports only; nan where there are none.
    """

    laid: tuple[PieceAtRest, ...]
    stacks: tuple[StackLoad, ...]
    joists: JoistWork | NoJoists
    units: tuple[Consequence, ...]
    gaps: tuple[Gap, ...]
    settled: Together
    tilts: tuple[TiltUp, ...]
    tippings: tuple[Tipping, ...]
    checks: tuple[Check, ...]
    cautions: tuple[str, ...]
    within_mm: float = 0.0
    one_surface: bool = False
    greatest_n: float = math.nan

    def on(self, bearer: str) -> tuple[PieceAtRest, ...]:
        """Return the pieces of one bearer, from left to right."""
        return tuple(one for one in self.laid if one.piece.bearer == bearer)


@dataclass(frozen=True)
class Standing:
    """How all units stand on a base, before anything is judged.

    Parameters
    ----------
    now, settled : Together
        By the errors of the supports alone; with the front lift and what the joists give.
    hangs : tuple of tuples of (row, gap)
        For each unit the rows that it does not touch [mm].
    tippings : tuple of Tipping
        For each unit.
    either_way : bool
        Whether ``now`` holds magnitudes only.
    """

    now: Together
    settled: Together
    hangs: tuple[tuple[tuple[str, float], ...], ...]
    tippings: tuple[Tipping, ...]
    either_way: bool = False


def whole(
    job: Job,
    layout: Layout,
    datum: Datum,
    joists: JoistWork | NoJoists,
    standing: Standing,
    carrying: tuple[Sequence[PieceAtRest], Sequence[StackLoad]],
    checks: Iterable[Check],
    cautions: Iterable[str] = (),
) -> Strength:
    """Put together what carries a base and how the units stand on it, with every verdict.

    Parameters
    ----------
    job, layout, datum : Job, Layout, Datum
        Ceiling, units, level.
    joists : JoistWork or NoJoists
        From `kit.strength.carry.press_on_joists`.
    standing : Standing
        How the units stand.
    carrying : tuple of (pieces of bearer at rest, loads of the supports)
        What carries them.
    checks, cautions : iterables of Check, of str
        Of what this method puts between floor and units; an ok of theirs is taken back where a
        unit on the same row has no mass.

    Returns
    -------
    Strength
    """
    several = len(layout.frames) > 1
    units = layout.units
    unknown = massless(units, several_runs=several)
    tilts = tuple(_tilts(job, layout, datum))
    judged = (
        *checks,
        *(taken_back(check, unknown) for check in joist_checks(joists, datum.front_lift_mm)),
        *_standing(
            layout,
            (
                *hanging_checks(units, standing.hangs, several_runs=several),
                *unit_checks(
                    units,
                    standing.now,
                    standing.settled,
                    tilts,
                    standing.tippings,
                    several_runs=several,
                    either_way=standing.either_way,
                ),
            ),
        ),
    )
    said = (
        *_overload_cautions(judged),
        *cautions,
        *_stand_cautions(judged),
        *tipping_cautions(units, standing.tippings, several_runs=several),
    )
    laid, stacks = carrying
    most = max((one.full_n for one in stacks), default=math.nan)
    return Strength(
        tuple(laid),
        tuple(stacks),
        joists,
        standing.now.units,
        standing.now.gaps,
        standing.settled,
        tilts,
        standing.tippings,
        judged,
        said,
        greatest_n=most,
    )


def with_mass(layout: Layout, checks: Iterable[Check]) -> Iterator[Check]:
    """Take back what was found ok of a bearer under units of which no mass is given."""
    several = len(layout.frames) > 1
    unknown = {row.name: massless(row.units, several_runs=several) for row in layout.rows}
    for check in checks:
        yield taken_back(check, unknown[check.subject.split(":")[0]])


def _standing(layout: Layout, checks: Iterable[Check]) -> Iterator[Check]:
    """Take back what was found ok of a unit that stands on bearers so loaded.

    How it stands hangs on how its bearers lie, full; with settlement on the whole floor.
    """
    several = len(layout.frames) > 1
    everywhere = massless(layout.units, several_runs=several)
    under = {
        subject_of(placed, several_runs=several): massless(
            (other for row in layout.rows if placed in row.units for other in row.units),
            several_runs=several,
        )
        for placed in layout.units
    }
    for check in checks:
        if check.check in WITH_SETTLEMENT:
            yield taken_back(check, everywhere)
        elif check.check in ON_BEARERS:
            yield taken_back(check, under[check.subject])
        else:
            yield check


def taken_back(check: Check, units: Sequence[str]) -> Check:
    """Return a check without its ok, where units weigh what nobody knows."""
    if not units or check.verdict != "ok":
        return check
    source = f"no mass_kg given of {', '.join(units)}; {check.source}"
    return replace(check, verdict="not_checked", source=source)


def _tilts(job: Job, layout: Layout, datum: Datum) -> Iterator[TiltUp]:
    given = job.room.ceiling_mm
    ceiling = math.nan if given is None else ceiling_height_mm(job, given)
    for placed in layout.units:
        yield tilt_up(placed, datum.base_top_mm, datum.high_point_mm, ceiling)


def _stand_cautions(checks: Iterable[Check]) -> Iterator[str]:
    """Yield what stands further out of plumb or out of wind than is usual, each check once."""
    worst: dict[str, Check] = {}
    for check in checks:
        if check.verdict == "refer" and check.check.startswith(_STAND):
            kept = worst.setdefault(check.check, check)
            worst[check.check] = max(kept, check, key=lambda one: abs(one.value))
    if worst:
        said = "; ".join(
            f"{one.check} {abs(one.value):.1f} mm ({one.subject}{_which_way(one)})"
            for one in worst.values()
        )
        yield f"Beyond what is usual, see the checks for all units: {said}."


def _which_way(check: Check) -> str:
    """Return to which side a unit leans, as its check says first; empty where it says none."""
    way = check.source.split(";")[0]
    return f", {way}" if way.startswith("top ") else ""


def _overload_cautions(checks: Iterable[Check]) -> Iterator[str]:
    """Yield what is used beyond its strength, or bends beyond what is usual."""
    over = [
        f"{check.check} {check.value:.2f} of {check.limit:.4g} {check.unit}".replace(
            " of 1 of design", " of 1"
        ).replace(" of 1 ratio", " of 1")
        + f" ({check.subject})"
        for check in checks
        if check.verdict == "refer" and check.check.startswith(_CARRY)
    ]
    if over:
        yield f"Have a structural engineer look before anything is built: {'; '.join(over)}."
