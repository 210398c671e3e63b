"""The floor under the bench as it was read: six readings, and the survey made of them."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pandas as pd

from kit.floor import fit_plane, fit_plane_robust, fit_surface
from kit.parts import Survey
from kit.practice.draws import Floats
from kit.practice.floors import PracticeFloor
from kit.practice.instruments import STAFF_MM, to_step
from kit.practice.moves import Place
from kit.readings import Heights, Readings, Table, adjust

#: Where the bench begins [mm].
LEFT_MM = 300.0

#: Read behind and in front, under both sides and the division [mm].
_READ_Y_MM, _READ_ALONG = (30.0, 430.0), 3


def read_off(floor: PracticeFloor, length_mm: float) -> tuple[tuple[Place, float], ...]:
    """Return where the floor was read, and its heights there against the highest [mm]."""
    x, y = _places(length_mm)
    read = _read_mm(floor, length_mm)
    return tuple(
        ((float(a), float(b)), float(high))
        for a, b, high in zip(x, y, read - read.max(), strict=True)
    )


def survey_of(floor: PracticeFloor, length_mm: float) -> Survey:
    """Return the survey of the floor under a bench of such a length [mm].

    Of heights that are read directly, one a place, what was read decides nothing but the heights:
    places and doubts are those of a level floor.
    """
    heights, read = _of_a_level_floor(length_mm), _read_mm(floor, length_mm)
    z = read - read.max()
    heights = replace(heights, points=heights.points.assign(height_mm=z))
    x, y = (heights.points[name].to_numpy(dtype=float) for name in ("x_mm", "y_mm"))
    surface = fit_surface(x, y, z, heights.covariance())
    return Survey(heights, fit_plane(x, y, z), fit_plane_robust(x, y, z), surface)


@cache
def _of_a_level_floor(length_mm: float) -> Heights:
    return adjusted(length_mm, np.zeros(2 * _READ_ALONG))


def adjusted(length_mm: float, read_mm: Floats) -> Heights:
    """Return the heights of readings [mm] at the places under a bench of such a length [mm]."""
    x, y = _places(length_mm)
    readings = pd.DataFrame(
        {
            "row": np.arange(2, len(x) + 2),
            "point": [f"P{place + 1}" for place in range(len(x))],
            "x_mm": x,
            "y_mm": y,
            "observed_mm": read_mm,
            "sd_mm": STAFF_MM,
            "setup": "",
        }
    )
    table = Table("readings.csv", "heights", "", readings, pd.DataFrame(index=readings.index))
    return adjust(Readings((table,)), None, 0.0)


def _places(length_mm: float) -> tuple[Floats, Floats]:
    along = np.round(LEFT_MM + np.linspace(0.0, length_mm, _READ_ALONG))
    x, y = np.meshgrid(along, np.array(_READ_Y_MM))
    return x.ravel(), y.ravel()


def _read_mm(floor: PracticeFloor, length_mm: float) -> Floats:
    heights = floor.carried_mm(*_places(length_mm))
    return np.array([to_step(float(high), STAFF_MM) for high in heights])
