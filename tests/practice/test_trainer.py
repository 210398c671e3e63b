from collections.abc import Callable, Sequence

import numpy as np
import pandas as pd
import pytest

from kit.job import Problem
from kit.practice.drill import Drill
from kit.practice.record import Record
from kit.practice.records import Records
from kit.practice.trainer import TrainersTable, trainers_table

Make = Callable[..., Record]

DAMAGED = Problem("cy.csv, row 3, marks", "'=1'", "a whole number")


@pytest.fixture
def records(named: Make) -> Records:
    def at(minute: int, **changes: object) -> Record:
        return named(when=f"2031-05-08T10:{minute:02d}:00Z", **changes)

    attempts = (
        at(1, seed=1, marks=45, placements=9, good_placements=4, hints=2,
           mistakes=("never_turned", "out")),
        at(2, seed=1, marks=100, placements=4, good_placements=4, hints=0, mistakes=(),
           tries_before=1),
        at(3, seed=2, marks=80, placements=5, good_placements=5, mistakes=("out",), grade="rough"),
        at(4, seed=3, marks=70, placements=7, good_placements=5, mistakes=("never_turned",)),
        at(5, nickname="bo", drill="booking", marks=66, mistakes=("out",)),
        at(6, nickname="bo", drill="older", marks=50, mistakes=("odd",), hints=0, tries_before=2),
        at(7, nickname="Bo", drill="booking", seed=5, marks=96, mistakes=()),
    )  # fmt: skip
    return Records(attempts, ("ann.csv", "bo.csv"), (DAMAGED,), ("cy.csv",))


@pytest.fixture
def table(records: Records, fakes: Sequence[Drill]) -> TrainersTable:
    return trainers_table(records, fakes)


def rows(frame: pd.DataFrame) -> list[tuple[object, ...]]:
    return [tuple(row) for row in frame.to_numpy(dtype=object)]


def test_who_did_what(table: TrainersTable) -> None:
    who = table.who
    assert rows(who[["nickname", "title", "tries", "floors", "worst_grade", "hints"]]) == [
        ("ann", "Sight on two posts", 4, 3, "rough", 4),
        ("Bo", "Book a line", 2, 2, "fair", 2),
        ("Bo", "older", 1, 1, "fair", 0),
    ]
    assert who["best_marks"].tolist()[:2] == [80, 96]
    assert who["last_marks"].tolist()[:2] == [70, 96]
    # Of that one earlier tries are not here: what it was worth nobody can say.
    assert who["best_marks"].isna().tolist() == [False, False, True]
    # The second try on floor 1 counts neither for marks nor for placements.
    assert who["placements"].tolist() == [9 + 5 + 7, 6 + 6, 0]
    assert who["good_placements"].tolist() == [4 + 5 + 5, 4 + 4, 0]
    np.testing.assert_allclose(who["placements_per_good"], [21 / 14, 12 / 8, np.nan], rtol=1e-12)
    assert who["last_try"].tolist()[0] == "2031-05-08T10:04:00Z"


def test_commonest_mistakes(table: TrainersTable) -> None:
    assert list(table.class_mistakes.columns) == ["kind", "title", "made_in", "of_tries"]
    assert rows(table.class_mistakes) == [
        ("out", "the answer is out", 3, 6),  # the older drill does not look for it
        ("never_turned", "never turned the level round", 2, 4),
        ("odd", "odd", 1, 1),
    ]
    assert rows(table.mistakes) == [
        ("ann", "never_turned", "never turned the level round", 2, 4),
        ("ann", "out", "the answer is out", 2, 4),
        ("Bo", "odd", "odd", 1, 1),
        ("Bo", "out", "the answer is out", 1, 2),
    ]


def test_next_drill_of_everybody(table: TrainersTable) -> None:
    assert rows(table.next[["nickname", "drill", "grade"]]) == [
        ("ann", "sighting", "fair"), ("Bo", "sighting", "fair"),
    ]  # fmt: skip
    assert table.next["why"].tolist()[0].startswith("1 of 3 first tries on fair or worse floors")


def test_what_was_refused_is_named(table: TrainersTable) -> None:
    assert rows(table.refused_table) == [("cy.csv, row 3, marks", "'=1'", "a whole number")]


def test_nobody_makes_empty_tables(fakes: Sequence[Drill]) -> None:
    empty = trainers_table(Records((), (), (DAMAGED,), ("cy.csv",)), fakes)
    assert [len(one) for one in (empty.who, empty.mistakes, empty.class_mistakes, empty.next)] == [
        0, 0, 0, 0,
    ]  # fmt: skip
