"""What the practice page holds: what was given and seen, and the floor only after the answer."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from kit.ink.escape import html_text
from kit.practice.drill import Drill, Task
from kit.practice.drills import DRILLS
from kit.show.practice import page
from kit.show.practice.desk import PracticeDesk, as_typed


class Blind:
    """A task of which only what is not hidden can be asked for."""

    def __init__(self, task: Task) -> None:
        self.given, self.forms, self.asked = task.given, task.forms, task.asked

    def __getattr__(self, name: str) -> Any:
        raise AssertionError(f"the page asked for {name}")


def whole(desk: PracticeDesk) -> dict[str, Any]:
    return {
        "choices": page.choices(desk),
        "task": page.task_state(desk),
        "plan": page.plan_state(desk, 640),
        "last": page.last_state(desk, 640),
        "log": page.log_state(desk),
        "said": page.said_state(desk),
        "marks": page.marks_state(desk, 640),
    }


def after_worked(drill: Drill, seed: int, grade: str) -> PracticeDesk:
    desk = PracticeDesk(DRILLS, drill.key, seed, grade)
    for one in desk.attempt.task.worked.done:
        desk.attempt = desk.attempt.after(one.move)
    return desk


@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.key)
def test_before_the_answer_the_page_asks_for_nothing_that_is_hidden(drill: Drill) -> None:
    desk = after_worked(drill, 31, "rough")
    seen = json.dumps(whole(desk))
    desk.attempt = replace(desk.attempt, task=Blind(desk.attempt.task))  # type: ignore[arg-type]
    assert json.dumps(whole(desk)) == seen


@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.key)
def test_the_answer_brings_the_sound_way_the_floor_and_the_rule(drill: Drill) -> None:
    desk = after_worked(drill, 32, "ordinary")
    before = whole(desk)
    worked = desk.attempt.task.worked
    assert worked.sentences[0] not in json.dumps(before)
    assert before["marks"] == ""
    assert not before["task"]["closed"]
    assert desk.answer({key: as_typed(value) for key, value in worked.answer.items()})
    after = whole(desk)
    assert "100 of 100 marks" in after["marks"]
    assert "Each kind of mistake costs its own marks" in after["marks"]
    assert after["task"]["closed"]
    if worked.floor:
        assert "hump" in after["plan"]
        assert "hump" not in before["plan"]


def test_every_state_goes_to_the_browser_as_strict_json() -> None:
    for drill in DRILLS:
        state = whole(after_worked(drill, 33, "fair"))
        assert json.loads(json.dumps(state, allow_nan=False)) == state


def test_the_newest_move_is_shown_drawn_and_added_to_the_log() -> None:
    desk = PracticeDesk(DRILLS, "own_error", 3, "fair")
    assert page.last_state(desk, 640) == {"words": "", "html": "", "tables": ""}
    assert page.log_state(desk) == ""
    for k, level in enumerate(("long", "short"), start=1):
        typed = {"from": f"{k}00 300", "towards": "2200 700", "under_from": "", "under_to": "2"}
        desk.move("lay", {"level": level, **typed})
        last = page.last_state(desk, 640)
        assert last["words"].startswith(f"{level} level: bubble")
        assert last["html"].count("<svg") == 2  # vial and edge
        assert page.log_state(desk).count("<tr") == 1 + k  # below a head
        assert html_text(last["words"]) in page.log_state(desk)


def test_a_table_that_a_move_shows_is_shown() -> None:
    shown = 0
    for drill in DRILLS:
        desk = PracticeDesk(DRILLS, drill.key, 34, "fair")
        for one in desk.attempt.task.worked.done:
            desk.attempt = desk.attempt.after(one.move)
            seen = desk.attempt.done[-1].seen
            tables = page.last_state(desk, 640)["tables"].count("<table")
            assert tables == len(seen.tables)
            shown += tables
    assert shown > 0


def test_forms_tell_fields_units_choices_and_what_a_drag_fills() -> None:
    task = page.task_state(PracticeDesk(DRILLS, "own_error", 3, "fair"))
    (lay,) = [form for form in task["forms"] if form["kind"] == "lay"]
    assert (lay["drag"], lay["turn"]) == (["from", "towards"], "turn it end for end")
    fields = {field["key"]: field for field in lay["fields"]}
    assert (fields["level"]["kind"], set(fields["level"]["choices"])) == (
        "choice",
        {"short", "long"},
    )
    assert (fields["from"]["kind"], fields["from"]["unit"]) == ("place", "mm")
    assert fields["under_to"]["label"] == "packers under the other end"
    assert [(field["key"], field["unit"]) for field in task["asked"]] == [("error", "mm/m")]


def test_what_is_amiss_and_what_was_turned_is_told_by_form_and_field() -> None:
    desk = PracticeDesk(DRILLS, "own_error", 3, "fair")
    assert page.said_state(desk) == {"problems": [], "fill": {"form": "", "typed": {}}}
    typed = {"level": "long", "from": "200 300", "towards": "<b>", "under_from": "", "under_to": ""}
    desk.move("lay", typed)
    (problem,) = page.said_state(desk)["problems"]
    assert (problem["form"], problem["field"]) == ("lay", "towards")
    assert "found '<b>'" in problem["words"]
    desk.move("lay", {**typed, "towards": "2000 300", "under_to": "3"})
    desk.turn("lay")
    said = page.said_state(desk)
    assert said["problems"] == []
    assert said["fill"] == {
        "form": "lay",
        "typed": {
            "level": "long", "from": "2000 300", "towards": "200 300",
            "under_from": "3", "under_to": "",
        },
    }  # fmt: skip


def test_score_counts_placements_time_and_hints() -> None:
    desk = PracticeDesk(DRILLS, "own_error", 3, "fair")
    assert page.task_state(desk)["score"] == "0 placements, 0 min 00 s"
    typed = {"from": "200 300", "towards": "2200 300", "under_from": "18", "under_to": ""}
    desk.move("lay", {"level": "long", **typed})
    # 35 s for the long level, 10 s for one packer (common practice, no source).
    assert page.task_state(desk)["score"] == "1 placement, 0 min 45 s"
    desk.move("lay", {"level": "short", **typed})
    desk.hint()
    assert page.task_state(desk)["score"] == "2 placements, 1 min 15 s, 1 hint"
    assert page.task_state(desk)["hints_left"] == len(desk.attempt.drill.hints) - 1
