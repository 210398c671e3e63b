"""The panel that drives two bases at once, without a browser: what a hand sets, what follows."""

from __future__ import annotations

import html
import math
import re
from pathlib import Path
from typing import Any

import pytest

import kit
from kit.job import Base, Job, Refusal, Unit
from kit.show import TwoBases
from kit.show.two_bases import panel_desk, panel_page, panel_turning
from kit.show.two_bases.panel_room import LEAST_PX, Room
from kit.show.two_bases.panel_weights import NO_WEIGHTS, WEIGHABLE, weighing_page
from kit.side_by_side import weigh
from kit.side_by_side.settings import settings_of

FEET = {
    "name": "feet & plates", "method": "feet", "height_mm": (48.0, 70.0), "back_mm": 40.0,
    "front_mm": 50.0, "max_span_mm": 650.0,
    "feet": ({"low_mm": 38.0, "high_mm": 82.0, "price": 1.85, "bears_n": 900.0},),
}  # fmt: skip

#: Nothing can be poured over the drain, so that this one cannot be built.
POURED = {
    "name": "poured", "method": "compound", "height_mm": (4.0, 30.0),
    "compound": {
        "least_mm": 3.0, "greatest_mm": 45.0, "powder_kg_per_l": 1.7, "set_kg_per_l": 2.0,
        "drying": ({"to_mm": 45.0, "days": 3.5},),
    },
}  # fmt: skip


@pytest.fixture
def three(job: Job) -> Job:
    """Return the market hall with a base that cannot be built, one on packers, one on feet."""
    bases = (Base.model_validate(POURED), job.bases[0], Base.model_validate(FEET))
    return job.model_copy(update={"bases": bases})


@pytest.fixture
def panel(three: Job) -> TwoBases:
    return TwoBases(three)


def box(panel: TwoBases, wish: str) -> Any:
    return panel.figures.all[wish].box


def words(markup: str) -> str:
    """Return what a person reads."""
    return html.unescape(re.sub(r"<[^>]+>", " ", re.sub(r"<style>.*?</style>", "", markup)))


def spans(answer: Any) -> float:
    """Return the longest distance of neighbours in a row [mm]."""
    rows = answer.supports.groupby("bearer")["x_mm"]
    return float(max(x.sort_values().diff().max() for _, x in rows))


def test_opens_with_the_first_two_that_can_be_built(panel: TwoBases) -> None:
    assert panel.comparison.names == ("counter base", "feet & plates")
    assert (panel.above.value, panel.below.value) == panel.comparison.names
    assert panel.above.options == ("poured", "counter base", "feet & plates")
    assert panel.problems.value == panel.working.value == ""
    assert "counter base beside feet & plates" in words(panel.said.value)
    assert panel.pictures.value.count('class="ufk-side"') == 2
    assert "worst planned error of level" in words(panel.tables.value)


def test_a_named_base_that_cannot_be_built_is_refused_at_the_start(three: Job) -> None:
    with pytest.raises(Refusal, match="poured"):
        TwoBases(three, "poured", "counter base")
    with pytest.raises(Refusal, match="'ladders'"):
        TwoBases(three, b="ladders")
    only = three.model_copy(update={"bases": three.bases[:1]})
    with pytest.raises(Refusal, match="none that can be built"):
        TwoBases(only)


def test_a_single_base_is_set_beside_itself(job: Job) -> None:
    panel = TwoBases(job)
    assert panel.comparison.names == ("counter base", "counter base (again)")


def test_the_longest_span_changes_both_as_the_headless_answer_does(
    panel: TwoBases, three: Job
) -> None:
    before = panel.comparison
    box(panel, "max_span_mm").value = "330,5"
    after = panel.comparison
    assert spans(after.a) <= 330.5 < spans(before.a)
    for new in (after.a, after.b):
        changed = new.base.model_copy(update={"max_span_mm": 330.5})
        asked = three.model_copy(update={"bases": (changed,)})
        assert new.supports.equals(kit.solve(asked).supports)
    assert panel.figures.all["max_span_mm"].slider.value == 330.5


