"""Where names go so that they do not lie on each other."""

from __future__ import annotations

from collections.abc import Sequence

#: Distance kept between two names [px].
APART_PX = 3.0


def lanes(middles_px: Sequence[float], widths_px: Sequence[float]) -> list[int]:
    """Return for each name the first lane, 0 nearest, in which it is free of the names before.

    Parameters
    ----------
    middles_px : sequence of float
        Middle of each name, ascending [px].
    widths_px : sequence of float
        Width of each name [px].

    Returns
    -------
    list of int
        One lane a name.
    """
    ends: list[float] = []
    found = []
    for middle, width in zip(middles_px, widths_px, strict=True):
        start = middle - width / 2
        lane = next((n for n, end in enumerate(ends) if start >= end + APART_PX), len(ends))
        end = middle + width / 2
        ends[lane : lane + 1] = [end]
        found.append(lane)
    return found
