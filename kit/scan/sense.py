"""Whether a scan's coordinates can be what they are said to be."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.job import Refusal, refuse
from kit.job.model import LONGEST_MM
from kit.scan.cloud_parts import Piece, Units

#: A whole scan within this square was booked in another unit [mm].
LEAST_EXTENT_MM = 100.0


@dataclass(frozen=True)
class Extent:
    """The lowest and highest of a scan's own coordinates, as far as it has been read.

    Parameters
    ----------
    low_mm, high_mm : (3,) arrays
        Along x, y and z [mm]; infinite where nothing has been read.
    """

    low_mm: NDArray[np.float64]
    high_mm: NDArray[np.float64]

    def with_piece(self, piece: Piece) -> Extent:
        """Return the extent with further points; those that are no numbers do not count."""
        finite = [values if np.isfinite(values.sum()) else _finite(values) for values in piece]
        if any(len(values) == 0 for values in finite):
            return self
        low = np.minimum(self.low_mm, [values.min() for values in finite])
        return Extent(low, np.maximum(self.high_mm, [values.max() for values in finite]))

    @property
    def span_mm(self) -> NDArray[np.float64]:
        """How far the scan reaches along x, y and z (3,) [mm]."""
        return self.high_mm - self.low_mm


NOTHING = Extent(np.full(3, np.inf), np.full(3, -np.inf))


def _finite(values: NDArray[np.float64]) -> NDArray[np.float64]:
    return values[np.isfinite(values)]


def check_sense(name: str, extent: Extent, unit_mm: Units, points: int, far: int) -> None:
    """Refuse a scan whose coordinates cannot be what they are taken for.

    Parameters
    ----------
    name : str
        What messages call the file.
    extent : Extent
        Of its points.
    unit_mm : tuple of three float
        What one unit was taken for [mm].
    points, far : int
        Points within reach of the plan, and points beyond it.

    Raises
    ------
    Refusal
        Where no coordinate is a number, all lie within 100 mm, or most lie beyond 200 m.
    """
    if points + far == 0:
        raise refuse(name, "no point whose x, y and z are numbers", "a scan with points")
    span = extent.span_mm
    if far > points:
        raise _far(name, extent, unit_mm)
    if 0 < max(span[:2]) < LEAST_EXTENT_MM:
        found = f"a whole scan within {span[0]:.3g} by {span[1]:.3g} mm"
        raise refuse(name, found, "coordinates in the unit that file_unit names: m, mm, in or ft")


def _far(name: str, extent: Extent, unit_mm: Units) -> Refusal:
    low, high = extent.low_mm / unit_mm, extent.high_mm / unit_mm
    axes = (
        f"{axis} from {a:.10g} to {b:.10g}" for axis, a, b in zip("xyz", low, high, strict=True)
    )
    unit = f"units of {unit_mm[0]:g} mm"
    found = (
        f"{', '.join(axes)} in {unit}, most of it more than {LONGEST_MM / 1000:g} m off the plan"
    )
    if max(extent.span_mm) > 2 * LONGEST_MM:
        allowed = 'a room; a file that counts in millimetres needs file_unit = "mm" in the job'
        raise refuse(name, found, allowed)
    middle = ", ".join(f"{np.floor((a + b) / 2):.0f}" for a, b in zip(low, high, strict=True))
    allowed = (
        "places near the plan; for a scan in a country's grid give a place near the room that is "
        f"taken off first, in the unit of the file: frame.own_zero = [{middle}]"
    )
    return refuse(name, found, allowed)
