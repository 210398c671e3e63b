"""Readings in groups of groups: near ones count singly, far ones as the mean of their group."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from kit.floor.kernel import ROOT_3
from kit.floor.likelihood import Unevenness
from kit.floor.noise import Noise, averaged, shared_most, variances_of, with_extra
from kit.floor.places import Array

Rows = NDArray[np.intp]

#: Halvings of the square that holds every reading: of a hall of 100 m, down to 1.5 mm.
LEVELS = 16
#: Fewer readings are not taken together: little would be saved.
LEAST = 4
#: A group is never opened if what the floor does within it is at most this share of the variance
#: of its readings' mean.
WITHIN = 1e-4
#: No group is broader than this share of the survey's longer side, or of its breadth where that is
#: more, times the opening: see `Groups.opened`.
NARROWEST = 1 / 64
#: Breadth of places spread evenly, in their standard deviations.
BREADTH = 2 * ROOT_3
#: Variance between a group's mean and the floor at its middle, over variance·(radius/length)³:
#: 2·sqrt(3) for two readings, 1.2·sqrt(3) for many spread evenly.
WITHIN_SHAPE = 2 * ROOT_3


@dataclass(frozen=True, eq=False)
class Groups:
    """Readings and groups of readings (k,): the n readings come first, sorted along a curve.

    Parameters
    ----------
    x_mm, y_mm, height_mm : (k,) array
        Weighted means of the places and heights [mm].
    noise : Noise
        Of readings and groups, what the floor does within a group included [mm²].
    radius_mm : (k,) array
        Greatest distance of one of its readings from a group's middle [mm].
    settled : (k,) array of bool
        Readings, and groups within which the floor hardly changes: never opened.
    first, count : (k,) array
        Where a group's parts stand in `parts`, and how many they are.
    parts : array
        Rows of readings and groups.
    top : (t,) array
        Rows that together hold every reading once.
    order : (n,) array
        Which of the readings as they were given the first n rows are.
    broad_mm : float
        Breadth of the whole survey across its longer direction [mm].
    """

    x_mm: Array
    y_mm: Array
    height_mm: Array
    noise: Noise
    radius_mm: Array
    settled: NDArray[np.bool_]
    first: Rows
    count: Rows
    parts: Rows
    top: Rows
    order: Rows
    broad_mm: float

    def opened(self, apart: Callable[[Rows], Array], opening: float, *, every: bool) -> Rows:
        """Return rows that hold every reading once, the finer the nearer to some places.

        Parameters
        ----------
        apart : callable
            Gives the distance of rows' middles from the places [mm].
        opening : float
            Greatest breadth of a group, as a share of its distance from the places.
        every : bool
            Whether each of the nearest readings is wanted, even where the floor hardly changes
            among them.

        Notes
        -----
        No group is broader than `opening` times the survey itself: a mean knows nothing of the
        tilt within it, and of a floor that is all but a plane, or far from the places, there
        would be one group of everything, which tells no tilt at all.
        """
        found, rows = [], self.top
        while len(rows):
            radius = self.radius_mm[rows]
            whole = 2 * radius <= opening * (apart(rows) - radius)
            whole |= rows < len(self.order) if every else self.settled[rows]
            whole &= 2 * radius <= opening * self.broad_mm
            found.append(rows[whole])
            rows = self.within(rows[~whole])
        return np.concatenate(found)

    def around(self, x_mm: Array, y_mm: Array, opening: float, *, every: bool) -> Rows:
        """Return the same for the rectangle that holds some places [mm]."""
        low, high = (x_mm.min(), y_mm.min()), (x_mm.max(), y_mm.max())

        def apart(rows: Rows) -> Array:
            x, y = self.x_mm[rows], self.y_mm[rows]
            dx = np.maximum(np.maximum(low[0] - x, x - high[0]), 0.0)
            dy = np.maximum(np.maximum(low[1] - y, y - high[1]), 0.0)
            return np.asarray(np.hypot(dx, dy))

        return self.opened(apart, opening, every=every)

    def within(self, rows: Rows) -> Rows:
        """Return the parts of groups."""
        return self.parts[_ranges(self.first[rows], self.count[rows])]


def gather(
    x_mm: Array, y_mm: Array, height_mm: Array, noise: Noise, unevenness: Unevenness
) -> Groups:
    """Return the readings (n,) in groups of groups.

    Notes
    -----
    A group's mean is a reading of the floor at its middle c, the mean of its places with the
    same weights: its noise is that of the mean, and what the floor's mean over the group
    differs from the floor at c by. Both terms in d² of the correlation cancel there, so that
    var = 2·sqrt(3)·variance·(r/length)³ at most, r the group's radius about c.     (1)
    A linear trend is that of the middle exactly. A group's readings share their chief error:
    what tells one set-up's error from the next one's would be lost in their mean. Groups whose
    readings have no noise are opened by distance alone.
    """
    order, tree = _tree(x_mm, y_mm, shared_most(noise))
    own = variances_of(noise)[order]
    # Weights by variance; a reading without noise weighs like one of a thousandth of the mean.
    weight = 1 / (own + max(1e-3 * float(own.mean()), 1e-12))
    means = _means(tree, weight, order)
    middle = float(x_mm.mean()), float(y_mm.mean())
    x, y = means @ (x_mm - middle[0]), means @ (y_mm - middle[1])
    square = means @ ((x_mm - middle[0]) ** 2 + (y_mm - middle[1]) ** 2) - x**2 - y**2
    inner = np.arange(len(x)) >= len(order)
    spread = np.where(inner, np.maximum(square, 0.0), 0.0)
    floor = np.minimum(WITHIN_SHAPE * (spread / unevenness.length_mm**2) ** 1.5, 1.0)
    extra = floor * unevenness.variance_mm2
    grouped = averaged(noise, means)
    settled = ~inner | (extra <= WITHIN * variances_of(grouped))
    x, y = x + middle[0], y + middle[1]
    radius = _radius(tree, x, y, len(order))
    return Groups(
        x,
        y,
        means @ height_mm,
        with_extra(grouped, extra),
        radius,
        settled,
        tree.first,
        tree.count,
        tree.parts,
        tree.top,
        order,
        _broad(x_mm, y_mm),
    )


def _broad(x_mm: Array, y_mm: Array) -> float:
    """Return the breadth of places across their longer direction, whichever way it runs [mm]."""
    narrow, long = np.sqrt(np.maximum(np.linalg.eigvalsh(np.cov(x_mm, y_mm)), 0.0))
    return float(BREADTH * max(narrow, NARROWEST * long))


@dataclass(frozen=True, eq=False)
class _Tree:
    """Which readings and groups each group is made of; see `Groups`.

    `start` and `stop` (k,) tell where its readings stand in their order.
    """

    start: Rows
    stop: Rows
    first: Rows
    count: Rows
    parts: Rows
    top: Rows


def _tree(x_mm: Array, y_mm: Array, kind: Rows) -> tuple[Rows, _Tree]:
    """Return the order of the readings along the curve, and the groups by ever larger squares.

    Readings of different kinds (n,) are never taken together.
    """
    key = _along_curve(x_mm, y_mm) | kind << (2 * LEVELS)
    order = np.argsort(key, kind="stable")
    keys, rows = key[order], np.arange(len(key))
    start, stop = [rows], [rows + 1]
    first, count, parts = [np.zeros_like(rows)], [np.zeros_like(rows)], []
    total, used = len(rows), 0
    ends = np.column_stack([rows, rows + 1])
    for _ in range(LEVELS + 1):
        edges = np.flatnonzero(np.append(True, keys[1:] != keys[:-1]))
        sizes = np.diff(np.append(edges, len(keys)))
        low, high = ends[edges, 0], ends[edges + sizes - 1, 1]
        joined = (sizes > 1) & (high - low >= LEAST)
        made = np.flatnonzero(joined)
        start.append(low[made])
        stop.append(high[made])
        count.append(sizes[made])
        first.append(used + np.cumsum(sizes[made]) - sizes[made])
        parts.append(rows[_ranges(edges[made], sizes[made])])
        used += int(sizes[made].sum())
        # A square that is no group hands its parts on to the next larger square.
        keep = np.repeat(~joined, sizes)
        keep[edges[made]] = True
        rows = rows.copy()
        rows[edges[made]] = total + np.arange(len(made))
        ends = ends.copy()
        ends[edges[made], 1] = high[made]
        total += len(made)
        rows, keys, ends = rows[keep], keys[keep] >> 2, ends[keep]
    ends_of = np.concatenate(start), np.concatenate(stop)
    made_of = np.concatenate(first), np.concatenate(count), np.concatenate(parts)
    return order, _Tree(*ends_of, *made_of, rows)


def _along_curve(x_mm: Array, y_mm: Array) -> NDArray[np.int64]:
    """Return the number of each place's square, so that squares of squares follow each other."""
    size = max(float(np.ptp(x_mm)), float(np.ptp(y_mm))) * (1 + 1e-9)
    key = np.zeros(len(x_mm), np.int64)
    for column, at in ((x_mm, 0), (y_mm, 1)):
        cell = ((column - column.min()) / size * 2**LEVELS).astype(np.int64)
        for bit in range(LEVELS):
            key |= ((cell >> bit) & 1) << (2 * bit + at)
    return key


