"""A scan's cells as readings, and its reading of a point by the plane of nine cells."""

import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pytest

from kit.height_grid import HeightGrid
from kit.job import Refusal
from kit.job.model import Survey
from kit.readings import Readings, Table, adjust
from kit.readings import scan_table as module
from kit.readings.scan_table import scan_table, tied, ties_of

SURVEY = Survey(kind="scan", file="hall.ply", sd_mm=0.4)


def grid_of(
    height: Callable[[np.ndarray, np.ndarray], np.ndarray],
    nx: int = 9,
    ny: int = 7,
    sd: float = 0.3,
) -> HeightGrid:
    x, y = 250.0 + 150.0 * np.arange(nx), -300.0 + 150.0 * np.arange(ny)
    heights = np.asarray(height(x[None, :], y[:, None]), float) + np.zeros((ny, nx))
    sds = sd * (1 + np.arange(ny * nx).reshape(ny, nx) / 100)
    heights[1, 2], sds[1, 2] = np.nan, np.nan
    return HeightGrid(x, y, heights, sds, np.where(np.isnan(heights), 0, 40))


def slope(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return 0.002 * x - 0.003 * y + 12


def points(**places: tuple[float, float]) -> pd.DataFrame:
    rows = [("few.csv", name, *place) for name, place in places.items()]
    return pd.DataFrame(rows, columns=["survey", "point", "x_mm", "y_mm"])


def test_one_row_a_cell_that_has_a_height() -> None:
    grid = grid_of(slope)
    found = scan_table(grid, SURVEY, 2520)
    rows = found.readings
    assert len(rows) == 62
    assert rows["row"].tolist() == list(range(1, 63))
    # Row by row along x: after eleven cells the hole at (550, -150).
    assert rows["point"].iloc[[0, 8, 9, 11]].tolist() == [
        "x250 y-300", "x1450 y-300", "x250 y-150", "x700 y-150",
    ]  # fmt: skip
    assert rows["observed_mm"].iloc[11] == pytest.approx(0.002 * 700 + 0.003 * 150 + 12)
    # The twelfth cell is the thirteenth of the grid.
    assert rows["sd_mm"].iloc[11] == pytest.approx(np.hypot(0.4, 0.3 * 1.12))
    assert found.understood == (
        "hall.ply (scan): 2,520 points in 62 cells of floor of 150 mm, 1.4 m²; 1 cells of its"
        " rectangle without a height; heights in mm; each cell known to 0.39 mm by its points,"
        " taken as 0.56 mm with sd_mm"
    )


@pytest.mark.parametrize(("sd", "cautions"), [(1.18, 0), (1.21, 1), (None, 0)])
def test_an_sd_that_looks_like_a_point_s_is_cautioned(sd: float | None, cautions: int) -> None:
    keys = {} if sd is None else {"sd_mm": sd}
    survey = Survey(kind="scan", file="hall.ply", **keys)
    # Of 62 known cells the middling ones have 0.3·1.31 and 0.3·1.32 mm; without sd_mm in the job
    # nothing was mistaken, however well the points know the floor.
    own = 0.3 if sd is not None else 0.01
    found = scan_table(grid_of(slope, sd=own), survey, 2520).remarks
    assert len(found) == cautions
    assert all(one.caution and "not the noise of a point" in one.text for one in found)


def test_on_a_plane_the_scan_reads_the_plane() -> None:
    grid = grid_of(slope)
    table = scan_table(grid, SURVEY, 2520)
    places = points(
        P=(1001.0, 37.0), near_edge=(300.0, 300.0), beside=(700.0, 160.0), out=(9e3, 0.0)
    )
    found = tied(table, grid, SURVEY, places)
    rows = found.readings.iloc[62:]
    assert rows["point"].tolist() == ["P", "beside"]
    assert rows["row"].tolist() == [63, 64]
    assert rows["observed_mm"].iloc[0] == pytest.approx(slope(np.array(1001.0), np.array(37.0)))
    assert "2 points of other tables lie in it" in found.understood


def test_beside_a_hole_or_the_edge_it_reads_nothing() -> None:
    grid = grid_of(slope)
    table = scan_table(grid, SURVEY, 2520)
    places = points(a=(700.0, -100.0), b=(400.0, -10.0), c=(1450.0, 0.0), d=(1000.0, 600.0))
    found = tied(table, grid, SURVEY, places)
    assert found.readings is table.readings
    assert found.untied == (
        "of the 4 points of other tables 4 lie on floor that it shows, but about none of these are"
        " all nine cells known"
    )
    away = tied(table, grid, SURVEY, points(e=(9000.0, 0.0), hole=(555.0, -160.0)))
    assert away.untied == ("none of the 2 points of other tables lies on floor that it shows")
    nowhere = tied(table, grid, SURVEY, points(f=(np.nan, np.nan)))
    assert nowhere.untied == "no other table has points that could lie in it"


def test_height_and_doubt_are_those_of_least_squares_through_nine_cells() -> None:
    rng = np.random.default_rng(5)
    rough = rng.normal(0, 0.05, (7, 9))
    grid = grid_of(lambda x, y: slope(x, y) + rough, sd=0.6)
    u, v = 40.0, -63.0
    found = tied(scan_table(grid, SURVEY, 9), grid, SURVEY, points(P=(1000.0 + u, 150.0 + v)))
    row = found.readings.iloc[-1]
    rows, columns = np.ix_([2, 3, 4], [4, 5, 6])
    design = np.array([[1.0, dx, dy] for dy in (-150, 0, 150) for dx in (-150, 0, 150)])
    hat = np.linalg.pinv(design)
    weight = np.array([1.0, u, v]) @ hat
    assert row["observed_mm"] == pytest.approx(weight @ grid.height_mm[rows, columns].ravel())
    sds = grid.sd_mm[rows, columns].ravel()
    # So smooth a floor leaves nothing over beyond the scatter of the cells.
    assert row["sd_mm"] == pytest.approx(np.sqrt(0.4**2 + np.sum((weight * sds) ** 2)))


def test_an_uneven_place_is_read_less_well() -> None:
    step = grid_of(lambda x, y: np.where(x + 0 * y > 900, 20.0, 0.0))
    found = tied(scan_table(step, SURVEY, 9), step, SURVEY, points(P=(1000.0, 150.0)))
    nine = step.height_mm[np.ix_([2, 3, 4], [4, 5, 6])].ravel()
    design = np.array([[1.0, dx, dy] for dy in (-1, 0, 1) for dx in (-1, 0, 1)])
    left = nine - design @ np.linalg.lstsq(design, nine, rcond=None)[0]
    assert found.readings["sd_mm"].iloc[-1] == pytest.approx(np.sqrt(left @ left / 6), rel=0.02)


def test_other_scans_tie_nothing(table: Callable[..., Table]) -> None:
    def named(count: int, letter: str, kind: str) -> Table:
        name = [f"{letter}{i}" for i in range(count)]
        rows = pd.DataFrame({"point": name, "x_mm": np.arange(count) * 7.0, "y_mm": 3.0})
        return table(rows.assign(observed_mm=1.0, sd_mm=1.0, setup=""), f"{letter}.csv", kind)

    tables = (named(3, "S", "scan"), named(2, "A", "heights"), named(501, "B", "staff"))
    tables = (*tables, named(4, "C", "scan"))
    found = ties_of(tables[0], tables, Readings(tables).places)
    assert set(found["point"]) == {"A0", "A1"} | {f"B{i}" for i in range(501)}
    assert found["survey"].value_counts().to_dict() == {"A.csv": 2, "B.csv": 501}


def test_of_a_large_table_500_points_spread_over_the_scan_tie_it() -> None:
    grid = grid_of(slope, nx=30, ny=40)
    rng = np.random.default_rng(3)
    # Most points crowd into one corner, and 300 lie off the scan.
    x = np.r_[rng.uniform(500, 900, 700), rng.uniform(500, 4300, 250), np.full(300, 9e4)]
    y = np.r_[rng.uniform(100, 500, 700), rng.uniform(100, 5200, 250), np.full(300, 0.0)]
    many = pd.DataFrame(
        {"survey": "many.csv", "point": [f"P{i}" for i in range(1250)], "x_mm": x, "y_mm": y}
    )
    others = pd.concat([many, points(Q=(2000.0, 2000.0))], ignore_index=True)
    table = scan_table(grid, SURVEY, 9)
    found = tied(table, grid, SURVEY, others)
    rows = found.readings.iloc[len(table.readings) :]
    assert len(rows) == 501
    assert rows["point"].iloc[-1] == "Q"
    assert rows["point"].is_unique
    assert rows["observed_mm"].to_numpy() == pytest.approx(
        slope(rows["x_mm"].to_numpy(), rows["y_mm"].to_numpy())
    )
    # Farthest first, so that of the 250 spread ones all but a few that stand close to others tie;
    # every other row by its number would have left half of them out.
    spread = set(many["point"].iloc[700:950])
    assert len(spread & set(rows["point"])) > 235
    assert (
        "951 points of other tables lie in it; 501 of these, spread over it, tie it to them"
        in found.understood
    )
    assert tied(table, grid, SURVEY, others).readings.equals(found.readings)


def test_points_of_one_place_are_no_obstacle() -> None:
    grid = grid_of(slope)
    names = [f"P{i}" for i in range(502)]
    same = pd.DataFrame({"survey": "s.csv", "point": names, "x_mm": 1000.0, "y_mm": 100.0})
    found = tied(scan_table(grid, SURVEY, 9), grid, SURVEY, same).readings.iloc[62:]
    assert len(found) == 500
    assert found["point"].is_unique


def test_a_staff_and_a_scan_of_one_floor_are_adjusted_together(staff: Callable[..., Any]) -> None:
    grid = grid_of(slope, nx=14, ny=60, sd=0.3)
    # The points of the fixture lie 400 mm apart along x and 30·i² along y.
    true = {f"P{i}": slope(np.array(400.0 * i), np.array(30.0 * i**2)) for i in range(1, 5)}
    true = {"far": 30.0, **true}
    readings = staff({"S1": {name: 1500.0 - float(h) for name, h in true.items()}})
    scan = scan_table(grid, SURVEY, 9)
    tables = (readings.tables[0], scan)
    others = ties_of(scan, tables, Readings(tables).places)
    both = Readings((readings.tables[0], tied(scan, grid, SURVEY, others)))
    heights = adjust(both, None, 0.0)
    at = heights.points.set_index("point")["height_mm"]
    # The staff's point far off the scan stands in the scan's heights by what ties the two.
    assert at["far"] - at["x250 y-300"] == pytest.approx(30.0 - float(slope(250.0, -300.0)))
    # Three points tie the two, and one of them is needed.
    assert heights.redundancy == 2
    assert any("hall.ply has a datum of its own" in note for note in heights.notes)


@pytest.mark.parametrize(
    ("limit", "enough"),
    [(20, "270 would do (400 where"), (61, "160 would do (200 where"), (35, "200 would do, or")],
)
def test_too_many_cells_say_how_large_a_cell_would_do(
    monkeypatch: pytest.MonkeyPatch, limit: int, enough: str
) -> None:
    monkeypatch.setattr(module, "MOST_CELLS", limit)
    with pytest.raises(Refusal, match="62 cells of floor.*cell_mm = " + re.escape(enough)):
        scan_table(grid_of(slope), SURVEY, 9)


def test_a_scan_of_another_unit_and_one_without_floor_are_refused() -> None:
    small = grid_of(slope, nx=3, ny=4)
    with pytest.raises(Refusal, match=r"0\.25 m² of floor from 700 points.*file_unit"):
        scan_table(small, SURVEY, 700)
    none = HeightGrid(
        small.x_mm, small.y_mm, small.height_mm * np.nan, small.sd_mm * np.nan, small.count * 0
    )
    with pytest.raises(Refusal, match="no cell shows floor"):
        scan_table(none, SURVEY, 700)