def test_a_slider_writes_its_box_and_changes_both(panel: TwoBases) -> None:
    panel.figures.all["max_span_mm"].slider.value = 410.0
    assert box(panel, "max_span_mm").value == "410"
    assert panel.comparison.a.base.max_span_mm == panel.comparison.b.base.max_span_mm == 410.0


def test_a_figure_beyond_its_slider_is_kept(panel: TwoBases) -> None:
    box(panel, "max_span_mm").value = "1500"
    assert panel.comparison.a.base.max_span_mm == 1500
    assert box(panel, "max_span_mm").value == "1500"
    assert panel.figures.all["max_span_mm"].slider.value == 1200


def test_what_differs_in_both_stays_apart_until_it_is_set(panel: TwoBases) -> None:
    assert box(panel, "max_span_mm").placeholder == "500 and 650"
    box(panel, "tolerance_mm").value = "0.3"
    one, other = panel.comparison.a.base, panel.comparison.b.base
    assert (one.max_span_mm, other.max_span_mm) == (500, 650)
    assert one.tolerance_mm == other.tolerance_mm == 0.3


def test_contents_load_both_so_many_times(panel: TwoBases) -> None:
    before = panel.comparison
    box(panel, "contents").value = "3"
    after = panel.comparison
    units = [unit for run in after.a.job.runs for unit in run.units]
    assert [unit.contents_kg for unit in units] == [150.0, 36.0]
    for old, new in ((before.a, after.a), (before.b, after.b)):
        more = sum(s.full_n for s in new.strength.stacks) - sum(
            s.full_n for s in old.strength.stacks
        )
        # Twice the 62 kg of the job come on top, times g; sums of some twenty terms.
        assert more == pytest.approx(2 * 62 * 9.81, rel=1e-3)


@pytest.mark.parametrize("times", ["0", "2,5"])
def test_the_floor_falls_so_many_times_as_much_under_both(panel: TwoBases, times: str) -> None:
    before = panel.comparison.a.plane
    box(panel, "fall").value = times
    now = panel.comparison
    assert now.a.survey is now.b.survey
    factor = float(times.replace(",", "."))
    # Both planes are fits of the same points: round-off of their sums alone.
    assert now.a.plane.rise_x_mm_per_m == pytest.approx(factor * before.rise_x_mm_per_m, abs=1e-9)
    assert now.a.plane.rise_y_mm_per_m == pytest.approx(factor * before.rise_y_mm_per_m, abs=1e-9)


def test_one_end_of_the_heights_leaves_the_other_to_each_base(panel: TwoBases) -> None:
    box(panel, "lowest_mm").value = "61"
    one, other = panel.comparison.a, panel.comparison.b
    assert one.base.height_range_mm == (61, 66)
    assert other.base.height_range_mm == (61, 70)
    assert min(one.datum.base_height_mm, other.datum.base_height_mm) >= 61 - 1e-6


def test_what_cannot_be_is_said_and_the_last_good_answer_stays(panel: TwoBases) -> None:
    good, drawn = panel.comparison, panel.pictures.value
    box(panel, "lowest_mm").value = "68"
    said = words(panel.problems.value)
    assert "cannot be built" in said
    assert "counter base" in said
    assert "68, 66" in said
    assert "last good answer: counter base beside feet & plates" in said
    assert panel.comparison is good
    assert panel.pictures.value == drawn
    assert panel.working.value == ""
    box(panel, "lowest_mm").value = ""
    assert panel.problems.value == ""


@pytest.mark.parametrize(
    ("wish", "typed", "found"),
    [
        ("max_span_mm", "wide", "'wide'"),
        ("max_span_mm", "1,250", "two things"),
        ("contents", "-1", "'-1'"),
        ("fall", "4.5", "a number from 0 to 4"),
    ],
)
def test_what_is_not_understood_is_refused_and_not_made_to_fit(
    panel: TwoBases, wish: str, typed: str, found: str
) -> None:
    good = panel.comparison
    box(panel, wish).value = typed
    assert "not understood" in words(panel.problems.value)
    assert found in words(panel.problems.value)
    assert box(panel, wish).value == typed
    assert panel.comparison is good


