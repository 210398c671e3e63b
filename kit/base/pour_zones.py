"""Where levelling compound is poured: a zone under each unit, and the places it is looked at.

A zone is a rectangle of its run's own frame. All zones set to one level, the datum.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise

import numpy as np
import pandas as pd

from kit.base.layout import GRID_MM
from kit.base.overlaps import corners, overlap
from kit.base.runs import Floats, Frame, PlacedUnit, place_units
from kit.job import Compound, Job, NoGo, Problem, Refusal, Run

#: Places at which all zones together are looked at, about; wider steps keep it to that.
MOST_PLACES = 1500

#: By how much steps are widened until the places are few enough.
_WIDER = 1.05


@dataclass(frozen=True)
class Zone:
    """What is poured for one unit.

    Parameters
    ----------
    name : str
        The unit's, with the run's letter in front where there are several runs.
    run, unit : str
        Names of its run and its unit.
    frame : Frame
        The run's own frame.
    left_mm, right_mm, front_mm : float
        Its edges in that frame [mm]; its back lies in the plane that the backs touch, y = 0.
    ends : tuple of bool
        Whether its left and its right edge is a free end of the run.
    intervals : tuple of int
        Steps of its grid along the run and out from the wall, both even.
    """

    name: str
    run: str
    unit: str
    frame: Frame
    left_mm: float
    right_mm: float
    front_mm: float
    ends: tuple[bool, bool]
    intervals: tuple[int, int] = (2, 2)

    @property
    def width_mm(self) -> float:
        """Along the run [mm]."""
        return self.right_mm - self.left_mm

    @property
    def area_m2(self) -> float:
        """In plan [m2]."""
        return self.width_mm * self.front_mm * 1e-6

    @property
    def corners_mm(self) -> Floats:
        """Its corners on the site, shape (4, 2) [mm]."""
        return corners(self.frame, self.left_mm, self.right_mm, 0.0, self.front_mm)

    @property
    def shape(self) -> tuple[int, int]:
        """Places of its grid out from the wall and along the run."""
        along, out = self.intervals
        return out + 1, along + 1

    @property
    def places(self) -> int:
        """How many places its grid has."""
        return math.prod(self.shape)

    def weights_mm2(self) -> Floats:
        """Return what each place of its grid counts in an integral over it, (places,) [mm2]."""
        along, out = self.intervals
        return np.outer(
            simpson_weights(self.front_mm, out), simpson_weights(self.width_mm, along)
        ).ravel()

    def own_grid(self) -> tuple[Floats, Floats]:
        """Return the places of its grid in the run's own frame, x fastest, (places,) each [mm]."""
        along, out = self.intervals
        x, y = np.meshgrid(
            np.linspace(self.left_mm, self.right_mm, along + 1),
            np.linspace(0.0, self.front_mm, out + 1),
        )
        return x.ravel(), y.ravel()


def simpson_weights(length_mm: float, intervals: int) -> Floats:
    """Return the weights of the composite Simpson rule over even steps.

    Parameters
    ----------
    length_mm : float
        Length that is integrated over [mm].
    intervals : int
        Number of steps, even.

    Returns
    -------
    array of shape (intervals + 1,)
        Eq. (1): h/3 (1, 4, 2, 4, ..., 2, 4, 1) [mm]. Exact up to the third power; else off by at
        most length/180 h^4 times the greatest fourth derivative (handbooks; from memory).

    Examples
    --------
    >>> simpson_weights(6.0, 4).tolist()
    [0.5, 2.0, 1.0, 2.0, 0.5]
    """
    weights = np.full(intervals + 1, 2.0)
    weights[1::2] = 4.0
    weights[[0, -1]] = 1.0
    return weights * (length_mm / intervals / 3)  # Eq. (1)


def pour_zones(job: Job, compound: Compound) -> tuple[Zone, ...]:
    """Return what is poured for each unit, run by run from left to right.

    Parameters
    ----------
    job : Job
        Runs with their units and walls.
    compound : Compound
        How far in front of the units and beyond the free ends is poured.

    Returns
    -------
    tuple of Zone
        Steps of their grids are at most `kit.base.layout.GRID_MM`, 50 mm, as long as all zones
        together then have no more than `MOST_PLACES` places; else as much wider as it takes.

    Notes
    -----
    The volume over a zone of a by b with steps h and k is off by at most
    a b / 180 (h^4 max |d4z/dx4| + k^4 max |d4z/dy4|), z the height of the floor: a hump of
    amplitude A and wave length L along one axis is off by less than 8.7 A a b (h / L)^4, at
    50 mm and L = 500 mm 0.09 % of A a b.
    """
    several = len(job.runs) > 1
    zones = [
        zone
        for run in job.runs
        for zone in _of_run(run, compound.margin_mm, f"{run.name}: " if several else "")
    ]
    step = GRID_MM
    stepped = [_stepped(zone, step) for zone in zones]
    while sum(zone.places for zone in stepped) > max(MOST_PLACES, 9 * len(zones)):
        step *= _WIDER
        stepped = [_stepped(zone, step) for zone in zones]
    return tuple(stepped)


