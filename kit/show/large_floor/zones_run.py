"""One run of a base in zones, cut open along its back row: what is seen, in numbers only."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from kit.base.runs import Frame, PlacedUnit, Row, place_units
from kit.base.stack_rules import to_mm
from kit.job import FloorStep, MovementJoint, Run
from kit.levels import Zone, Zones, ZoneStep
from kit.show.section import PROFILE_STEP_MM, Profile, Stack, section

#: On either side of a step of the floor its profile is looked at so far away [mm].
BESIDE_STEP_MM = 1.0


@dataclass(frozen=True)
class Bearer:
    """One bearer of the row: from where to where along the run, underside and top [mm]."""

    from_mm: float
    to_mm: float
    underside_mm: float
    top_mm: float
    stacks: tuple[tuple[float, Stack], ...]


@dataclass(frozen=True)
class Single:
    """Where the base top of the whole run would lie on one level.

    Parameters
    ----------
    top_mm : float
        The base top [mm]; where one level cannot be, the lowest that ``height_mm`` allows over
        the high point.
    why_not : str
        Why it cannot be; empty where it can.
    """

    top_mm: float
    why_not: str


@dataclass(frozen=True)
class ZonesRun:
    """A run in zones along its back row; all places are along the run [mm].

    Parameters
    ----------
    run : Run
        The run.
    units : tuple of PlacedUnit
        Its units.
    zones, steps : tuples
        Its zones from left to right, and the steps between them.
    floor : Profile
        The floor along the back row.
    bearers : tuple of Bearer
        With their stacks.
    joints, floor_steps : tuple of (str, float)
        Names and places of what crosses the row.
    single : Single
        One level for all of it.
    """

    run: Run
    units: tuple[PlacedUnit, ...]
    zones: tuple[Zone, ...]
    steps: tuple[ZoneStep, ...]
    floor: Profile
    bearers: tuple[Bearer, ...]
    joints: tuple[tuple[str, float], ...]
    floor_steps: tuple[tuple[str, float], ...]
    single: Single

    @property
    def lowest_mm(self) -> float:
        """Lowest of all that is drawn [mm]."""
        return min(self.floor.lowest_mm, *(stack.floor_mm for _, stack in self.stacks))

    @property
    def highest_mm(self) -> float:
        """Highest of all that is drawn, the units left out [mm]."""
        tops = [zone.base_top_mm for zone in self.zones]
        return max(self.floor.highest_mm, self.single.top_mm, *tops)

    @property
    def stacks(self) -> tuple[tuple[float, Stack], ...]:
        """Every stack of the row with its place along the run [mm]."""
        return tuple(one for bearer in self.bearers for one in bearer.stacks)


def zones_run(zones: Zones, run: str) -> ZonesRun:
    """Cut one run open along its back row.

    Parameters
    ----------
    zones : Zones
        From `kit.levels.part_into_zones`.
    run : str
        Name of one of its runs.

    Returns
    -------
    ZonesRun
    """
    its = next(one for one in zones.job.runs if one.name == run)
    own = tuple(zone for zone in zones.zones if zone.run == run)
    frame = Frame(its.origin_mm, its.direction_deg)
    steps = tuple(_crossed(frame, zones.job.floor_steps, own))
    return ZonesRun(
        its,
        tuple(place_units(its)),
        own,
        tuple(step for step in zones.steps if step.in_run and step.one.run == run),
        _profile(its, frame, own, [at for _, at in steps]),
        tuple(bearer for zone in own for bearer in _bearers(zone)),
        tuple(_crossed(frame, zones.job.movement_joints, own)),
        steps,
        _single(zones, run, own),
    )


def _rows(zone: Zone) -> list[Row]:
    return [row for row in zone.answer.layout.rows if row.label == "B"]


def _shift_mm(zone: Zone) -> float:
    """Return where the zone's own x begins along its run: its first zone keeps the run's origin."""
    return zone.from_mm if zone.first else 0.0


def _bearers(zone: Zone) -> Iterator[Bearer]:
    nowhere = Profile(np.zeros(0), np.zeros(0), np.zeros(0))
    shift = _shift_mm(zone)
    for row in _rows(zone):
        cut = section(zone.answer, row, nowhere)
        stacks = tuple((stack.x_mm + shift, stack) for stack in cut.stacks)
        ends = row.start_mm + shift, row.end_mm + shift
        yield Bearer(*ends, cut.underside_mm, cut.top_mm, stacks)


def _profile(run: Run, frame: Frame, zones: tuple[Zone, ...], steps: list[float]) -> Profile:
    """Look at the floor along the back rows, each from the middle of its gap to the next."""
    even = np.linspace(0.0, run.length_mm, max(2, round(run.length_mm / PROFILE_STEP_MM) + 1))
    beside = [at + side for at in steps for side in (-BESIDE_STEP_MM, BESIDE_STEP_MM)]
    x = np.unique([*even.tolist(), *beside])
    edges = [(a.to_mm + b.from_mm) / 2 for a, b in pairwise(zones)]
    out = np.array([_rows(zone)[0].y_mm for zone in zones])[np.searchsorted(edges, x)]
    site_x, site_y = frame.to_site(x, out)
    surface = zones[0].answer.surface
    at = surface.predict(site_x, site_y)
    known = surface.surveyed(site_x, site_y)
    height, sd = (np.where(known, values, np.nan) for values in (at.height_mm, at.sd_mm))
    return Profile(x, height, sd)


def _crossed(
    frame: Frame, lines: Iterable[MovementJoint | FloorStep], zones: tuple[Zone, ...]
) -> Iterator[tuple[str, float]]:
    """Yield name and place of each line that crosses a back row."""
    for line in lines:
        x, y = frame.to_own(*np.array([line.from_mm, line.to_mm]).T)
        for zone in zones:
            at = _where(x.tolist(), y.tolist(), _rows(zone)[0].y_mm)
            before, after = _reach(zones, zone)
            if before <= at < after or (zone is zones[-1] and at == after):
                yield line.name, at


def _reach(zones: tuple[Zone, ...], zone: Zone) -> tuple[float, float]:
    """Return from where to where a zone stands for its run: to the middles of the gaps beside."""
    place = zones.index(zone)
    left = (zones[place - 1].to_mm + zone.from_mm) / 2 if place else 0.0
    last = place == len(zones) - 1
    return left, zone.to_mm if last else (zone.to_mm + zones[place + 1].from_mm) / 2


def _where(x: list[float], y: list[float], row_mm: float) -> float:
    """Return where a line passes a distance from the wall; nan where it does not."""
    if y[0] == y[1] or not min(y) <= row_mm <= max(y):
        return math.nan
    return x[0] + (x[1] - x[0]) * (row_mm - y[0]) / (y[1] - y[0])


def _single(zones: Zones, run: str, own: tuple[Zone, ...]) -> Single:
    one = next((c for c in zones.menu if c.run == run and c.zones == 1), None)
    if one is not None and one.levels:
        return Single(float(to_mm(one.levels[0])) + own[0].answer.datum.bearer_mm, "")
    high = max(zone.answer.high_point.height_mm for zone in own)
    why = one.why_not if one is not None else "it was not looked at"
    return Single(high + zones.base.height_range_mm[0], why)
