"""A line drawn by two taps or typed, and the floor along it."""

import numpy as np
import pytest

from kit.flatness import section
from kit.show.large_floor.section_chart import section_drawing, section_table
from kit.show.large_floor.section_panel import SectionPanel


@pytest.fixture
def panel(hall):
    return SectionPanel(hall, edge_mm=1000.0, line=((250.0, 1350.0), (4250.0, 1350.0)))


def profile_of(panel):
    return next(trace for trace in panel.chart.widget.data if trace.meta == "profile")


def test_it_opens_with_the_line_given(panel, hall):
    row = int(np.argmin(abs(hall.y_mm - 1350.0)))
    drawn = np.array(profile_of(panel).y, dtype=float)
    np.testing.assert_allclose(drawn, hall.height_mm[row, 2:43], atol=6e-5)  # four digits drawn
    assert [box.value for box in panel.boxes] == ["250", "1350", "4250", "1350"]


def test_two_taps_draw_another_line(panel):
    panel.tap((350.0, 450.0))
    assert panel.line == ((250.0, 1350.0), (4250.0, 1350.0))
    assert "begins here" in panel.message.value
    panel.tap((350.0, 2450.0))
    assert panel.line == ((350.0, 450.0), (350.0, 2450.0))
    assert [box.value for box in panel.boxes] == ["350", "450", "350", "2450"]
    assert len(profile_of(panel).y) == 21


def test_typed_ends_draw_it_too(panel):
    panel.boxes[2].value = "3250"
    assert panel.line == ((250.0, 1350.0), (3250.0, 1350.0))
    assert "3000.0 mm" in panel.page.value


@pytest.mark.parametrize(("typed", "said"), [("wide", "a length in mm"), ("99000", "to x|line")])
def test_what_is_no_line_is_told_and_the_last_one_stays(panel, typed, said):
    before = panel.page.value
    panel.boxes[2].value = typed
    assert 'role="alert"' in panel.message.value
    assert any(word in panel.message.value for word in said.split("|"))
    assert panel.page.value == before
    assert panel.line[1] == (4250.0, 1350.0)


def test_inches_in_boxes_and_figures(hall):
    panel = SectionPanel(hall, "in", edge_mm=1000.0, line=((254.0, 1350.0), (4250.0, 1350.0)))
    assert panel.boxes[0].value == "10"
    panel.boxes[0].value = "20 1/2"
    assert panel.line[0] == pytest.approx((20.5 * 25.4, 1350.0))


def test_the_figures_are_those_of_the_section(hall):
    cut = section(hall, (250.0, 1350.0), (4250.0, 1350.0), 100.0, 1000.0)
    table = dict(section_table(cut, "mm").rows)
    worst = cut.worst(1).iloc[0]
    assert table["gap 1 under 1000 mm"].startswith(f"{worst['departure_mm']:.2f} mm at")
    assert table["DIN 18202, 0.1 m"] == "not checked"
    edges = next(t for t in section_drawing(cut, "mm").traces if t["meta"] == "edges")
    assert edges["x"][:2] == [worst["from_mm"], worst["to_mm"]]


def test_without_a_line_it_takes_the_middle_of_the_floor(hall):
    panel = SectionPanel(hall, edge_mm=1000.0)
    (x1, y1), (x2, y2) = panel.line
    assert (x1, x2) == (hall.x_mm[0], hall.x_mm[-1])
    assert y1 == y2
    assert hall.known[int(np.argmin(abs(hall.y_mm - y1)))].all()


def test_another_line_is_cut_once(panel, monkeypatch):
    cut = []
    whole = panel._cut
    monkeypatch.setattr(panel, "_cut", lambda *ends: cut.append(ends) or whole(*ends))
    panel.draw((450.0, 550.0), (2450.0, 3150.0))
    assert cut == [((450.0, 550.0), (2450.0, 3150.0))]
