"""The desk: every command is answered, what cannot be is said, nothing blocks the next move."""

import shutil
from pathlib import Path

import pytest

import kit
from kit.job import PlacedProblem, Refusal
from kit.show.board.desk import Desk

DATA = Path(__file__).parents[3] / "data"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Copy the reading room to a folder that may be written."""
    return Path(shutil.copytree(DATA / "reading-room", tmp_path / "reading-room"))


@pytest.fixture
def desk(folder: Path) -> Desk:
    """Open the reading room."""
    return Desk(kit.read_job(folder))


def places(desk: Desk, bearer: str = "B") -> dict[str, float]:
    on = desk.answer.layout.on_bearer(bearer)
    return dict(zip(on["support"], on["own_x_mm"], strict=True))


def test_opens_on_the_best_height_of_the_job(desk: Desk) -> None:
    assert desk.free
    assert desk.good
    assert 50 <= desk.answer.datum.base_height_mm <= 62
    assert desk.draft.changed() == ()


def test_a_height_outside_the_window_is_told_and_the_next_one_is_answered(desk: Desk) -> None:
    good = desk.answer
    desk.set_height(300.0)
    assert not desk.good
    assert "max_stack_mm" in desk.problems[0].where
    assert desk.answer is good
    desk.set_height(56.0)
    assert desk.good
    assert desk.answer.datum.base_height_mm == pytest.approx(56.0)


def test_a_value_that_no_file_may_hold_is_told_at_its_box_and_changes_nothing(desk: Desk) -> None:
    before = desk.job
    desk.change_base("tolerance_mm", 20.0, box="tolerance_mm", text="20")
    assert desk.job is before
    assert desk.good
    text, words = desk.errors["tolerance_mm"]
    assert text == "20"
    assert "10" in words
    desk.change_base("tolerance_mm", 0.8, box="tolerance_mm", text="0.8")
    assert desk.errors == {}
    assert desk.base.tolerance_mm == 0.8


def test_a_support_moves_and_is_handed_back(desk: Desk) -> None:
    desk.move("B3", 1021.0)
    assert places(desk)["B3"] == 1021.0
    assert [(m.bearer, m.from_mm, m.to_mm) for m in desk.base.moved] == [("B", 1000.0, 1021.0)]
    desk.nudge("B3", -3)
    assert places(desk)["B3"] == 1018.0
    desk.move("F2", 480.0)
    desk.hand_back("B3")
    assert places(desk)["B3"] == 1000.0
    assert [m.bearer for m in desk.base.moved] == ["F"]
    desk.move("F2", 500.4)  # within what a tape tells apart of its place by the rules
    assert desk.base.moved == ()


def test_a_support_where_it_cannot_be_stays_there_with_its_place_and_the_next_move_goes(
    desk: Desk,
) -> None:
    desk.move("B3", 1100.0)
    told = [p for p in desk.problems if isinstance(p, PlacedProblem)]
    assert told[0].support == "B3"
    assert told[0].at_mm[0] == pytest.approx(1100.0)
    at = desk.layout.supports.set_index("support").loc["B3", "own_x_mm"]
    assert at == 1100.0  # drawn where the hand put it
    assert places(desk)["B3"] == 1000.0  # the last good answer
    desk.move("F2", 510.0)
    assert not desk.good
    desk.move("B3", 1005.0)
    assert desk.good
    assert places(desk, "F")["F2"] == 510.0


def test_what_the_rules_place_no_more_is_handed_back_in_the_same_step(desk: Desk) -> None:
    desk.change_base("max_span_mm", 400.0)
    spans = desk.answer.supports
    one = spans[(spans["reasons"] == "span") & (spans["bearer"] == "B")].iloc[0]
    desk.move(str(one["support"]), float(one["own_x_mm"]) + 8)
    assert len(desk.base.moved) == 1
    desk.change_base("max_span_mm", 600.0)
    assert desk.base.moved == ()
    assert desk.good
    assert "Handed back" in desk.notice
    desk.undo()
    assert desk.base.max_span_mm == 400.0
    assert len(desk.base.moved) == 1
    assert desk.good


def test_a_gesture_is_one_step_and_undo_gives_all_back(desk: Desk) -> None:
    opened = desk.job
    for mm in (1003.0, 1009.0, 1014.0):
        desk.move("B3", mm, "drag")
    desk.set_height(57.0)
    desk.undo()
    assert desk.free
    assert places(desk)["B3"] == 1014.0
    desk.undo()
    assert desk.job == opened
    assert places(desk)["B3"] == 1000.0
    desk.redo()
    assert places(desk)["B3"] == 1014.0
    desk.undo()
    desk.undo()  # nothing is left: nothing happens
    assert desk.good


def test_free_and_fixed_heights(desk: Desk) -> None:
    best = desk.answer.datum.base_height_mm
    desk.choose_height(free=False)
    assert not desk.free
    # rounded to the hundredth that the box shows
    assert desk.answer.datum.base_height_mm == pytest.approx(best, abs=0.006)
    desk.allow_heights(51.0, 58.0)
    assert desk.free
    assert 51 <= desk.answer.datum.base_height_mm <= 58
    desk.set_height(56.5)
    desk.choose_height(free=True)
    assert desk.base.height_mm == (51.0, 58.0)


def test_saved_and_read_back_it_is_the_same_answer(desk: Desk, folder: Path) -> None:
    desk.move("B3", 1012.0)
    desk.set_height(56.5)
    desk.save()
    assert "Saved" in desk.notice
    again = kit.solve(kit.read_job(folder))
    assert list(again.stacks["thickness_mm"]) == list(desk.answer.stacks["thickness_mm"])
    assert "# base top above the high point" in (folder / "job.toml").read_text()
    assert desk.draft.changed() == ()


def test_a_file_changed_meanwhile_is_not_overwritten(desk: Desk, folder: Path) -> None:
    path = folder / "job.toml"
    desk.set_height(56.5)
    other = path.read_text().replace("max_span_mm = 600", "max_span_mm = 590")
    path.write_text(other)
    desk.save()
    assert "Nothing was saved" in desk.notice
    assert "changed" in desk.notice
    assert path.read_text() == other
    desk.save_as("mine")
    assert "Saved" in desk.notice
    saved = kit.read_job(folder.parent / "mine").bases[0]
    assert (saved.height_mm, saved.max_span_mm) == (56.5, 600.0)
    desk = Desk(kit.read_job(folder))
    desk.set_height(56.5)
    path.write_text(other + "\n")
    desk.reopen()
    assert desk.free
    assert desk.base.max_span_mm == 590.0
    desk.undo()
    assert desk.answer.datum.base_height_mm == pytest.approx(56.5)


def test_what_cannot_be_built_may_be_saved_and_says_so(desk: Desk, folder: Path) -> None:
    desk.move("B3", 1100.0)
    desk.save()
    assert "Saved" in desk.notice
    assert "cannot be built" in desk.notice
    with pytest.raises(kit.Refusal, match="B3"):
        kit.solve(kit.read_job(folder))
    again = Desk(kit.read_job(folder))  # and opened again, with what is wrong in sight
    assert "B3" in str(again.problems[0])
    assert again.base.moved == desk.base.moved
    assert places(again)["B3"] == 1000.0
    again.hand_back("B3")
    assert again.good


def test_a_job_saved_at_a_height_that_cannot_be_is_opened_again(desk: Desk, folder: Path) -> None:
    desk.set_height(300.0)
    desk.save()
    again = Desk(kit.read_job(folder))
    assert "max_stack_mm" in again.problems[0].where
    again.set_height(56.0)
    assert again.good


def test_a_job_of_which_nothing_can_be_built_is_refused(folder: Path) -> None:
    path = folder / "job.toml"
    path.write_text(path.read_text().replace("back_mm = 45", "back_mm = 250"))
    with pytest.raises(kit.Refusal, match="back_mm"):
        Desk(kit.read_job(folder))


def test_opened_again_the_readings_are_read_again(desk: Desk, folder: Path) -> None:
    readings = folder / "readings.csv"
    lines = readings.read_text().splitlines()
    place = lines[0].split(",").index("reading_mm")
    moved = [lines[0]]
    for number, line in enumerate(lines[1:]):
        cells = line.split(",")
        cells[place] = str(float(cells[place]) - 3.0 * (number % 4))
        moved.append(",".join(cells))
    readings.write_text("\n".join(moved) + "\n")
    before = desk.answer
    desk.reopen()
    fresh = kit.solve(kit.read_job(folder))
    assert desk.answer.datum.datum_mm == fresh.datum.datum_mm
    assert desk.answer.datum.datum_mm != before.datum.datum_mm
    desk.set_height(56.0)
    assert desk.answer.survey is not before.survey


def test_a_name_that_is_not_there_moves_nothing(desk: Desk) -> None:
    desk.move("B99", 50.0)
    desk.nudge("B99", 3)
    desk.hand_back("B99")
    assert desk.draft.changed() == ()
    desk.choose_support("D4")
    desk.set_height(300.0)  # the last good answer stays, with D4 in it
    desk.change({"run[0].unit[2]": None})
    assert desk.support == ""


def test_two_stacks_at_one_place_are_refused_and_the_next_move_goes() -> None:
    desk = Desk(kit.read_job(DATA / "boot-room"))
    beside = desk.answer.supports.set_index("support")["own_x_mm"]["A-B4"]
    desk.move("A-B3", float(beside))
    assert any("overlap" in problem.found for problem in desk.problems)
    desk.set_height(60.0)
    assert not desk.good
    desk.hand_back("A-B3")
    assert desk.good


def test_what_a_gesture_drops_on_its_way_it_gives_back(desk: Desk) -> None:
    desk.change_base("max_span_mm", 400.0)
    spans = desk.answer.supports
    one = spans[(spans["reasons"] == "span") & (spans["bearer"] == "B")].iloc[0]
    desk.move(str(one["support"]), float(one["own_x_mm"]) + 8)
    moved = desk.base.moved
    for mm in (500.0, 600.0, 500.0):
        desk.change_base("max_span_mm", mm, "slide")
    assert desk.base.moved == ()
    assert "Handed back" in desk.notice
    desk.change_base("max_span_mm", 400.0, "slide")
    assert desk.base.moved == moved
    assert desk.good


def test_one_height_in_the_file_may_be_freed_to_all_that_can_be_made(folder: Path) -> None:
    path = folder / "job.toml"
    path.write_text(path.read_text().replace("height_mm = [50, 62]", "height_mm = 55"))
    desk = Desk(kit.read_job(folder))
    assert not desk.free
    desk.choose_height(free=True)
    assert desk.free
    assert desk.good
    assert desk.wish_mm == pytest.approx((desk.reach.low_mm, desk.reach.high_mm), abs=0.006)


def test_the_window_shows_what_is_asked_for_now(desk: Desk) -> None:
    desk.allow_heights(45.0, 58.0)
    assert desk.reach.asked_mm == (45.0, 58.0)
    desk.set_height(56.0)
    assert desk.reach.asked_mm == (56.0, 56.0)
    desk.choose_height(free=True)
    assert desk.reach.asked_mm == (45.0, 58.0)


def test_saving_under_no_name_is_refused_in_words(desk: Desk) -> None:
    desk.save_as("  ")
    assert "write the name" in desk.notice


def test_rows_and_stacks_that_are_gone_are_looked_at_no_more(desk: Desk) -> None:
    desk.choose_support("D4")
    assert (desk.row, desk.support) == ("D", "D4")
    desk.change({"run[0].unit[2]": None})
    assert desk.good
    assert (desk.row, desk.support) == ("B", "")
    desk.choose_support("nobody")
    assert desk.support == ""


def test_units_come_and_go_and_change_places(desk: Desk) -> None:
    names = [unit.name for unit in desk.job.runs[0].units]
    desk.change({"run[0].unit[1].width_mm": 800.0})
    assert desk.answer.layout.units[2].left_mm == 1800.0
    desk.change({"run[0].unit[4]": {"name": "more", "width_mm": 600, "depth_mm": 320,
                                    "height_mm": 900}})  # fmt: skip
    assert not desk.good  # beyond the survey, which ends at 3.98 m
    desk.undo()
    assert desk.good
    assert [unit.name for unit in desk.job.runs[0].units] == names


def with_others(folder: Path, *, packers: str = "") -> Path:
    """Put a base of stacks alone before the reading room's own, or in its place."""
    toml = folder / "job.toml"
    text = toml.read_text(encoding="utf-8")
    other = '[[base]]\nname = "stacks alone"\nmethod = "stacks"\nheight_mm = [45, 70]\n\n'
    text = text.replace("[[base]]", f"{other}[[base]]", 1)
    toml.write_text(text.replace('method = "packers"', packers or 'method = "packers"'), "utf-8")
    return folder


