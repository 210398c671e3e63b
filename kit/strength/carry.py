"""The whole room in one call: what carries the base, and what its errors do to the furniture."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from kit.base.datum import Datum
from kit.base.layout import Layout
from kit.job import Base, Job, Refusal, refuse
from kit.strength.bearer_checks import bearer_checks, rocking_words, shim_words
from kit.strength.bearers import CASES, IDLE_MM, PieceAtRest, Weights, lay_bearers, lie
from kit.strength.furniture import together
from kit.strength.joists import JoistWork, NoJoists, Pressed, joists_under
from kit.strength.pieces import Apart, Pieces
from kit.strength.screw_checks import screw_checks
from kit.strength.stack_loads import stack_loads
from kit.strength.standing import pivot_mm, tipping
from kit.strength.unit_work import UnitStand, stand_units
from kit.strength.whole import Standing, Strength, whole, with_mass

__all__ = ["Strength", "carry", "front_lift_mm", "press_on_joists", "standing_of"]

_NOTHING = (0.0, 0.0, 0.0)

#: The units empty, then with what is stored, then with people.
_STEPS: tuple[Weights, ...] = (
    CASES["empty"],
    {**CASES["empty"], "stored": 1.0},
    CASES["full"],
)


def press_on_joists(
    job: Job, pieces: Pieces | Apart, supports: pd.DataFrame, besides: Sequence[Pressed] = ()
) -> JoistWork | NoJoists:
    """Find what the joists give under the furniture, every stack taken as exact.

    Parameters
    ----------
    job : Job
        Joists and service class.
    pieces : Pieces or Apart
        The bearers as beams, or what stands on each support where there are none.
    supports : DataFrame
        support, row, x_mm, y_mm, run.
    besides : sequence of Pressed
        What else lies on the floor, as compound does.

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
    on_floor = [*pressed, *besides]
    return joists_under(job.floor.joists, job.floor.kind, on_floor, job.room.service_class)


def _by_kind(pieces: Pieces | Apart) -> dict[str, tuple[float, float, float]]:
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
    points = _screw_points(job, screws, pieces.section.depth_mm)
    checks = (
        *with_mass(layout, bearer_checks(pieces, laid, job.floor, job.stock, room_class)),
        *screw_checks(laid, points, pieces.timber, job.stock.screw_diameter_mm, room_class),
    )
    stacks = stack_loads(laid, pieces.alone, errors)
    return whole(
        job,
        layout,
        datum,
        joists,
        standing_of(layout, stand),
        (laid, stacks),
        checks,
        _bearer_cautions(laid),
    )


def standing_of(layout: Layout, stand: Sequence[UnitStand]) -> Standing:
    """Return how all units stand, and what tips them about their frontmost row."""
    return Standing(
        together(layout.units, [one.consequence for one in stand]),
        together(layout.units, [one.settled for one in stand]),
        tuple(one.hangs for one in stand),
        tuple(
            tipping(placed, pivot_mm(placed, layout.rows, layout.bearer_width_mm))
            for placed in layout.units
        ),
    )


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
