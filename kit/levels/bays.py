"""The bays of a run, each unit one: its supports, the floor under them, and its bounds.

**What the search supposes.** A zone's supports are those of its bays, and a bay's are those that
it has in a base of itself and of the neighbour on each side that it is joined to: so ends of zones
have their end stacks and two sides that share one share it. The rows of a zone follow its own
shallowest unit, which may stand further along, and its floor is looked at on a grid of its own.
Therefore every zone that is chosen is laid out and levelled once more as a base of its own
(`kit.levels.exact`), and only those figures are told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pandas as pd

from kit.base.datum import ceiling_height_mm
from kit.base.runs import Floats, PlacedUnit, place_units
from kit.base.stack_rules import to_units
from kit.job import Base, Job, PlacedProblem, Refusal, Run
from kit.levels.bay import Bay, Tell, Way
from kit.levels.run_parts import of_run, part_of_run
from kit.methods import method_of
from kit.parts import Survey

#: A support this near to the edge of a bay [mm] stands on it: there it counts with the left bay.
_ON_EDGE_MM = 1e-3

#: Why an end unit is not joined on that side.
NO_UNIT = "there is no unit beside it"


@dataclass(frozen=True, eq=False)
class BayFloor:
    """A bay with the floor under it.

    Parameters
    ----------
    bay : Bay
        What its level must keep to, for the search.
    run : str
        Its run.
    unit : str
        Its unit.
    left_mm, right_mm : float
        Where the unit begins and ends along the run [mm].
    gap_mm : float
        Between it and the unit before it [mm].
    supports : DataFrame
        support, row, own_x_mm, x_mm, y_mm, lift_mm, floor_mm, sd_mm of a base of this bay alone;
        of the bay in its run where it cannot stand alone.
    high_point_mm, high_at_mm : float, tuple of float
        Highest floor under it, and where that is in the plan [mm].
    """

    bay: Bay
    run: str
    unit: str
    left_mm: float
    right_mm: float
    gap_mm: float
    supports: pd.DataFrame
    high_point_mm: float
    high_at_mm: tuple[float, float]

    @property
    def lowest_mm(self) -> float:
        """Lowest floor under a support [mm]."""
        return float(self.supports["floor_mm"].min())

    @property
    def fall_mm(self) -> float:
        """How far the lowest support's floor lies below the high point [mm]."""
        return self.high_point_mm - self.lowest_mm


def bays_of_run(
    job: Job, survey: Survey, base: Base, run: Run, lift_mm: float, tell: Tell | None = None
) -> tuple[BayFloor, ...]:
    """Return the bays of a run, from left to right.

    Parameters
    ----------
    job, survey, base : Job, Survey, Base
        What is asked, over which floor, built in which way.
    run : Run
        One of its runs.
    lift_mm : float
        How much the front row is set high [mm].
    tell : callable, optional
        Told the share done.

    Raises
    ------
    Refusal
        Where no way to stand is left for a bay, or the floor under a support was not surveyed.
    """
    edges = _edges(run)
    found, under = [], []
    for number in range(len(run.units)):
        ways = [_way(job, base, run, number, edges, way) for way in range(4)]
        _refuse_closed(run, number, [words for _, _, words in ways])
        found.append([(table, words) for table, _, words in ways])
        under.append(next(each for _, each, words in ways if not words))
        if tell is not None:
            tell((number + 1) / (len(run.units) + 1))
    bays = _over_floor(job, survey, base, run, found, under, lift_mm)
    if tell is not None:
        tell(1.0)
    return bays


def _edges(run: Run) -> Floats:
    """Return where one bay ends and the next begins along the run: in the middle of the gap."""
    placed = place_units(run)
    inner = [(a.right_mm + b.left_mm) / 2 for a, b in pairwise(placed)]
    return np.array([-np.inf, *inner, np.inf])


_Found = tuple[pd.DataFrame, pd.DataFrame, str]


def _way(job: Job, base: Base, run: Run, number: int, edges: Floats, way: int) -> _Found:
    """Return supports and footprint of a bay joined so, or why it cannot be.

    Where a base of it and its neighbours cannot stand because of what lies at the neighbours' far
    ends, it is taken from a longer one, at last from all of the run on that side.
    """
    left, right = divmod(way, 2)
    nothing = pd.DataFrame()
    if number < left or number + right >= len(run.units):
        return nothing, nothing, NO_UNIT
    words = ""
    for first, last in _stretches(run, number, left, right):
        alone, plain = of_run(job, part_of_run(run, first, last), base)
        try:
            layout = method_of(base).lay_out(alone, plain)
        except Refusal as refusal:
            words = words or "; ".join(str(problem) for problem in refusal.problems)
            continue
        shift = _shift(run, first)
        return (
            _within(layout.supports, shift, edges, number),
            _within(layout.footprint(), shift, edges, number),
            "",
        )
    return nothing, nothing, words


def _stretches(run: Run, number: int, left: int, right: int) -> list[tuple[int, int]]:
    """Return first and last unit of the stretches to lay out, the shortest first."""
    end = len(run.units) - 1
    firsts = dict.fromkeys((number - 1, max(number - 2, 0), 0)) if left else (number,)
    lasts = dict.fromkeys((number + 1, min(number + 2, end), end)) if right else (number,)
    return sorted(((a, b) for a in firsts for b in lasts), key=lambda span: span[1] - span[0])


def _shift(run: Run, first: int) -> float:
    return place_units(run)[first].left_mm if first else 0.0


def _within(table: pd.DataFrame, shift: float, edges: Floats, number: int) -> pd.DataFrame:
    own = table["own_x_mm"].to_numpy(dtype=float) + shift
    inside = (own > edges[number] + _ON_EDGE_MM) & (own <= edges[number + 1] + _ON_EDGE_MM)
    kept: pd.DataFrame = table.assign(own_x_mm=own)[inside].reset_index(drop=True)
    return kept


