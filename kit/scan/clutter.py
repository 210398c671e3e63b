"""What is not floor: the state of every cell, and patches of what was taken away."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt, label

from kit.scan.cells import Cells, Whole
from kit.scan.choose import Box
from kit.scan.heights import Heights
from kit.scan.layers import Layers
from kit.scan.states import COVERED, DOUBTFUL, FLOOR, UNSEEN, States

Array = NDArray[np.float64]

#: Points so far off the floor are not its own [mm], or further where points scatter more: this
#: many standard deviations.
OFF_MM, OFF_SDS = 10.0, 6.0
#: What hangs higher over the floor than this [mm] stands in nobody's way: it is counted, not
#: listed.
OVERHEAD_MM = 2200.0
#: Fewest points of a cell that something stands in.
LEAST_CLUTTER = 3


@dataclass(frozen=True, eq=False)
class Sorted:
    """The points of each cell by where they are, all (ny, nx).

    Parameters
    ----------
    near, over, under : array of int
        Points near the floor, over it up to ``OVERHEAD_MM``, and under it.
    low_mm, high_mm : array
        Lowest and highest slab of those over the floor [mm over the floor]; nan without.
    deep_mm, shallow_mm : array
        The same of those under it.
    overhead, outside : int
        Points higher up, and points beyond the grid.
    """

    near: Whole = field(repr=False)
    over: Whole = field(repr=False)
    under: Whole = field(repr=False)
    low_mm: Array = field(repr=False)
    high_mm: Array = field(repr=False)
    deep_mm: Array = field(repr=False)
    shallow_mm: Array = field(repr=False)
    overhead: int
    outside: int


def sort_points(
    layers: Layers,
    cells: Cells,
    box: Box,
    heights: Heights,
    tell: Callable[[float], None] | None = None,
) -> Sorted:
    """Return where the points of each cell are; a cell without floor goes by the nearest one."""
    floor, off = _floor_everywhere(heights)
    size = box.nx * box.ny
    counts = np.zeros((3, size), dtype=np.int64)
    spans = np.full((4, size), np.nan)
    overhead = outside = 0
    for first, last in cells.pieces():
        rows = slice(int(cells.start[first]), int(cells.start[last]))
        place = box.places(cells, np.arange(first, last))[cells.of_rows(first, last)]
        count, inside = layers.count[rows], place >= 0
        outside += int(count[~inside].sum())
        place, count = place[inside], count[inside]
        rise = (layers.iz[rows][inside] + 0.5) * layers.slab_mm - floor[place]
        is_over, is_under = rise > off[place], rise < -off[place]
        high = rise > OVERHEAD_MM
        overhead += int(count[high].sum())
        for kind, which in enumerate((~(is_over | is_under), is_over & ~high, is_under)):
            np.add.at(counts[kind], place[which], count[which])
        # Rows come sorted by height within a cell: what is written last stays.
        for kind, which in ((0, is_over & ~high), (2, is_under)):
            spans[kind][place[which][::-1]] = rise[which][::-1]
            spans[kind + 1][place[which]] = rise[which]
        if tell is not None:
            tell(last / len(cells))
    shape = heights.height_mm.shape
    near, over, under = counts.reshape(3, *shape)
    low, high_end, deep, shallow = spans.reshape(4, *shape)
    return Sorted(near, over, under, low, high_end, deep, shallow, overhead, outside)


def states(heights: Heights, found: Sorted, two: NDArray[np.bool_]) -> States:
    """Return the state of every cell (ny, nx).

    Floor where there is a height. Otherwise doubtful where ``two`` levels meet; covered where
    at least ``LEAST_CLUTTER`` points, and more than are near the floor's height, stand over it;
    doubtful where there are any other points that may be floor or lie under it; unseen where
    there are none of either.
    """
    stands = (found.over >= LEAST_CLUTTER) & (found.over > found.near) & ~two
    some = found.near + found.under + found.over > 0
    state = np.where(stands, COVERED, np.where(some, DOUBTFUL, UNSEEN))
    return np.where(np.isfinite(heights.height_mm), FLOOR, state).astype(np.int8)


def patches(box: Box, cell_mm: float, found: Sorted) -> pd.DataFrame:
    """Return patches of points over and under the floor, the largest first."""
    over = _patches("over", found.over, (found.low_mm, found.high_mm), box, cell_mm)
    under = _patches("under", found.under, (found.deep_mm, found.shallow_mm), box, cell_mm)
    both = pd.concat([over, under], ignore_index=True)
    order = ["area_m2", "points", "y_mm", "x_mm"]
    return both.sort_values(order, ascending=[False, False, True, True], ignore_index=True)


def _floor_everywhere(heights: Heights) -> tuple[Array, Array]:
    """Return height and how far off it points are not floor, flattened, nearest floor in holes."""
    near = distance_transform_edt(
        np.isnan(heights.height_mm), return_distances=False, return_indices=True
    )
    floor = heights.height_mm[near[0], near[1]].ravel()
    off = np.maximum(OFF_SDS * heights.scatter_mm[near[0], near[1]].ravel(), OFF_MM)
    return floor, off


def _patches(
    where: str, count: Whole, span: tuple[Array, Array], box: Box, cell_mm: float
) -> pd.DataFrame:
    touching = np.ones((3, 3), dtype=int)
    number, many = label(count >= LEAST_CLUTTER, structure=touching)
    rows, columns = np.nonzero(number)
    which = number[rows, columns] - 1
    cells = np.bincount(which, minlength=many)
    low, high = np.full(many, np.inf), np.full(many, -np.inf)
    np.minimum.at(low, which, span[0][rows, columns])
    np.maximum.at(high, which, span[1][rows, columns])
    held = np.zeros(many, dtype=np.int64)
    np.add.at(held, which, count[rows, columns])
    x = np.bincount(which, weights=columns.astype(float), minlength=many) / cells
    y = np.bincount(which, weights=rows.astype(float), minlength=many) / cells
    return pd.DataFrame(
        {
            "where": np.full(many, where, dtype=object),
            "x_mm": (box.left + x + 0.5) * cell_mm,
            "y_mm": (box.back + y + 0.5) * cell_mm,
            "area_m2": cells * cell_mm**2 / 1e6,
            "low_mm": low,
            "high_mm": high,
            "points": held,
        }
    )