def test_a_base_without_bearers_is_refused_with_what_to_choose(folder: Path) -> None:
    job = kit.read_job(with_others(folder))
    drawn = job.bases[1].name
    with pytest.raises(Refusal) as refused:
        Desk(job, "stacks alone")
    assert str(refused.value) == (
        'base "stacks alone": found method = "stacks", which has no bearers to be set out on the'
        f' board; allowed: a base of method "packers", chosen by base="{drawn}"; notebook 03'
        " compares bases of every method"
    )
    with pytest.raises(Refusal, match="no bearers to be set out"):
        Desk(kit.solve(job, "stacks alone"))
    with pytest.raises(Refusal, match="one of 'stacks alone'"):
        Desk(job, "cellar")


def test_a_job_without_a_base_on_bearers_is_refused(folder: Path) -> None:
    job = kit.read_job(with_others(folder, packers='method = "stacks"'))
    with pytest.raises(Refusal) as refused:
        Desk(job)
    assert str(refused.value) == (
        'base "stacks alone": found method = "stacks", which has no bearers to be set out on the'
        ' board; allowed: a base of method "packers" in job.toml; notebook 03 compares bases of'
        " every method"
    )


def test_the_first_base_on_bearers_is_changed_wherever_it_stands(folder: Path) -> None:
    job = kit.read_job(with_others(folder))
    desk = Desk(job)
    assert (desk.place, desk.name) == (1, job.bases[1].name)
    desk.set_height(56.0)
    desk.move("B3", 1021.0)
    assert desk.good
    assert [one.path for one in desk.draft.changed()] == ["base[1].height_mm", "base[1].moved[0]"]
    assert desk.job.bases[0] == job.bases[0]
    desk.save()
    saved = kit.read_job(folder)
    assert saved.bases[1].height_mm == 56.0
    assert [(m.bearer, m.to_mm) for m in saved.bases[1].moved] == [("B", 1021.0)]
    assert saved.bases[0] == job.bases[0]


def test_a_base_that_lost_its_bearers_in_the_file_is_told_and_undo_brings_it_back(
    folder: Path,
) -> None:
    desk = Desk(kit.read_job(with_others(folder)))
    good = desk.answer
    toml = folder / "job.toml"
    text = toml.read_text(encoding="utf-8")
    toml.write_text(text.replace('method = "packers"', 'method = "stacks"'), "utf-8")
    desk.reopen()
    assert "no bearers" in desk.problems[0].found
    assert desk.answer is good
    desk.undo()
    assert desk.good
