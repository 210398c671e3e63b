"""A floor that steps: every figure is that of floors sawn apart along the steps by hand."""

import numpy as np
import pandas as pd
import pytest

from kit.flatness import (
    Line,
    check_line,
    classes_by_area,
    domestic_guidance,
    flatness_report,
    lines_for,
    stichmass_of_floor,
    straight_edge_map,
)
from kit.flatness.by_level import (
    drawn_out,
    joined,
    level_grids,
    levels,
    said_of_steps,
    worst_of_levels,
)
from kit.job import FloorStep

STEP = FloorStep(name="kerb", from_mm=(6050, 0), to_mm=(6050, 2000))
ASKEW = FloorStep(name="ramp", from_mm=(4000, 9000), to_mm=(8000, 500))
ACROSS = FloorStep(name="dais", from_mm=(0, 6450), to_mm=(100, 6450))


def sides(hall, step):
    """Tell which cells lie beyond a step: by the sign of the area of a triangle, cell by cell."""
    (ax, ay), (bx, by) = step.from_mm, step.to_mm
    if by < ay:
        ax, ay, bx, by = bx, by, ax, ay
    return np.array([
        [(bx - ax) * (y - ay) - (by - ay) * (x - ax) < 0 for x in hall.x_mm] for y in hall.y_mm
    ])  # fmt: skip


def stepped(hall, grid_of, *steps):
    """Return the hall with each step's far side 120 mm higher, and the sides."""
    far = [sides(hall, step) for step in steps]
    return grid_of(hall.height_mm + 120.0 * sum(one.astype(float) for one in far)), far


def sawn(floor, grid_of, far):
    """Return a floor for each combination of sides, cut out by hand."""
    which = sum(one.astype(int) << k for k, one in enumerate(far))
    return [grid_of(np.where(which == k, floor.height_mm, np.nan)) for k in np.unique(which)]


