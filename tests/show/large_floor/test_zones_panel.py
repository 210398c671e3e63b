"""The panel without a browser: another number, other steps, what cannot be, nonsense, inches."""

import pytest

from kit.base.stack_rules import to_mm
from kit.job import Refusal
from kit.show.large_floor import zones_panel
from kit.show.large_floor.zones_boxes import LEAST_PACKING
from kit.show.large_floor.zones_panel import ZonesPanel


@pytest.fixture
def panel(stalls):
    return ZonesPanel(*stalls)


@pytest.fixture(scope="module")
def kept(stalls):
    """A panel whose answer never changes."""
    return ZonesPanel(*stalls)


@pytest.fixture
def one_run(stalls):
    """The panel of the run on one level."""
    job, survey = stalls
    return ZonesPanel(job.model_copy(update={"runs": job.runs[1:]}), survey)


def bars(panel, run):
    return next(trace for trace in panel.menu.widget.data if trace.meta == f"menu of {run}")


def level_of(panel):
    return next(trace for trace in panel.chart.widget.data if trace.meta == "levels").y[0]


def test_it_begins_with_the_least_packing(panel, zones):
    assert [box.label for box in panel.boxes.zones.values()] == [LEAST_PACKING] * 2
    assert (panel.boxes.least.value, panel.boxes.greatest.value) == ("100", "200")
    assert "3 zones (run A in 2, run B in 1)" in panel.message.value
    assert "highest step 152.1 mm" in panel.message.value
    shown = bars(panel, "A")
    two = next(c for c in zones.menu if (c.run, c.zones) == ("A", 2))
    assert list(shown.x) == [1, 2, 3]
    assert shown.y[0] == 0.0
    assert shown.y[1] == pytest.approx(float(to_mm(two.packing)) / 1000)
    assert shown.text[0] == "✗"
    assert "✓" in shown.text[1]
    assert shown.marker.line.width[1] > shown.marker.line.width[2]
    assert level_of(panel) == pytest.approx(zones.zones[0].base_top_mm)
    for caption in ("Zones, each level in itself", "Steps between zones", "How many zones"):
        assert f"<caption>{caption}</caption>" in panel.page.value
    assert "trip over" in panel.page.value


def test_a_page_that_is_opened_later_has_the_charts(kept):
    # It is given what the charts were made of; what was sent since is gone.
    assert len(kept.menu.widget.get_state()["_widget_data"]) == 2
    assert len(kept.chart.widget.get_state()["_widget_data"]) > 5


def test_another_run_is_drawn(panel, zones):
    panel.run.value = "B"
    assert level_of(panel) == pytest.approx(zones.zone("BZ1").base_top_mm)
    assert "Run B in zones" in panel.chart.widget.layout.title.text


def test_what_cannot_be_is_said_and_the_last_answer_stays(panel):
    page, level = panel.page.value, level_of(panel)
    panel.boxes.zones["A"].value = 1
    assert 'role="alert"' in panel.message.value  # known already: nothing has to be pressed
    panel.button.click()
    assert 'role="alert"' in panel.message.value
    assert "run A, 1 zone" in panel.message.value
    assert (panel.page.value, level_of(panel)) == (page, level)
    assert panel.button.disabled is False
    assert panel.progress.widget.layout.display == "none"
    panel.boxes.zones["A"].value = 0
    assert 'role="status"' in panel.message.value
    assert "3 zones" in panel.message.value


def test_a_set_number_and_the_menu_of_more_stays(one_run):
    assert "1 zones" not in one_run.message.value
    assert "1 zone (run B in 1)" in one_run.message.value
    one_run.boxes.zones["B"].value = 2
    one_run.button.click()
    assert "2 zones (run B in 2)" in one_run.message.value
    assert list(bars(one_run, "B").x) == [1, 2, 3]
    assert "✓" in bars(one_run, "B").text[1]
    assert "the run has 2 units only" in one_run.page.value


def test_other_steps_part_otherwise(one_run):
    one_run.boxes.zones["B"].value = 2
    one_run.boxes.least.value, one_run.boxes.greatest.value = "40", "60.5"
    one_run.button.click()
    (step,) = one_run.shown[0].steps
    assert 40.0 <= abs(step.step_mm) <= 60.5
    assert one_run.job.bases[0].levels.step_mm == (100.0, 200.0)  # nothing of the job is changed