@pytest.mark.parametrize(("wish", "typed"), [("tolerance_mm", "11"), ("max_span_mm", "-20")])
def test_what_no_job_file_may_say_is_refused_in_its_words(
    panel: TwoBases, wish: str, typed: str
) -> None:
    good = panel.comparison
    box(panel, wish).value = typed
    assert f"{wish}: found {typed}" in words(panel.problems.value)
    assert panel.comparison is good


def test_all_as_the_job_says_empties_every_box(panel: TwoBases) -> None:
    first = panel.comparison
    box(panel, "max_span_mm").value = "300"
    box(panel, "contents").value = "nothing"
    panel.figures.back.click()
    assert {figure.box.value for figure in panel.figures.all.values()} == {""}
    assert panel.comparison.a is first.a
    assert panel.comparison.b is first.b


def test_a_base_that_cannot_be_built_is_told_and_the_others_go_on(panel: TwoBases) -> None:
    good = panel.comparison
    panel.below.value = "poured"
    assert "poured: " in words(panel.problems.value)
    assert "drain" in words(panel.problems.value)
    assert panel.comparison is good
    assert panel.weights.said.value
    panel.below.value = "counter base"
    assert panel.problems.value == ""
    assert panel.comparison.names == ("counter base", "counter base (again)")
    assert panel.comparison.a is panel.comparison.b
    assert {row.winner for row in panel.comparison.rows} == {""}


def test_only_what_changed_is_worked_out_again(panel: TwoBases) -> None:
    first = panel.comparison
    panel.above.value = "feet & plates"
    assert panel.comparison.a is first.b
    panel.above.value, panel.below.value = "counter base", "counter base"
    assert panel.comparison.b is first.a
    box(panel, "lowest_mm").value = "50"
    # Another height: the floor under the base is the one that was looked at.
    assert panel.comparison.a.ground is first.a.ground


def test_nothing_of_the_job_or_its_file_changes(three: Job) -> None:
    path = three.folder / "job.toml"
    file, as_it_was = path.read_bytes(), three.model_copy(deep=True)
    panel = TwoBases(three)
    box(panel, "max_span_mm").value = "333"
    box(panel, "contents").value = "2"
    panel.page.show()
    assert path.read_bytes() == file
    assert three == as_it_was
    assert {one.name for one in three.folder.iterdir()} == {"job.toml", "heights.csv"}


