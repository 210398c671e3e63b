"""From a scan's own coordinates to the boxes of the plan that they lie in."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.job import ScanFrame, refuse
from kit.job.model import LONGEST_MM
from kit.scan.cloud_parts import Array, Piece, Units, Whole, WholeCloud
from kit.scan.layers import PARTS_PER_MM

Long = NDArray[np.int64]

#: A place that is none, or too far away: all bits set, so that it stays negative beside others.
_NOWHERE = -1
_BITS = 63


@dataclass(frozen=True)
class Turning:
    """How a scan's own axes lie in the plan.

    Parameters
    ----------
    zero_mm : tuple of three float
        What is taken off its own x, y and z first [mm].
    flip : float
        -1 where its y is mirrored, else 1.
    cos, sin : float
        Of the direction of its x in the plan; exact for quarter turns.
    origin_mm : tuple of three float
        Place and height of its zero in the plan [mm].
    """

    zero_mm: tuple[float, float, float]
    flip: float
    cos: float
    sin: float
    origin_mm: tuple[float, float, float]

    def plan(self, piece: Piece) -> Piece:
        """Return places in the plan [mm] of own places [mm], point by point."""
        if self.square:
            x, y, z = (self.along(axis, piece[own]) for axis, own in enumerate(self.own_axes))
            return x, y, z
        u, v, z = (own - zero for own, zero in zip(piece, self.zero_mm, strict=True))
        v *= self.flip
        x0, y0, z0 = self.origin_mm
        x = x0 + (self.cos * u - self.sin * v)
        y = y0 + (self.sin * u + self.cos * v)
        return x, y, z0 + z

    def along(self, axis: int, own_mm: Array) -> Array:
        """Return coordinates along an axis of the plan [mm], where the turning is square.

        Parameters
        ----------
        axis : int
            Axis of the plan.
        own_mm : (n,) array
            Coordinates along the own axis that runs along it, as `own_axes` says [mm].
        """
        own = self.own_axes[axis]
        # The sign of this axis in the turning that `plan` writes out; the height's is 1.
        sign = ((self.cos, -self.sin), (self.sin, self.cos))[axis][own] if axis < 2 else 1.0
        sign *= self.flip if own == 1 else 1.0
        placed = own_mm - self.zero_mm[own]
        placed *= sign
        placed += self.origin_mm[axis]
        return placed

    @property
    def square(self) -> bool:
        """Whether each axis of the plan runs along one of the scan's own."""
        return self.cos == 0 or self.sin == 0

    @property
    def own_axes(self) -> tuple[int, int, int]:
        """Which own axis runs along x, y and z of the plan, where the turning is square."""
        return (0, 1, 2) if self.cos else (1, 0, 2)


def turning_of(frame: ScanFrame | None, unit_mm: Units) -> Turning:
    """Return how a scan lies in the plan.

    Parameters
    ----------
    frame : ScanFrame or None
        What the job says; without it the scan's axes are those of the plan.
    unit_mm : tuple of three float
        One unit of the scan along its axes [mm].
    """
    frame = frame or ScanFrame()
    zx, zy, zz = (own * unit for own, unit in zip(frame.own_zero, unit_mm, strict=True))
    quarters, rest = divmod(frame.x_towards_deg, 90)
    if rest:
        angle = math.radians(frame.x_towards_deg)
        cos, sin = math.cos(angle), math.sin(angle)
    else:
        cos, sin = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarters) % 4]
    flip = -1.0 if frame.mirrored else 1.0
    return Turning((zx, zy, zz), flip, cos, sin, (*frame.origin_mm, frame.height_mm))


