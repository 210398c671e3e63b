"""Which readings are in doubt once the floor is known, and what that means for a refusal."""

from __future__ import annotations

from collections.abc import Iterator

from kit.floor import Surface
from kit.floor.odd_places import oddest_place
from kit.job import Problem
from kit.readings import Heights


def odd_readings(heights: Heights, surface: Surface) -> Iterator[str]:
    """Yield a caution on the reading that the floor around it makes look odd."""
    place, times = oddest_place(surface)
    if not times:
        return
    point = heights.points["point"].iloc[place]
    rows = heights.residuals[heights.residuals["point"] == point]
    read = "once" if len(rows) == 1 else f"{len(rows)} times"
    side = "higher" if times > 0 else "lower"
    yield (
        f"Point {point} ({rows['survey'].iloc[0]} row {rows['row'].iloc[0]}, read {read}) lies far"
        f" {side} than the floor around it, {abs(times):.0f} times the typical difference: read it"
        " again before anything is built on it."
    )


def in_doubt(heights: Heights) -> Iterator[Problem]:
    """Yield the readings in doubt: what cannot be built may be what was misread."""
    for said in (*heights.suspects, *heights.odd):
        allowed = "it read again, or left out, before the base is changed for it"
        yield Problem("a reading in doubt", said.rstrip("."), allowed)
