"""How much of a floor keeps which class of surface regularity."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np
import pandas as pd

from kit.flatness.edge_map import EdgeMap
from kit.flatness.edge_sweep import TOUCH_MM
from kit.height_grid import Array
from kit.job import refuse

#: BS 8204: largest gap under a 2 m straight edge [mm], as The Concrete Society gives it
#: (concrete.org.uk, fingertips 1006 and 1009).
BS_8204: Mapping[str, float] = MappingProxyType({"SR1": 3.0, "SR2": 5.0, "SR3": 10.0})


def worse_of(maps: EdgeMap | Sequence[EdgeMap]) -> Array:
    """Return departures by cell (ny, nx) [mm], the larger where several maps tell one.

    Raises
    ------
    Refusal
        Where there is no map, or they are not of one floor.
    """
    each = _of_one_floor(maps)
    worst = each[0].by_cell_mm
    for one in each[1:]:
        worst = np.fmax(worst, one.by_cell_mm)
    return worst


def classes_by_area(
    maps: EdgeMap | Sequence[EdgeMap],
    limits: Mapping[str, float] = BS_8204,
    excluded_m2: float = 0.0,
) -> pd.DataFrame:
    """Return how much of a floor keeps each class, by area.

    Parameters
    ----------
    maps : EdgeMap or sequence of EdgeMap
        One direction, or several of one floor: a cell counts by the worse.
    limits : mapping of str to float
        Largest gap of each class [mm]. A limit itself is kept.
    excluded_m2 : float
        Area of the floor that is not asked after, holes in the maps [m²].

    Returns
    -------
    DataFrame
        ``class``, ``limit_mm``, ``area_m2``, ``share`` of the floor that has a height (what is
        excluded with it), ``share_checked`` of what could be checked (nan of what could not), and
        ``one_way_m2``: how much of the area could be checked in some of the directions only (0
        for one map). After the classes come ``beyond`` and ``not checked``, and ``excluded``
        where there is such an area; areas add up to the floor's, either share to 1.

    Raises
    ------
    Refusal
        Where there is no map, they are not of one floor, or there are no limits above 0.
    """
    each = _of_one_floor(maps)
    ordered = _ordered(limits)
    cell_m2 = each[0].grid.cell_mm ** 2 / 1e6
    worst = worse_of(each)
    told = np.sum([np.isfinite(one.by_cell_mm) for one in each], axis=0)
    # From the smallest class up, each cell goes to the first whose limit it keeps.
    kind = np.searchsorted([limit + TOUCH_MM for _, limit in ordered], worst)
    kind = np.where(np.isfinite(worst), kind, len(ordered) + 1)
    counts, one_way = (
        np.bincount(kind[cells], minlength=len(ordered) + 2)
        for cells in (each[0].grid.known, (told > 0) & (told < len(each)))
    )
    names = [*(name for name, _ in ordered), "beyond", "not checked"]
    checked = counts[:-1] / max(int(counts[:-1].sum()), 1)
    table = pd.DataFrame(
        {
            "class": names,
            "limit_mm": [*(limit for _, limit in ordered), np.nan, np.nan],
            "area_m2": counts * cell_m2,
            "share": counts * cell_m2 / (max(int(counts.sum()), 1) * cell_m2 + excluded_m2),
            "share_checked": [*checked, np.nan],
            "one_way_m2": one_way * cell_m2,
        }
    )
    if excluded_m2 > 0:
        whole = float(counts.sum()) * cell_m2 + excluded_m2
        row = {"class": "excluded", "area_m2": excluded_m2, "share": excluded_m2 / whole}
        apart = pd.DataFrame([row | {"one_way_m2": 0.0}], columns=table.columns)
        apart = apart.astype(dict.fromkeys(("limit_mm", "share_checked"), float))
        return pd.concat([table, apart], ignore_index=True)
    return table


def _of_one_floor(maps: EdgeMap | Sequence[EdgeMap]) -> tuple[EdgeMap, ...]:
    each = (maps,) if isinstance(maps, EdgeMap) else tuple(maps)
    if not each:
        raise refuse("straight-edge maps", "none", "one or more")
    if any(one.grid is not each[0].grid for one in each):
        raise refuse("straight-edge maps", "maps of different floors", "maps of one grid")
    return each


def _ordered(limits: Mapping[str, float]) -> list[tuple[str, float]]:
    ordered = sorted(limits.items(), key=lambda item: item[1])
    if not ordered or not ordered[0][1] > 0:
        found = ", ".join(f"{name} {limit:g} mm" for name, limit in ordered) or "none"
        raise refuse("limits of classes", found, "one or more, above 0 mm")
    return ordered
