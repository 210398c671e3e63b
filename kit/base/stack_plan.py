"""The answer for one level zone: a datum, its stacks, and how far it is proven."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, eq=False)
class StackPlan:
    """One datum and one stack for each support.

    Parameters
    ----------
    datum_mm : float
        The datum [mm].
    stacks : tuple of tuple of int
        For each support in site order: indices into the packers, from the floor up.
    error_mm : (n,) array
        Stack less target, positive = high [mm].
    feasible : tuple of (float, float)
        All closed intervals of the datum in which every support has a stack [mm].
    binding_low, binding_high : str
        What stops the outer ends of those: "window", "stock", or rule and support ("longest
        stack at B3").
    proven : bool
        Whether all four steps of the optimum are proven.
    gap_pieces : int
        Packers by which the true optimum may be lower; 0 when that is proven.
    feasible_ignores_stock : bool
        Whether ``feasible`` may hold datums between its outer ends that the stock does not
        suffice for, because to look at all of them takes too long (or because the best plan is
        within the stock and it was not asked at which other datums it is).
    unproven : str
        Which step the search was cut short on: "fewest packers", "least error", "lowest datum"
        or "thickest lists"; empty when all are proven.
    """

    datum_mm: float
    stacks: tuple[tuple[int, ...], ...]
    error_mm: NDArray[np.float64] = field(repr=False)
    feasible: tuple[tuple[float, float], ...]
    binding_low: str
    binding_high: str
    proven: bool = True
    gap_pieces: int = 0
    feasible_ignores_stock: bool = False
    unproven: str = ""

    @property
    def pieces(self) -> int:
        """Packers in all stacks together."""
        return sum(len(stack) for stack in self.stacks)

    @property
    def worst_error_mm(self) -> float:
        """Largest absolute error of a stack [mm]."""
        return float(np.abs(self.error_mm).max())

    @property
    def total_error_mm(self) -> float:
        """Sum of the absolute errors of all stacks [mm]."""
        return float(np.abs(self.error_mm).sum())

    @property
    def caution(self) -> str:
        """What is not proven, as a sentence; empty when all is."""
        if not self.unproven:
            return ""
        number = "1 packer" if self.gap_pieces == 1 else f"{self.gap_pieces} packers"
        return (
            "The search was cut short before the stacks were proven best: "
            + {
                "fewest packers": f"up to {number} fewer may be possible.",
                "least error": (
                    "no plan has fewer packers, but one with as many may keep closer to the"
                    " heights."
                ),
                "lowest datum": (
                    "no plan has fewer packers or smaller errors, but one just as good may set the"
                    " base lower."
                ),
                "thickest lists": (
                    "no plan is better in packers, errors or height, but one just as good may have"
                    " thicker packers in the first stacks."
                ),
            }[self.unproven]
        )

    @property
    def feasible_note(self) -> str:
        """What the heights in ``feasible`` leave out, as a sentence; empty when nothing."""
        if not self.feasible_ignores_stock:
            return ""
        return "The heights listed as possible do not take the counts in stock into account."


def without_stacks(
    datum_mm: float,
    supports: int,
    feasible: Sequence[tuple[float, float]],
    binding_low: str = "window",
    binding_high: str = "window",
) -> StackPlan:
    """Return a level that is not made of packers: no stack, no error known in advance.

    Parameters
    ----------
    datum_mm : float
        The level [mm].
    supports : int
        How many supports there are.
    feasible : sequence of (float, float)
        All closed intervals in which the level may lie [mm].
    binding_low, binding_high : str
        What stops the outer ends of those; "window" where the window does.
    """
    return StackPlan(
        datum_mm,
        ((),) * supports,
        np.zeros(supports),
        tuple(feasible),
        binding_low,
        binding_high,
    )
