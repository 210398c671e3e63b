"""Heights, departures and changes of a floor from above."""

import numpy as np
import pytest

from kit.flatness import flatness_report, worse_of
from kit.show.large_floor.floor_maps import change_map, edge_map_chart, height_map, scale_end_mm


@pytest.fixture(scope="module")
def report(hall):
    return flatness_report(hall, edge_mm=1000.0)


def drawn(chart, meta):
    return next(trace for trace in chart.figure.data if trace.meta == meta)


def test_the_height_map_says_area_cell_and_extremes(hall):
    shown = height_map(hall, "Hall", sentences=["As scanned."], zero="the zero of BM")
    title = shown.figure.layout.title.text
    low, high = np.nanmin(hall.height_mm), np.nanmax(hall.height_mm)
    assert "As scanned." in title
    assert f"{hall.area_m2:.0f} m² of floor in cells of 100 mm" in title.replace("<br>", " ")
    assert f"lowest {low:.2f}, highest {high:.2f} mm above the zero of BM" in title.replace(
        "<br>", " "
    )


def test_departures_are_the_worse_of_both_ways(report):
    cells = drawn(edge_map_chart(report), "cells")
    worst = worse_of((report.along_x, report.along_y))
    shown = np.array([[np.nan if v is None else v for v in row] for row in cells.z], dtype=float)
    np.testing.assert_allclose(shown, worst, atol=6e-5)  # four digits are drawn
    assert (cells.zmin, cells.zmax) == (0.0, 10.0)


def test_worst_places_are_numbered_with_their_edges(report):
    chart = edge_map_chart(report)
    numbers = drawn(chart, "worst")
    assert list(numbers.x) == report.worst["x_mm"].tolist()
    assert f"gap {report.worst['departure_mm'].iloc[0]:.2f} mm" in numbers.hovertext[0]
    edges = drawn(chart, "worst edges")
    assert edges.x[0] == report.worst["from_x_mm"].iloc[0]
    assert edges.y[1] == report.worst["to_y_mm"].iloc[0]


def test_classes_are_shares_of_what_was_checked(report):
    title = edge_map_chart(report).figure.layout.title.text.replace("<br>", " ")
    told = report.classes.set_index("class")["area_m2"].drop("not checked")
    floor = report.classes["area_m2"].sum()
    assert told.sum() < floor  # two different shares
    assert f"SR1 {told['SR1'] / told.sum():.0%} ({told['SR1'] / floor:.0%})" in title
    assert f"the {told.sum():.0f} m² that were checked" in title
    assert f"of the {floor:.0f} m² of floor" in title


def test_a_change_is_drawn_with_its_sign(hall):
    change = np.where(hall.known, 0.0, np.nan)
    change[5, 7], change[20, 30] = 2.5, -4.0
    chart = change_map(hall, change, "Grind and fill", ["As worked out."])
    cells = drawn(chart, "cells")
    # Of two changes, 98 in 100 is two hundredths of their difference below the larger.
    assert (cells.zmin, cells.zmax) == pytest.approx((-3.97, 3.97), abs=1e-9)
    title = chart.figure.layout.title.text.replace("<br>", " ")
    assert "Most filled: 2.50 mm, at x 750, y 650 mm." in title
    assert "Most ground off: 4.00 mm, at x 3050, y 2150 mm." in title
    assert "Beyond 3.97 mm" in title
    assert cells.z[5][7] == 2.5
    assert cells.z[20][30] == -4.0
    nothing = change_map(hall, 0 * change, "None", [])
    assert drawn(nothing, "cells").zmax > 0


def test_inches(report):
    title = edge_map_chart(report, "in").figure.layout.title.text
    assert "39 3/8 in" in title


def test_one_deep_place_does_not_hide_all_other_work():
    change = np.full((10, 30), np.nan)
    change[:, :20] = np.linspace(0.5, 2.0, 200).reshape(10, 20)
    change[3, 3] = -40.0
    assert 1.9 < scale_end_mm(change) < 2.0
    assert scale_end_mm(0.1 * change / 40) == 1.0  # hardly anything: not blown up


def test_lines_of_the_standard_are_drawn_and_named(report):
    chart = edge_map_chart(report)
    lines = drawn(chart, "lines")
    assert lines.x[:2] == (report.lines[0].from_mm[0], report.lines[0].to_mm[0])
    words = [note.text for note in chart.figure.layout.annotations]
    assert all(f"<b>{line.name}</b>" in words for line in report.lines)
