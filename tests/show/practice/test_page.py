"""What the practice page holds: what was given and seen, and the floor only after the answer."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

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
        json.dumps(whole(after_worked(drill, 33, "fair")), allow_nan=False)


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
