"""What was found in a scan, in sentences."""

from __future__ import annotations

import numpy as np
import pandas as pd

from kit.scan.choose import STEP_MM, Chosen
from kit.scan.clutter import OVERHEAD_MM, Sorted
from kit.scan.heights import Heights
from kit.scan.layers import Layers
from kit.scan.states import COVERED, DOUBTFUL, FLOOR, UNSEEN, States


def notes_of(
    layers: Layers,
    chosen: Chosen,
    heights: Heights,
    found: Sorted,
    removed: pd.DataFrame,
    state: States,
) -> tuple[str, ...]:
    """Return what was found in a scan, how the floor was told, and what to look at."""
    said = [
        _points(layers, found),
        *layers.notes,
        _floor(layers.cell_mm, heights, state),
        "Floor is the lowest continuous surface: layers of points from cell to cell with a slope "
        "of 1 in 10 at most, and levels of 2 m² or more within 300 mm of the floor beside them.",
        _holes(layers.cell_mm, state),
        *_levels(chosen),
    ]
    if len(removed):
        said.append(_taken(removed))
    said.append(
        "The doubt of a height is that of chance alone: what the instrument or the joining of "
        "set-ups makes wrong alike for many points is not in it. The scan approves no floor."
    )
    return tuple(said)


def _points(layers: Layers, found: Sorted) -> str:
    return (
        f"{layers.points:,} points in cells of {layers.cell_mm:g} mm. "
        f"{found.overhead:,} hang more than {OVERHEAD_MM:g} mm over the floor, "
        f"{found.outside:,} lie beyond it."
    )


def _floor(cell_mm: float, heights: Heights, state: States) -> str:
    floor = state == FLOOR
    area = np.count_nonzero(floor) * cell_mm**2 / 1e6
    if not np.any(floor):
        return "No cell shows floor clearly."
    return (
        f"{area:.1f} m² of floor in {np.count_nonzero(floor):,} cells, from "
        f"{int(heights.count[floor].sum()):,} points ({np.median(heights.count[floor]):.0f} in a "
        f"middling cell). A point scatters by {np.median(heights.scatter_mm[floor]):.1f} mm, a "
        f"cell's height is known to {np.median(heights.sd_mm[floor]):.2f} mm."
    )


def _holes(cell_mm: float, state: States) -> str:
    covered, unseen, doubtful = (
        np.count_nonzero(state == one) * cell_mm**2 / 1e6 for one in (COVERED, UNSEEN, DOUBTFUL)
    )
    return (
        f"Within its outline {covered + unseen + doubtful:.1f} m² are holes and stay holes: "
        f"{covered:.1f} m² covered by what stands there, {unseen:.1f} m² unseen, "
        f"{doubtful:.1f} m² doubtful."
    )


def _levels(chosen: Chosen) -> list[str]:
    said = []
    for level in chosen.levels:
        side = "above" if level.step_mm > 0 else "below"
        what = f"A level of {level.area_m2:.1f} m², {abs(level.step_mm):.0f} mm {side} the floor "
        if level.is_floor:
            said.append(what + "beside it, counts as floor. Look whether it is.")
        elif abs(level.step_mm) <= OVERHEAD_MM:
            why = f"further than {STEP_MM:g} mm or out of reach"
            said.append(what + f"next to it, was left out ({why}). If it is floor, scan it alone.")
    return said


def _taken(removed: pd.DataFrame) -> str:
    over, under = removed[removed["where"] == "over"], removed[removed["where"] == "under"]
    said = f"{len(over)} patches of points over the floor ({over['area_m2'].sum():.1f} m²)"
    if len(under):
        said += f" and {len(under)} under it ({under['area_m2'].sum():.1f} m²)"
    return said + " were taken away."
