"""Bands of the joists' sag: where each begins, its tone, and what it means."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from kit.base.runs import Floats
from kit.ink.lengths import Units, small
from kit.job.units import MM_PER_INCH
from kit.show.board.map_levels import STEPS
from kit.strength.joists import JoistWork

#: From no sag over half of it to the most: a reddish brown, unlike the map of the floor, and darker
#: all the way, so that it reads in grey.
LIGHT_TO_DARK = ("#fdeee6", "#cc8a6e", "#4a1a12")

#: Bands at most: more tones of one colour are not told apart.
MOST_BANDS = 5

#: A rise less than this is not spoken of [mm].
_RISE_MM = 0.005


@dataclass(frozen=True)
class SagBands:
    """Bands of sag, each with a tone.

    Parameters
    ----------
    most_mm : float
        The greatest final sag of a joist [mm].
    step : float
        Of one band, in ``units``.
    count : int
        How many there are.
    units : {"mm", "in"}
        The job's units.
    rises : bool
        Whether a joist somewhere rises, as it may beside a loaded span.
    """

    most_mm: float
    step: float
    count: int
    units: Units
    rises: bool

    @property
    def tones(self) -> tuple[str, ...]:
        """A colour for each band, the darker the deeper."""
        last = max(self.count - 1, 1)
        return tuple(_tone(number / last) for number in range(self.count))

    @property
    def texts(self) -> tuple[str, ...]:
        """What each band means, from the lightest to the darkest, without the unit."""
        digits = max(0, -math.floor(math.log10(self.step) + 1e-9))
        inner = [f"{self.step * n:.{digits}f}" for n in range(1, self.count)]
        ends = ["0", *inner, small(self.most_mm, self.units)]
        first, *others = [f"{low} to {high}" for low, high in pairwise(ends)]
        return (f"rise, or {first}" if self.rises else first, *others)

    def number_of(self, sag_mm: Floats) -> np.ndarray[tuple[int], np.dtype[np.intp]]:
        """Return the number of each sag's band [mm], from 0; a rise is in the first."""
        unit = MM_PER_INCH if self.units == "in" else 1.0
        # The deepest place lies on the last band's far edge.
        found = np.floor(sag_mm / unit / self.step).astype(np.intp)
        return np.clip(found, 0, self.count - 1)


def sag_bands(work: JoistWork, units: Units) -> SagBands:
    """Choose the bands: the same whatever part of the joists is shown.

    Parameters
    ----------
    work : JoistWork
    units : {"mm", "in"}
        The job's units.

    Returns
    -------
    SagBands
    """
    computed = [joist for joist in work.joists if joist.computed]
    most = max((joist.greatest_final_mm for joist in computed), default=0.0)
    in_units = most / (MM_PER_INCH if units == "in" else 1.0)
    step = next((s for s in STEPS if _count(in_units, s) <= MOST_BANDS), STEPS[-1])
    places = np.linspace(work.beam.start_mm, work.beam.end_mm, 121)
    # Only a joist over three bearings or more rises.
    several = computed if len(work.given.bearing_mm) > 2 else []
    least = min((float(work.sag_final_mm(one, places).min()) for one in several), default=0.0)
    return SagBands(most, step, _count(in_units, step), units, least < -_RISE_MM)


def _count(most: float, step: float) -> int:
    return max(1, math.ceil(most / step - 1e-9))


def _tone(share: float) -> str:
    parts = [
        np.interp(share, (0.0, 0.5, 1.0), [int(one[at : at + 2], 16) for one in LIGHT_TO_DARK])
        for at in (1, 3, 5)
    ]
    return "#" + "".join(f"{round(float(part)):02x}" for part in parts)
