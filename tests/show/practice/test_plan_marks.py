"""Marks on a practice plan: whose, how old, explained once."""

from __future__ import annotations

from kit.practice.moves import Done, Move, OnPlan, Seen
from kit.show.practice.plan_marks import key_entries, marks_of

PLACE = OnPlan("place", ((120.0, 40.0),), "a")
LINE = OnPlan("line", ((0.0, 0.0), (600.0, 0.0)), "short")


def step(*things: OnPlan) -> Done:
    return Done(Move("read"), Seen("seen", 5.0, on_plan=things))


def test_marks_know_their_move_and_their_age() -> None:
    marks = marks_of((PLACE,), (step(), step(LINE, PLACE), step(), step(PLACE)), (LINE,))
    told = [(mark.whose, mark.thing, mark.move, mark.age) for mark in marks]
    assert told == [
        ("given", PLACE, 0, 0),
        ("laid", LINE, 2, 1),
        ("laid", PLACE, 2, 1),
        ("laid", PLACE, 4, 0),
        ("revealed", LINE, 0, 0),
    ]


def test_the_newest_that_put_something_down_stays_strong() -> None:
    marks = marks_of((), (step(PLACE), step(LINE), step()), ())
    assert [mark.strong.opacity == 1.0 for mark in marks] == [False, True]


def test_each_look_is_explained_once() -> None:
    done = (step(PLACE), step(PLACE), step(LINE), step(LINE))
    texts = [text for _, text in key_entries(marks_of((PLACE,), done, (PLACE, LINE)))]
    assert texts == [
        "earlier move",
        "earlier move, bar at the marked end",
        "newest move, bar at the marked end",
        "the truth",
        "the truth, line",
    ]
