"""Runs of units in plan: their own frames, their panels, and the rows of bearers under them.

A run has its own frame: x along it to the right as one looks at its wall, y out from the plane
that the units' backs touch into the room. `Frame` turns it into the site's frame and back.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.base.footing import Footing
from kit.job import Base, Run, Unit, refuse

Floats = NDArray[np.float64]

#: Two rows further apart than this get a middle row [mm] (common practice, no source).
WIDEST_ROW_SPACING_MM = 600.0

#: A centre of gravity nearer to the front row than this share of the row spacing counts as
#: beyond it (common practice, no source).
FRONT_SHARE = 1 / 6


#: Rows nearer to each other than this are one [mm]: nobody builds finer.
SAME_ROW_MM = 0.1


@dataclass(frozen=True)
class Frame:
    """A run's own frame in the site's frame.

    Parameters
    ----------
    origin_mm : tuple of float
        Site place of the run's own left end at its wall [mm].
    direction_deg : float
        Site direction of the run's own x, from +x towards +y [degrees].
    """

    origin_mm: tuple[float, float]
    direction_deg: float

    @property
    def _cos_sin(self) -> tuple[float, float]:
        quarter, rest = divmod(self.direction_deg, 90.0)
        if rest == 0:  # exact for the right angles that nearly every room has
            return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
        angle = math.radians(self.direction_deg)
        return math.cos(angle), math.sin(angle)

    def to_site(self, x_mm: ArrayLike, y_mm: ArrayLike) -> tuple[Floats, Floats]:
        """Turn places of the run's own frame into site places [mm]."""
        cos, sin = self._cos_sin
        x, y = np.asarray(x_mm, dtype=float), np.asarray(y_mm, dtype=float)
        return self.origin_mm[0] + cos * x - sin * y, self.origin_mm[1] + sin * x + cos * y

    def to_own(self, x_mm: ArrayLike, y_mm: ArrayLike) -> tuple[Floats, Floats]:
        """Turn site places into places of the run's own frame [mm]."""
        cos, sin = self._cos_sin
        x = np.asarray(x_mm, dtype=float) - self.origin_mm[0]
        y = np.asarray(y_mm, dtype=float) - self.origin_mm[1]
        return cos * x + sin * y, -sin * x + cos * y


@dataclass(frozen=True)
class Panel:
    """A side or a division: the line along which a unit's load comes down.

    Parameters
    ----------
    x_mm : float
        Its centre line along the run [mm].
    thickness_mm : float
        Its thickness [mm].
    kind : str
        ``"side"`` or ``"division"``.
    share : float
        The part of the unit's load that it carries, by tributary width (0 to 1).
    """

    x_mm: float
    thickness_mm: float
    kind: str
    share: float


@dataclass(frozen=True)
class PlacedUnit:
    """A unit at its place in a run; ``left_mm`` is its left face along the run."""

    run: str
    unit: Unit
    left_mm: float

    @property
    def right_mm(self) -> float:
        """Its right face along the run [mm]."""
        return self.left_mm + self.unit.width_mm

    @property
    def panels(self) -> tuple[Panel, ...]:
        """Sides and divisions from left to right, each with its tributary share of the load."""
        unit = self.unit
        half = unit.side_mm / 2
        lines = (half, *unit.divisions_mm, unit.width_mm - half)
        edges = (0.0, *((a + b) / 2 for a, b in pairwise(lines)), unit.width_mm)
        kinds = ("side", *("division" for _ in unit.divisions_mm), "side")
        return tuple(
            Panel(self.left_mm + line, unit.side_mm, kind, (right - left) / unit.width_mm)
            for line, kind, (left, right) in zip(lines, kinds, pairwise(edges), strict=True)
        )


