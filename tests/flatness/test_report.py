"""Everything of a floor in one report: the same figures as each part alone."""

import numpy as np
import pandas as pd
import pytest

from kit.flatness import (
    Line,
    classes_by_area,
    domestic_guidance,
    e1155_of_floor,
    flatness_report,
    lines_for,
    stichmass_of_floor,
    straight_edge_map,
    worst_places,
)
from kit.job import MovementJoint, Refusal

JOINT = MovementJoint(name="M", from_mm=(9000, 0), to_mm=(9000, 9000))


def test_every_table_is_that_of_its_part(hall):
    told = []
    report = flatness_report(hall, joints=[JOINT], tell=told.append)
    maps = [straight_edge_map(hall, 2000, axis) for axis in ("x", "y")]
    same = pd.testing.assert_frame_equal
    same(report.classes, classes_by_area(maps))
    same(report.worst, worst_places(maps, 10, 1000))
    same(report.din18202, stichmass_of_floor(hall), check_dtype=False)
    same(report.domestic, domestic_guidance(hall))
    lines = lines_for("E1155", hall, [JOINT])
    assert report.lines == lines
    same(report.e1155, e1155_of_floor(hall, lines, [JOINT]))
    assert told == sorted(told)
    assert (told[0] > 0, told[-1]) == (True, 1.0)
    assert any("approves no floor" in note for note in report.notes)


def test_tables_have_the_names_of_files(hall):
    tables = flatness_report(hall).tables()
    assert list(tables) == [
        "straight-edge.csv", "classes.csv", "worst-places.csv", "din18202.csv", "e1155.csv",
        "domestic.csv",
    ]  # fmt: skip
    cells = tables["straight-edge.csv"].set_index(["x_mm", "y_mm"])
    assert len(cells) == hall.known.sum()
    along_y = straight_edge_map(hall, 2000, "y").departure_mm
    assert cells.loc[(700, 4500), "along_y_mm"] == along_y[45, 7]
    assert np.isnan(cells.loc[(700, 4500), "along_x_mm"])


def test_drawn_lines_are_cut_open_and_judged(hall):
    drawn = [Line("A", (800, 1500), (8300, 1500)), Line("B", (0, 0), (14_000, 8000))]
    report = flatness_report(hall, lines=drawn, edge_mm=1000)
    assert report.e1155["line"].tolist() == ["A", "B", "all lines"]
    assert report.e1155["state"].tolist() == ["told", "not checked", "not checked"]
    assert (report.along_x.edge_mm, report.sections["A"].edge_mm) == (1000, 1000)
    cut = report.tables()["sections.csv"]
    assert cut["line"].value_counts().to_dict() == {"A": 76, "B": 162}
    assert cut.columns.tolist() == ["line", "at_mm", "x_mm", "y_mm", "height_mm"]


def test_readings_too_far_apart_leave_what_needs_them_unchecked(hall):
    report = flatness_report(hall, readings_mm=1100)
    assert not report.along_x.checked.any()
    assert report.classes.set_index("class").loc["not checked", "share"] == 1
    assert len(report.worst) == 0
    assert report.din18202["state"].tolist() == [*["not checked"] * 2, *["kept"] * 3]
    assert "1100 mm apart there; 500 mm at most" in report.din18202["why"].iloc[1]
    assert set(report.e1155["state"]) == {"not checked"}
    states = report.domestic.set_index("rule")["state"]
    assert states["out of level over 1 m"] == states["out of flat under 2 m"] == "not checked"
    assert states["out of level over 2 m"] != "not checked"
    assert any("straight edge: 137.2 m² of 137.2 m² left out" in note for note in report.notes)
    # At 700 mm the 2 m edge is told, stations are not.
    nearer = flatness_report(hall, readings_mm=700)
    assert nearer.along_x.checked.any()
    assert set(nearer.e1155["state"]) == {"not checked"}


def test_what_has_no_room_is_not_checked(grid_of):
    report = flatness_report(grid_of(np.zeros((5, 6))))
    assert report.classes["share"].iloc[-1] == 1
    assert report.e1155["why"].tolist() == ["no line could be told"]
    assert set(report.din18202["state"].iloc[2:]) == {"not checked"}


def test_what_cannot_be_laid_is_refused(hall):
    with pytest.raises(Refusal, match="straight edge: found 2010 mm"):
        flatness_report(hall, edge_mm=2010)
    with pytest.raises(Refusal, match="table 3: found line 9"):
        flatness_report(hall).stichmass(9)
