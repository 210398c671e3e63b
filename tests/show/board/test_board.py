"""The board without a browser: what the hand says is done, what is shown follows."""

import shutil
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

import kit
from kit.job import Job
from kit.show.board.board import Board
from kit.show.board.controls import _settle
from kit.show.board.problems import place_of
from kit.show.board.scene import PACKERS, SHEETS, UNITS

DATA = Path(__file__).parents[3] / "data"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Copy the reading room to a folder that may be written."""
    return Path(shutil.copytree(DATA / "reading-room", tmp_path / "reading-room"))


@pytest.fixture
def board(folder: Path) -> Board:
    """Open a board on the reading room."""
    return Board(kit.read_job(folder))


def control(board: Board, field: str) -> dict[str, Any]:
    return next(one for one in board.widget.controls["list"] if one["id"] == field)


def support(board: Board, name: str) -> dict[str, Any]:
    return next(one for one in board.widget.supports["list"] if one["name"] == name)


def say(board: Board, kind: str, **said: Any) -> None:
    """Say what the view would say, with the number that it waits for."""
    number = board.widget.answered + 1
    board.answer_hand({"kind": kind, "number": number, **said})
    assert board.widget.answered == number


def test_every_part_is_there_at_once(board: Board) -> None:
    shown = board.widget
    assert len(shown.supports["list"]) == 24
    assert shown.elevation["svg"].startswith("<svg")
    assert [row["name"] for row in shown.elevation["rows"]] == ["B", "F", "D"]
    assert "ufk-window-axis" in shown.window
    assert "high point" in shown.plan["marks"]
    assert "heating pipe" in shown.plan["ground"]
    assert shown.sheet["names"] == list(SHEETS)
    assert shown.head["undo"] == ""
    assert shown.said["problems"] == []


def test_a_slider_a_box_and_an_arrow_key_move_a_figure(board: Board) -> None:
    say(board, "set", id="height_mm", mm=56.5, gesture="a")
    assert control(board, "height_mm")["text"] == "56.5"
    assert control(board, "height_mm")["slider"]["value"] == 56.5
    say(board, "set", id="back_mm", text="52,5")
    assert board.desk.base.back_mm == 52.5
    say(board, "set", id="back_mm", steps=-3, gesture="b")
    assert board.desk.base.back_mm == 49.5
    say(board, "set", id="height_low", text="51")
    assert board.desk.wish_mm == (51.0, 62.0)
    assert board.widget.controls["choice"]["free"] is True
    say(board, "free", on=False)
    assert board.widget.controls["choice"]["free"] is False


def test_what_is_typed_wrong_is_told_at_its_box_and_goes_when_it_is_right(board: Board) -> None:
    say(board, "set", id="max_span_mm", text="wide")
    assert "'wide'" in control(board, "max_span_mm")["error"]
    say(board, "set", id="tolerance_mm", text="0.7")
    assert "'wide'" in control(board, "max_span_mm")["error"]
    say(board, "set", id="max_span_mm", text="580")
    assert control(board, "max_span_mm")["error"] == ""
    say(board, "set", id="height_high", text="40")
    assert board.widget.controls["choice"]["error"]
    assert board.desk.base.height_range_mm == (50.0, 62.0)


def test_a_moved_support_is_shown_where_it_is_with_its_mark(board: Board) -> None:
    before = support(board, "B3")
    say(board, "move", support="B3", mm=1015.0, gesture="drag")
    after = support(board, "B3")
    assert after["by_hand"] is True
    assert after["at_mm"] == 1015.0
    assert after["x"] - before["x"] == pytest.approx(15 * before["ux"], abs=0.11)  # tenths of a px
    assert "from the left end of 4000 mm, moved by hand from 1000" in after["words"]
    assert "▲" in board.widget.elevation["svg"]
    say(board, "choose", support="B3")
    assert board.widget.stack["name"] == "B3"
    assert board.widget.stack["place"] == "1015"
    assert any("Moved by hand" in words for words in board.widget.stack["words"])
    say(board, "set", id="place", text="1010")
    assert support(board, "B3")["at_mm"] == 1010.0
    say(board, "set", id="place", text="here")
    assert "'here'" in board.widget.stack["error"]
    say(board, "nudge", support="B3", steps=2)
    assert support(board, "B3")["at_mm"] == 1012.0
    say(board, "hand_back", support="B3")
    assert support(board, "B3")["by_hand"] is False
    say(board, "choose", support="")
    assert board.widget.stack["name"] == ""


def test_what_cannot_be_stands_in_words_below_its_place(board: Board) -> None:
    say(board, "move", support="B3", mm=1080.0, gesture="drag")
    shown = board.widget.supports
    assert support(board, "B3")["wrong"] is True
    assert support(board, "B3")["at_mm"] == 1080.0
    (callout, *_) = shown["callouts"]
    assert callout["words"].startswith("B3: at 1080 mm")
    assert callout["x1"] == pytest.approx(support(board, "B3")["x"], abs=0.11)
    assert callout["y"] >= board.widget.plan["height"] - 0.1
    assert shown["room"] > 0
    assert board.widget.said["problems"][0]["placed"] is True
    assert "last good answer" in board.widget.elevation["stale"]
    assert board.widget.said["problems"][0]["words"].startswith(
        "✗ This cannot be built: B3 at 1080"
    )
    say(board, "sheet", name="Stacks")
    assert "last good answer" in board.widget.sheet["html"]
    say(board, "undo")
    assert board.widget.supports["callouts"] == []
    assert board.widget.said["problems"] == []


def test_words_of_two_problems_do_not_lie_on_each_other(board: Board) -> None:
    say(board, "move", support="B3", mm=1080.0)
    say(board, "move", support="F4", mm=1570.0)
    callouts = board.widget.supports["callouts"]
    assert len(callouts) >= 2
    boxes = [(one["x"], one["y"]) for one in callouts]
    for n, (x, y) in enumerate(boxes):
        for other_x, other_y in boxes[:n]:
            assert abs(x - other_x) >= 300 or abs(y - other_y) >= 64


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("base.max_stack_mm: found support D4 (and F8) short", "D4"),
        ("found supports B1 here", "B1"),
        ("job.toml, run A, unit 'atlas case'", "atlas case"),
    ],
)
def test_problems_without_a_place_are_placed_by_what_they_name(
    board: Board, words: str, name: str
) -> None:
    layout = board.desk.layout
    found = place_of(kit.job.Problem(words, "nothing", "something"), board.job, layout)
    assert found is not None
    assert found[0] == name
    if name == "atlas case":  # from 2,000 to 3,100 mm, 480 deep
        assert found[1] == (2550.0, 240.0)
    other = kit.job.Problem("job.toml, stock.packers", "B", "supports")
    assert place_of(other, board.job, layout) is None


def test_units_are_edited_as_a_list(board: Board) -> None:
    say(board, "sheet", name=UNITS)
    (units,) = board.widget.sheet["lists"]
    assert [row["cells"][0]["text"] for row in units["rows"]][2] == "atlas case"
    say(board, "set", id="run[0].unit[2].divisions_mm", text="360; 700")
    assert board.job.runs[0].units[2].divisions_mm == (360.0, 700.0)
    say(board, "set", id="run[0].unit[2].width_mm", steps=-1)
    assert board.job.runs[0].units[2].width_mm == 1099.0
    say(board, "shift", list="run[0].unit", **{"from": 2, "to": 1})
    names = [unit.name for unit in board.job.runs[0].units]
    assert names == ["low bookcase 1", "atlas case", "low bookcase 2", "low bookcase 3"]
    assert board.job.runs[0].units[1].width_mm == 1099.0
    say(board, "remove", list="run[0].unit", **{"from": 0})
    assert len(board.job.runs[0].units) == 3
    say(board, "add", list="run[0].unit")
    added = board.job.runs[0].units[3]
    assert added.name == "unit 4"
    assert added.width_mm == 900.0  # like the last one
    say(board, "set", id="run[0].unit[3].name", text="low bookcase 2")
    wrong = board.widget.sheet["lists"][0]["rows"][3]["cells"][0]
    assert wrong["text"] == "low bookcase 2"
    assert "no other" in wrong["error"]
    assert board.job.runs[0].units[3].name == "unit 4"


def test_packers_are_edited_as_a_list(board: Board) -> None:
    say(board, "sheet", name=PACKERS)
    say(board, "set", id="stock.packers[3].count", text="")
    assert board.job.stock.packers[3].count is None
    say(board, "set", id="stock.packers[0].count", text="12")
    assert board.job.stock.packers[0].count == 12
    say(board, "set", id="stock.packers[0].count", text="2.5")
    assert "whole number" in board.widget.sheet["lists"][0]["rows"][0]["cells"][2]["error"]
    say(board, "set", id="stock.packers[3].measured_mm", text="")
    assert board.job.stock.packers[3].thickness_mm == 18.0
    say(board, "add", list="stock.packers")
    assert board.job.stock.packers[4].mm == 2.0  # the thinnest whole one that is not there
    acts = board.widget.sheet["lists"][0]["rows"][4]["acts"]
    assert [act["name"] for act in acts] == ["remove packer of 2 mm"]
    board.answer_hand({**acts[0]["message"], "number": 99})
    assert len(board.job.stock.packers) == 4


def test_an_inch_job_is_typed_and_shown_in_inches(folder: Path) -> None:
    path = folder / "job.toml"
    path.write_text(path.read_text().replace('units = "mm"', 'units = "in"'))
    board = Board(kit.read_job(folder))
    assert control(board, "back_mm")["text"] == "1 49/64"  # 45 mm
    say(board, "set", id="back_mm", text="2 1/4")
    assert board.desk.base.back_mm == pytest.approx(57.15)
    assert control(board, "back_mm")["unit"] == "in"
    say(board, "nudge", support="B3", steps=2)
    # two sixteenths; places in the view are to a hundredth
    assert support(board, "B3")["at_mm"] == pytest.approx(1000 + 3.175, abs=0.006)
    say(board, "sheet", name=UNITS)
    (units,) = board.widget.sheet["lists"]
    assert "width [in]" in units["columns"]
    say(board, "add", list="stock.packers")
    assert board.job.stock.packers[-1].mm == pytest.approx(25.4 / 16)


def test_save_undo_and_what_changed_are_told_in_the_head(board: Board, folder: Path) -> None:
    say(board, "move", support="B3", mm=1011.0)
    assert "1011" in board.widget.head["changes"][0]
    assert board.widget.head["undo"]
    say(board, "undo")
    assert board.widget.head["changes"] == []
    assert board.widget.head["redo"]
    say(board, "redo")
    say(board, "save")
    assert "Saved" in board.widget.said["notice"]
    assert "to_mm = 1011" in (folder / "job.toml").read_text()
    say(board, "save_as", folder="reading-room")
    assert "Nothing was saved" in board.widget.said["notice"]


def test_an_unforeseen_fault_is_told_and_the_view_is_answered(
    board: Board, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("kit.show.board.desk.solve", fail)
    with pytest.raises(ZeroDivisionError):
        board.answer_hand({"kind": "set", "id": "back_mm", "mm": 50.0, "number": 7})
    assert board.widget.answered == 7
    assert "defect" in board.widget.said["notice"]


def test_another_width_is_drawn_anew_and_nothing_else_changes(board: Board) -> None:
    before = board.widget.elevation["svg"]
    say(board, "room", plan=500, side=300)
    assert board.widget.elevation["svg"] != before
    assert board.widget.plan["width"] == pytest.approx(500, abs=1)
    assert board.widget.head["changes"] == []


@pytest.mark.parametrize("name", ["boot-room", "market-counter"])
def test_other_demo_jobs_open(name: str) -> None:
    job: Job = kit.read_job(DATA / name)
    board = Board(job)
    rows = [row["name"] for row in board.widget.elevation["rows"]]
    assert rows == [row.name for row in board.answer.layout.rows]
    say(board, "row", row=rows[-1])
    assert board.widget.elevation["row"] == rows[-1]
    assert len(board.widget.supports["list"]) == len(board.answer.supports)


def test_untouched_boxes_keep_what_they_hold_exactly(folder: Path) -> None:
    path = folder / "job.toml"
    path.write_text(path.read_text().replace('units = "mm"', 'units = "in"'))
    board = Board(kit.read_job(folder))
    for field in ("back_mm", "front_mm", "max_span_mm", "tolerance_mm"):
        say(board, "set", id=field, text=control(board, field)["text"])
    say(board, "sheet", name=UNITS)
    for row in board.widget.sheet["lists"][0]["rows"]:
        for cell in row["cells"]:
            say(board, "set", id=cell["id"], text=cell["text"])
    assert board.widget.head["changes"] == []
    say(board, "set", id="run[0].unit[0].width_mm", steps=2)
    # two sixteenths of an inch
    assert board.job.runs[0].units[0].width_mm == pytest.approx(1000 + 3.175)


def test_steps_count_from_what_is_held_not_from_what_was_shown(board: Board) -> None:
    say(board, "set", id="height_mm", text="55")
    for _ in range(4):
        say(board, "set", id="height_mm", steps=1, gesture="keys")
    assert board.desk.base.height_mm == 57.0


def test_errors_go_with_the_thing_that_they_are_about(board: Board) -> None:
    say(board, "sheet", name=UNITS)
    say(board, "set", id="run[0].unit[0].width_mm", text="abc")
    say(board, "remove", list="run[0].unit", **{"from": 0})
    cells = board.widget.sheet["lists"][0]["rows"][0]["cells"]
    assert [cell["error"] for cell in cells if cell["error"]] == []
    say(board, "choose", support="B3")
    say(board, "set", id="place", text="abc")
    assert board.widget.stack["error"]
    say(board, "choose", support="B4")
    assert board.widget.stack["error"] == ""


def test_a_view_without_room_is_not_drawn_for(board: Board) -> None:
    before = board.widget.elevation["svg"]
    say(board, "room", plan=60, side=0)
    assert board.widget.elevation["svg"] == before


def test_a_file_whose_run_was_renamed_is_opened_again(board: Board, folder: Path) -> None:
    path = folder / "job.toml"
    other = path.read_text().replace('name = "A"', 'name = "C"')
    path.write_text(other.replace("back_mm = 45", "back_mm = 250"))
    say(board, "reopen")
    assert board.widget.said["problems"]
    assert len(board.widget.supports["list"]) == 24  # the last that could be laid out
    path.write_text(other)
    say(board, "reopen")
    assert board.widget.said["problems"] == []
    assert board.answer.layout.rows[0].run == "C"


def test_the_loads_of_the_row_drawn_follow_every_touch(board: Board) -> None:
    loads = board.widget.loads
    assert [one["label"] for one in loads["cases"]] == ["bearer alone", "units empty", "units full"]
    assert "What carries bearer B, back row: units full" in loads["svg"]
    assert "approves no floor" in loads["approval"]
    say(board, "case", name="laid")
    alone = board.widget.loads
    assert alone["case"] == "laid"
    assert "bearer alone" in alone["svg"]
    say(board, "case", name="flying")
    assert board.widget.loads["case"] == "laid"
    say(board, "row", row="F")
    assert "What carries bearer F, front row: bearer alone" in board.widget.loads["svg"]
    before = board.widget.loads["svg"]
    say(board, "set", id="tolerance_mm", text="0.3")
    assert board.widget.loads["svg"] != before


def test_idle_stacks_are_told_in_the_plan() -> None:
    board = Board(kit.read_job(DATA / "boot-room"))
    idle = {one.support for one in board.answer.strength.stacks if one.idle}
    shown = board.widget.supports["list"]
    assert {one["name"] for one in shown if one["idle"]} == idle != set()
    for one in shown:
        assert one["words"].endswith("idle: carries nothing") == (one["name"] in idle)


def test_the_front_lift_may_be_left_to_the_joists(board: Board) -> None:
    settle = board.widget.controls["settle"]
    (settlement,) = board.answer.strength.joists.settlements
    drop = settlement.front_drop_mm
    assert (settle["on"], settle["able"]) == (False, True)
    assert settle["words"] == (
        f"leave the front lift to the joists: the front row settles {drop:.2f} mm more than the"
        " back row"
    )
    say(board, "settle", on=True)
    assert board.job.bases[0].front_lift_mm == "settlement"
    assert board.answer.datum.front_lift_mm == pytest.approx(drop)
    controls = board.widget.controls
    assert controls["settle"]["on"]
    box = next(one for one in controls["list"] if one["id"] == "front_lift_mm")
    assert float(box["text"]) == pytest.approx(drop, abs=0.005)  # shown to a hundredth
    say(board, "settle", on=False)
    assert board.job.bases[0].front_lift_mm == pytest.approx(drop, abs=0.005)
    say(board, "undo")
    assert board.job.bases[0].front_lift_mm == "settlement"
    say(board, "set", id="front_lift_mm", text="1.5")
    assert board.job.bases[0].front_lift_mm == 1.5
    assert not board.widget.controls["settle"]["on"]


def test_several_runs_each_say_what_the_joists_give(board: Board) -> None:
    joists = board.answer.strength.joists
    (one,) = joists.settlements
    settlements = []
    for run, drop in (("A", 0.19), ("B", 0.99), ("C", -0.3)):
        front = replace(one.back, inst_mm=tuple(mm + drop for mm in one.back.inst_mm))
        settlements.append(replace(one, run=run, front=front))
    work = replace(joists, settlements=tuple(settlements))
    strength = replace(board.answer.strength, joists=work)
    desk = SimpleNamespace(
        answer=replace(board.answer, strength=strength), base=board.job.bases[0], job=board.job
    )
    settle = _settle(desk)  # type: ignore[arg-type]
    assert settle["able"]  # what is refused is refused with its reason
    assert settle["words"] == (
        "leave the front lift to the joists: the front row settles more than the back row: A 0.19"
        " mm, B 0.99 mm, C 0.30 mm less"
    )


def test_without_joists_nothing_can_be_left_to_them() -> None:
    board = Board(kit.read_job(DATA / "boot-room"))
    settle = board.widget.controls["settle"]
    assert (settle["on"], settle["able"]) == (False, False)
    assert settle["words"].endswith("what they give is not known")
    say(board, "settle", on=True)
    assert "which joists give" in board.widget.said["notice"]
    assert board.job.bases[0].front_lift_mm == 0.0
