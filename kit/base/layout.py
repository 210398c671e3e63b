"""The whole base in plan: all runs, their bearers and supports, and the load on each support."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pandas as pd

from kit.base.by_hand import Rules, moved_stands
from kit.base.footing import Footing, bearer_footing
from kit.base.movement_joints import part_rows, stretches_of
from kit.base.moves import moves_of_nothing, moves_on, wrong_moves
from kit.base.no_go import centres_closed, closed_stretches
from kit.base.overlaps import refuse_overlaps
from kit.base.row_shares import rows_under
from kit.base.runs import Floats, Frame, PlacedUnit, Row, lay_out_rows, place_units
from kit.base.supports import REASONS, Stand, stand_row
from kit.base.supports_apart import stand_apart
from kit.job import Base, Job, MovementJoint, Problem, Refusal, Run

#: Standard gravity as the trade rounds it [N/kg].
GRAVITY_N_PER_KG = 9.81

#: Grid on which the floor under bearers is looked at [mm]; 50 or finer is asked for.
GRID_MM = 50.0


@dataclass(frozen=True)
class Layout:
    """Bearers and supports of a base in plan.

    Parameters
    ----------
    rows : tuple of Row
        All bearers, run by run, from the wall into the room.
    stands : tuple of tuple of Stand
        The stacks of each row, from left to right.
    units : tuple of PlacedUnit
        All units.
    frames : mapping of str to Frame
        Each run's own frame.
    supports : DataFrame
        One row a support: support, run, row, bearer, own_x_mm, own_y_mm, x_mm, y_mm, rules_mm
        (where the rules put it along the run), reasons, load_N, lift_share (0 at the back row, 1
        at the front row).
    packer_size_mm : tuple of float
        Of a packer, or of what else stands at a support, along the row and across it [mm].
    bearer_width_mm : float
        Width of a bearer, or of what else runs along a row [mm].
    """

    rows: tuple[Row, ...]
    stands: tuple[tuple[Stand, ...], ...]
    units: tuple[PlacedUnit, ...]
    frames: Mapping[str, Frame]
    supports: pd.DataFrame
    packer_size_mm: tuple[float, float]
    bearer_width_mm: float

    def row(self, bearer: str) -> Row:
        """Return the row of a bearer by its name."""
        return next(row for row in self.rows if row.name == bearer)

    def on_bearer(self, bearer: str) -> pd.DataFrame:
        """Return the supports of one bearer, from left to right."""
        return self.supports[self.supports["bearer"] == bearer]

    def lift_share(self, row: Row) -> float:
        """Return how far a row stands from the back row (0) towards the front row (1)."""
        of_run = {other.label: other.y_mm for other in self.rows if other.run == row.run}
        return (row.y_mm - of_run["B"]) / (of_run["F"] - of_run["B"])

    def footprint(self) -> pd.DataFrame:
        """Return the places under bearers and packers, on a grid of at most `GRID_MM`.

        Returns
        -------
        DataFrame
            bearer, own_x_mm, x_mm, y_mm, lift_share.
        """
        width = max(self.bearer_width_mm, self.packer_size_mm[1])
        parts = []
        for row in self.rows:
            along = _steps(row.start_mm, row.end_mm)
            across = row.y_mm + _steps(-width / 2, width / 2, least=2)
            own_x, own_y = (grid.ravel() for grid in np.meshgrid(along, across))
            x, y = self.frames[row.run].to_site(own_x, own_y)
            parts.append(
                pd.DataFrame(
                    {
                        "bearer": row.name,
                        "own_x_mm": own_x,
                        "x_mm": x,
                        "y_mm": y,
                        "lift_share": self.lift_share(row),
                    }
                )
            )
        return pd.concat(parts, ignore_index=True)


def _steps(low: float, high: float, least: int = 1) -> Floats:
    """Return even steps of at most `GRID_MM` from low to high, both included."""
    return np.linspace(low, high, max(least, math.ceil((high - low) / GRID_MM)) + 1)


def lay_out(job: Job, base: Base, footing: Footing | None = None) -> Layout:
    """Lay out bearers, supports and loads of a whole base.

    Parameters
    ----------
    job : Job
        Runs, no-go areas and the packer's size.
    base : Base
        Set-backs, spans, and stacks moved by hand.
    footing : Footing, optional
        What stands on the floor; bearers on packers unless given.

    Returns
    -------
    Layout

    Raises
    ------
    Refusal
        Where units overlap, a unit cannot stand between its rows, a stack finds no place, or one
        that was moved cannot stand there.
    """
    layout, wrong = set_out(job, base, footing)
    if wrong:
        raise Refusal(*wrong)
    return layout


def set_out(
    job: Job, base: Base, footing: Footing | None = None
) -> tuple[Layout, tuple[Problem, ...]]:
    """Lay out a base, with stacks moved by hand where they were moved to, right or wrong.

    Parameters
    ----------
    job, base, footing : Job, Base, Footing
        As for `lay_out`.

    Returns
    -------
    layout : Layout
    wrong : tuple of Problem
        Why moved stacks cannot stand where they are; a `kit.job.PlacedProblem` where it is at a
        place.

    Raises
    ------
    Refusal
        Where the rules themselves find no layout.
    """
    frames = {run.name: Frame(run.origin_mm, run.direction_deg) for run in job.runs}
    footing = footing or bearer_footing(job, base)
    along, across = footing.pad_mm
    several = len(job.runs) > 1
    joints = job.movement_joints if footing.keeps_off_joints else ()
    rows = tuple(
        row
        for run in job.runs
        for row in _rows_of(run, base, footing, joints if footing.joined else (), several=several)
    )
    units = tuple(placed for run in job.runs for placed in place_units(run))
    refuse_overlaps(units, rows, frames, footing.across_mm)
    closed = [closed_stretches(row, frames[row.run], across, job.no_go) for row in rows]
    beside = [stretches_of(row, frames[row.run], across, joints) for row in rows]
    by_rules = [
        stand_row(row, along, base.max_span_mm, areas, footing.words, near)
        if footing.joined
        else stand_apart(
            row,
            along,
            areas,
            shared=footing.shared,
            parts=part_rows((row,), frames[row.run], (across, across), joints, footing.words),
        )
        for row, areas, near in zip(rows, closed, beside, strict=True)
    ]
    stands = tuple(
        moved_stands(stands, moves_on(base, row.name))
        for row, stands in zip(rows, by_rules, strict=True)
    )
    supports = _support_table(rows, stands, units, frames, several_runs=several)
    layout = Layout(rows, stands, units, frames, supports, (along, across), footing.strip_mm)
    supports["lift_share"] = supports["bearer"].map(
        {row.name: layout.lift_share(row) for row in rows}
    )
    if not base.moved:
        return layout, ()
    rules = [
        Rules(along, base.max_span_mm, centres_closed(areas, along, near))
        for areas, near in zip(closed, beside, strict=True)
    ]
    pairs = list(zip(supports["bearer"], supports["support"], strict=True))
    names = [[support for bearer, support in pairs if bearer == row.name] for row in rows]
    wrong = wrong_moves(base, rows, stands, names, frames, rules)
    return layout, (*moves_of_nothing(base, rows, stands), *wrong)


def _rows_of(
    run: Run,
    base: Base,
    footing: Footing,
    joints: Sequence[MovementJoint],
    *,
    several: bool,
) -> tuple[Row, ...]:
    """Lay out the bearers of a run, cut where movement joints cross them."""
    rows = lay_out_rows(run, base, footing, several_runs=several)
    frame = Frame(run.origin_mm, run.direction_deg)
    return part_rows(rows, frame, (footing.strip_mm, footing.pad_mm[1]), joints, footing.words)


def _support_table(
    rows: Sequence[Row],
    stands: Sequence[Sequence[Stand]],
    units: Sequence[PlacedUnit],
    frames: Mapping[str, Frame],
    *,
    several_runs: bool,
) -> pd.DataFrame:
    counts: dict[tuple[str, str], int] = {}
    table = []
    shares = {(p.run, p.unit.name): _row_shares(p, rows) for p in units}
    weights = {(p.run, p.unit.name): _weight_n(p) for p in units}
    for row, of_row in zip(rows, stands, strict=True):
        for stand in of_row:
            number = counts[row.run, row.label] = counts.get((row.run, row.label), 0) + 1
            x, y = frames[row.run].to_site(stand.x_mm, row.y_mm)
            load = sum(
                weights[row.run, unit] * share * shares[row.run, unit].get(row.line, 0.0)
                for unit, share in stand.carries
            )
            table.append(
                {
                    "support": f"{row.run}-" * several_runs + f"{row.label}{number}",
                    "run": row.run,
                    "row": row.label,
                    "bearer": row.name,
                    "own_x_mm": stand.x_mm,
                    "own_y_mm": row.y_mm,
                    "x_mm": float(x),
                    "y_mm": float(y),
                    "rules_mm": stand.rules_mm,
                    "reasons": reasons_text(stand.reasons),
                    "load_N": float(load),
                }
            )
    return pd.DataFrame(table)


def reasons_text(reasons: frozenset[str]) -> str:
    """Join reasons by + in the order in which they are always written."""
    return "+".join(reason for reason in REASONS if reason in reasons)


def _weight_n(placed: PlacedUnit) -> float:
    return (placed.unit.mass_kg + placed.unit.contents_kg) * GRAVITY_N_PER_KG


def footprint_loads(layout: Layout) -> dict[str, float]:
    """Return the load of each unit on its own footprint [kN/m2], by its name.

    With several runs the run's letter stands in front of the name.
    """
    several = len(layout.frames) > 1
    return {
        f"{placed.run}: " * several + placed.unit.name: _weight_n(placed)
        / 1000
        / (placed.unit.width_mm * placed.unit.depth_mm / 1e6)
        for placed in layout.units
    }


def massless(units: Iterable[PlacedUnit], *, several_runs: bool) -> list[str]:
    """Return the units of which no mass is given, named as in `footprint_loads`, each once."""
    names = (
        f"{placed.run}: " * several_runs + placed.unit.name
        for placed in units
        if placed.unit.mass_kg == 0
    )
    return list(dict.fromkeys(names))


def _row_shares(placed: PlacedUnit, rows: Sequence[Row]) -> dict[str, float]:
    """Divide a unit's load between the two rows beside its centre of gravity, by the lever rule.

    By the names of the whole rows: all parts of a row share alike.
    """
    under = rows_under(placed, rows)
    gravity = placed.unit.centre_of_gravity_from_back_mm
    behind, before = next((a, b) for a, b in pairwise(under) if a.y_mm <= gravity <= b.y_mm)
    forward = (gravity - behind.y_mm) / (before.y_mm - behind.y_mm)
    return {behind.line: 1 - forward, before.line: forward}
