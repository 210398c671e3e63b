"""The whole room in one call: what carries the base, and what its errors do to the furniture."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from kit.base.checks import Check
from kit.base.datum import Datum, ceiling_height_mm
from kit.base.layout import Layout
from kit.base.runs import PlacedUnit
from kit.job import Base, Job, Refusal
from kit.strength.bearer_checks import bearer_checks, rocking_words, screw_checks, shim_words
from kit.strength.bearers import (
    CASES,
    PieceAtRest,
    StackLoad,
    Weights,
    lay_bearers,
    lie,
    stack_loads,
    tops_under,
)
from kit.strength.furniture import Consequence, Gap, consequence, feet_of, gaps, outer_rows
from kit.strength.joist_checks import joist_checks
from kit.strength.joists import JoistWork, NoJoists, Pressed, joists_under
from kit.strength.pieces import Pieces
from kit.strength.standing import TiltUp, Tipping, pivot_mm, tilt_up, tipping
from kit.strength.unit_checks import tipping_cautions, unit_checks

_NOTHING = (0.0, 0.0, 0.0)

#: The units empty, then with what is stored, then with people.
_STEPS: tuple[Weights, ...] = (
    CASES["empty"],
    {**CASES["empty"], "stored": 1.0},
    CASES["full"],
)


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
        support, row, x_mm, y_mm.

    Returns
    -------
    JoistWork or NoJoists
        Of what bearers and units put on the floor; it does not hang on the height of the base.
    """
    forces = _by_kind(pieces)
    columns = (supports[name] for name in ("support", "row", "x_mm", "y_mm"))
    pressed = [
        Pressed(str(name), str(row), float(x), float(y), *forces.get(str(name), _NOTHING))
        for name, row, x, y in zip(*columns, strict=True)
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
    return found


def front_lift_mm(base: Base, joists: JoistWork | NoJoists) -> float:
    """Return how much the front row is set high [mm].

    Parameters
    ----------
    base : Base
        A number, or "settlement": as much as the front row is expected to go down more than the
        back row, at once, with the units full.
    joists : JoistWork or NoJoists
        From `press_on_joists`.

    Raises
    ------
    Refusal
        For "settlement" where what the joists give is not known, or is no matter of packers.
    """
    if base.front_lift_mm != "settlement":
        return float(base.front_lift_mm)
    try:
        return joists.front_lift_mm()
    except Refusal as refusal:
        where = f"job.toml, base {base.name!r}, front_lift_mm"
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
    units = tuple(_units(layout, laid, joists, supports, datum.front_lift_mm, errors))
    between = gaps(layout.units, units)
    tilts = tuple(_tilts(job, layout, datum))
    tippings = tuple(
        tipping(placed, pivot_mm(placed, layout.rows, layout.bearer_width_mm))
        for placed in layout.units
    )
    several = len(layout.frames) > 1
    points = _screw_points(job, screws, pieces.section.depth_mm)
    checks = (
        *bearer_checks(pieces, laid, job.floor, job.stock, room_class),
        *screw_checks(laid, points, pieces.timber, job.stock.screw_diameter_mm, room_class),
        *joist_checks(joists),
        *unit_checks(layout.units, units, between, tilts, tippings, several_runs=several),
    )
    cautions = (
        *_bearer_cautions(laid),
        *tipping_cautions(layout.units, tippings, several_runs=several),
    )
    stacks = stack_loads(laid)
    return Strength(laid, stacks, joists, units, between, tilts, tippings, checks, cautions)


def _units(
    layout: Layout,
    laid: Sequence[PieceAtRest],
    joists: JoistWork | NoJoists,
    supports: pd.DataFrame,
    lift_mm: float,
    errors: Mapping[str, float],
) -> Iterator[Consequence]:
    alone = {
        str(bearer): errors[str(name)]
        for bearer, name in zip(supports["bearer"], supports["support"], strict=True)
    }
    tops = {
        row.name: tops_under(
            laid, row.name, [panel.x_mm for placed in row.units for panel in placed.panels]
        )
        for row in layout.rows
    }

    def top_mm(bearer: str, place: float) -> float:
        return tops[bearer][place] if tops[bearer] else alone[bearer]

    settled = _settled_rows(joists, supports)
    for placed in layout.units:
        back, front = outer_rows(placed, layout.rows)
        lifted = lift_mm * (layout.lift_share(front) - layout.lift_share(back))
        down = settled(placed, front.name) - settled(placed, back.name)
        yield consequence(placed, feet_of(placed, layout.rows, top_mm), lifted, down)


def _settled_rows(
    joists: JoistWork | NoJoists, supports: pd.DataFrame
) -> Callable[[PlacedUnit, str], float]:
    """Return how far a bearer goes down under a unit, units full, at once [mm]."""
    columns = (supports[name] for name in ("bearer", "support", "own_x_mm"))
    stacks = [(str(b), str(name), float(x)) for b, name, x in zip(*columns, strict=True)]

    def settled(placed: PlacedUnit, bearer: str) -> float:
        if isinstance(joists, NoJoists):
            return math.nan
        under = [
            joists.stacks[name].inst_mm
            for of, name, x in stacks
            if of == bearer and placed.left_mm <= x <= placed.right_mm
        ]
        return math.fsum(under) / len(under) if under else math.nan

    return settled


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
            yield f"{rocking_words(one, rocking)}; shim the ends or lower the middle."
    idle = [(name, gap, one.piece) for one in laid for name, gap in one.idle]
    if idle:
        said = "; ".join(
            f"{name} under bearer {piece.name}: {shim_words(gap)}" for name, gap, piece in idle
        )
        yield f"Stacks that carry nothing though the units are full: {said}."
