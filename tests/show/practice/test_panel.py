"""The practice page as a widget: messages of the hand, answers, marks kept."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from kit.job import Refusal
from kit.practice.records import read_records
from kit.show.practice.panel import Practice

LAID = {"level": "long", "from": "300 400", "towards": "2100 400", "under_from": "", "under_to": ""}


def whole_state(panel: Practice) -> str:
    return json.dumps(panel.widget.get_state(), default=str)


def hand(panel: Practice, kind: str, **more: Any) -> None:
    hand.number += 1  # type: ignore[attr-defined]
    said = {"kind": kind, "number": hand.number, "task": panel.desk.begun}  # type: ignore[attr-defined]
    panel.answer_hand({**said, **more})
    assert panel.widget.answered == hand.number  # type: ignore[attr-defined]


hand.number = 0  # type: ignore[attr-defined]


def test_nothing_hidden_is_in_the_state_of_the_widget_until_the_answer() -> None:
    panel = Practice("own_error", 20, "ordinary")
    task: Any = panel.desk.attempt.task
    truth = f"{task.tools.bag.level('long').own_error_mm_per_m:g}"
    height = f"{task.tools.floor.shapes[0].along_mm_per_m}"[:8]
    hand(panel, "room", wide=640, whole=900)
    hand(panel, "move", form="lay", typed=LAID)
    hand(panel, "turn", form="lay")
    for secret in (truth, height, "Own errors"):
        assert secret not in whole_state(panel)
    hand(panel, "answer", form="answer", typed={"error": "0.3"})
    assert truth in whole_state(panel)
    assert "Own errors" in whole_state(panel)


def test_a_refused_message_is_answered_in_words_and_changes_nothing() -> None:
    panel = Practice("own_error", 20, "ordinary")
    hand(panel, "begin", drill="own_error", grade="fair", seed="many", nickname="", folder="")
    assert panel.widget.setup["problems"] == ["begin, seed: found 'many'; allowed: one number"]
    assert (panel.desk.seed, panel.desk.grade) == (20, "ordinary")
    hand(panel, "who", nickname="a@b.example", folder="")
    assert "nickname" in panel.widget.setup["problems"][0]
    hand(panel, "move", form="lay", typed=LAID)
    assert panel.widget.setup["problems"] == []


def test_a_defect_leaves_no_view_waiting_and_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    panel = Practice("own_error", 20, "ordinary")

    def fail(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(panel.desk, "move", fail)
    with pytest.raises(ZeroDivisionError):
        panel.answer_hand(
            {"kind": "move", "form": "lay", "typed": LAID, "task": panel.desk.begun, "number": 815}
        )
    assert panel.widget.answered == 815
    assert "defect" in panel.widget.setup["problems"][0]
    with pytest.raises(ValueError, match="'answr'"):
        hand(panel, "answr", typed={"error": "0.3"})
    assert panel.widget.marks == ""


def test_a_view_that_cannot_be_drawn_is_answered_too(monkeypatch: pytest.MonkeyPatch) -> None:
    panel = Practice("own_error", 20, "ordinary")
    monkeypatch.setattr(panel, "_state", lambda: {}["nothing"])
    with pytest.raises(KeyError):
        panel.answer_hand({"kind": "room", "wide": 640, "whole": 900, "number": 816})
    assert panel.widget.answered == 816


def test_what_was_meant_for_one_floor_is_not_done_on_the_next() -> None:
    panel = Practice("own_error", 20, "ordinary")
    shown = panel.widget.task["id"]
    hand(panel, "begin", drill="own_error", grade="ordinary", seed="21", nickname="", folder="")
    for kind, more in (
        ("move", {"form": "lay", "typed": LAID}),
        ("turn", {"form": "lay"}),
        ("hint", {}),
        ("answer", {"typed": {"error": "0.3"}}),
    ):
        hand(panel, kind, task=shown, **more)
        assert "a floor that is gone" in panel.widget.setup["problems"][0]
        assert panel.desk.attempt.done == panel.desk.marked == ()
    hand(panel, "hint", task=panel.widget.task["id"])
    assert panel.widget.setup["problems"] == []
    assert panel.desk.attempt.hints == 1


def test_what_another_view_still_offers_is_refused_in_words() -> None:
    panel = Practice("own_error", 20, "ordinary")
    hand(panel, "move", form="tread", typed={"at": "300 400"})
    assert "'tread'" in panel.widget.setup["problems"][0]


def test_a_view_has_the_room_that_it_tells_but_never_less_than_can_be_read() -> None:
    panel = Practice("own_error", 20, "ordinary")
    hand(panel, "move", form="lay", typed=LAID)
    hand(panel, "answer", typed={"error": "0.3"})

    def widths() -> tuple[float, float]:
        picture, effect = (
            re.search(r'<svg[^>]* width="([\d.]+)"', text)
            for text in (panel.widget.plan, panel.widget.marks)
        )
        assert picture
        assert effect
        return float(picture[1]), float(effect[1])

    hand(panel, "room", wide=640, whole=900)
    plan, effect = widths()
    assert 300 < plan <= 640
    hand(panel, "room", wide=420, whole=900)
    assert widths()[0] < plan
    assert widths()[1] == effect
    hand(panel, "room", wide=640, whole=400)
    assert widths()[0] == plan
    assert widths()[1] < effect
    hand(panel, "room", wide=300, whole=300)
    least = widths()
    hand(panel, "room", wide=20, whole=20)
    assert widths() == least


def test_another_floor_is_begun_for_the_nickname_that_stands_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    panel = Practice("own_error", 20, "ordinary")
    monkeypatch.setattr("secrets.randbelow", lambda _: 4711)
    where = str(tmp_path / "mine")
    hand(panel, "another", drill="screws", grade="rough", seed="20", nickname="elm", folder=where)
    setup = panel.widget.setup
    assert (setup["drill"], setup["grade"], setup["seed"]) == ("screws", "rough", "4711")
    assert (setup["nickname"], setup["folder"]) == ("elm", where)
    hand(panel, "begin", drill="own_error", grade="fair", seed="9", nickname="oak", folder="")
    assert (panel.widget.setup["nickname"], panel.widget.setup["seed"]) == ("oak", "9")


def test_what_cannot_be_begun_in_code_is_refused() -> None:
    with pytest.raises(Refusal, match="nickname"):
        Practice(nickname="../ann")
    with pytest.raises(Refusal, match="folder for records"):
        Practice(nickname="birch", records="~nobody-of-that-name/marks")
    with pytest.raises(Refusal, match="and no folder"):
        Practice(nickname="birch", records=str(Path("not there") / "marks"))
    with pytest.raises(Refusal, match="own_error"):
        Practice("no such drill")
    with pytest.raises(Refusal, match="fair"):
        Practice(grade="dreadful")


def test_marks_are_kept_where_a_person_says_and_tries_are_counted(tmp_path: Path) -> None:
    panel = Practice("own_error", 20, "ordinary", nickname="birch", records=str(tmp_path / "mine"))
    for answer in ("0.3", "0.4"):
        hand(panel, "move", form="lay", typed=LAID)
        hand(panel, "answer", form="answer", typed={"error": answer})
        hand(panel, "begin", drill="own_error", grade="ordinary", seed="20", nickname="birch",
             folder=str(tmp_path / "mine"))  # fmt: skip
    kept = read_records(tmp_path / "mine").attempts
    assert [(one.nickname, one.seed, one.tries_before) for one in kept] == [
        ("birch", 20, 0),
        ("birch", 20, 1),
    ]
    assert kept[0].mistakes == ("never_turned",)


def test_a_mark_that_cannot_be_kept_stands_and_says_so(tmp_path: Path) -> None:
    panel = Practice("own_error", 20, "ordinary", nickname="birch", records=str(tmp_path / "file"))
    (tmp_path / "file").write_text("in the way")
    hand(panel, "answer", form="answer", typed={"error": "0.3"})
    assert "NOT kept" in panel.widget.setup["notice"]
    assert "of 100 marks" in panel.widget.marks


def test_without_a_nickname_nothing_is_kept(tmp_path: Path) -> None:
    panel = Practice("own_error", 20, "ordinary", records=str(tmp_path / "mine"))
    hand(panel, "answer", form="answer", typed={"error": "0.3"})
    assert "not kept" in panel.widget.setup["notice"]
    assert not (tmp_path / "mine").exists()


def test_a_folder_is_tested_when_it_is_typed(tmp_path: Path) -> None:
    panel = Practice("own_error", 20, "ordinary")
    hand(panel, "who", nickname="elm", folder=str(tmp_path / "not there" / "mine"))
    assert "and no folder" in panel.widget.setup["problems"][0]
    assert panel.widget.setup["folder"] == ""
    assert list(tmp_path.iterdir()) == []


def test_a_further_try_is_told_when_it_is_begun_and_when_a_name_is_given(tmp_path: Path) -> None:
    again = {"drill": "own_error", "grade": "ordinary", "seed": "20"}
    who = {"nickname": "birch", "folder": str(tmp_path)}
    panel = Practice("own_error", 20, "ordinary", **{"nickname": "birch", "records": str(tmp_path)})
    hand(panel, "answer", form="answer", typed={"error": "0.3"})
    assert "try 2" not in panel.widget.setup["notice"]
    hand(panel, "begin", **again, **who)
    assert "You have answered this floor before: this is try 2" in panel.widget.setup["notice"]
    hand(panel, "begin", **{**again, "seed": "21"}, **who)
    assert "this is try" not in panel.widget.setup["notice"]
    fresh = Practice("own_error", 20, "ordinary")
    assert "this is try" not in fresh.widget.setup["notice"]
    hand(fresh, "who", **who)
    assert "this is try 2" in fresh.widget.setup["notice"]
    third = Practice("own_error", 20, "ordinary", nickname="birch", records=str(tmp_path))
    assert "this is try 2" in third.widget.setup["notice"]


def test_an_answer_seen_without_a_name_is_no_first_try_with_one(tmp_path: Path) -> None:
    panel = Practice("own_error", 20, "ordinary")
    hand(panel, "answer", form="answer", typed={"error": "0.3"})
    hand(panel, "begin", drill="own_error", grade="ordinary", seed="20", nickname="birch",
         folder=str(tmp_path))  # fmt: skip
    assert "shown on this page before: this is try 2" in panel.widget.setup["notice"]
    hand(panel, "answer", form="answer", typed={"error": "0.3"})
    hand(panel, "begin", drill="own_error", grade="fair", seed="20", nickname="birch",
         folder=str(tmp_path))  # fmt: skip
    hand(panel, "answer", form="answer", typed={"error": "0.3"})
    kept = read_records(tmp_path).attempts
    assert sorted((one.grade, one.tries_before) for one in kept) == [("fair", 0), ("ordinary", 1)]


def test_beginning_again_gives_no_hint_back(tmp_path: Path) -> None:
    who = {"nickname": "birch", "folder": str(tmp_path)}
    panel = Practice("own_error", 20, "ordinary")
    left = panel.widget.task["hints_left"]
    hand(panel, "hint")
    hand(panel, "begin", drill="own_error", grade="ordinary", seed="20", **who)
    assert panel.widget.task["hints_left"] == left - 1
    assert "1 hint" in panel.widget.task["score"]
    hand(panel, "answer", form="answer", typed={"error": "0.3"})
    assert "hints" in panel.widget.marks
    assert [one.hints for one in read_records(tmp_path).attempts] == [1]
