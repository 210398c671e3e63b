"""Readings in doubt: which is named, and how many."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from kit.floor import fit_surface
from kit.in_doubt import in_doubt, odd_readings
from kit.readings import Heights, Readings, Table, adjust

ODD = 17


def heights_of(benchmark: str | None = None) -> Heights:
    """Return heights of 40 points on a slope, of which one stands 30 mm too high."""
    rng = np.random.default_rng(8)
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(8) * 610.0, np.arange(5) * 730.0))
    height = 0.002 * x - 0.001 * y + rng.normal(0, 0.3, 40)
    height[ODD] += 30.0
    rows = pd.DataFrame(
        {
            "row": np.arange(2, 42),
            "point": [f"P{i}" for i in range(40)],
            "x_mm": x,
            "y_mm": y,
            "observed_mm": height,
            "sd_mm": 0.4,
            "setup": "",
        }
    )
    table = Table("floor.csv", "heights", "", rows, pd.DataFrame(index=rows.index))
    return adjust(Readings((table,)), benchmark, 0.0)


def test_the_odd_point_is_named_though_the_surface_has_left_a_row_out() -> None:
    heights = heights_of()
    x, y, z = (heights.points[name].to_numpy() for name in ("x_mm", "y_mm", "height_mm"))
    kept = np.delete(np.arange(40), [3, 9])
    surface = fit_surface(x[kept], y[kept], z[kept], np.full(38, 0.16))
    said = list(odd_readings(heights, surface))
    assert len(said) == 1
    assert said[0].startswith(f"Point P{ODD} (floor.csv row {ODD + 2}, read once) lies far higher")


@pytest.mark.parametrize(("suspects", "told"), [(0, 1), (5, 6), (6, 7), (19, 7)])
def test_of_many_the_first_are_named(suspects: int, told: int) -> None:
    names = tuple(f"reading {i} is wrong." for i in range(suspects))
    heights = replace(heights_of(), suspects=names, odd=("the floor looks odd.",))
    found = list(in_doubt(heights))
    assert len(found) == told
    assert found[0].found == "the floor looks odd"
    if suspects == 19:
        assert found[-1].found == "14 more of them"