def _means(tree: _Tree, weight: Array, order: Rows) -> csr_array:
    """Return the weights (k, n) of the readings in the mean of each group."""
    sizes = tree.stop - tree.start
    at = _ranges(tree.start, sizes)
    edges = np.concatenate([[0], np.cumsum(sizes)])
    values = weight[at]
    values /= np.repeat(np.add.reduceat(values, edges[:-1]), sizes)
    return csr_array((values, order[at], edges), shape=(len(sizes), len(order)))


def _radius(tree: _Tree, x_mm: Array, y_mm: Array, readings: int) -> Array:
    """Return the greatest distance of its readings from each group's middle [mm]."""
    sizes = tree.stop - tree.start
    at = _ranges(tree.start, sizes)
    apart = np.hypot(
        x_mm[:readings][at] - np.repeat(x_mm, sizes), y_mm[:readings][at] - np.repeat(y_mm, sizes)
    )
    return np.asarray(np.maximum.reduceat(apart, np.cumsum(sizes) - sizes))


def _ranges(first: Rows, count: Rows) -> Rows:
    """Return first, first + 1, ..., count of them, for each pair, one after the other."""
    ends = np.cumsum(count)
    total = int(ends[-1]) if len(ends) else 0
    return np.asarray(np.arange(total) + np.repeat(first - (ends - count), count), np.intp)
