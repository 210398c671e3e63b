"""Tables of a scan's floor: cells, holes, and what was taken away."""

from __future__ import annotations

import numpy as np
import pandas as pd
from scipy.ndimage import label

from kit.height_grid import HeightGrid
from kit.scan.states import COVERED, DOUBTFUL, FLOOR, STATES, UNSEEN, States

_WHY = {
    COVERED: "something stands there",
    UNSEEN: "no points: in a shadow or out of sight",
    DOUBTFUL: "points, but too few or too mixed to tell floor from",
}


def tables_of(grid: HeightGrid, state: States, removed: pd.DataFrame) -> dict[str, pd.DataFrame]:
    """Return the tables of a scan's floor by the names of their files.

    ``scan-grid.csv`` has the cells with a height, ``scan-holes.csv`` what ``holes_of`` gives,
    ``scan-removed.csv`` the patches that were taken away.
    """
    return {
        "scan-grid.csv": grid.table(),
        "scan-holes.csv": holes_of(grid, state),
        "scan-removed.csv": removed.copy(),
    }


def holes_of(grid: HeightGrid, state: States) -> pd.DataFrame:
    """Return the holes, cells without a height that share sides, the largest first.

    Returns
    -------
    DataFrame
        x_mm, y_mm (middle of its cells), area_m2, covered_m2, unseen_m2, doubtful_m2, at_edge
        (it reaches the rim of the grid) and why (of most of its cells).
    """
    number, many = label(state != FLOOR)
    rows, columns = np.nonzero(number)
    which = number[rows, columns] - 1
    found = state[rows, columns]
    cell = grid.cell_mm**2 / 1e6
    size = np.bincount(which, minlength=many)
    each = {
        one: np.bincount(which, weights=found == one, minlength=many) * cell
        for one in (COVERED, UNSEEN, DOUBTFUL)
    }
    last = np.array(state.shape) - 1
    rim = (rows == 0) | (columns == 0) | (rows == last[0]) | (columns == last[1])
    most = np.argmax(np.stack(list(each.values())), axis=0)
    table = pd.DataFrame(
        {
            "x_mm": np.bincount(which, weights=grid.x_mm[columns], minlength=many) / size,
            "y_mm": np.bincount(which, weights=grid.y_mm[rows], minlength=many) / size,
            "area_m2": size * cell,
            **{f"{STATES[one]}_m2": area for one, area in each.items()},
            "at_edge": np.bincount(which, weights=rim, minlength=many) > 0,
            "why": [_WHY[list(each)[k]] for k in most],
        }
    )
    by = ["area_m2", "y_mm", "x_mm"]
    return table.sort_values(by, ascending=[False, True, True], ignore_index=True)