@dataclass(frozen=True)
class Boxes:
    """How a box, and a height in it, are written as one whole number.

    From the highest bits on: iy, ix, iz, each from the lowest within reach on, and the parts of a
    millimetre above the bottom of the slab.

    Parameters
    ----------
    cell_mm, slab_mm : float
        Sides and height of a box [mm].

    Raises
    ------
    Refusal
        Where boxes are too small for the numbers, or a slab is no whole number of parts high.
    """

    cell_mm: float
    slab_mm: float

    def __post_init__(self) -> None:
        if not 0 < self.cell_mm <= LONGEST_MM or not math.isfinite(self.cell_mm):
            raise refuse("cell_mm", f"{self.cell_mm:g} mm", f"above 0, up to {LONGEST_MM:g} mm")
        parts = self.slab_mm * PARTS_PER_MM
        if not 1 <= parts <= 1e6 or parts != int(parts):
            found = f"{self.slab_mm:g} mm"
            raise refuse("slab_mm", found, f"a whole number of 1/{PARTS_PER_MM} mm, up to 900 mm")
        if 2 * self.plan_bits + self.slab_bits + self.part_bits > _BITS:
            found = f"cells of {self.cell_mm:g} mm"
            raise refuse("cell_mm", found, "5 mm or more; a scan does not tell finer ones apart")

    @property
    def parts(self) -> int:
        """Parts of a millimetre in a slab."""
        return int(self.slab_mm * PARTS_PER_MM)

    @property
    def lowest(self) -> tuple[int, int]:
        """The lowest cell along an axis, and the lowest slab, within reach."""
        return math.floor(-LONGEST_MM / self.cell_mm), math.floor(-LONGEST_MM / self.slab_mm)

    @property
    def plan_bits(self) -> int:
        """Bits that a cell takes along one axis."""
        return (-2 * self.lowest[0]).bit_length()

    @property
    def slab_bits(self) -> int:
        """Bits that a slab takes."""
        return (-2 * self.lowest[1]).bit_length()

    @property
    def part_bits(self) -> int:
        """Bits that the parts in a slab take."""
        return (self.parts - 1).bit_length()

    def share(self, axis: int, plan_mm: Array) -> Long:
        """Return the bits that coordinates along an axis of the plan [mm] give to boxes' numbers.

        Those that are no number or lie further off than a job reaches give a negative number.
        """
        near = np.abs(plan_mm) <= LONGEST_MM
        whole = self._height(plan_mm, near) if axis == 2 else self._cell(axis, plan_mm, near)
        if not near.all():
            whole[~near] = _NOWHERE
        return whole

    def _cell(self, axis: int, plan_mm: Array, near: NDArray[np.bool_]) -> Long:
        cell = _floor(plan_mm / self.cell_mm, near)
        cell -= self.lowest[0]
        cell <<= self.part_bits + self.slab_bits + axis * self.plan_bits
        return cell

    def _height(self, plan_mm: Array, near: NDArray[np.bool_]) -> Long:
        part = _floor(plan_mm * PARTS_PER_MM, near)
        part -= self.lowest[1] * self.parts
        if self.parts == 1 << self.part_bits:
            return part
        slab, rest = np.divmod(part, self.parts)
        return (slab << self.part_bits) | rest

    def split(self, keys: Long) -> tuple[Long, Long, Long]:
        """Return ix, iy, iz of boxes whose numbers are given without the parts."""
        slab = keys & ((1 << self.slab_bits) - 1)
        cell = keys >> self.slab_bits
        ix = cell & ((1 << self.plan_bits) - 1)
        return ix + self.lowest[0], (cell >> self.plan_bits) + self.lowest[0], slab + self.lowest[1]

    def of_places(self, piece: Piece, turning: Turning) -> Long:
        """Return the numbers of points whose own places [mm] are given; negative for none."""
        x, y, z = turning.plan(piece)
        total = self.share(0, x)
        total |= self.share(1, y)
        total |= self.share(2, z)
        return total

    def of_whole(
        self, piece: tuple[Whole, Whole, Whole], cloud: WholeCloud, turning: Turning
    ) -> Long:
        """Return the same for points whose coordinates are whole numbers, from short tables.

        Along each axis every whole number stands for one place: where there are fewer whole
        numbers than points it is worked out once for each number. The turning is square.
        """
        total = np.zeros(len(piece[0]), dtype=np.int64)
        for axis, own in enumerate(turning.own_axes):
            whole = piece[own]
            low, high = int(whole.min()), int(whole.max())
            if high - low < len(whole):
                every = np.arange(low, high + 1, dtype=np.int64)
                table = self.share(axis, turning.along(axis, cloud.place_mm(own, every)))
                total |= np.take(table, whole.astype(np.int64) - low)
            else:
                total |= self.share(axis, turning.along(axis, cloud.place_mm(own, whole)))
        return total


def _floor(values: Array, near: NDArray[np.bool_]) -> Long:
    low = np.floor(values)
    if not near.all():
        low[~near] = 0
    return low.astype(np.int64)
