"""Readings that the floor around them makes look odd."""

from __future__ import annotations

import numpy as np

from kit.floor.surface import Surface

#: A reading is odd where it misses what the others predict by this many times the typical miss
#: (common practice, no source). Of normal errors one in a hundred thousand does; bumps do more.
ODD = 6.0

#: Fewer readings have no typical miss.
LEAST_READINGS = 8


def oddest_place(surface: Surface) -> tuple[int, float]:
    """Return the reading that lies farthest off what the others predict, if it is odd.

    A slip in a place that is read once contradicts no other reading; it shows only in the floor.

    Parameters
    ----------
    surface : Surface
        The floor between the readings.

    Returns
    -------
    int, float
        Number of the reading, and how many times the typical miss it misses by, positive where
        it is the higher one. 0 times where no reading is odd, where there are fewer than 8, or so
        many that only a sample is left out.

    Notes
    -----
    Each reading's standardised error e when predicted from the others, over their robust spread
    1.4826·median|e| (Hampel 1974, from memory): a single wild reading swells the fitted
    unevenness, and with it the sd of every error, but hardly the median. Only the oddest is
    named: what lies beside it is predicted from it, and looks odd too.
    """
    error = surface.left_out()
    if len(error) != len(surface.x_mm) or len(error) < LEAST_READINGS:
        return 0, 0.0
    typical = 1.4826 * float(np.median(abs(error)))
    farthest = int(np.argmax(abs(error)))
    if not abs(error[farthest]) > ODD * typical > 0:
        return 0, 0.0
    return farthest, float(error[farthest] / typical)
