"""A straight edge pushed along profiles, cell by cell: the largest gap under it at each place."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit.height_grid import Array

Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

Tell = Callable[[float], None]

#: Profiles are pushed together in blocks of about so many cells below their edges.
BLOCK_CELLS = 200_000

#: A cell that lies less than this under the edge touches it [mm]: round-off, which is what ties of
#: slope (level stretches, cells on one line) are judged by.
TOUCH_MM = 1e-9


def part_of(tell: Tell | None, number: int, count: int) -> Tell | None:
    """Return what tells the share done of one of so many equal parts as a share of the whole."""
    if tell is None or count == 1:
        return tell
    return lambda share: tell((number + share) / count)


class Lie(NamedTuple):
    """How edges (q,) lie: outermost contacts, and the largest gap between them [mm].

    Cells are counted along the edge from its left end. An edge that stands on its middle has two
    lies; its contacts are those of the right one, into which it tips as it is pushed on, with the
    gap that it has then.
    """

    left: Ints
    right: Ints
    gap_mm: Array
    onward_mm: Array


def gaps_along(
    profiles_mm: Array, steps: int, tell: Tell | None = None, into: Array | None = None
) -> Array:
    """Return the largest gap [mm] under a straight edge at every place along profiles.

    Parameters
    ----------
    profiles_mm : (m, n) array
        Heights of m profiles in even steps, nan for a hole [mm].
    steps : int
        Length of the edge, 2 steps or more.
    tell : callable, optional
        Told the share done, 0 to 1.
    into : (m, n - steps) array, optional
        Where to put the gaps, nan throughout; by default a new array.

    Returns
    -------
    (m, n - steps) array
        Gap under the edge from cell k to cell k + steps; nan where there is a hole under it. No
        column where the edge is longer than the profiles.

    Notes
    -----
    The edge lies on the upper hull of the cells below it, on the facet over its middle, from its
    outermost left to its outermost right contact; if the middle itself is a contact, the larger
    gap of the two facets that meet there counts.

    From one place to the next the edge lies as it did, unless a contact is left behind, the
    middle passes one, or the cell that comes under the edge reaches it: only then is it laid anew,
    from where it lay. Profiles are pushed together, in blocks, so that besides what is returned
    some tens of megabytes are used whatever the size.
    """
    rows, cells = profiles_mm.shape
    out = np.full((rows, max(cells - steps, 0)), np.nan) if into is None else into
    block = max(1, BLOCK_CELLS // max(steps, 1))
    for row in range(0, rows if out.size else 0, block):
        _push(profiles_mm[row : row + block], steps, out[row : row + block])
        if tell:
            tell(min(1.0, (row + block) / rows))
    return out


class Carried(NamedTuple):
    """What carries one edge: its contacts and the largest gap, in cells from its left end."""

    left: int
    right: int
    gap_at: int
    gap_mm: float


def carried(heights_mm: Array) -> Carried:
    """Return what carries an edge on one profile (p,) without holes [mm]: see `gaps_along`."""
    last, level = len(heights_mm) - 1, heights_mm - _level(heights_mm)
    onward, back = (_lay_from_ends(each) for each in (level, level[::-1]))
    if back.onward_mm[0] > onward.onward_mm[0]:
        left, right = last - int(back.right[0]), last - int(back.left[0])
    else:
        left, right = int(onward.left[0]), int(onward.right[0])
    below = np.interp(np.arange(left, right + 1), [left, right], level[[left, right]])
    below -= level[left : right + 1]
    return Carried(left, right, left + int(below.argmax()), float(max(below.max(), 0.0)))


def _lay_from_ends(heights_mm: Array) -> Lie:
    ends = np.array([0]), np.array([len(heights_mm) - 1])
    return _lay(heights_mm[None, :], *ends, np.array([False]))


def _push(profiles_mm: Array, steps: int, out: Array) -> None:
    """Push an edge along a block of profiles (m, n), and put the gaps down (m, n - steps)."""
    heights = np.ascontiguousarray(profiles_mm - _level(profiles_mm))
    whole = _without_holes(heights, steps)
    sweep = _Sweep(heights, steps)
    for first in range(out.shape[1]):
        sweep.move(first, whole[:, first])
        np.copyto(out[:, first], sweep.gap_mm, where=whole[:, first])
        sweep.gap_mm[:] = sweep.onward_mm


def _level(heights_mm: Array) -> int:
    """Return a whole height near all others [mm]: told from it, high floors keep their digits."""
    known = np.isfinite(heights_mm)
    return round(float(np.mean(heights_mm, where=known))) if known.any() else 0


def _without_holes(heights_mm: Array, steps: int) -> Bools:
    """Tell for each place of the edge (m, n - steps) whether every cell under it is known."""
    holes = np.zeros((heights_mm.shape[0], heights_mm.shape[1] + 1), dtype=np.int32)
    np.cumsum(~np.isfinite(heights_mm), axis=1, out=holes[:, 1:])
    return np.asarray(holes[:, steps + 1 :] == holes[:, : -steps - 1])


class _Sweep:
    """How the edge lies on each profile at the place where it has been pushed to."""

    def __init__(self, heights_mm: Array, steps: int) -> None:
        rows = heights_mm.shape[0]
        self.heights_mm, self.steps = heights_mm, steps
        self.left = np.zeros(rows, dtype=np.intp)
        self.right = np.zeros(rows, dtype=np.intp)
        self.gap_mm = np.full(rows, np.nan)
        self.onward_mm = np.full(rows, np.nan)
        self._rise = np.zeros(rows)  # of the edge, a step
        self._height = np.zeros(rows)  # of the edge at its left contact
        self._lies = np.zeros(rows, dtype=bool)

    def move(self, first: int, whole: Bools) -> None:
        """Push the edges to lie from cell `first`, those without a hole below (m,)."""
        last = first + self.steps
        comes_mm = self.heights_mm[:, last]
        reach_mm = self._height + self._rise * (last - self.left)
        touched = comes_mm >= reach_mm - TOUCH_MM
        behind = self.left < first
        passed = 2 * self.right <= first + last
        rows = np.flatnonzero(whole & (touched | behind | passed | ~self._lies))
        if rows.size:
            above = comes_mm[rows] > reach_mm[rows] + TOUCH_MM
            self._lay_anew(rows, first, above)
        self._lies = whole

    def _lay_anew(self, rows: Ints, first: int, above: Bools) -> None:
        steps, lay_afresh = self.steps, ~self._lies[rows]
        left, right = self.left[rows] - first, self.right[rows] - first
        # Where the middle has come to the right contact it lies on it, unless a cell rises above.
        on_middle = (2 * right == steps) & ~above & ~lay_afresh
        passed = 2 * right < steps
        left = np.where(passed, right, np.maximum(left, 0))
        left = np.where(lay_afresh | (2 * right == steps), 0, left)
        right = np.where(passed | (2 * right == steps) | above | lay_afresh, steps, right)
        windows = self.heights_mm[rows, first : first + steps + 1]
        lie = _lay(windows, left, right, on_middle)
        every = np.arange(rows.size)
        self._height[rows] = windows[every, lie.left]
        rise = windows[every, lie.right] - windows[every, lie.left]
        self._rise[rows] = rise / (lie.right - lie.left)
        self.left[rows], self.right[rows] = lie.left + first, lie.right + first
        self.gap_mm[rows], self.onward_mm[rows] = lie.gap_mm, lie.onward_mm


def _lay(windows_mm: Array, left: Ints, right: Ints, on_middle: Bools) -> Lie:
    """Lay edges on windows (q, p), beginning with a line through two cells about the middle.

    The height of a line over the middle, as low as it can be with all cells under it, is what is
    sought: a convex function of its slope. The cell that stands highest above the line takes the
    place of the one on its side, until none stands above (Kelley's cutting planes in one unknown).
    """
    count, cells = windows_mm.shape
    found = Lie(left.copy(), right.copy(), np.empty(count), np.empty(count))
    middles = [np.flatnonzero(on_middle)]
    rows = np.flatnonzero(~on_middle)
    while rows.size:
        windows = windows_mm if rows.size == count else windows_mm[rows]
        a, b = found.left[rows], found.right[rows]
        below = _below(windows, a, b)
        top = below.argmin(axis=1)
        rises = below[np.arange(rows.size), top] < -TOUCH_MM
        rises &= (top != a) & (top != b)
        if not rises.any():
            _put(found, rows, _between(below))
            break
        if not rises.all():
            _put(found, rows[~rises], _between(below[~rises]))
        rows, top = rows[rises], top[rises]
        middle = 2 * top == cells - 1
        middles.append(rows[middle])
        rows, top = rows[~middle], top[~middle]
        on_left = 2 * top < cells - 1
        found.left[rows[on_left]] = top[on_left]
        found.right[rows[~on_left]] = top[~on_left]
    standing = np.concatenate(middles)
    if standing.size:
        _put(found, standing, _on_middle(windows_mm[standing]))
    return found


def _on_middle(windows_mm: Array) -> Lie:
    """Return the lies of edges that stand on their middles: two facets meet there."""
    middle = windows_mm.shape[1] // 2
    to_left = _facet(windows_mm[:, middle::-1])
    to_right = _facet(windows_mm[:, middle:])
    both = np.maximum(to_left.gap_mm, to_right.gap_mm)
    # Cells of both sides on one line are one facet: the edge reaches from the one to the other.
    one = (to_left.rise + to_right.rise) * to_left.reach >= -TOUCH_MM
    left = np.where(one, middle - to_left.reach, middle)
    return Lie(left, middle + to_right.reach, both, np.where(one, both, to_right.gap_mm))


class _Facet(NamedTuple):
    """A facet that begins at a cell: how far it reaches, its rise a step, the gap below it."""

    reach: Ints
    rise: Array
    gap_mm: Array


def _facet(sides_mm: Array) -> _Facet:
    """Return the facet (q,) from the first cell of each row (q, p) that clears all others."""
    below = np.arange(float(sides_mm.shape[1]))
    start = sides_mm[:, :1]
    rises = (sides_mm[:, 1:] - start) / below[1:]
    rise = rises.max(axis=1)
    line = np.multiply.outer(rise, below)
    line += start
    line -= sides_mm
    lie = _between(line)
    return _Facet(lie.right, rise, lie.gap_mm)


def _below(windows_mm: Array, left: Ints, right: Ints) -> Array:
    """Return how far each cell (q, p) lies below the line through two cells of its row [mm]."""
    every = np.arange(len(windows_mm))
    start = windows_mm[every, left]
    rise = (windows_mm[every, right] - start) / (right - left)
    line = np.multiply.outer(rise, np.arange(float(windows_mm.shape[1])))
    line += (start - rise * left)[:, None]
    line -= windows_mm
    return np.asarray(line)


def _between(below_mm: Array) -> Lie:
    """Return outermost contacts and the largest gap between them of edges so far above (q, p)."""
    count, cells = below_mm.shape
    touch = below_mm <= TOUCH_MM
    left = touch.argmax(axis=1)
    right = cells - 1 - touch[:, ::-1].argmax(axis=1)
    # One pass over the stretches from contact to contact, laid end to end.
    bounds = np.empty((count, 2), dtype=np.intp)
    bounds[:, 0] = np.arange(count) * cells + left
    bounds[:, 1] = np.arange(count) * cells + right + 1
    stretches = bounds.ravel()
    if stretches[-1] == below_mm.size:
        stretches = stretches[:-1]
    gap = np.maximum(np.maximum.reduceat(below_mm.ravel(), stretches)[::2], 0.0)
    return Lie(left, right, gap, gap)


def _put(found: Lie, rows: Ints, lie: Lie) -> None:
    for into, values in zip(found, lie, strict=True):
        into[rows] = values
