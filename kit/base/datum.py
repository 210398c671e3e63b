"""The one level of the base: the window in which it may lie, and where in it it lies best.

Datum is the underside of the back row's bearers. All heights are in the survey's own datum.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from kit.base.layout import Layout
from kit.base.stacks import PackerKind, StackPlan, StackRules, optimise_stacks
from kit.job import Base, Job, Stock, refuse


@dataclass(frozen=True)
class Bound:
    """One end of a window: where it lies, and what puts it there."""

    datum_mm: float
    reason: str


@dataclass(frozen=True)
class Needs:
    """What a way of building wants between floor and base top.

    Parameters
    ----------
    thickness_mm : float
        Between the datum and the base top: that of the bearers, 0 where there are none [mm].
    least_mm : float
        Least room between the highest floor and the datum [mm].
    least_words : str
        What that is: "minimum pack".
    above : tuple of Bound
        What else stops the datum from lying higher.
    lies : str
        What lies on the floor, before its name: "bearer".
    """

    thickness_mm: float
    least_mm: float
    least_words: str
    above: tuple[Bound, ...] = ()
    lies: str = "bearer"


def bearer_needs(base: Base) -> Needs:
    """Return what bearers on packers want."""
    return Needs(base.bearer.thickness_mm, base.minimum_pack_mm, "minimum pack")


@dataclass(frozen=True)
class Window:
    """Between which heights the datum may lie, before any packer is counted."""

    low: Bound
    high: Bound


@dataclass(frozen=True)
class Datum:
    """The chosen level.

    Parameters
    ----------
    window : Window
        What the job, the floor and the ceiling allow.
    plan : StackPlan
        The datum and the stacks that answer best.
    high_point_mm : float
        Height of the floor's high point under the base [mm].
    bearer_mm : float
        Thickness of the bearers [mm]; 0 where there are none.
    front_lift_mm : float
        How much the front row is set high [mm].
    """

    window: Window
    plan: StackPlan
    high_point_mm: float
    bearer_mm: float
    front_lift_mm: float

    @property
    def datum_mm(self) -> float:
        """Underside of the back row's bearers [mm]."""
        return self.plan.datum_mm

    @property
    def base_top_mm(self) -> float:
        """Top of the back row's bearers [mm]."""
        return self.plan.datum_mm + self.bearer_mm

    @property
    def base_height_mm(self) -> float:
        """Base top above the high point [mm]: what a tape shows there."""
        return self.base_top_mm - self.high_point_mm

    @property
    def feasible_heights_mm(self) -> tuple[tuple[float, float], ...]:
        """All heights of the base above the high point that these packers can make [mm]."""
        up = self.bearer_mm - self.high_point_mm
        return tuple((low + up, high + up) for low, high in self.plan.feasible)

    @property
    def binding_low(self) -> str:
        """What stops the base from lying lower."""
        found = self.plan.binding_low
        return self.window.low.reason if found == "window" else found

    @property
    def binding_high(self) -> str:
        """What stops the base from lying higher."""
        found = self.plan.binding_high
        return self.window.high.reason if found == "window" else found


def height_window(
    job: Job,
    base: Base,
    under: pd.DataFrame,
    high_point_mm: float,
    layout: Layout,
    lift_mm: float,
    needs: Needs | None = None,
) -> Window:
    """Find between which heights the datum may lie.

    Parameters
    ----------
    job : Job
        Ceiling and benchmark.
    base : Base
        Allowed height, least room under a bearer.
    under : DataFrame
        The floor under the base: bearer, own_x_mm, lift_share, height_mm.
    high_point_mm : float
        Height of the high point under the base [mm].
    layout : Layout
        Units and the rows under them, for the ceiling.
    lift_mm : float
        How much the front row is set high [mm].
    needs : Needs, optional
        What the way of building wants; that of bearers on packers unless given.

    Returns
    -------
    Window

    Raises
    ------
    Refusal
        Where no height is left, naming what binds at both ends.
    """
    needed = under["height_mm"].to_numpy() - lift_mm * under["lift_share"].to_numpy()
    highest = int(np.argmax(needed))
    shortest, tallest = base.height_range_mm
    needs = needs or bearer_needs(base)
    thickness, place = needs.thickness_mm, _along(needs.lies, under.iloc[highest])
    lows = [
        Bound(high_point_mm + shortest - thickness, f"lowest height asked for, {shortest:g} mm"),
        Bound(
            float(needed[highest]) + needs.least_mm,
            f"high point + {needs.least_words} of {needs.least_mm:g} mm ({place})",
        ),
    ]
    highs = [
        Bound(high_point_mm + tallest - thickness, f"greatest height asked for, {tallest:g} mm")
    ]
    highs += _under_ceiling(job, thickness, layout, lift_mm)
    highs += needs.above
    window = Window(
        max(lows, key=lambda bound: bound.datum_mm), min(highs, key=lambda bound: bound.datum_mm)
    )
    return _not_empty(window, base, thickness - high_point_mm)