@dataclass(frozen=True)
class Row:
    """One line of bearers: all of a run for back, middle and front; part of it for a further row.

    Where a movement joint crosses a row, each of its parts is a row by itself.

    Parameters
    ----------
    name : str
        The bearer's name, ``"B"``, ``"A-F"``, ``"D.2"``; of parts ``"Ba"``, ``"Bb"`` and so on.
    run : str
        Name of its run.
    label : str
        ``"B"``, ``"M"``, ``"F"`` or ``"D"``.
    y_mm : float
        Its centre line in the run's own frame [mm].
    start_mm, end_mm : float
        Its ends along the run [mm].
    units : tuple of PlacedUnit
        The units that stand on it.
    part_of : str
        Name of the whole row that it is a part of; empty where it is whole.
    reach_mm : tuple of float
        Sides and divisions from the first place up to the second stand on this part [mm].
    joints : tuple of str
        Names of the movement joints that it ends at, on the left and on the right; empty where
        it ends at none.
    """

    name: str
    run: str
    label: str
    y_mm: float
    start_mm: float
    end_mm: float
    units: tuple[PlacedUnit, ...]
    part_of: str = ""
    reach_mm: tuple[float, float] = (-math.inf, math.inf)
    joints: tuple[str, str] = ("", "")

    @property
    def line(self) -> str:
        """Name of the whole row: its own, unless it is a part of one."""
        return self.part_of or self.name

    @property
    def panels(self) -> tuple[tuple[PlacedUnit, Panel], ...]:
        """Sides and divisions that stand on it, each with its unit, unit by unit."""
        return tuple(
            (placed, panel)
            for placed in self.units
            for panel in placed.panels
            if self.bears(panel.x_mm)
        )

    @property
    def length_mm(self) -> float:
        """Length of the bearer [mm]."""
        return self.end_mm - self.start_mm

    def bears(self, x_mm: float) -> bool:
        """Tell whether a side or division at a place of its line stands on it [mm]."""
        return self.reach_mm[0] <= x_mm < self.reach_mm[1]


def place_units(run: Run) -> tuple[PlacedUnit, ...]:
    """Put the units of a run side by side, each after its gap, from the run's left end."""
    left = 0.0
    placed = []
    for unit in run.units:
        left += unit.gap_before_mm
        placed.append(PlacedUnit(run.name, unit, left))
        left += unit.width_mm
    return tuple(placed)


def lay_out_rows(run: Run, base: Base, footing: Footing, *, several_runs: bool) -> tuple[Row, ...]:
    """Lay out the bearers of one run, from the wall into the room.

    Parameters
    ----------
    run : Run
        The run with its units.
    base : Base
        Set-backs and end inset.
    footing : Footing
        What runs along the rows and stands there; rows may not be nearer than its width.
    several_runs : bool
        Whether bearers carry the run's letter in front.

    Returns
    -------
    tuple of Row
        Back row, middle rows, front row, further rows under deeper units.

    Raises
    ------
    Refusal
        Where rows would overlap, a bearer would have no length, or a unit cannot stand between
        its rows.

    Notes
    -----
    The back bearer's back edge stands ``back_mm`` out from the plane that the backs touch; the
    front bearer's front edge ``front_mm`` behind the front of the shallowest unit. A unit whose
    centre of gravity lies beyond the front row, or within a sixth of the row spacing of it, gets
    a further row (common practice, no source). Where `Footing.own_fronts` says so, each deeper
    unit stands on one at its own front instead of on the front row.
    """
    units = place_units(run)
    width = footing.strip_mm
    back = base.back_mm + width / 2
    front = min(placed.unit.depth_mm for placed in units) - base.front_mm - width / 2
    inset = _inset_mm(base, footing)
    start, end = inset, run.length_mm - inset
    apart = footing.across_mm
    if front - back < apart:
        raise refuse(
            f"job.toml, run {run.name}, base {base.name!r}, back_mm and front_mm",
            f"front row {front - back:g} mm in front of the back row",
            f"at least {apart:g} mm, so that what stands there does not overlap;"
            " smaller set-backs or deeper units",
        )
    if end - start < apart:
        raise _no_length(run, base, footing)
    whole = [Row("", run.name, "B", back, start, end, units)]
    whole += _middle_rows(whole[0], front)
    further = list(_further_rows(units, base, footing, (back, front)))
    deeper = [one for row in further if footing.own_fronts for one in row.units]
    shallow = tuple(placed for placed in units if placed not in deeper)
    whole.append(Row("", run.name, "F", front, start, end, shallow))
    return _named([*whole, *further], f"{run.name}-" if several_runs else "")


