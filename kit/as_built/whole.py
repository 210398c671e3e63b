"""The finished base as a whole: how it falls, how flat it is, its front against its back."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from kit.as_built.tops import Tops
from kit.base.layout import Layout
from kit.base.runs import Floats
from kit.floor import Plane, fit_plane
from kit.job import Refusal
from kit.strength.unit_checks import LEAN_MM_PER_M


@dataclass(frozen=True, eq=False)
class Whole:
    """What the tops say of the base as a whole; the planned front lift is taken off.

    Parameters
    ----------
    plane : Plane or Refusal
        Of least squares through all tops, equal weights; or why there is none.
    falls : DataFrame
        Of each run, in its own frame, from the plane through its own tops: run, along_mm_per_m
        (positive = rises to the right), along_sd_mm_per_m, across_mm_per_m (positive = rises into
        the room), across_sd_mm_per_m.
    unplaned : tuple of str
        Runs whose tops make no plane, and of which no fall is told.
    departures : DataFrame
        Greatest departure of a top from that plane, first row, and from the straight line of
        least squares of each row that three points or more lie on: against (``plane``, or the
        row's name), point, departure_mm (positive = high), sd_mm, points.
    front_to_back : DataFrame
        At each support of a row in front of the back row: run, support, own_x_mm, back_mm,
        front_mm, difference_mm (front less back), sd_mm, apart_mm, mm_per_m; nan where the back
        row is not known there.
    """

    plane: Plane | Refusal = field(repr=False)
    falls: pd.DataFrame
    unplaned: tuple[str, ...]
    departures: pd.DataFrame
    front_to_back: pd.DataFrame

    @property
    def has_plane(self) -> bool:
        """Whether a plane goes through the tops."""
        return isinstance(self.plane, Plane)

    @property
    def steepest_mm_per_m(self) -> float:
        """Fall of the plane [mm/m]; nan without one."""
        return self.plane.fall_mm_per_m if isinstance(self.plane, Plane) else math.nan

    @property
    def limit_mm_per_m(self) -> float:
        """How steep a unit may stand [mm/m] (common practice, no source)."""
        return LEAN_MM_PER_M


def look_at_whole(tops: Tops, layout: Layout) -> Whole:
    """Work out the fall of a finished base, its flatness, and its front against its back.

    Parameters
    ----------
    tops : Tops
        Where it was read.
    layout : Layout
        Its rows and supports in plan.

    Returns
    -------
    Whole

    Notes
    -----
    All figures are linear in the heights read, z: f = A z, so that their variance is A C Aᵀ with
    C the covariance of the heights (1).
    """
    sound = np.flatnonzero(tops.sound)
    x, y = (places[sound] for places in _places(tops))
    plane = _plane(x, y, tops.top_mm[sound])
    falls = pd.DataFrame(list(_falls(tops, layout)), columns=_FALLS)
    rows = list(_lines(tops, layout))
    if isinstance(plane, Plane):
        rows.insert(0, ("plane", *_greatest(tops, _design(x, y), sound)))
    columns = ["against", "point", "departure_mm", "sd_mm", "points"]
    across = pd.DataFrame(list(_front_to_back(tops, layout)), columns=_FRONT_TO_BACK)
    unplaned = tuple(run for run in layout.frames if run not in set(falls["run"]))
    return Whole(plane, falls, unplaned, pd.DataFrame(rows, columns=columns), across)


def _places(tops: Tops) -> tuple[Floats, Floats]:
    x, y = (tops.points[c].to_numpy(dtype=float) for c in ("x_mm", "y_mm"))
    return x, y


def _plane(x: Floats, y: Floats, top_mm: Floats) -> Plane | Refusal:
    try:
        return fit_plane(x, y, top_mm)
    except Refusal as refusal:
        return refusal


def _design(x: Floats, y: Floats) -> Floats:
    return np.column_stack([np.ones_like(x), x - x.mean(), y - y.mean()])


_FALLS = [
    "run", "along_mm_per_m", "along_sd_mm_per_m", "across_mm_per_m", "across_sd_mm_per_m",
]  # fmt: skip
_FRONT_TO_BACK = [
    "run", "support", "own_x_mm", "back_mm", "front_mm", "difference_mm", "sd_mm", "apart_mm",
    "mm_per_m",
]  # fmt: skip


def _falls(tops: Tops, layout: Layout) -> Iterator[tuple[str, float, float, float, float]]:
    whole_x, whole_y = _places(tops)
    for run, frame in layout.frames.items():
        here = np.flatnonzero((tops.points["run"] == run).to_numpy() & tops.sound)
        x, y, top = whole_x[here], whole_y[here], tops.top_mm[here]
        if isinstance(_plane(x, y, top), Refusal):
            continue
        slopes = 1000 * np.linalg.pinv(_design(x, y))[1:]
        covariance = tops.covariance[np.ix_(here, here)]
        origin = np.array(frame.to_site(0.0, 0.0), dtype=float)
        ahead = [np.array(frame.to_site(*one), dtype=float) - origin for one in ((1, 0), (0, 1))]
        (along, along_sd), (across, across_sd) = (
            (float(w @ top), _sd(w, covariance))
            for w in (direction @ slopes for direction in ahead)
        )
        yield run, along, along_sd, across, across_sd


def _sd(weights: Floats, covariance: Floats) -> float:
    """Return the standard deviation of a weighted sum of heights; Eq. (1) of `look_at_whole`."""
    return math.sqrt(max(float(weights @ covariance @ weights), 0.0))


def _greatest(tops: Tops, design: Floats, rows: np.ndarray) -> tuple[str, float, float, int]:
    """Return the greatest departure from a fit: point, departure, its sd, points."""
    left = np.eye(len(rows)) - design @ np.linalg.pinv(design)
    departures = left @ tops.top_mm[rows]
    worst = int(np.argmax(np.abs(departures)))
    sd = _sd(left[worst], tops.covariance[np.ix_(rows, rows)])
    return str(tops.points["point"].iloc[rows[worst]]), float(departures[worst]), sd, len(rows)


def _lines(tops: Tops, layout: Layout) -> Iterator[tuple[str, str, float, float, int]]:
    for row in layout.rows:
        here = np.flatnonzero((tops.points["bearer"] == row.name).to_numpy() & tops.sound)
        x = tops.points["own_x_mm"].to_numpy(dtype=float)[here]
        if len(here) >= 3 and np.ptp(x) > tops.reach_mm:
            design = np.column_stack([np.ones_like(x), x - x.mean()])
            yield (row.name, *_greatest(tops, design, here))


def _front_to_back(
    tops: Tops, layout: Layout
) -> Iterator[tuple[str, str, float, float, float, float, float, float, float]]:
    backs = [row for row in layout.rows if row.label == "B"]
    for row in layout.rows:
        if row in backs:
            continue
        of_row = layout.on_bearer(row.name)
        for support, x in zip(of_row["support"], of_row["own_x_mm"], strict=True):
            # Of a back row that a movement joint parts, the part that stands there.
            back = next(one for one in backs if one.run == row.run and one.bears(float(x)))
            front, _ = tops.at_support(str(support), row.name, float(x))
            behind = tops.at(back.name, float(x))
            if not front:
                continue
            weights = tops.matrix([front])[0] - tops.matrix([behind])[0]
            known = bool(behind)
            difference = float(weights @ tops.top_mm) if known else math.nan
            apart = row.y_mm - back.y_mm
            yield (
                row.run, str(support), float(x), tops.value_mm(behind), tops.value_mm(front),
                difference, _sd(weights, tops.covariance) if known else math.nan, apart,
                1000 * difference / apart,
            )  # fmt: skip
