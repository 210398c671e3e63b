"""The panel follows its controls, refuses in words, keeps the last good answer, and saves."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

import kit
from kit.job import Job, Refusal
from kit.show.controls import LengthBox
from kit.show.panel import BasePanel
from kit.show.redesign import with_base


def drawn_tops(panel: BasePanel, axis: str = "x") -> dict[float, float]:
    """Return the top of the stack that is drawn at each place of one row."""
    tops: dict[float, float] = {}
    for trace in panel.figure.widget.data:
        if str(trace.meta).startswith("packers") and trace.xaxis == axis:
            for x, low, thick in zip(trace.x, trace.base, trace.y, strict=True):
                tops[float(x)] = max(tops.get(float(x), -1e9), float(low) + float(thick))
    return tops


@pytest.fixture
def panel(job: Job) -> BasePanel:
    return BasePanel(job)


def test_opens_on_the_best_height_of_the_job(panel: BasePanel) -> None:
    assert panel.free.value
    assert panel.height.mm == pytest.approx(panel.answer.datum.base_height_mm, abs=0.005)
    assert 48 <= panel.height.mm <= 66


def test_slider_moves_box_drawing_and_tables(panel: BasePanel) -> None:
    before = panel.tabs.children[0].value
    panel.slider.value = 60.5
    assert panel.height.mm == 60.5
    assert not panel.free.value
    assert panel.answer.datum.base_height_mm == pytest.approx(60.5, abs=1e-9)
    tops = drawn_tops(panel)
    on = panel.answer.supports[panel.answer.supports["bearer"] == "B"]
    assert set(tops) == set(on["own_x_mm"])
    # A stack meets the bearer's underside within the tolerance.
    assert np.abs(np.array(list(tops.values())) - panel.answer.datum.datum_mm).max() <= 0.5 + 1e-9
    assert panel.tabs.children[0].value != before


def test_typed_height_moves_the_slider(panel: BasePanel) -> None:
    panel.height.mm = 52.3
    assert panel.slider.value == pytest.approx(52.5)  # the nearest of its steps
    assert panel.answer.datum.base_height_mm == pytest.approx(52.3, abs=1e-9)


def test_best_height_comes_back(panel: BasePanel) -> None:
    best = panel.answer.datum.base_height_mm
    panel.height.mm = 64.0
    panel.free.value = True
    assert panel.answer.datum.base_height_mm == pytest.approx(best, abs=1e-9)
    assert panel.height.mm == pytest.approx(best, abs=0.005)


def test_what_cannot_be_is_said_and_the_last_good_answer_stays(panel: BasePanel) -> None:
    panel.height.mm = 58.0
    good, drawn = panel.answer, drawn_tops(panel)
    panel.height.mm = 400.0
    assert panel.answer is good
    assert drawn_tops(panel) == drawn
    assert panel.height.mm == 400.0  # what was typed stays: nothing is clamped
    assert "This cannot be built" in panel.message.value
    assert "last good answer" in panel.message.value
    assert "58.0 mm" in panel.message.value
    assert "Last good answer" in panel.line.value
    panel.height.mm = 57.0
    assert panel.message.value == ""
    assert panel.answer.datum.base_height_mm == pytest.approx(57.0, abs=1e-9)


@pytest.mark.parametrize(
    ("field", "bad", "words"),
    [
        ("back_mm", -5.0, "back set-back"),
        ("front_mm", 390.0, "front_mm"),
        ("max_span_mm", 100.0, "two packers of 75 mm"),
        ("tolerance_mm", 40.0, "tolerance"),
    ],
)
def test_other_figures_are_refused_in_words(
    panel: BasePanel, field: str, bad: float, words: str
) -> None:
    panel.boxes[field].mm = bad
    assert panel.refusal is not None
    assert words in panel.message.value
    assert panel.boxes[field].mm == bad


def test_shorter_spans_bring_more_stacks_into_the_drawing(panel: BasePanel) -> None:
    before = len(drawn_tops(panel))
    panel.boxes["max_span_mm"].mm = 300.0
    assert len(drawn_tops(panel)) > before
    assert len(drawn_tops(panel)) == len(panel.answer.layout.on_bearer("B"))


def test_set_back_moves_the_row(panel: BasePanel) -> None:
    panel.boxes["back_mm"].mm = 62.0
    assert panel.answer.layout.row("B").y_mm == 62.0 + 22.5
    assert "84.5" in panel.figure.widget.layout.annotations[0].text


def test_tolerance_widens_what_can_be_made(panel: BasePanel) -> None:
    before = panel.reach.high_mm
    panel.boxes["tolerance_mm"].mm = 1.5
    assert panel.reach.high_mm > before


def test_tabs_are_written_when_opened(panel: BasePanel) -> None:
    assert panel.tabs.children[3].value == ""
    panel.tabs.selected_index = 3
    assert "Take-off" in panel.tabs.children[3].value


def test_saving_writes_only_what_changed_and_keeps_comments(panel: BasePanel) -> None:
    panel.height.mm = 55.5
    panel.boxes["back_mm"].mm = 44.0
    panel.save.click()
    text = (panel.job.folder / "job.toml").read_text()
    assert "height_mm = 55.5" in text
    assert "back_mm = 44" in text
    assert "# kept when the panel saves" in text
    assert "max_span_mm = 500" in text
    assert "base height, back set-back" in panel.saved.value
    read = kit.read_job(panel.job.folder)
    assert read.bases[0].height_mm == 55.5
    assert (panel.job.folder / "job.toml.before").exists()


def test_saving_the_job_as_it_is_writes_nothing(panel: BasePanel) -> None:
    before = (panel.job.folder / "job.toml").read_bytes()
    panel.save.click()
    assert (panel.job.folder / "job.toml").read_bytes() == before
    assert "nothing was written" in panel.saved.value


def test_what_cannot_be_is_not_saved(panel: BasePanel) -> None:
    before = (panel.job.folder / "job.toml").read_bytes()
    panel.height.mm = 400.0
    panel.save.click()
    assert (panel.job.folder / "job.toml").read_bytes() == before
    assert "Nothing was saved" in panel.saved.value


def test_every_box_has_a_name_and_the_live_chart_no_way_out(panel: BasePanel) -> None:
    boxes = [panel.height, *panel.boxes.values()]
    assert all(box.widget.description.strip() for box in boxes)
    assert panel.figure.widget._config["showSendToCloud"] is False
    assert panel.figure.widget._config["displaylogo"] is False


def test_an_answer_opens_the_panel_without_another_look_at_the_floor(answer: Any) -> None:
    panel = BasePanel(answer)
    panel.slider.value = 59.0
    assert panel.answer.survey is answer.survey
    assert panel.answer.ground is answer.ground


def test_inches_are_typed_as_fractions_and_refused_when_they_are_none(inch_job: Job) -> None:
    panel = BasePanel(inch_job)
    panel.height.widget.value = "2 1/4"
    assert panel.answer.datum.base_height_mm == pytest.approx(57.15, abs=1e-9)
    panel.height.widget.value = "two and a bit"
    assert "cannot be built" in panel.message.value
    assert "inches such as" in panel.message.value


def test_a_rounded_figure_that_nobody_touches_stays_exact(inch_job: Job) -> None:
    panel = BasePanel(inch_job)
    panel.height.widget.value = "2 1/4"
    assert panel.boxes["back_mm"].widget.value == "1 37/64"
    assert panel.answer.base.back_mm == 40  # not 40.08, which 1 37/64 in is
    box = LengthBox("base height", 53.907948, "mm", 0.5)
    assert (box.widget.value, box.mm) == (53.91, 53.907948)


def test_a_box_hands_on_what_was_typed() -> None:
    box = LengthBox("front set-back", 55.0, "mm", 1.0)
    seen: list[float] = []
    box.on_change(lambda: seen.append(box.mm))
    box.widget.value = -3.25
    assert seen == [-3.25]


def test_values_are_judged_as_the_file_judges_them(job: Job) -> None:
    with pytest.raises(Refusal, match=r"base height: found .*-4"):
        with_base(job, "counter base", {"height_mm": -4.0})
    changed = with_base(job, "counter base", {"height_mm": (50.0, 51.0), "back_mm": 41.0})
    assert changed.bases[0].height_range_mm == (50.0, 51.0)
    assert changed.bases[0].front_mm == 50