def _refuse_closed(run: Run, number: int, words: Sequence[str]) -> None:
    if all(words):
        problems = dict.fromkeys(each for each in words if each != NO_UNIT)
        where = f"job.toml, run {run.name}, unit {run.units[number].name!r}"
        found = "no zone that it can stand in: " + "; ".join(problems)
        raise Refusal(PlacedProblem(where, found, "another layout", run.origin_mm, ""))


def _over_floor(
    job: Job,
    survey: Survey,
    base: Base,
    run: Run,
    found: list[list[tuple[pd.DataFrame, str]]],
    under: list[pd.DataFrame],
    lift_mm: float,
) -> tuple[BayFloor, ...]:
    """Look at the floor under all of them in one go."""
    standing = [table for ways in found for table, words in ways if not words]
    supports = pd.concat(standing, ignore_index=True)
    _refuse_unsurveyed(survey, supports, run)
    supports = _with_floor(survey, supports)
    places = pd.concat(under, keys=range(len(under)), names=["bay"]).reset_index("bay")
    places = _with_floor(survey, places.reset_index(drop=True))
    x, y = (places[name].to_numpy(dtype=float) for name in ("x_mm", "y_mm"))
    places = places[survey.surface.surveyed(x, y)]
    bays, start = [], 0
    for number, (placed, ways) in enumerate(zip(place_units(run), found, strict=True)):
        tables = []
        for table, words in ways:
            after = start + len(table) * (not words)
            tables.append((supports.iloc[start:after], words))
            start = after
        of_bay = places[places["bay"] == number]
        bays.append(_bay(job, base, placed, tables, of_bay, lift_mm))
    return tuple(bays)


def _with_floor(survey: Survey, table: pd.DataFrame) -> pd.DataFrame:
    """Return places with floor_mm and sd_mm; each place is looked at once."""
    places = table[["x_mm", "y_mm"]].to_numpy(dtype=float)
    once, back = np.unique(np.round(places, 6), axis=0, return_inverse=True)
    at = survey.surface.predict(once[:, 0], once[:, 1])
    back = back.ravel()
    return table.assign(floor_mm=at.height_mm[back], sd_mm=at.sd_mm[back])


def _refuse_unsurveyed(survey: Survey, supports: pd.DataFrame, run: Run) -> None:
    x, y = (supports[name].to_numpy(dtype=float) for name in ("x_mm", "y_mm"))
    outside = supports[~survey.surface.surveyed(x, y)]
    if len(outside):
        first = outside.iloc[0]
        raise Refusal(
            PlacedProblem(
                f"job.toml, run {run.name}, support at {first['own_x_mm']:.0f} mm",
                "floor that was not surveyed",
                "supports within or close to the readings: read the floor there too",
                (float(first["x_mm"]), float(first["y_mm"])),
                "",
            )
        )


def _bay(
    job: Job,
    base: Base,
    placed: PlacedUnit,
    ways: list[tuple[pd.DataFrame, str]],
    places: pd.DataFrame,
    lift_mm: float,
) -> BayFloor:
    thickness = base.bearer.thickness_mm if base.on_bearers else 0.0
    shortest, tallest = base.height_range_mm
    floor = places["floor_mm"].to_numpy(dtype=float)
    high = int(np.argmax(floor))
    needed = float((floor - lift_mm * places["lift_share"].to_numpy(dtype=float)).max())
    low = max(float(floor[high]) + shortest - thickness, needed + base.minimum_pack_mm)
    reach = float(floor[high]) + tallest - thickness
    cap = _under_ceiling_mm(job, placed, thickness, lift_mm)
    tables = [
        table.assign(lift_mm=lift_mm * table["lift_share"]) if not words else table
        for table, words in ways
    ]
    own = next(table for table, (_, words) in zip(tables, ways, strict=True) if not words)
    x, y = (float(places[name].iloc[high]) for name in ("x_mm", "y_mm"))
    return BayFloor(
        bay=Bay(
            f"{placed.run}: {placed.unit.name}",
            (
                _search_way(tables[0], ways[0][1]),
                _search_way(tables[1], ways[1][1]),
                _search_way(tables[2], ways[2][1]),
                _search_way(tables[3], ways[3][1]),
            ),
            int(to_units(low)),
            int(to_units(reach)),
            int(to_units(cap)),
        ),
        run=placed.run,
        unit=placed.unit.name,
        left_mm=placed.left_mm,
        right_mm=placed.right_mm,
        gap_mm=placed.unit.gap_before_mm,
        supports=own.reset_index(drop=True),
        high_point_mm=float(floor[high]),
        high_at_mm=(x, y),
    )


def _search_way(table: pd.DataFrame, why_not: str) -> Way:
    if why_not:
        return Way((), np.zeros(0, dtype=np.int64), why_not)
    names = tuple(
        f"{row} at {x:.0f} mm" for row, x in zip(table["bearer"], table["own_x_mm"], strict=True)
    )
    floor, lift = (table[name].to_numpy(dtype=float) for name in ("floor_mm", "lift_mm"))
    return Way(names, to_units(floor) - to_units(lift))


#: Above every ceiling [mm].
_NO_CEILING_MM = 1e5


def _under_ceiling_mm(job: Job, placed: PlacedUnit, thickness_mm: float, lift_mm: float) -> float:
    if job.room.ceiling_mm is None:
        return _NO_CEILING_MM
    ceiling = ceiling_height_mm(job, job.room.ceiling_mm)
    return ceiling - placed.unit.height_mm - thickness_mm - max(lift_mm, 0.0)
