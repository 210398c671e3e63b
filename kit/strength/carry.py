"""The whole room in one call: what carries the base, and what its errors do to the furniture."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from kit.base.checks import Check
from kit.base.datum import Datum, ceiling_height_mm
from kit.base.layout import Layout, massless
from kit.job import Base, Job, Refusal, refuse
from kit.strength.bearer_checks import (
    bearer_checks,
    rocking_words,
    shim_words,
)
from kit.strength.bearers import CASES, IDLE_MM, PieceAtRest, Weights, lay_bearers, lie
from kit.strength.furniture import Consequence, Gap, Together, together
from kit.strength.joist_checks import joist_checks
from kit.strength.joists import JoistWork, NoJoists, Pressed, joists_under
from kit.strength.pieces import Pieces
from kit.strength.screw_checks import screw_checks
from kit.strength.stack_loads import StackLoad, stack_loads
from kit.strength.standing import TiltUp, Tipping, pivot_mm, tilt_up, tipping
from kit.strength.unit_checks import (
    ON_BEARERS,
    WITH_SETTLEMENT,
    hanging_checks,
    subject_of,
    tipping_cautions,
    unit_checks,
)
from kit.strength.unit_work import stand_units

_NOTHING = (0.0, 0.0, 0.0)

#: The units empty, then with what is stored, then with people.
_STEPS: tuple[Weights, ...] = (
    CASES["empty"],
    {**CASES["empty"], "stored": 1.0},
    CASES["full"],
)


#: How the names of checks begin that say what timber, boards and packers carry.
_CARRY = ("joist ", "bearer bending", "bearer shear", "bearer sag", "bearing of", "bearing on",
          "pressure on")  # fmt: skip


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

    def on(self, bearer: str) -> tuple[PieceAtRest, ...]:
        """Return the pieces of one bearer, from left to right."""
        return tuple(one for one in self.laid if one.piece.bearer == bearer)


def press_on_joists(job: Job, pieces: Pieces, supports: pd.DataFrame) -> JoistWork | NoJoists:
    """Find what the joists give under the furniture, every stack taken as exact.

    Parameters
    ----------
    job : Job
        Joists and service class.
    pieces : Pieces
        The bearers as beams.
    supports : DataFrame
        support, row, x_mm, y_mm, run.

    Returns
    -------
    JoistWork or NoJoists
        Of what bearers and units put on the floor; it does not hang on the height of the base.
    """
    forces = _by_kind(pieces)
    columns = (supports[name] for name in ("support", "row", "x_mm", "y_mm", "run"))
    pressed = [
        Pressed(str(name), str(row), float(x), float(y), *forces[str(name)], run=str(run))
        for name, row, x, y, run in zip(*columns, strict=True)
    ]
    return joists_under(job.floor.joists, job.floor.kind, pressed, job.room.service_class)


def _by_kind(pieces: Pieces) -> dict[str, tuple[float, float, float]]:
    """Return what is permanent, stored and people on each stack, all tops level [N].

    Each kind is what it adds to those before it.
    """
    found: dict[str, tuple[float, float, float]] = {}
    for piece in pieces.pieces:
        level = np.zeros(len(piece.supports))
        steps = [lie(piece, level, weights).line.reactions_n for weights in _STEPS]
        added = np.diff(np.array([level, *steps]), axis=0)
        for name, forces in zip(piece.supports, added.T.tolist(), strict=True):
            before = found.get(name, _NOTHING)
            found[name] = tuple(a + b for a, b in zip(before, forces, strict=True))
    for one in pieces.alone:
        found[one.support] = (one.own_n + one.units_n, one.stored_n, one.people_n)
    return found


def front_lift_mm(
    base: Base, joists: JoistWork | NoJoists, without_mass: Sequence[str] = ()
) -> float:
    """Return how much the front row is set high [mm].

    Parameters
    ----------
    base : Base
        A number, or "settlement": as much as the front row is expected to go down more than the
        back row, at once, with the units full; the mean of all runs.
    joists : JoistWork or NoJoists
        From `press_on_joists`.
    without_mass : sequence of str
        Units of which no mass is given: what they bring down is not known.

    Raises
    ------
    Refusal
        For "settlement" where what the joists give is not known or is no matter of packers, or
        where runs want lifts so far apart that one is wrong for each.
    """
    if base.front_lift_mm != "settlement":
        return float(base.front_lift_mm)
    where = f"job.toml, base {base.name!r}, front_lift_mm"
    if without_mass:
        found = f'"settlement", and no mass_kg of {", ".join(without_mass)}'
        raise refuse(where, found, "a number of millimetres, or the mass of every unit")
    try:
        return joists.front_lift_mm()
    except Refusal as refusal:
        raise Refusal(*(replace(one, where=where) for one in refusal.problems)) from refusal


def carry(
    job: Job,
    layout: Layout,
    pieces: Pieces,
    joists: JoistWork | NoJoists,
    supports: pd.DataFrame,
    datum: Datum,
    screws: pd.DataFrame,
) -> Strength:
    """Work out what carries a base, and what the errors of its stacks do to the furniture.

    Parameters
    ----------
    job : Job
        Floor, room and stock.
    layout : Layout
        Bearers, stacks and units in plan.
    pieces : Pieces
        The bearers as beams.
    joists : JoistWork or NoJoists
        From `press_on_joists`.
    supports : DataFrame
        support, bearer, own_x_mm.
    datum : Datum
        The level, and the stacks with their errors.
    screws : DataFrame
        support, step, length_mm.

    Returns
    -------
    Strength

    Raises
    ------
    Refusal
        Where a bearer would tip off its stacks.
    """
    room_class = job.room.service_class
    errors = dict(zip(supports["support"], datum.plan.error_mm.tolist(), strict=True))
    laid = lay_bearers(pieces, errors, room_class)
    stand = stand_units(layout, laid, joists, supports, datum.front_lift_mm, errors)
    now = together(layout.units, [one.consequence for one in stand])
    settled = together(layout.units, [one.settled for one in stand])
    tilts = tuple(_tilts(job, layout, datum))
    tippings = tuple(
        tipping(placed, pivot_mm(placed, layout.rows, layout.bearer_width_mm))
        for placed in layout.units
    )
    several = len(layout.frames) > 1
    unknown = massless(layout.units, several_runs=several)
    points = _screw_points(job, screws, pieces.section.depth_mm)
    checks = (
        *_with_mass(layout, bearer_checks(pieces, laid, job.floor, job.stock, room_class)),
        *screw_checks(laid, points, pieces.timber, job.stock.screw_diameter_mm, room_class),
        *(_taken_back(check, unknown) for check in joist_checks(joists, datum.front_lift_mm)),
        *_standing(
            layout,
            (
                *hanging_checks(layout.units, [one.hangs for one in stand], several_runs=several),
                *unit_checks(layout.units, now, settled, tilts, tippings, several_runs=several),
            ),
        ),
    )
    cautions = (
        *_overload_cautions(checks),
        *_bearer_cautions(laid),
        *_stand_cautions(checks),
        *tipping_cautions(layout.units, tippings, several_runs=several),
    )
    stacks = stack_loads(laid, pieces.alone, errors)
    return Strength(
        laid, stacks, joists, now.units, now.gaps, settled, tilts, tippings, checks, cautions
    )


def _with_mass(layout: Layout, checks: Iterable[Check]) -> Iterator[Check]:
    """Take back what was found ok of a bearer under units of which no mass is given."""
    several = len(layout.frames) > 1
    unknown = {row.name: massless(row.units, several_runs=several) for row in layout.rows}
    for check in checks:
        yield _taken_back(check, unknown[check.subject.split(":")[0]])


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
            yield _taken_back(check, everywhere)
        elif check.check in ON_BEARERS:
            yield _taken_back(check, under[check.subject])
        else:
            yield check


def _taken_back(check: Check, units: Sequence[str]) -> Check:
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


def _screw_points(job: Job, screws: pd.DataFrame, bearer_mm: float) -> dict[str, float]:
    """Return how long the point of each bearer screw is in its stack [mm]; nan without one."""
    of_bearer = screws[screws["step"] == "bearer"]
    return {
        str(name): float(length) + job.stock.countersink_mm - bearer_mm
        for name, length in zip(of_bearer["support"], of_bearer["length_mm"], strict=True)
    }


def _bearer_cautions(laid: Sequence[PieceAtRest]) -> Iterator[str]:
    for one in laid:
        for rocking in one.rocking:
            yield f"{rocking_words(one, rocking)}; or lower the middle."
    idle = [(name, gap, one.piece) for one in laid for name, gap in one.idle if gap > IDLE_MM]
    if idle:
        said = "; ".join(
            f"{name} under bearer {piece.name}: {shim_words(gap)}" for name, gap, piece in idle
        )
        yield f"Stacks that carry nothing though the units are full: {said}."


def _stand_cautions(checks: Iterable[Check]) -> Iterator[str]:
    """Yield what stands further out of plumb or out of wind than is usual, each check once."""
    worst: dict[str, Check] = {}
    for check in checks:
        if check.verdict == "refer" and check.check.startswith(_STAND):
            kept = worst.setdefault(check.check, check)
            worst[check.check] = max(kept, check, key=lambda one: abs(one.value))
    if worst:
        said = "; ".join(
            f"{one.check} {abs(one.value):.1f} mm ({one.subject})" for one in worst.values()
        )
        yield f"Beyond what is usual, see the checks for all units: {said}."


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
