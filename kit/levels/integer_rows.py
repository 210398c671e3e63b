"""Rows of an integer programme, gathered one by one, and its solution.

The solver's presolve is left out: with it, HiGHS as SciPy 1.17.1 brings it called a programme of
this room infeasible of which a solution was known (bays out of reach, flows not whole), and what
is told here as proven has to be.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from kit.base.effort import Effort, Solved
from kit.base.runs import Floats
from kit.base.stack_rules import Ints


@dataclass
class Rows:
    """Rows: low <= sum of value times unknown <= high; all unknowns are whole numbers from 0 on."""

    row: list[Ints] = field(default_factory=list)
    column: list[Ints] = field(default_factory=list)
    value: list[Floats] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)

    def add(self, parts: Sequence[tuple[Ints, float]], low: float, high: float) -> None:
        """Add one row of parts, each some unknowns with one value."""
        for columns, value in parts:
            self._part(columns, np.full(len(columns), value))
        self.low.append(low)
        self.high.append(high)

    def _part(self, columns: Ints, values: Floats) -> None:
        self.row.append(np.full(len(columns), len(self.low), dtype=np.int64))
        self.column.append(columns)
        self.value.append(values)

    def and_one(self, part: tuple[Ints, Floats], high: float) -> Rows:
        """Return these rows and one more that holds a sum at ``high`` or below."""
        more = Rows(
            list(self.row), list(self.column), list(self.value), list(self.low), list(self.high)
        )
        more._part(*part)
        more.low.append(-np.inf)
        more.high.append(high)
        return more

    def solve(self, aim: Floats, upper: Floats, effort: Effort) -> Solved:
        """Find the least of an aim.

        Parameters
        ----------
        aim, upper : (n,) arrays
            What each unknown costs, and what it is at most; those at most 0 are left out.
        effort : Effort
            What may still be done; what is done is added. The root is always looked at.

        Returns
        -------
        Solved
            The same for the same programme and effort, on every machine.
        """
        from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415
        from scipy.sparse import csr_array  # noqa: PLC0415

        live = np.flatnonzero(upper > 0)
        places = (np.concatenate(self.row), np.concatenate(self.column))
        shape = (len(self.low), len(aim))
        matrix = csr_array((np.concatenate(self.value), places), shape=shape)[:, live]
        low, high = np.array(self.low), np.array(self.high)
        filled = (np.diff(matrix.indptr) > 0) | (low > 0) | (high < 0)
        found: Any = milp(
            aim[live],
            integrality=np.ones(len(live), dtype=np.int64),
            bounds=Bounds(np.zeros(len(live)), upper[live]),
            constraints=[LinearConstraint(matrix[filled], low[filled], high[filled])],
            options={
                "mip_rel_gap": 0.0,
                "node_limit": max(int(effort.left / len(live)), 1),
                "presolve": False,
            },
        )
        effort.add(len(live) * max(getattr(found, "mip_node_count", None) or 0, 1))
        nothing = np.zeros(0, dtype=np.int64)
        if found.status == 2:
            return Solved(nothing, np.inf, np.inf, proven=True)
        proven = found.status == 0
        if not proven:  # what is left is less than a node takes
            effort.done = max(effort.done, effort.most)
        known = getattr(found, "mip_dual_bound", None)
        bound = -np.inf if known is None else float(known)
        if found.x is None:
            return Solved(nothing, np.inf, bound, proven)
        amounts = np.zeros(len(aim), dtype=np.int64)
        amounts[live] = np.rint(found.x)
        return Solved(amounts, float(found.fun), bound, proven)
