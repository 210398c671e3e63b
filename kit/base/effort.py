"""How much a search may do, counted in steps of work and not by a clock.

A clock would end a search sooner on a loaded machine, and the same job would come out with other
cuts, stacks or words. Steps are the same everywhere: one is one unknown of a programme at one
node of its tree.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp

#: What an idle desktop machine does in a second, as a round number (measured on one of 2024).
STEPS_A_SECOND = 25_000

#: Nodes that every integer programme may have, whatever is left: the root, and what shows at once.
_LEAST_NODES = 1


@dataclass
class Effort:
    """Steps that are allowed, and those that are done.

    Parameters
    ----------
    most : float
        Steps allowed.
    done : float
        Steps done.
    """

    most: float
    done: float = 0.0

    @property
    def left(self) -> float:
        """Steps that may still be done."""
        return max(self.most - self.done, 0.0)

    @property
    def spent(self) -> bool:
        """Whether no step is left."""
        return self.done >= self.most

    def add(self, steps: float) -> None:
        """Count steps as done."""
        self.done += steps


@dataclass(frozen=True, eq=False)
class Solved:
    """What an integer programme came to.

    Parameters
    ----------
    amounts : (n,) array
        The best values found; empty where none were found.
    cost : float
        What they cost; infinite where none were found.
    bound : float
        No values cost less; infinite where there are none at all.
    proven : bool
        Whether the search came to its end.
    """

    amounts: NDArray[np.int64]
    cost: float
    bound: float
    proven: bool


def solve_programme(
    cost: NDArray[np.float64],
    constraints: Sequence[LinearConstraint],
    whole: NDArray[np.int64],
    bounds: Bounds,
    effort: Effort,
) -> Solved:
    """Solve an integer programme as far as the effort allows, and count what it took.

    Parameters
    ----------
    cost : (n,) array
        Of each unknown.
    constraints : sequence of LinearConstraint
        Rows.
    whole : (n,) array
        1 for unknowns that must be whole numbers.
    bounds : Bounds
        Of the unknowns.
    effort : Effort
        What may still be done; the programme's steps are added. The root of the tree is looked at
        even where nothing is left.

    Returns
    -------
    Solved
        The same for the same programme and effort, on every machine.
    """
    nodes = max(int(effort.left / len(cost)), _LEAST_NODES)
    found: Any = milp(
        cost,
        integrality=whole,
        bounds=bounds,
        constraints=constraints,
        options={"mip_rel_gap": 0.0, "node_limit": nodes},
    )
    effort.add(len(cost) * max(getattr(found, "mip_node_count", None) or 0, 1))
    nothing = np.zeros(0, dtype=np.int64)
    if found.status == 2:  # no solution
        return Solved(nothing, np.inf, np.inf, proven=True)
    proven = found.status == 0
    if not proven:  # what is left is less than a node takes
        effort.done = max(effort.done, effort.most)
    known = getattr(found, "mip_dual_bound", None)
    bound = -np.inf if known is None else float(known)
    if found.x is None:
        return Solved(nothing, np.inf, bound, proven)
    return Solved(np.rint(found.x).astype(np.int64), float(found.fun), bound, proven)