def test_what_was_worked_out_once_is_kept(one_run, monkeypatch):
    one_run.boxes.zones["B"].value = 2
    one_run.button.click()
    monkeypatch.setattr(zones_panel, "part_into_zones", lambda *_: pytest.fail("parted again"))
    one_run.boxes.zones["B"].value = 0
    assert "1 zone (run B in 1)" in one_run.message.value
    one_run.boxes.zones["B"].value = 2
    assert "2 zones" in one_run.message.value


def test_the_bar_shows_how_far_it_is(one_run, monkeypatch):
    seen = []
    whole = zones_panel.part_into_zones

    def watched(job, survey, base, number, tell):
        seen.append((one_run.progress.widget.layout.display, one_run.button.disabled))
        return whole(job, survey, base, number, lambda share: (tell(share), seen.append(share)))

    monkeypatch.setattr(zones_panel, "part_into_zones", watched)
    one_run.boxes.zones["B"].value = 2
    one_run.button.click()
    assert seen[0] == ("", True)
    assert seen[-1] == pytest.approx(1.0)
    assert one_run.progress.bar.value == 100


@pytest.mark.parametrize(
    "typed", ["", "wide", "0", "-1", "nan", "inf", "1_0", "<b>1</b>", "9" * 99]
)
def test_nonsense_is_refused(kept, typed):
    panel = kept
    page = panel.page.value
    panel.boxes.least.value = typed
    panel.button.click()
    assert 'role="alert"' in panel.message.value
    assert "least step [mm]: found" in panel.message.value
    assert "<b>" not in panel.message.value
    assert len(panel.message.value) < 600
    assert panel.page.value == page


def test_a_least_step_above_the_greatest_is_refused(kept):
    kept.boxes.least.value = "250"
    assert "the least one not above the greatest" in kept.message.value


def test_each_run_has_its_own_number(panel):
    panel.boxes.zones["B"].value = 2
    assert "Press" in panel.message.value
    panel.button.click()
    assert "4 zones (run A in 2, run B in 2)" in panel.message.value
    assert "✓" in bars(panel, "A").text[1]
    assert "✓" in bars(panel, "B").text[1]
    assert "✓" not in bars(panel, "B").text[0]
    panel.boxes.zones["A"].value = 3
    panel.button.click()
    assert "5 zones (run A in 3, run B in 2)" in panel.message.value


def test_what_is_not_known_of_other_steps_is_refused_when_pressed(panel):
    panel.boxes.least.value, panel.boxes.greatest.value = "10", "20"
    assert "Press" in panel.message.value
    assert panel.boxes.zones["A"].options[1] == ("1", 1)  # nothing is known of these steps
    panel.boxes.zones["A"].value = 2
    panel.button.click()
    assert "run A, 2 zones: found" in panel.message.value


def test_inches_are_shown_beside_millimetres_in_words(stalls):
    job, survey = stalls
    inch = ZonesPanel(job.model_copy(update={"units": "in"}), survey)
    inch.boxes.zones["A"].value = 1
    # By hand: the longest stack is 110 mm = 4.33 in, the nearest sixteenth is 4 5/16.
    assert "110 mm (4 5/16 in)" in inch.message.value
    assert "110 mm (4 5/16 in)" in bars(inch, "A").hovertext[0]
    assert "110 mm (4 5/16 in)" in inch.page.value
    assert "J1 at 1300 mm (51 3/16 in)" in inch.page.value


def test_where_nothing_can_be_it_says_so_and_other_steps_help(stalls):
    job, survey = stalls
    runs = job.runs[:1]
    levels = job.bases[0].levels.model_copy(update={"step_mm": (300.0, 310.0)})
    base = job.bases[0].model_copy(update={"levels": levels})
    panel = ZonesPanel(job.model_copy(update={"runs": runs, "bases": (base,)}), survey)
    assert 'role="alert"' in panel.message.value
    assert panel.shown == ()
    assert "Nothing to show yet." in panel.chart.widget.layout.title.text
    panel.boxes.least.value, panel.boxes.greatest.value = "100", "200"
    panel.button.click()
    assert "2 zones (run A in 2)" in panel.message.value
    assert len(panel.chart.widget.data) > 5


def test_another_base_is_refused_by_name(stalls):
    with pytest.raises(Refusal, match="shelves"):
        ZonesPanel(*stalls, "shelves")
