"""The least grinding and filling that brings a floor within a limit: a linear programme."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csr_array, hstack
from scipy.sparse.csgraph import connected_components

from kit.flatness.edge_sweep import Tell
from kit.flatness.grind_chords import Chords, beyond, both_ways
from kit.height_grid import Array
from kit.job import refuse

Ints = NDArray[np.intp]

#: A cell may lie below a chord by so much more than the limit [mm]: the solver's tolerance.
CLOSE_MM = 1e-6

#: With more chords than these, and more than two a cell, the interior point method is the quicker:
#: a floor of 7,000 cells, rough all over, took 15 to 25 s with it, and 150 s with the simplex
#: method, which is three times the quicker where there are fewer.
MANY_CHORDS = 2000

#: Of the solver: tighter than what is asked of the floor.
_FEASIBLE_MM = 1e-7


@dataclass(frozen=True, eq=False)
class Bounds:
    """What may be done to each cell, flat (n,), and what it weighs.

    Parameters
    ----------
    most_fill_mm, most_grind_mm : (n,) array
        How much may be filled in and ground off [mm]; 0: not at all; inf: as much as it takes.
    ground_weight : float
        What a litre ground off weighs beside a litre filled in.
    """

    most_fill_mm: Array = field(repr=False)
    most_grind_mm: Array = field(repr=False)
    ground_weight: float

    def of(self, cells: Ints) -> Bounds:
        """Return those of some cells."""
        return Bounds(self.most_fill_mm[cells], self.most_grind_mm[cells], self.ground_weight)

    def weigh(self, change_mm: Array) -> float:
        """Return what a change (n,) weighs: filled plus weighted ground [mm of cells]."""
        fill, ground = np.maximum(change_mm, 0.0), np.maximum(-change_mm, 0.0)
        return float(fill.sum() + self.ground_weight * ground.sum())

    def allow(self, change_mm: Array) -> NDArray[np.bool_]:
        """Tell which cells (n,) keep within what may be done to them."""
        high = change_mm <= self.most_fill_mm + CLOSE_MM
        return np.asarray(high & (-change_mm <= self.most_grind_mm + CLOSE_MM))


@dataclass(frozen=True, eq=False)
class Least:
    """The least change for the chords that were asked for.

    Parameters
    ----------
    change_mm : (n,) array
        Of each cell [mm], positive = fill.
    bound : float
        No change that brings the floor within the limit weighs less [mm of cells].
    felt : (n,) array
        How the bound changes with each height.
    rounds : int
        How often chords were looked for.
    worst_mm : float
        How far a cell still lies below a chord [mm].
    chords : int
        How many were asked for.
    """

    change_mm: Array = field(repr=False)
    bound: float
    felt: Array = field(repr=False)
    rounds: int
    worst_mm: float
    chords: int


def least_change(
    height_mm: Array, steps: int, limit_mm: float, bounds: Bounds, rounds: int, tell: Tell | None
) -> Least:
    """Find the least change after which no cell lies more than a limit below a chord.

    Parameters
    ----------
    height_mm : (ny, nx) array
        Heights, nan in holes [mm].
    steps : int
        Length of the longest chord in cells' steps.
    limit_mm : float
        How far a cell may lie below any chord [mm].
    bounds : Bounds
    rounds : int
        How often chords are looked for at most.
    tell : callable or None
        Told the share done, by how near the worst chord is to the limit.

    Returns
    -------
    Least
        Of least weight if ``worst_mm`` is at most `CLOSE_MM` above the limit. Stopped by `rounds`
        it is not within the limit, but its bound holds.

    Raises
    ------
    Impossible
        Where what may be done to the cells does not suffice.
    Refusal
        Where the solver gives up.

    Notes
    -----
    Minimise sum fill + weight · sum ground                                                  (1)
    subject to M (h + fill - ground) at most limit for all chords.                           (2)
    In each round the highest chord over each cell that still lies too low is added to (2), and the
    programme solved again, by HiGHS [1]_. Cells that no chord joins do not touch each other:
    each group that chords join is a programme of its own, and is solved again only where a chord
    of it is new; so a large floor with its faults far apart is solved in pieces, exactly.

    With any y at least 0 for the chords and s = Mᵀ y, no change that keeps (2) weighs less than
    yᵀ(M h - limit) + sum over the cells of the least that weight · change + s · change can be. (3)
    The bound is worked out by (3) from the solver's y, so that it does not hang on the solver's
    tolerances.

    References
    ----------
    .. [1] Q. Huangfu, J. A. J. Hall, Parallelizing the dual revised simplex method, Mathematical
       Programming Computation 10 (2018) (from memory).
    """
    flat = np.where(np.isfinite(height_mm), height_mm, 0.0).ravel()
    search = _Search(flat, limit_mm, bounds, Chords.none(), np.zeros(0), np.zeros(flat.size))
    first, progress = math.nan, 0.0
    for done in range(rounds + 1):
        changed = np.where(
            np.isfinite(height_mm), height_mm + search.change_mm.reshape(height_mm.shape), np.nan
        )
        gaps = both_ways(changed, steps)
        worst = max(0.0, *(float(one.gap_mm.max()) for one in gaps))
        over = max(worst - limit_mm, CLOSE_MM)
        first = over if math.isnan(first) else first
        if tell:
            progress = max(progress, _nearness(first, over))
            tell(progress)
        chords = search.chords + beyond(gaps, limit_mm + CLOSE_MM)
        if done == rounds or worst <= limit_mm + CLOSE_MM or len(chords) == len(search.chords):
            break
        search = search.with_chords(chords)
    return Least(search.change_mm, *search.bound(), done, worst, len(search.chords))


def _nearness(first_mm: float, over_mm: float) -> float:
    """Return the share done: by how many powers of ten the worst chord has come nearer."""
    if over_mm <= CLOSE_MM:
        return 1.0
    return max(0.0, 1 - math.log(over_mm / CLOSE_MM) / math.log(first_mm / CLOSE_MM))


@dataclass(frozen=True, eq=False)
class _Search:
    """How far the search has come: the chords asked for (m,), their prices, the change (n,)."""

    flat_mm: Array
    limit_mm: float
    bounds: Bounds
    chords: Chords
    price: Array
    change_mm: Array

    def with_chords(self, chords: Chords) -> _Search:
        """Solve the groups that have a new chord again; those before keep their place."""
        group, fresh = _groups(chords, self.flat_mm.size), np.arange(len(chords)) >= len(self.price)
        rows = np.flatnonzero(np.isin(group, group[fresh]))
        price, change = np.zeros(len(chords)), self.change_mm.copy()
        price[: len(self.price)] = self.price
        cells, change[cells], price[rows] = self._solve(chords.at(rows))
        return replace(self, chords=chords, price=price, change_mm=change)

    def _solve(self, chords: Chords) -> tuple[Ints, Array, Array]:
        """Return cells that chords join, their change, and the chords' prices."""
        cells, local = np.unique(chords.cells, return_inverse=True)
        matrix = Chords(local.reshape(-1, 3), chords.share).matrix(len(cells))
        room = self.limit_mm - matrix @ self.flat_mm[cells]
        found = _programme(matrix, room, self.bounds.of(cells))
        if found is None:
            raise Impossible(int(chords.cells[int(room.argmin()), 1]))
        return cells, *found

    def bound(self) -> tuple[float, Array]:
        """Return what `proven_bound` gives for all that was asked."""
        matrix = self.chords.matrix(self.flat_mm.size)
        room = self.limit_mm - matrix @ self.flat_mm
        return proven_bound(matrix, room, self.bounds, self.price)