def _along(lies: str, place: pd.Series[Any]) -> str:
    return f"{lies} {place['bearer']} at x = {place['own_x_mm']:.0f} mm"


def _under_ceiling(
    job: Job, thickness_mm: float, layout: Layout, lift_mm: float
) -> Iterator[Bound]:
    """Yield how high each unit lets the datum be; a lifted front lifts what stands on it."""
    if job.room.ceiling_mm is None:
        return
    ceiling = ceiling_height_mm(job, job.room.ceiling_mm)
    for placed in layout.units:
        rows = [row for row in layout.rows if placed in row.units]
        lifted = max(lift_mm * layout.lift_share(row) for row in rows)
        yield Bound(
            ceiling - placed.unit.height_mm - thickness_mm - max(lifted, 0.0),
            f"ceiling over unit {placed.unit.name!r}, {placed.unit.height_mm:g} mm tall",
        )


def _not_empty(window: Window, base: Base, up: float) -> Window:
    """Refuse a window without heights; ``up`` turns a datum into a base top above high point."""
    missing = window.low.datum_mm - window.high.datum_mm
    if missing > 1e-9:
        raise refuse(
            f"job.toml, base {base.name!r}, height_mm",
            f"{window.high.datum_mm + up:.1f} mm at most above the high point"
            f" ({window.high.reason})",
            f"at least {window.low.datum_mm + up:.1f} mm ({window.low.reason});"
            f" {missing:.1f} mm are missing",
        )
    if missing > 0:  # round-off of a single height asked for
        return Window(window.low, replace(window.high, datum_mm=window.low.datum_mm))
    return window


def ceiling_height_mm(job: Job, ceiling_mm: float) -> float:
    """Return the ceiling in the survey's datum [mm]: it is given above the benchmark or 0."""
    return ceiling_mm + (job.floor.benchmark_mm if job.floor.benchmark else 0.0)


def packer_kinds(stock: Stock) -> tuple[PackerKind, ...]:
    """Return the packers of the stock as the stacks see them."""
    return tuple(PackerKind(p.thickness_mm, p.mm, p.count) for p in stock.packers)


def choose_datum(
    job: Job,
    base: Base,
    layout: Layout,
    floor_mm: np.ndarray,
    window: Window,
    high_point_mm: float,
    lift_mm: float,
    thickness_mm: float | None = None,
) -> Datum:
    """Choose the datum and every stack: fewest packers, then least error, then lowest.

    Parameters
    ----------
    job, base : Job, Base
        Packers in stock; tolerance and limits of a stack.
    layout : Layout
        Supports and how much of the front lift each gets.
    floor_mm : array of shape (supports,)
        Height of the floor under each support [mm].
    window : Window
        From `height_window`.
    high_point_mm : float
        Height of the high point [mm].
    lift_mm : float
        How much the front row is set high [mm].
    thickness_mm : float, optional
        Between datum and base top; that of the bearers unless given [mm].

    Returns
    -------
    Datum

    Raises
    ------
    Refusal
        Where no height of the window can be packed up to within the tolerance.
    """
    lift = lift_mm * layout.supports["lift_share"].to_numpy()
    rules = StackRules(
        tolerance_mm=base.tolerance_mm,
        max_pieces=base.max_pieces,
        max_stack_mm=base.max_stack_mm,
        minimum_pack_mm=base.minimum_pack_mm,
    )
    plan = optimise_stacks(
        list(layout.supports["support"]),
        floor_mm,
        lift,
        window.low.datum_mm,
        window.high.datum_mm,
        packer_kinds(job.stock),
        rules,
    )
    thickness = base.bearer.thickness_mm if thickness_mm is None else thickness_mm
    return Datum(window, plan, high_point_mm, thickness, lift_mm)