def _of_run(run: Run, margin_mm: float, prefix: str) -> Iterator[Zone]:
    placed = place_units(run)
    frame = Frame(run.origin_mm, run.direction_deg)
    for one in placed:
        ends = one is placed[0] and not run.left_wall, one is placed[-1] and not run.right_wall
        yield Zone(
            prefix + one.unit.name,
            run.name,
            one.unit.name,
            frame,
            _left_mm(one) - margin_mm * ends[0],
            one.right_mm + margin_mm * ends[1],
            one.unit.depth_mm + margin_mm,
            ends,
        )


def _left_mm(placed: PlacedUnit) -> float:
    return placed.left_mm - placed.unit.gap_before_mm


def _stepped(zone: Zone, step_mm: float) -> Zone:
    along, out = (
        max(2, 2 * math.ceil(length / step_mm / 2 - 1e-9))
        for length in (zone.width_mm, zone.front_mm)
    )
    return replace(zone, intervals=(along, out))


def zone_problems(zones: Sequence[Zone], areas: Sequence[NoGo]) -> Iterator[Problem]:
    """Yield where nothing can be poured: over a no-go area, or over another run's zone.

    Parameters
    ----------
    zones : sequence of Zone
    areas : sequence of NoGo
        Only those that forbid supports count.
    """
    for zone in zones:
        for area in areas:
            if area.forbids == "supports" and overlap(zone.corners_mm, _corners_of(area)):
                yield Problem(
                    f"job.toml, no_go {area.name!r}",
                    f"compound under unit {zone.name!r} would be poured over it",
                    "an area that no zone reaches, or a base that bridges it",
                )
    for one, other in combinations(zones, 2):
        if one.run != other.run and overlap(one.corners_mm, other.corners_mm):
            yield Problem(
                f"job.toml, run {one.run}, unit {one.unit!r}",
                f"its zone of compound overlaps that under unit {other.unit!r} of run {other.run}",
                "zones side by side: a smaller compound.margin_mm, or another origin_mm",
            )


def _corners_of(area: NoGo) -> Floats:
    (x, y), (along, across) = area.corner_mm, area.size_mm
    return corners(Frame((x, y), 0.0), 0.0, along, 0.0, across)


def refuse_zones(zones: Sequence[Zone], areas: Sequence[NoGo]) -> None:
    """Refuse zones in which nothing can be poured, with all `zone_problems`."""
    problems = tuple(zone_problems(zones, areas))
    if problems:
        raise Refusal(*problems)


def zone_footprint(zones: Sequence[Zone]) -> pd.DataFrame:
    """Return the places under all zones: bearer (the zone's name), own_x_mm, x_mm, y_mm.

    Returns
    -------
    DataFrame
        Zone after zone, each in the order of its grid; lift_share is 0, for a pour lies level.
    """
    parts = []
    for zone in zones:
        own_x, own_y = zone.own_grid()
        x, y = zone.frame.to_site(own_x, own_y)
        parts.append(
            pd.DataFrame(
                {"bearer": zone.name, "own_x_mm": own_x, "x_mm": x, "y_mm": y, "lift_share": 0.0}
            )
        )
    return pd.concat(parts, ignore_index=True)


def by_zone(zones: Sequence[Zone], values: Floats) -> list[Floats]:
    """Divide what is known at the places of `zone_footprint` among the zones."""
    return np.split(values, np.cumsum([zone.places for zone in zones])[:-1])


def edge_mm(zones: Sequence[Zone]) -> float:
    """Return the length of edge that must be formed [mm].

    The fronts, the free ends, and the steps between zones of one run that are not equally deep.
    """
    length = math.fsum(zone.width_mm + zone.front_mm * sum(zone.ends) for zone in zones)
    steps = (abs(a.front_mm - b.front_mm) for a, b in pairwise(zones) if a.run == b.run)
    return length + math.fsum(steps)


def extents_mm(zones: Sequence[Zone]) -> dict[str, tuple[float, float]]:
    """Return how far the pour of each run reaches, by the run's name.

    Returns
    -------
    dict of str to (along, out)
        From its first edge to its last along the run, and to its furthest front [mm].
    """
    runs: dict[str, list[Zone]] = {}
    for zone in zones:
        runs.setdefault(zone.run, []).append(zone)
    return {
        run: (
            max(zone.right_mm for zone in own) - min(zone.left_mm for zone in own),
            max(zone.front_mm for zone in own),
        )
        for run, own in runs.items()
    }
