"""Which readings are in doubt once the floor is known, and what that means for a refusal."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kit.floor import Surface
from kit.floor.odd_places import oddest_place
from kit.job import Problem
from kit.readings import Heights

#: Readings in doubt that a refusal names.
MOST_TOLD = 6


def odd_readings(heights: Heights, surface: Surface) -> Iterator[str]:
    """Yield a caution on the reading that the floor around it makes look odd."""
    place, times = oddest_place(surface)
    if not times:
        return
    point = heights.points["point"].iloc[_row_of(heights, surface, place)]
    rows = heights.residuals[heights.residuals["point"] == point]
    read = "once" if len(rows) == 1 else f"{len(rows)} times"
    side = "higher" if times > 0 else "lower"
    yield (
        f"Point {point} ({rows['survey'].iloc[0]} row {rows['row'].iloc[0]}, read {read}) lies far"
        f" {side} than the floor around it, {abs(times):.0f} times the typical difference: read it"
        " again before anything is built on it."
    )


def _row_of(heights: Heights, surface: Surface, place: int) -> int:
    """Return the row of the point that a reading of the surface is; some it may have left out."""
    points = heights.points[["x_mm", "y_mm", "height_mm"]].to_numpy(dtype=float)
    there = [surface.x_mm[place], surface.y_mm[place], surface.height_mm[place]]
    return int(np.argmin(np.abs(points - there).sum(axis=1)))


def in_doubt(heights: Heights) -> Iterator[Problem]:
    """Yield the readings in doubt: what cannot be built may be what was misread.

    Of many the first six: of 10,000 good readings ten look suspect by chance alone.
    """
    allowed = "it read again, or left out, before the base is changed for it"
    said = (*heights.odd, *heights.suspects)
    for one in said[:MOST_TOLD]:
        yield Problem("a reading in doubt", one.rstrip("."), allowed)
    if len(said) > MOST_TOLD:
        found = f"{len(said) - MOST_TOLD} more of them"
        yield Problem("readings in doubt", found, "the cautions on the readings name them")