def test_the_working_sign_is_set_before_the_work(
    panel: TwoBases, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[str] = []
    ask = panel.desk.ask
    monkeypatch.setattr(
        panel.desk, "ask", lambda *given: (seen.append(panel.working.value), ask(*given))[1]
    )
    box(panel, "tolerance_mm").value = "0.7"
    assert ["working" in one for one in seen] == [True]
    assert panel.working.value == ""


def test_a_defect_is_said_in_words_and_raised(
    panel: TwoBases, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> bool:
        raise ZeroDivisionError("by <nought>")

    monkeypatch.setattr(panel.desk, "ask", broken)
    with pytest.raises(ZeroDivisionError):
        box(panel, "tolerance_mm").value = "0.7"
    assert "has a defect here (ZeroDivisionError: by <nought>)" in words(panel.problems.value)
    assert "<nought>" not in panel.problems.value
    assert panel.working.value == ""


def test_the_row_is_picked_from_those_that_are_there(panel: TwoBases) -> None:
    assert [label for _, label in panel.row.options] == ["B", "F"]
    assert panel.row.value == "F"
    front = panel.pictures.value
    panel.row.value = "B"
    assert "back row" in words(panel.tables.value)
    assert panel.pictures.value != front
    panel.below.value = "counter base"
    assert panel.row.value == "B"


def test_inches_are_taken_and_shown(inch_job: Job) -> None:
    panel = TwoBases(inch_job)
    box(panel, "max_span_mm").value = "15 3/4"
    # 15.75 × 25.4 exactly.
    assert panel.comparison.a.base.max_span_mm == pytest.approx(400.05, abs=1e-9)
    panel.figures.all["max_span_mm"].slider.value = 16 * 25.4
    assert box(panel, "max_span_mm").value == "16"
    assert box(panel, "max_span_mm").description == "longest span [in]"


def test_pictures_have_the_width_of_the_page_but_stay_readable(three: Job) -> None:
    room = Room()
    assert room.fitting(1100) == 1100
    room.wide_px = 733
    assert room.fitting(1100) == 713
    assert room.fitting(600) == 600
    room.wide_px = 210
    assert room.fitting(1100) == LEAST_PX
    panel = TwoBases(three, width_px=950)
    assert 'width="950"' in panel.pictures.value
    panel.room.wide_px = 733
    assert 'width="713"' in panel.pictures.value
    assert 'width="713"' in panel.bars.value


def test_without_weights_there_is_no_ranking(panel: TwoBases) -> None:
    assert len(WEIGHABLE) == 12
    assert {one.value for one in panel.weights.boxes.values()} == {""}
    assert NO_WEIGHTS in words(panel.weights.said.value)
    assert panel.weights.weighing == ()


def test_weights_rank_and_tell_where_the_ranking_turns(panel: TwoBases) -> None:
    panel.weights.boxes["things"].value = "1"
    panel.weights.boxes["fixing_m"].value = "0,75"
    (weighing,) = panel.weights.weighing
    shares = []
    for key in ("things", "fixing_m"):
        row = panel.comparison.row(key)
        worse, better = sorted((row.a.value, row.b.value), reverse=key == "things")
        sign = 1 if row.winner == "a" else -1
        shares.append(sign * abs(worse - better) / max(worse, better))
    # The score as the formula in words says it; sums of two terms.
    assert weighing.score == pytest.approx(shares[0] + 0.75 * shares[1], abs=1e-12)
    said = words(panel.weights.said.value)
    assert "the sum of weight times share" in said
    assert f"First {weighing.winner}" in said
    turns = {one.row.key: one.turns_at for one in weighing.weighed}
    # Where one weight turns the ranking, the score is nought with it.
    at = weigh(panel.comparison, {"things": 1, "fixing_m": turns["fixing_m"]})
    assert at.score == pytest.approx(0, abs=1e-12)
    assert f"{turns['fixing_m']:.3g}" in said
    assert weighing_page(weighing).html == panel.weights.said.value
    panel.weights.boxes["things"].value = panel.weights.boxes["fixing_m"].value = ""
    assert panel.weights.weighing == ()


def test_a_single_weight_turns_nothing(panel: TwoBases) -> None:
    panel.weights.boxes["things"].value = "3"
    said = words(panel.weights.said.value)
    assert "First feet & plates, second counter base" in said
    assert "No single weight turns the ranking" in said


@pytest.mark.parametrize(
    ("key", "typed", "found"),
    [
        ("things", "-2", "'-2'"),
        ("hours", "much", "'much'"),
        ("cost_and_labour", "1", "no price of an hour"),
    ],
)
def test_a_weight_that_means_nothing_is_refused(
    panel: TwoBases, key: str, typed: str, found: str
) -> None:
    panel.weights.boxes["room_mm"].value = "1"
    panel.weights.boxes[key].value = typed
    assert found in words(panel.weights.said.value)
    assert "Nothing was weighed" in words(panel.weights.said.value)
    assert panel.weights.weighing == ()


def only(key: str) -> Any:
    return lambda a, b: tuple(one for one in settings_of(a, b) if one.key == key)


def test_turning_shows_its_progress_and_ends_with_chart_and_words(
    panel: TwoBases, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(panel_turning, "settings_of", only("load"))
    part, shown, told = panel.turning, [], []
    part.bar.observe(lambda change: shown.append(change["new"]), names="value")
    part.message.observe(lambda change: told.append(words(change["new"])), names="value")
    part.button.click()
    assert shown == sorted(shown)
    assert shown[-1] == 100
    assert len(shown) > 5
    assert "Working: turning the contents of all units, 1 of 1 settings" in told[2]
    assert "Done" in told[-1]
    assert not part.button.disabled
    assert [sweep.setting.key for sweep in part.sweeps] == ["load"]
    assert part.choice.options[0][0] == (
        "contents of all units, by least margin of all that carries"
    )
    assert "<svg" in part.chart.value
    assert "contents of all units from 0 to 248 kg (now 62)" in words(part.words.value)


def test_what_was_found_goes_with_the_bases_it_was_found_for(
    panel: TwoBases, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(panel_turning, "settings_of", only("load"))
    panel.turning.find()
    panel.page.show()
    assert panel.page.html
    box(panel, "contents").value = "1.5"
    assert panel.turning.sweeps == ()
    assert panel.turning.chart.value == panel.turning.words.value == ""
    assert "find it again" in words(panel.turning.message.value)
    assert panel.page.html == panel.page.frame.value == ""
    assert panel.page.save_button.disabled


def test_an_error_while_turning_is_said_in_words(
    panel: TwoBases, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ValueError("a <b>")

    monkeypatch.setattr(panel_turning, "turning_points", broken)
    panel.turning.find()
    assert "defect here (ValueError: a <b>)" in words(panel.turning.message.value)
    assert "<b>" not in panel.turning.message.value
    assert not panel.turning.button.disabled
    assert panel.turning.bar.layout.visibility == "hidden"


def test_the_page_stands_in_a_frame_in_which_nothing_runs(three: Job) -> None:
    unit = three.runs[0].units[0].model_dump() | {"name": 'a "b" <script>alert(1)</script>'}
    run = three.runs[0]
    units = (Unit.model_validate(unit), *run.units[1:])
    title = 'Hall "7" <script>alert(2)</script>'
    runs = (run.model_copy(update={"units": units}),)
    panel = TwoBases(three.model_copy(update={"runs": runs, "title": title}))
    panel.page.show()
    frame = panel.page.frame.value
    assert "<script" not in frame.lower()
    assert 'sandbox=""' in frame
    (held,) = re.findall(r'srcdoc="([^"]*)"', frame)
    assert html.unescape(held) == panel.page.html
    assert "feet &amp; plates" in panel.page.html
    assert "<script>alert" not in panel.page.html


def test_the_page_is_saved_where_a_person_says_and_replaces_nothing(
    panel: TwoBases, tmp_path: Path
) -> None:
    page, out = panel.page, tmp_path / "to hand over"
    assert page.save_button.disabled
    assert page.folder.value == str(panel.desk.job.folder.resolve())
    page.show()
    page.folder.value = str(out)
    page.save()
    assert "Nothing was saved" in words(page.message.value)
    assert not out.exists()
    out.mkdir()
    page.save()
    assert (out / panel_page.FILE).read_text(encoding="utf-8") == page.html
    (out / panel_page.FILE).write_text("mine")
    page.save()
    assert "of that name already" in words(page.message.value)
    assert (out / panel_page.FILE).read_text() == "mine"
    for name in ("../further.html", "page.txt", ".html", ""):
        page.file.value = name
        page.save()
        assert "under the name" in words(page.message.value)
    assert [one.name for one in out.iterdir()] == [panel_page.FILE]
    assert not (tmp_path / "further.html").exists()


def test_the_page_holds_the_weights_and_turnings_in_sight(
    panel: TwoBases, monkeypatch: pytest.MonkeyPatch
) -> None:
    given: list[Any] = []
    monkeypatch.setattr(
        "kit.show.two_bases.panel.client_page",
        lambda *parts: given.append(parts) or "<p>page</p>",
    )
    monkeypatch.setattr(panel_turning, "settings_of", only("load"))
    panel.page.show()
    assert given[-1] == (panel.comparison, (), None)
    panel.weights.boxes["things"].value = "2"
    assert panel.page.html == ""
    panel.turning.find()
    panel.page.show()
    assert given[-1] == (panel.comparison, panel.turning.sweeps, panel.weights.weighing[0])
    assert math.isfinite(given[-1][2].score)


def test_the_pictures_come_before_the_floors_are_drawn(
    panel: TwoBases, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, seen = panel.pictures.value, []
    compare = panel_desk.compare

    def slow(*answers: Any, **more: Any) -> Any:
        seen.append(panel.pictures.value)
        return compare(*answers, **more)

    monkeypatch.setattr(panel_desk, "compare", slow)
    box(panel, "lowest_mm").value = "62"
    assert seen == [panel.pictures.value]
    assert seen != [before]
    assert panel.comparison.row("top_mm").a.value == pytest.approx(
        panel.comparison.a.datum.base_top_mm
    )
