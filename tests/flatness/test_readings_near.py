"""Cells that lie too far from readings, or in an excluded area, are holes to a figure."""

import numpy as np
import pytest

from kit.flatness import (
    Line,
    e1155_of_floor,
    flatness_report,
    grid_of_surface,
    readings_apart_mm,
    stichmass_of_floor,
    straight_edge_map,
)
from kit.flatness.readings_near import (
    apart_by_cell,
    excluded_cells,
    near_enough,
    readings_by_cell_mm,
    said_of_far,
    without,
    without_excluded,
)
from kit.floor import fit_surface
from kit.job import Excluded, Refusal

RAMP = Excluded(name="ramp", corner_mm=(10_950, 6000), size_mm=(2000, 1500))


@pytest.fixture
def apart(hall):
    """Readings 500 mm apart, but 1222 mm in a strip of x 12.0 to 12.4 m, y 1 to 3 m."""
    found = np.full(hall.height_mm.shape, 500.0)
    found[10:31, 120:125] = 1222.0
    return found


def test_one_thin_strip_leaves_out_only_what_lies_over_it(hall, apart):
    report = flatness_report(hall, readings_mm=apart)
    lost = hall.height_mm.copy()
    lost[10:31, 120:125] = np.nan
    whole = straight_edge_map(hall, 2000, "x").departure_mm
    told = report.along_x.departure_mm
    # An edge of 2 m meets the strip where its middle lies within a metre of it.
    expected = whole.copy()
    expected[10:31, 110:135] = np.nan
    assert np.array_equal(told, expected, equal_nan=True)
    assert np.isfinite(whole[10:31, 110:135]).all()
    classes = report.classes.set_index("class")
    assert classes["area_m2"].sum() == pytest.approx(hall.area_m2)
    assert 0 < classes.loc["not checked", "share"] < 0.1
    assert classes["share_checked"].sum() == pytest.approx(1)
    said = next(note for note in report.notes if note.startswith("The straight edge"))
    assert "1.1 m² of 137.2 m² left out: readings lie up to 1222 mm apart there" in said
    assert "x 11950 to 12450, y 950 to 3050 mm" in said
    # 4 m need readings 2 m apart: as without the strip.
    din = report.din18202.set_index("distance_m")
    plain = stichmass_of_floor(hall).set_index("distance_m")
    assert din.loc[4.0].equals(plain.loc[4.0])
    # Elsewhere readings are 500 mm apart, all that 1 m needs.
    assert 0 < din.loc[1.0, "positions"] < plain.loc[1.0, "positions"]


def test_a_stichmass_counts_where_its_three_cells_do(hall):
    apart = np.full(hall.height_mm.shape, 400.0)
    apart[60, 70] = 900.0
    row = flatness_report(hall, readings_mm=apart).din18202.set_index("distance_m").loc[1.0]
    plain = stichmass_of_floor(hall, 3, [1.0]).iloc[0]
    # That cell is the first, the middle and the last of three, along x and along y.
    assert row["positions"] == plain["positions"] - 6
    assert "0.0 m² of 137.2 m² left out" in row["why"]


def test_a_line_is_told_where_all_its_stations_are(hall):
    apart = np.full(hall.height_mm.shape, 250.0)
    apart[60, 40] = 301.0
    lines = [Line("over", (1000, 6000), (8200, 6000)), Line("beside", (1000, 7300), (8200, 7300))]
    table = e1155_of_floor(hall, lines, readings_mm=apart).set_index("line")
    assert table.loc["over", "state"] == "not checked"
    assert table.loc["over", "why"] == (
        "1 of 25 stations lie where readings are more than 300 mm apart"
    )
    assert table.loc["beside", "state"] == "told"


def test_levels_over_a_metre_need_readings_a_metre_apart(hall, apart):
    """A spike in the strip counts for what needs no such readings, and for the rest not."""
    hall.height_mm[20, 122] += 400.0
    rules = flatness_report(hall, readings_mm=apart).domestic.set_index("rule")
    assert rules.loc["out of level over 2 m", "worst_mm"] > 390
    for rule in ("out of level over 1 m", "out of flat under 2 m"):
        assert rules.loc[rule, "worst_mm"] < 100
        assert "left out" in rules.loc[rule, "why"]


def test_cells_know_their_own_readings():
    """Closed form: a corner of four 100 mm cells in the middle of four readings 400 mm apart."""
    x, y = (each.ravel() for each in np.meshgrid(400.0 * np.arange(6), 400.0 * np.arange(5)))
    kept = (x != 800) | (y != 800)
    surface = fit_surface(x[kept], y[kept], 0.002 * x[kept], np.full(kept.sum(), 0.09))
    grid = grid_of_surface(surface, 100.0)
    apart = readings_by_cell_mm(surface, grid)
    assert apart[0, 0] == pytest.approx(np.sqrt(2) * np.hypot(50, 50))
    assert apart[2, 2] == pytest.approx(400)
    # At the reading left out, one of its corners lies 50 mm from the cell, 350 from the next.
    assert apart[8, 8] == pytest.approx(np.sqrt(2) * 400)
    assert readings_apart_mm(surface, grid) == np.nanmax(apart)


def test_excluded_cells_are_holes_to_everything(hall):
    report = flatness_report(hall, excluded=[RAMP])
    cells = excluded_cells(hall, [RAMP])
    assert cells.sum() == 20 * 16  # x 11.0 to 12.9 m, y 6.0 to 7.5 m, both edges of y on middles
    classes = report.classes.set_index("class")
    assert classes.loc["excluded", "area_m2"] == pytest.approx(3.2)
    assert classes["area_m2"].sum() == pytest.approx(hall.area_m2)
    assert classes["share"].sum() == pytest.approx(1)
    assert classes["share_checked"].sum() == pytest.approx(1)
    holes = without_excluded(hall, [RAMP])
    assert np.array_equal(report.grid.known, hall.known & ~cells)
    plain = flatness_report(holes)
    assert np.array_equal(report.along_y.departure_mm, plain.along_y.departure_mm, equal_nan=True)
    assert report.din18202.equals(plain.din18202)
    assert report.e1155.equals(plain.e1155)
    assert report.domestic.equals(plain.domestic)
    assert "Excluded: ramp, 3.20 m² of floor. No figure speaks of it." in report.notes


def test_a_scan_is_told_as_it_is(hall):
    assert near_enough(hall, 0.0, 50.0) is hall
    assert near_enough(hall, np.full(hall.height_mm.shape, 300.0), 300.0) is hall
    assert without(hall, ~hall.known) is hall
    assert said_of_far(hall, 0.0, 50.0) == ""
    assert without_excluded(hall, []) is hall


def test_readings_of_another_grid_are_refused(hall):
    with pytest.raises(Refusal, match=r"readings_mm: found shape \(3, 4\)"):
        apart_by_cell(hall, np.zeros((3, 4)))
