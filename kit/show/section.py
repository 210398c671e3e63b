"""One bearer row cut open along its middle: floor, stacks, bearer, units; numbers only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import accumulate

import numpy as np

from kit.answer import Answer
from kit.base.runs import Floats, Row
from kit.ink.table import records

#: Distance of the places at which the floor is drawn [mm].
PROFILE_STEP_MM = 50.0

#: Half width of the doubt that is drawn, in standard deviations.
BAND_SD = 2.0


@dataclass(frozen=True)
class Profile:
    """The floor along one row.

    Parameters
    ----------
    x_mm : (n,) array
        Along the run [mm].
    height_mm, sd_mm : (n,) array
        Mean floor and its standard deviation [mm]; nan where the floor was not surveyed.
    """

    x_mm: Floats
    height_mm: Floats
    sd_mm: Floats

    @property
    def lowest_mm(self) -> float:
        """Lowest place of the band of doubt [mm]."""
        return float(np.nanmin(self.height_mm - BAND_SD * self.sd_mm))

    @property
    def highest_mm(self) -> float:
        """Highest place of the band of doubt [mm]."""
        return float(np.nanmax(self.height_mm + BAND_SD * self.sd_mm))

    def stretches(self) -> list[slice]:
        """Return the surveyed stretches, each without a gap."""
        known = np.concatenate([[False], np.isfinite(self.height_mm), [False]])
        edges = np.flatnonzero(known[1:] != known[:-1])
        return [slice(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


@dataclass(frozen=True)
class Slab:
    """One packer as it lies: from where to where it reaches, and which kind it is."""

    support: str
    position: int
    kind: int
    x_mm: float
    bottom_mm: float
    thickness_mm: float


@dataclass(frozen=True)
class Stack:
    """One stack of a row: its packers from the floor up."""

    support: str
    x_mm: float
    floor_mm: float
    height_mm: float
    target_mm: float
    slabs: tuple[Slab, ...]

    @property
    def error_mm(self) -> float:
        """Stack less target, positive = high [mm]."""
        return self.height_mm - self.target_mm


@dataclass(frozen=True)
class Section:
    """Everything that is seen along one bearer row.

    Parameters
    ----------
    row : Row
        The bearer.
    profile : Profile
        The floor along the whole run, at the row's distance from the wall.
    stacks : tuple of Stack
        From left to right.
    underside_mm, top_mm : float
        Of the bearer [mm].
    pieces : tuple of (float, float)
        From where to where each piece of the bearer reaches along the run [mm].
    closed : tuple of (float, float, str)
        No-go areas that the row crosses: from, to along the run [mm], name.
    high_point : tuple of (float, float) or empty
        Place along the run and height of the high point where it lies under this row [mm].
    """

    row: Row
    profile: Profile
    stacks: tuple[Stack, ...]
    underside_mm: float
    top_mm: float
    pieces: tuple[tuple[float, float], ...]
    closed: tuple[tuple[float, float, str], ...]
    high_point: tuple[float, ...]

    @property
    def joints_mm(self) -> tuple[float, ...]:
        """Places along the run where two pieces of the bearer butt [mm]."""
        return tuple(end for _, end in self.pieces[:-1])


def sections(
    answer: Answer, run: str, floors: Mapping[str, Profile] | None = None
) -> tuple[Section, ...]:
    """Cut all rows of a run open, from the wall into the room.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    run : str
        Name of the run.
    floors : mapping of str to Profile, optional
        The floor along rows by their names, where it is known already.

    Returns
    -------
    tuple of Section
    """
    rows = [row for row in answer.layout.rows if row.run == run]
    known = floors if floors is not None else {row.name: profile(answer, row) for row in rows}
    return tuple(section(answer, row, known[row.name]) for row in rows)


def section(answer: Answer, row: Row, floor: Profile) -> Section:
    """Cut one row open along its middle, over a floor that is known."""
    lift = answer.datum.front_lift_mm * answer.layout.lift_share(row)
    underside = answer.datum.datum_mm + lift
    return Section(
        row=row,
        profile=floor,
        stacks=_stacks(answer, row),
        underside_mm=underside,
        top_mm=underside + answer.datum.bearer_mm,
        pieces=_pieces(answer, row),
        closed=_closed(answer, row),
        high_point=_high_point(answer, row),
    )


def profile(answer: Answer, row: Row) -> Profile:
    """Look at the floor along a row, over the whole length of its run."""
    end = run_length_mm(answer, row.run)
    x = np.linspace(0.0, end, max(2, round(end / PROFILE_STEP_MM) + 1))
    site_x, site_y = answer.layout.frames[row.run].to_site(x, np.full_like(x, row.y_mm))
    height, sd = answer.surface.predict(site_x, site_y)
    known = answer.surface.surveyed(site_x, site_y)
    return Profile(x, np.where(known, height, np.nan), np.where(known, sd, np.nan))


def run_length_mm(answer: Answer, run: str) -> float:
    """Return the length of a run, gaps included [mm]."""
    return next(r.length_mm for r in answer.job.runs if r.name == run)


def _stacks(answer: Answer, row: Row) -> tuple[Stack, ...]:
    packers = answer.job.stock.packers
    found = []
    for one, kinds in zip(records(answer.supports), answer.datum.plan.stacks, strict=True):
        if one["bearer"] != row.name:
            continue
        floor, x = float(one["floor_mm"]), float(one["own_x_mm"])
        thick = [packers[kind].thickness_mm for kind in kinds]
        bottoms = list(accumulate(thick, initial=floor))
        slabs = tuple(
            Slab(str(one["support"]), place, kind, x, bottoms[place - 1], thick[place - 1])
            for place, kind in enumerate(kinds, start=1)
        )
        found.append(
            Stack(str(one["support"]), x, floor, sum(thick), float(one["target_mm"]), slabs)
        )
    return tuple(sorted(found, key=lambda stack: stack.x_mm))


def _pieces(answer: Answer, row: Row) -> tuple[tuple[float, float], ...]:
    cuts = [one for one in records(answer.cuts.cuts) if one["bearer"] == row.name]
    return tuple(sorted((float(one["from_x_mm"]), float(one["to_x_mm"])) for one in cuts))


def _closed(answer: Answer, row: Row) -> tuple[tuple[float, float, str], ...]:
    """Return where no-go areas cross the strip of a row's packers, by their outermost corners."""
    half = answer.layout.packer_size_mm[1] / 2
    frame = answer.layout.frames[row.run]
    found = []
    for area in answer.job.no_go:
        (x, y), (dx, dy) = area.corner_mm, area.size_mm
        own_x, own_y = frame.to_own([x, x + dx, x + dx, x], [y, y, y + dy, y + dy])
        crosses = own_y.min() < row.y_mm + half and own_y.max() > row.y_mm - half
        start, end = max(float(own_x.min()), 0.0), float(own_x.max())
        end = min(end, run_length_mm(answer, row.run))
        if crosses and end > start:
            found.append((start, end, area.name))
    return tuple(found)


def _high_point(answer: Answer, row: Row) -> tuple[float, ...]:
    """Return the high point's place along a row and its height, empty where it lies elsewhere."""
    high, frame = answer.high_point, answer.layout.frames[row.run]
    x, y = (float(value) for value in frame.to_own(high.x_mm, high.y_mm))
    half = max(answer.layout.bearer_width_mm, answer.layout.packer_size_mm[1]) / 2
    inside = abs(y - row.y_mm) <= half + 1 and row.start_mm - 1 <= x <= row.end_mm + 1
    return (x, high.height_mm) if inside else ()
