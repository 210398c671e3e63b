"""A floor cut open along a line that a person draws."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.flatness.along import (
    Ground,
    HasEnds,
    Place,
    Profile,
    heights_along,
    heights_at,
    on_cells,
)
from kit.flatness.by_level import joined, levels, step_lines
from kit.flatness.edge_map import EDGE_MM, WHOLE_MM
from kit.flatness.edge_sweep import TOUCH_MM, carried, gaps_along
from kit.flatness.f_numbers import LEVELNESS_STATIONS, STATION_MM
from kit.flatness.stichmass import (
    DISTANCES_M,
    FINISHED_FLOORS,
    limit_mm,
    steps_apart,
    stichmass_mm,
)
from kit.floor.stepped import levels_of
from kit.height_grid import Array, HeightGrid
from kit.job import refuse

EDGE_COLUMNS = ("at_mm", "x_mm", "y_mm", "departure_mm", "from_mm", "to_mm", "gap_at_mm")


@dataclass(frozen=True, eq=False)
class Section:
    """Heights along a line, and every figure of flatness that they allow.

    Parameters
    ----------
    from_mm, to_mm : tuple of float
        Ends of the line as drawn [mm].
    step_mm : float
        Step of the heights [mm].
    edge_mm : float
        Length of the straight edge laid along it [mm].
    profile : Profile
        Places and heights (n,) [mm]; nan over holes.
    steps : tuple of HasEnds
        Lines along which the floor steps, drawn out to both sides. Heights are shown across them;
        straight edge, q and z, and stichmass do not span them.
    """

    from_mm: Place
    to_mm: Place
    step_mm: float
    edge_mm: float
    profile: Profile = field(repr=False)
    steps: tuple[HasEnds, ...] = ()

    @cached_property
    def heights(self) -> pd.DataFrame:
        """``at_mm`` along the line, ``x_mm``, ``y_mm``, ``height_mm``; nan over holes."""
        return pd.DataFrame(self.profile._asdict())

    @cached_property
    def edge(self) -> pd.DataFrame:
        """The straight edge at every place where it fits with no hole below.

        ``at_mm``, ``x_mm``, ``y_mm`` of its middle, ``departure_mm``, its contacts ``from_mm`` and
        ``to_mm`` and the largest gap's place ``gap_at_mm`` along the line. No row where the
        step does not allow it: see `not_checked`.
        """
        steps = _edge_steps(self.edge_mm, self.step_mm)
        if not steps:
            return pd.DataFrame(columns=list(EDGE_COLUMNS), dtype=float)
        gaps = joined(list(gaps_along(self._by_level_mm, steps)))
        rows = [self._edge_row(int(k), steps) for k in np.flatnonzero(np.isfinite(gaps))]
        return pd.DataFrame(rows, columns=list(EDGE_COLUMNS), dtype=float)

    @cached_property
    def stations(self) -> pd.DataFrame:
        """Stations every 300 mm: ``at_mm``, ``height_mm``, ``q_mm``, ``z_mm`` (nan where none).

        q = h(i) - 2 h(i-1) + h(i-2) and z = h(i) - h(i-10) are booked at station i (ASTM E1155).
        No row where the step does not allow stations: see `not_checked`.
        """
        every = _station_steps(self.step_mm)
        which = slice(None, None, every) if every else slice(0, 0)
        at, shown = self.profile.at_mm[which], self.profile.height_mm[which]
        h = self._by_level_mm[:, which]
        q, z = np.full(h.shape, np.nan), np.full(h.shape, np.nan)
        q[:, 2:] = h[:, 2:] - 2 * h[:, 1:-1] + h[:, :-2]
        z[:, LEVELNESS_STATIONS:] = h[:, LEVELNESS_STATIONS:] - h[:, :-LEVELNESS_STATIONS]
        told = {"q_mm": joined(list(q)), "z_mm": joined(list(z))}
        return pd.DataFrame({"at_mm": at, "height_mm": shown} | told)

    def stichmass(
        self, line: int = FINISHED_FLOORS, distances_m: Sequence[float] = DISTANCES_M
    ) -> pd.DataFrame:
        """Return the worst stichmass at each measuring distance of DIN 18202 table 3.

        ``distance_m``, ``limit_mm``, ``positions``, ``worst_mm`` (positive = hump), ``at_mm`` of
        its middle, ``beyond`` (positions beyond the limit), ``state`` and ``why``.
        """
        return pd.DataFrame([self._stichmass_row(float(m), line) for m in distances_m])

    def worst(self, count: int = 3, apart_mm: float = 500.0) -> pd.DataFrame:
        """Return the rows of `edge` that depart most, their middles that far apart or more."""
        left = self.edge.sort_values("departure_mm", ascending=False, kind="stable")
        left = left[left["departure_mm"] > 0]
        kept: list[int] = []
        at = left["at_mm"].to_numpy()
        for row, place in enumerate(at):
            if len(kept) < count and all(abs(place - at[k]) >= apart_mm for k in kept):
                kept.append(row)
        return left.iloc[kept].reset_index(drop=True)

    @property
    def not_checked(self) -> tuple[str, ...]:
        """What the line does not tell, and why."""
        reasons = []
        if not _edge_steps(self.edge_mm, self.step_mm):
            reasons.append(
                f"straight edge: {self.edge_mm:g} mm is not two or more whole steps of"
                f" {self.step_mm:g} mm"
            )
        elif not len(self.edge):
            reasons.append(f"straight edge: nowhere {self.edge_mm:g} mm without a hole")
        if not _station_steps(self.step_mm):
            reasons.append(f"stations: {STATION_MM:g} mm is no whole number of steps")
        holes = int(np.count_nonzero(~np.isfinite(self.profile.height_mm)))
        if holes:
            where = "over holes or beside a step" if self._crossed else "over holes"
            reasons.append(f"{holes} of {len(self.profile.at_mm)} places lie {where}")
        if self._crossed:
            names = ", ".join(self._crossed)
            reasons.append(f"nothing is measured across step {names}")
        return tuple(reasons)

    @cached_property
    def _levels(self) -> NDArray[np.intp]:
        """The number of the level that each place lies on (n,)."""
        return levels_of(step_lines(self.steps), self.profile.x_mm, self.profile.y_mm)

    @property
    def _by_level_mm(self) -> Array:
        """Heights of each level that the line meets (levels, n) [mm], nan on all others."""
        of_levels = self._levels == np.unique(self._levels)[:, None]
        return np.where(of_levels, self.profile.height_mm, np.nan)

    @property
    def _crossed(self) -> list[str]:
        """Names of the steps that the line crosses: its first and last place differ by them."""
        ends = int(self._levels[0] ^ self._levels[-1])
        return [one.name for k, one in enumerate(step_lines(self.steps)) if ends >> k & 1]

    def _edge_row(self, first: int, steps: int) -> tuple[float, ...]:
        at, x, y, h = self.profile
        lie = carried(h[first : first + steps + 1])
        ends = [first, first + steps]
        middle = (float(each[ends].mean()) for each in (at, x, y))
        cells = (lie.left, lie.right, lie.gap_at)
        return (*middle, lie.gap_mm, *(float(at[first + k]) for k in cells))

    def _stichmass_row(self, distance_m: float, line: int) -> dict[str, object]:
        limit = limit_mm(distance_m, line)
        apart = steps_apart(distance_m, self.step_mm)
        bends = joined(list(stichmass_mm(self._by_level_mm, apart)))
        row: dict[str, object] = {"distance_m": distance_m, "limit_mm": limit}
        if not np.isfinite(bends).any():
            why = f"nowhere {distance_m:g} m with a height at both ends and the middle"
            why = why if apart else f"not twice a whole number of {self.step_mm:g} mm steps"
            nothing = {"positions": 0, "worst_mm": np.nan, "at_mm": np.nan, "beyond": 0}
            return row | nothing | {"state": "not checked", "why": why}
        worst = int(np.nanargmax(np.abs(bends)))
        beyond = int((np.abs(bends) > limit + TOUCH_MM).sum())
        return row | {
            "positions": int(np.isfinite(bends).sum()), "worst_mm": float(bends[worst]),
            "at_mm": float(self.profile.at_mm[worst + apart]), "beyond": beyond,
            "state": "not kept" if beyond else "kept", "why": "",
        }  # fmt: skip


def section(
    ground: Ground,
    from_mm: Place,
    to_mm: Place,
    step_mm: float,
    edge_mm: float = EDGE_MM,
    steps: Sequence[HasEnds] = (),
) -> Section:
    """Cut a floor open along any line.

    Parameters
    ----------
    ground : HeightGrid, Surface or callable
        The floor; a callable gives heights (m,) [mm] at places (m,), (m,), nan where there is none.
        Of a grid heights are bilinear between cells, nan over holes.
    from_mm, to_mm : tuple of float
        Ends of the line, x and y [mm].
    step_mm : float
        Step of the heights [mm]. What ends short of the line's end is left out.
    edge_mm : float
        Length of the straight edge [mm].
    steps : sequence of HasEnds
        Lines along which the floor steps, drawn out to both sides. Of a grid a height is told
        from cells of its own level; beside a step, where one of the other has a share, there is
        none.

    Returns
    -------
    Section
        Heights, straight edge, stations with q and z, stichmass and worst places along the line,
        and what it does not tell.

    Raises
    ------
    Refusal
        Where the line leaves the grid, is shorter than a step, or a length is not above 0.

    Notes
    -----
    A step finer than the grid's cells tells no more than the cells do.
    """
    if not (np.isfinite(edge_mm) and edge_mm > 0):
        raise refuse("straight edge", f"{edge_mm:g} mm", "more than 0 mm")
    profile = heights_along(ground, from_mm, to_mm, step_mm)
    if steps and isinstance(ground, HeightGrid):
        profile = _of_own_level(ground, profile, steps)
    return Section(from_mm, to_mm, float(step_mm), float(edge_mm), profile, tuple(steps))


def _of_own_level(grid: HeightGrid, profile: Profile, steps: Sequence[HasEnds]) -> Profile:
    """Return the profile with heights between cells of the level that each place lies on."""
    x, y = on_cells(grid.x_mm, profile.x_mm), on_cells(grid.y_mm, profile.y_mm)
    own = levels_of(step_lines(steps), x, y)
    heights = np.full(len(own), np.nan)
    for one in levels(grid, steps):
        here = own == one.number
        heights[here] = heights_at(one.grid, x[here], y[here])
    return Profile(profile.at_mm, x, y, heights)


def chord_gap_mm(at_mm: Array, heights_mm: Array, longest_mm: float) -> float:
    """Return the largest gap [mm] under a chord that rests on any two points not too far apart.

    This is not the straight edge of `section`: the chord is as long as its two points lie apart,
    up to a length, and clears all between them.

    Parameters
    ----------
    at_mm, heights_mm : (n,) array
        Places along a line, rising, and heights there [mm].
    longest_mm : float
        How far apart the two points lie at most [mm].
    """
    largest = 0.0
    for i in range(len(at_mm) - 2):
        for j in range(i + 2, len(at_mm)):
            if at_mm[j] - at_mm[i] > longest_mm + WHOLE_MM:
                break
            chord = np.interp(at_mm[i + 1 : j], at_mm[[i, j]], heights_mm[[i, j]])
            below = chord - heights_mm[i + 1 : j]
            if np.all(below >= -TOUCH_MM):
                largest = max(largest, float(below.max()))
    return largest


def _edge_steps(edge_mm: float, step_mm: float) -> int:
    """Return the edge's length in steps; 0 where it is no whole number of two or more."""
    steps = round(edge_mm / step_mm)
    return steps if steps >= 2 and abs(steps * step_mm - edge_mm) <= WHOLE_MM else 0


def _station_steps(step_mm: float) -> int:
    """Return how many steps a station is; 0 where it is no whole number."""
    every = round(STATION_MM / step_mm)
    return every if every and abs(every * step_mm - STATION_MM) <= WHOLE_MM else 0
