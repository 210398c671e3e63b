"""The tables of a scan's floor."""

import numpy as np
import pandas as pd
import pytest

from kit.height_grid import HeightGrid
from kit.job import Refusal
from kit.scan.found import ScanFloor
from kit.scan.states import COVERED, DOUBTFUL, FLOOR, UNSEEN


def floor() -> ScanFloor:
    """Four rows of five cells of 200 mm with a hole of three cells inside and one at the rim."""
    state = np.zeros((4, 5), dtype=np.int8)
    state[1, 1], state[1, 2], state[2, 2] = COVERED, COVERED, DOUBTFUL
    state[3, 4] = UNSEEN
    height = np.where(state == FLOOR, np.arange(20.0).reshape(4, 5), np.nan)
    sd = np.where(state == FLOOR, 0.4, np.nan)
    count = np.where(state == FLOOR, 9, 0)
    grid = HeightGrid(100 + 200.0 * np.arange(5), -300 + 200.0 * np.arange(4), height, sd, count)
    removed = pd.DataFrame({"where": ["over"], "points": [7]})
    return ScanFloor(grid, state, removed, 200, ("a note",))


def test_holes_have_place_area_and_why() -> None:
    holes = floor().holes
    assert holes["area_m2"].tolist() == pytest.approx([0.12, 0.04])
    assert holes["covered_m2"].tolist() == pytest.approx([0.08, 0])
    assert holes["doubtful_m2"].tolist() == pytest.approx([0.04, 0])
    assert holes["unseen_m2"].tolist() == pytest.approx([0, 0.04])
    assert holes["x_mm"].tolist() == pytest.approx([(300 + 500 + 500) / 3, 900])
    assert holes["y_mm"].tolist() == pytest.approx([(-100 - 100 + 100) / 3, 300])
    assert holes["at_edge"].tolist() == [False, True]
    assert holes["why"].tolist() == [
        "something stands there",
        "no points: in a shadow or out of sight",
    ]


def test_tables_by_file() -> None:
    tables = floor().tables()
    assert list(tables) == ["scan-grid.csv", "scan-holes.csv", "scan-removed.csv"]
    assert len(tables["scan-grid.csv"]) == 16
    assert tables["scan-grid.csv"]["height_mm"].tolist()[5:7] == [5.0, 8.0]
    assert tables["scan-removed.csv"]["points"].tolist() == [7]
    assert floor().area_m2(COVERED) == pytest.approx(0.08)


def test_a_floor_without_holes_has_an_empty_table() -> None:
    one = floor()
    grid = HeightGrid(
        one.grid.x_mm, one.grid.y_mm, np.ones((4, 5)), np.ones((4, 5)), np.ones((4, 5), int)
    )
    full = ScanFloor(grid, np.zeros((4, 5), dtype=np.int8), one.removed, 20)
    assert len(full.holes) == 0
    assert "why" in full.holes


def test_states_and_heights_agree_or_are_refused() -> None:
    one = floor()
    with pytest.raises(Refusal, match="floor without a height"):
        ScanFloor(one.grid, np.zeros((4, 5), dtype=np.int8), one.removed, 20)
    with pytest.raises(Refusal, match="states of a scan"):
        ScanFloor(one.grid, one.state[:3], one.removed, 20)
