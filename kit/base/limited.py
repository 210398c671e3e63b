"""The same optimum with a limited stock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from kit.base.sums import StackRules
from kit.base.sweep import Level
from kit.job.refusal import refuse


@dataclass(frozen=True)
class Found:
    """A datum and the stacks on it.

    Parameters
    ----------
    datum : int
        The datum [units].
    lists : tuple of tuple of int
        Thicknesses of each stack in site order, thickest first [units].
    unproven : str
        Which step of the optimum is not proven; empty when all are.
    gap_pieces : int
        Packers by which the true optimum may be lower.
    feasible : tuple of (int, int)
        Feasible intervals of the datum [units]; empty: those of an unlimited stock.
    feasible_ignores_stock : bool
        Whether the intervals are those of an unlimited stock although the stock limits.
    binding_low, binding_high : str
        What stops the outer ends; empty: as for an unlimited stock.
    """

    datum: int
    lists: tuple[tuple[int, ...], ...]
    unproven: str = ""
    gap_pieces: int = 0
    feasible: tuple[tuple[int, int], ...] = ()
    feasible_ignores_stock: bool = False
    binding_low: str = ""
    binding_high: str = ""


def solve_limited(
    level: Level, stock: Mapping[int, int | None], rules: StackRules, seconds: float
) -> Found:
    raise refuse("stock", "a limited stock that does not suffice for the unlimited optimum", "more")
