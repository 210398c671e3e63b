"""One stack for each support out of a common stock: the integer programme and its relaxation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, linprog
from scipy.sparse import csr_array

from kit.base.effort import Effort, solve_programme
from kit.base.stack_rules import Ints

Floats = NDArray[np.float64]

#: Cost of a packer beyond the stock in the relaxation, against costs of about 1 to 10,000.
_BEYOND_STOCK = 1e7
#: Errors cost thousandths of a millimetre, so that the solver's tolerances are 1e-9 mm.
COST_PER_UNIT = 1e-9


@dataclass(frozen=True, eq=False)
class Menu:
    """What one support may choose from.

    Parameters
    ----------
    stacks : (m,) array
        Indices of the stacks.
    cost : (m,) array
        Cost of each.
    use : (m, r) array
        What each takes of the r common capacities.
    """

    stacks: Ints
    cost: Floats
    use: Floats


@dataclass(frozen=True, eq=False)
class Programme:
    """Menus of all supports, those that are alike taken together.

    Parameters
    ----------
    menus : tuple of Menu
        One for each group.
    members : tuple of tuple of int
        Supports of each group.
    capacity : (r,) array
        Common capacities.
    shift : float
        What the supports' least costs come to; menus hold the excess.
    """

    menus: tuple[Menu, ...]
    members: tuple[tuple[int, ...], ...]
    capacity: Floats
    shift: float

    @property
    def cost(self) -> Floats:
        """Costs of all columns."""
        return np.concatenate([menu.cost for menu in self.menus])

    @property
    def use(self) -> Floats:
        """Use of the capacities, (columns, r)."""
        return np.concatenate([menu.use for menu in self.menus])

    @property
    def size(self) -> Floats:
        """Supports in each group."""
        return np.array([float(len(group)) for group in self.members])

    @property
    def picks(self) -> csr_array:
        """One row a group: its columns add up to its supports."""
        lengths = [len(menu.stacks) for menu in self.menus]
        columns = int(np.sum(lengths))
        rows = np.repeat(np.arange(len(lengths)), lengths)
        return csr_array(
            (np.ones(columns), (rows, np.arange(columns))), shape=(len(lengths), columns)
        )


@dataclass(frozen=True, eq=False)
class Outcome:
    """What the integer programme came to.

    Parameters
    ----------
    bound : float
        No choice costs less; infinite where there is none at all.
    chosen : tuple of int
        Stack of each support; empty where none was found.
    """

    bound: float
    chosen: tuple[int, ...]


def programme(menus: Sequence[Menu], capacity: Floats) -> Programme:
    """Group supports whose menus are alike but for a constant cost.

    Parameters
    ----------
    menus : sequence of Menu
        One for each support, in site order; none empty.
    capacity : (r,) array
        Common capacities.

    Returns
    -------
    Programme
        The same problem with one menu a group.
    """
    groups: dict[tuple[bytes, bytes, bytes], list[int]] = {}
    shift, kept = 0.0, []
    for support, menu in enumerate(menus):
        least = float(menu.cost.min())
        excess = np.round(menu.cost - least, 9)
        shift += least
        kept.append(Menu(menu.stacks, excess, menu.use))
        alike = (menu.stacks.tobytes(), excess.tobytes(), menu.use.tobytes())
        groups.setdefault(alike, []).append(support)
    members = tuple(tuple(group) for group in groups.values())
    return Programme(tuple(kept[group[0]] for group in members), members, capacity, shift)


def relaxed_prices(problem: Programme) -> tuple[float, Floats]:
    """Solve the relaxation and return its value and the prices of the capacities.

    Parameters
    ----------
    problem : Programme
        The problem; more than the capacity may be used at a very high cost.

    Returns
    -------
    value : float
        Least cost with fractions allowed.
    prices : (r,) array
        What one more of each capacity would save, 0 or more.
    """
    columns, rows = problem.use.shape
    picks = problem.picks
    shape = (len(problem.menus), columns + rows)
    found = linprog(
        np.append(problem.cost, np.full(rows, _BEYOND_STOCK)),
        A_ub=np.hstack([problem.use.T, -np.eye(rows)]),
        b_ub=problem.capacity,
        # scipy takes a sparse matrix here, which its published types leave out.
        A_eq=cast(Floats, csr_array((picks.data, picks.indices, picks.indptr), shape=shape)),
        b_eq=problem.size,
        method="highs",
    )
    prices = np.maximum(-np.asarray(found.ineqlin.marginals, np.float64), 0.0)
    value = float("inf") if found.fun is None else float(found.fun)
    return value + problem.shift, prices


def solve_whole(problem: Programme, effort: Effort) -> Outcome:
    """Solve the integer programme.

    Parameters
    ----------
    problem : Programme
        The problem.
    effort : Effort
        What may still be done.

    Returns
    -------
    Outcome
        Proven bound and the best choice found.
    """
    columns = len(problem.cost)
    found = solve_programme(
        problem.cost,
        [
            LinearConstraint(problem.picks, problem.size, problem.size),
            LinearConstraint(problem.use.T, -np.inf, problem.capacity),
        ],
        np.ones(columns, dtype=np.int64),
        Bounds(0.0, np.inf),
        effort,
    )
    # Costs are 0 or more.
    bound = problem.shift + (found.cost if found.proven else max(found.bound, 0.0))
    if not len(found.amounts):
        return Outcome(bound, ())
    return Outcome(bound, _shared_out(problem, found.amounts))


def _shared_out(problem: Programme, amounts: Ints) -> tuple[int, ...]:
    chosen = [0] * int(problem.size.sum())
    column = 0
    for menu, group in zip(problem.menus, problem.members, strict=True):
        times = amounts[column : column + len(menu.stacks)]
        for support, stack in zip(group, np.repeat(menu.stacks, times).tolist(), strict=True):
            chosen[support] = stack
        column += len(menu.stacks)
    return tuple(chosen)
