"""Packers in stock and the rules that a stack must keep to.

Lengths inside are whole numbers of 1e-12 mm (femtometres), so that sums of decimal
thicknesses compare exactly and no order of adding matters.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, isfinite

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.job.refusal import refuse

Ints = NDArray[np.int64]

#: Whole-number units in a millimetre.
UNITS_PER_MM = 10**12
#: How far beyond a closed limit still counts as on it: 1e-9 mm.
SLACK = 1000
#: Below every target: where step functions of the target begin.
BEFORE_ALL = -(2**61)


def to_units(length_mm: ArrayLike) -> Ints:
    """Return lengths [mm] as whole numbers of 1e-12 mm."""
    return np.rint(np.asarray(length_mm, dtype=np.float64) * UNITS_PER_MM).astype(np.int64)


def to_mm(units: Ints | int) -> NDArray[np.float64]:
    """Return whole numbers of 1e-12 mm as lengths [mm]."""
    return np.asarray(units, dtype=np.int64) / UNITS_PER_MM


def thickness_text(units: int) -> str:
    """Return a thickness as it was measured, in mm without the unit."""
    return f"{float(to_mm(units)):.6g}"


def height_text(units: int) -> str:
    """Return a height to the nearest 0.1 mm, in mm without the unit: nobody sets out finer."""
    return f"{round(float(to_mm(units)), 1) + 0.0:g}"


def at_least_text(units: int) -> str:
    """Return a length rounded up to 0.1 mm, so that what is asked for also suffices."""
    tenth = UNITS_PER_MM // 10
    return f"{ceil((units - 2 * SLACK) / tenth) / 10 + 0.0:g}"


@dataclass(frozen=True)
class PackerKind:
    """One kind of packer in stock.

    Parameters
    ----------
    thickness_mm : float
        Thickness as measured [mm]; this one counts.
    nominal_mm : float
        Thickness as sold [mm].
    count : int or None
        How many there are; None means as many as wanted.
    """

    thickness_mm: float
    nominal_mm: float
    count: int | None = None

    def __post_init__(self) -> None:
        if not (isfinite(self.thickness_mm) and self.thickness_mm > 0):
            raise refuse(
                "job.toml, stock.packers", f"a thickness of {self.thickness_mm} mm", "above 0 mm"
            )
        if self.count is not None and self.count < 0:
            raise refuse("job.toml, stock.packers", f"a count of {self.count}", "0 or more")


@dataclass(frozen=True)
class StackRules:
    """What a stack must keep to; all limits closed.

    Parameters
    ----------
    tolerance_mm : float
        Largest accepted difference of stack and target [mm].
    max_pieces : int
        Most packers in a stack.
    max_stack_mm : float
        Longest stack [mm].
    minimum_pack_mm : float
        Thinnest stack [mm].
    """

    tolerance_mm: float
    max_pieces: int
    max_stack_mm: float
    minimum_pack_mm: float

    def __post_init__(self) -> None:
        lengths = {
            "tolerance_mm": (self.tolerance_mm, self.tolerance_mm >= 0, "0 or more"),
            "max_stack_mm": (self.max_stack_mm, self.max_stack_mm > 0, "above 0"),
            "minimum_pack_mm": (self.minimum_pack_mm, self.minimum_pack_mm > 0, "above 0"),
        }
        for key, (value, fine, allowed) in lengths.items():
            if not (fine and isfinite(value)):
                raise refuse(f"job.toml, base.{key}", str(value), allowed)
        if self.max_pieces < 1:
            raise refuse("job.toml, base.max_pieces", str(self.max_pieces), "1 or more")

    @property
    def reach(self) -> int:
        """Tolerance with the round-off allowance [units]."""
        return int(to_units(self.tolerance_mm)) + SLACK

    @property
    def shortest(self) -> int:
        """Thinnest stack with the round-off allowance [units]."""
        return int(to_units(self.minimum_pack_mm)) - SLACK

    @property
    def longest(self) -> int:
        """Longest stack with the round-off allowance [units]."""
        return int(to_units(self.max_stack_mm)) + SLACK


def distinct_thicknesses(packers: Sequence[PackerKind]) -> tuple[int, ...]:
    """Return the distinct thicknesses that are in stock at all, thickest first [units]."""
    return tuple(sorted({int(to_units(p.thickness_mm)) for p in packers if p.count != 0})[::-1])


def pooled_stock(packers: Sequence[PackerKind]) -> dict[int, int | None]:
    """Return how many packers there are of each thickness, thickest first [units]; None: no limit.

    Kinds of equal thickness serve alike and are counted together.
    """
    pooled: dict[int, int | None] = {}
    for thickness in distinct_thicknesses(packers):
        counts = [p.count for p in packers if int(to_units(p.thickness_mm)) == thickness]
        known = [count for count in counts if count is not None]
        pooled[thickness] = sum(known) if len(known) == len(counts) else None
    return pooled