def _inset_mm(base: Base, footing: Footing) -> float:
    """Return how far a row ends within its run [mm]: only what runs along it can be let in."""
    return base.end_inset_mm if footing.joined else 0.0


def _no_length(run: Run, base: Base, footing: Footing) -> Exception:
    """Return why a row would have no length: its ends are let in, or the run is too short."""
    where, long = f"job.toml, run {run.name}", f"{run.length_mm:g} mm long"
    if not footing.joined:
        return refuse(where, long, f"at least {footing.across_mm:g} mm, that of one support")
    found = f"{base.end_inset_mm:g} mm at both ends of run {run.name}, {long}"
    where = f"job.toml, base {base.name!r}, end_inset_mm"
    return refuse(where, found, f"an inset that leaves a {footing.words.along}")


def _middle_rows(behind: Row, front_mm: float) -> list[Row]:
    """Return rows that divide the distance to the next row equally, none where it is short."""
    spacing = front_mm - behind.y_mm
    bays = math.ceil(spacing / WIDEST_ROW_SPACING_MM - 1e-9)
    return [
        replace(behind, label="M", y_mm=behind.y_mm + spacing * number / bays)
        for number in range(1, bays)
    ]


def _further_rows(
    units: Sequence[PlacedUnit], base: Base, footing: Footing, whole: tuple[float, float]
) -> Iterator[Row]:
    """Yield a row, and any middle rows before it, under each group of units that needs one.

    ``whole`` is where back and front row of the whole run stand.
    """
    half, apart, inset = footing.strip_mm / 2, footing.across_mm, _inset_mm(base, footing)
    back, front = whole

    def needed_at(placed: PlacedUnit) -> float | None:
        gravity = placed.unit.centre_of_gravity_from_back_mm
        if gravity < back:
            raise _tips(placed, f"its centre of gravity {gravity:g} mm from its back", back, front)
        own = placed.unit.depth_mm - base.front_mm - half
        borne = gravity <= front - FRONT_SHARE * (front - back)
        if borne and not (footing.own_fronts and own > front + SAME_ROW_MM):
            return None
        near = SAME_ROW_MM if footing.own_fronts else apart
        if own - front < near or gravity > own - FRONT_SHARE * (own - back):
            raise _tips(placed, f"its centre of gravity {gravity:g} mm from its back", back, own)
        return own

    for y, group in groupby(units, key=needed_at):
        if y is None:
            continue
        members = tuple(group)
        start = max(members[0].left_mm, inset)
        run_end = units[-1].right_mm - inset
        row = Row("", members[0].run, "D", y, start, min(members[-1].right_mm, run_end), members)
        yield from _middle_rows(replace(row, y_mm=front), y)
        yield row


def _tips(placed: PlacedUnit, found: str, back: float, front: float) -> Exception:
    return refuse(
        f"job.toml, run {placed.run}, unit {placed.unit.name!r}",
        found,
        f"between its rows, from {back:g} to {front - FRONT_SHARE * (front - back):.1f} mm, a"
        " sixth of their distance short of the front one, so that every row carries load; change"
        " the set-backs or the depth",
    )


def _named(rows: Sequence[Row], prefix: str) -> tuple[Row, ...]:
    """Give each row its bearer name; rows of one label are numbered where there are several."""
    labels = [row.label for row in rows]
    return tuple(
        replace(row, name=f"{prefix}{row.label}")
        if labels.count(row.label) == 1
        else replace(row, name=f"{prefix}{row.label}.{labels[: index + 1].count(row.label)}")
        for index, row in enumerate(rows)
    )