@pytest.mark.parametrize("edge_mm", [2000, 1300])
def test_a_flat_floor_with_a_step_departs_nowhere(edge_mm, grid_of):
    height = np.where(np.arange(80) > 47, 120.0, 0.0) + np.zeros((50, 1))
    floor = grid_of(height)
    step = FloorStep(name="kerb", from_mm=(4750, 900), to_mm=(4750, 100))
    report = flatness_report(floor, edge_mm=edge_mm, steps=[step])
    half = -(-edge_mm // 200)
    assert np.nanmax(report.along_x.departure_mm) == 0
    assert np.nanmax(report.along_y.departure_mm) == 0
    # Where its middle lies nearer to the step than half its length it is not laid along x.
    told = np.isfinite(report.along_x.by_cell_mm[20])
    assert not told[48 - half + 1 : 48 + half - 1].any()
    assert told[half : 48 - half].all()
    assert told[48 + half : 80 - half].all()
    assert np.isfinite(report.along_y.by_cell_mm[25]).all()
    assert report.din18202["worst_mm"].abs().max() == 0
    assert report.domestic["worst_mm"].max() == 0
    assert set(report.domestic["state"]) <= {"kept", "not checked"}
    if edge_mm == 2000:
        # Without a word of the step the edge tips over it: 120 mm over 19 of its 20 cells.
        plain = straight_edge_map(floor, 2000, "x").departure_mm
        assert np.nanmax(plain) == pytest.approx(120 * 19 / 20)


@pytest.mark.parametrize("steps", [[STEP], [ASKEW], [ASKEW, ACROSS], [STEP, ACROSS, ASKEW]])
@pytest.mark.parametrize("edge_mm", [2000, 700])
def test_the_edge_is_that_of_floors_sawn_apart(steps, edge_mm, hall, grid_of):
    floor, far = stepped(hall, grid_of, *steps)
    parts = sawn(floor, grid_of, far)
    told = []
    for axis in ("x", "y"):
        found = straight_edge_map(floor, edge_mm, axis, told.append, steps)
        each = [straight_edge_map(one, edge_mm, axis).departure_mm for one in parts]
        # Round-off of levels that are told from another height: a few 1e-14.
        np.testing.assert_allclose(found.departure_mm, np.fmax.reduce(each), atol=1e-11)
        row, column = np.argwhere(found.checked)[len(told)]
        lie = found.placement(row, column)
        assert lie.departure_mm == pytest.approx(found.departure_mm[row, column], abs=1e-9)
    halfway = len(told) // 2
    assert told[:halfway] == sorted(told[:halfway])
    assert told[-1] == 1.0


@pytest.mark.parametrize("steps", [[STEP], [ASKEW, ACROSS]])
def test_stichmass_and_guidance_are_those_of_floors_sawn_apart(steps, hall, grid_of):
    floor, far = stepped(hall, grid_of, *steps)
    parts = sawn(floor, grid_of, far)
    found = stichmass_of_floor(floor, 3, [1, 4, 8], steps).set_index("distance_m")
    each = [stichmass_of_floor(one, 3, [1, 4, 8]).set_index("distance_m") for one in parts]
    for metres, row in found.iterrows():
        rows = [one.loc[metres] for one in each if one.loc[metres, "state"] != "not checked"]
        assert row["positions"] == sum(one["positions"] for one in rows)
        assert row["beyond"] == sum(one["beyond"] for one in rows)
        worst = max(abs(one["worst_mm"]) for one in rows)
        assert abs(row["worst_mm"]) == worst
        # The hall's waves repeat: of equal ones, to round-off, any level's place will do.
        places = ["worst_mm", "x_mm", "y_mm", "axis"]
        equal = [one[places].tolist() for one in rows if abs(abs(one["worst_mm"]) - worst) < 1e-9]
        assert row[places].tolist() in equal
    assert found["worst_mm"].abs().max() < 30
    assert stichmass_of_floor(floor, 3, [1])["worst_mm"].abs().max() > 50
    levels_found = domestic_guidance(floor, steps=steps)
    rules = [domestic_guidance(one)["worst_mm"] for one in parts]
    assert levels_found["worst_mm"].tolist() == np.fmax.reduce(rules).tolist()
    assert domestic_guidance(floor)["worst_mm"].max() > 100


def test_classes_and_worst_places_know_of_the_step(hall, grid_of):
    floor, far = stepped(hall, grid_of, ASKEW)
    report = flatness_report(floor, steps=[ASKEW])
    parts = [[straight_edge_map(one, 2000, axis) for axis in ("x", "y")]
             for one in sawn(floor, grid_of, far)]  # fmt: skip
    areas = sum(classes_by_area(maps)["area_m2"] for maps in parts)
    assert report.classes["area_m2"].tolist() == pytest.approx(areas.tolist())
    assert report.worst["departure_mm"].max() < 10
    assert flatness_report(floor).worst["departure_mm"].max() > 100
    for row in report.worst.itertuples():
        ends = [
            far[0][round(y / 100), round(x / 100)]
            for x, y in ((row.from_x_mm, row.from_y_mm), (row.to_x_mm, row.to_y_mm))
        ]
        assert ends[0] == ends[1]
    assert report.stichmass(4)["limit_mm"].tolist() == [1, 3, 9, 12, 15]
    assert report.stichmass(3).equals(report.din18202)


def test_without_steps_nothing_is_copied_and_nothing_changes(hall):
    assert level_grids(hall, ()) == (hall,)
    one = np.arange(3.0)
    assert joined([one]) is one
    plain = flatness_report(hall, lines=[Line("A", (800, 1500), (8300, 1500))])
    # A step in the next hall leaves this one in one piece.
    away = FloorStep(name="away", from_mm=(90_000, 0), to_mm=(90_000, 1))
    assert level_grids(hall, [away])[0] is hall
    same = flatness_report(hall, lines=[Line("A", (800, 1500), (8300, 1500))], steps=[away])
    assert same.notes == plain.notes
    for name, table in plain.tables().items():
        pd.testing.assert_frame_equal(same.tables()[name], table, check_exact=True)


def test_levels_are_named_by_their_steps(hall):
    found = levels(hall, [STEP, ACROSS])
    assert [one.words for one in found] == [
        "before step 'kerb', before step 'dais'",
        "beyond step 'kerb', before step 'dais'",
        "before step 'kerb', beyond step 'dais'",
        "beyond step 'kerb', beyond step 'dais'",
    ]
    assert np.sum([one.cells for one in found], axis=0).tolist() == np.ones((91, 151)).tolist()
    assert sum(one.grid.area_m2 for one in found) == pytest.approx(hall.area_m2)
    assert sum(int(one.grid.count.sum()) for one in found) == hall.count.sum()
    # A step without a name is told by its number.
    assert levels(hall, [Line("", (0, 450), (1, 450))])[1].words == "beyond step '1'"


def test_cells_are_told_by_their_middles_and_those_crossed_are_said(hall):
    # 30 mm beyond the middles at x 6000: they lie before it, and it crosses all 91 of them.
    near = FloorStep(name="near", from_mm=(6030, 0), to_mm=(6030, 1))
    before, _ = level_grids(hall, [near])
    assert before.known[:, 60].all()
    assert not before.known[:, 61].any()
    first, second = said_of_steps(hall, [near])
    assert first == "The floor steps along near: nothing is measured across."
    assert second.startswith("Steps cross 91 cells.")
    # Between cells it crosses none; on a middle itself the cell lies before it.
    assert len(said_of_steps(hall, [STEP])) == 1
    on = FloorStep(name="on", from_mm=(6000, 5), to_mm=(6000, 0))
    assert level_grids(hall, [on])[0].known[:, 60].all()
    assert said_of_steps(hall, []) == ()


def test_a_step_is_drawn_out_beyond_the_floor(hall):
    (line,) = drawn_out(hall, [ASKEW])
    assert line.name == "ramp"
    for x, y in (line.from_mm, line.to_mm):
        assert not (0 <= x <= 15_000 and 0 <= y <= 9000)
        # On the step's own line: 8500 along y down for 4000 along x.
        assert 8500 * (x - 4000) + 4000 * (y - 9000) == pytest.approx(0, abs=1e-3)
    short = drawn_out(hall, [FloorStep(name="s", from_mm=(6050, 40), to_mm=(6050, 41))])[0]
    assert sorted([short.from_mm[1], short.to_mm[1]])[0] < -100
    assert sorted([short.from_mm[1], short.to_mm[1]])[1] > 9100


def test_no_line_crosses_a_step(hall, grid_of):
    floor, (far,) = stepped(hall, grid_of, STEP)
    crossing = Line("A", (900, 1500), (9900, 1500))
    beside = Line("B", (6550, 700), (6550, 5800))
    clear = Line("C", (6650, 700), (6650, 5800))
    for standard in ("E1155", "DIN 18202", "BS 8204"):
        # STEP is drawn from y 0 to 2000; drawn out it bars the way at y 1500 and at y 7000.
        assert "it crosses step kerb" in check_line(standard, crossing, floor, steps=[STEP])
        later = Line("A", (900, 7000), (9900, 7000))
        assert "it crosses step kerb" in check_line(standard, later, floor, steps=[STEP])
        assert check_line(standard, clear, floor, steps=[STEP]) == ()
        for line in lines_for(standard, floor, steps=[STEP]):
            columns = [round(x / 100) for x, _ in (line.from_mm, line.to_mm)]
            assert far[0, columns[0]] == far[0, columns[1]]
    assert check_line("E1155", beside, floor, steps=[STEP]) == (
        "it comes within 500 mm of step kerb; 600 mm are kept",
    )
    assert check_line("DIN 18202", beside, floor, steps=[STEP]) == ()


def test_lines_laid_out_are_told_on_both_levels(hall, grid_of):
    floor, _ = stepped(hall, grid_of, STEP)
    report = flatness_report(floor, steps=[STEP])
    *rows, _all = report.e1155.to_dict("records")
    assert rows
    assert {row["state"] for row in rows} == {"told"}
    for line in report.lines:
        assert check_line("E1155", line, floor, steps=[STEP]) == ()
    far = [line.from_mm[0] > 6050 for line in report.lines]
    assert any(far)
    assert not all(far)
    # The same floor without its 120 mm tells the same: they are nowhere in it.
    level = flatness_report(hall, steps=[STEP]).e1155
    assert report.e1155["F_L"].tolist() == pytest.approx(level["F_L"].tolist(), nan_ok=True)


def test_rows_of_levels_are_joined_by_the_worst():
    unknown = {"worst_mm": np.nan, "positions": 0, "beyond": 0, "state": "not checked", "why": "w"}
    small = {"worst_mm": 3.0, "positions": 7, "beyond": 0, "state": "kept", "why": ""}
    large = {"worst_mm": -5.0, "positions": 4, "beyond": 2, "state": "not kept", "why": ""}
    both = worst_of_levels([unknown, small, large])
    assert both == {"worst_mm": -5.0, "positions": 11, "beyond": 2, "state": "not kept", "why": ""}
    assert worst_of_levels([unknown, unknown | {"why": "other"}])["why"] == "w"
    assert worst_of_levels([small]) is small