class Impossible(Exception):  # noqa: N818 - becomes a refusal where the places are known
    """What may be done to the cells does not suffice; `cell` (flat) lies in the worst of it."""

    def __init__(self, cell: int) -> None:
        super().__init__(cell)
        self.cell = cell


def _groups(chords: Chords, size: int) -> NDArray[np.int32]:
    """Return the number of the group of cells that chords join, for each chord (m,)."""
    ends = np.concatenate([chords.cells[:, [0, 1]], chords.cells[:, [1, 2]]])
    joined = coo_array((np.ones(len(ends)), ends.T), shape=(size, size))
    return np.asarray(connected_components(joined, directed=False)[1][chords.cells[:, 1]])


def _programme(matrix: csr_array, room_mm: Array, bounds: Bounds) -> tuple[Array, Array] | None:
    """Solve Eq. (1), (2) for some chords: change (n,), price of each (m,); none if it cannot be."""
    from scipy.optimize import linprog  # noqa: PLC0415 - takes long to load

    size = matrix.shape[1]
    most = np.concatenate([bounds.most_fill_mm, bounds.most_grind_mm])
    asked: dict[str, Any] = {
        "A_ub": hstack([matrix, -matrix], format="csc"),
        "b_ub": room_mm,
        "bounds": np.stack([np.zeros(2 * size), most], axis=1),
        "options": {"primal_feasibility_tolerance": _FEASIBLE_MM},
    }
    weight = np.repeat([1.0, bounds.ground_weight], size)
    methods = ("highs-ds", "highs-ipm")
    for method in methods[::-1] if len(room_mm) > max(MANY_CHORDS, 2 * size) else methods:
        found: Any = linprog(weight, **{**asked, "method": method})
        if found.status == 0:
            return found.x[:size] - found.x[size:], -found.ineqlin.marginals
        if found.status == 2:
            return None
    allowed = "a limit, or bounds, of another size; both methods of the solver gave up"
    raise refuse("least grinding and filling", found.message, allowed)


def proven_bound(
    matrix: csr_array, room_mm: Array, bounds: Bounds, price: Array
) -> tuple[float, Array]:
    """Return a bound that holds whatever the prices are worth, and the prices' sum by cell.

    Parameters
    ----------
    matrix, room_mm : (m, n) sparse array, (m,) array
        M, and limit - M h.
    bounds : Bounds
        Of the n cells.
    price : (m,) array
        y of Eq. (3) of `least_change`; what is below 0 is taken as 0.

    Returns
    -------
    float, (n,) array
        The bound [mm of cells]; s = Mᵀ y, which is how it changes with each height.
    """
    price = np.maximum(price, 0.0)
    felt = matrix.T @ price
    ways = (
        (1.0 + felt, bounds.most_fill_mm),
        (bounds.ground_weight - felt, bounds.most_grind_mm),
    )
    # Where a cell may change without end the prices must not gain by it: all are lowered alike.
    scale = 1.0
    for weight, (left, most) in zip((1.0, bounds.ground_weight), ways, strict=True):
        endless = np.isinf(most) & (left < 0)
        if endless.any():
            scale = min(scale, weight / (weight - float(left[endless].min())))
    felt = scale * felt
    bound = -scale * float(price @ room_mm)
    for left, most in ((1.0 + felt, ways[0][1]), (bounds.ground_weight - felt, ways[1][1])):
        gains = (left < 0) & np.isfinite(most)
        bound += float(left[gains] @ most[gains])  # Eq. (3)
    return max(bound, 0.0), felt
