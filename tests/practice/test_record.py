from collections.abc import Callable
from dataclasses import fields, replace
from datetime import UTC, datetime, timedelta, timezone

import pytest

from kit.job import Refusal
from kit.practice.attempt import HINT, begin
from kit.practice.drills.own_error import OwnError
from kit.practice.grades import GRADES
from kit.practice.marking import marked
from kit.practice.moves import Move
from kit.practice.record import COLUMNS, LEAST_CHANCE, Record, floor_of, letters, record_of
from kit.readings.formulas import is_formula

CHANCE = bytes(range(7, 7 + LEAST_CHANCE))
NOON = datetime(2031, 5, 8, 12, 0, 30, 999_000, tzinfo=timezone(timedelta(hours=2)))


def of_own_error(when: datetime = NOON, chance: bytes = CHANCE, nickname: str = " Ann ") -> Record:
    attempt = begin(OwnError(), 12, GRADES[2])
    worked = attempt.task.worked
    marks = marked(attempt.drill, (), worked.done, worked, 2)
    return record_of(nickname, attempt, marks, when, chance)


def test_a_record_holds_what_was_done_and_no_more() -> None:
    record = of_own_error()
    worked = begin(OwnError(), 12, GRADES[2]).task.worked
    took = sum(one.seen.seconds for one in worked.done)
    assert record.cells == {  # whatever their order
        "attempt": "",
        "when": "2031-05-08T10:00:30Z",
        "nickname": "Ann",
        "drill": "own_error",
        "edition": "1",
        "grade": "rough",
        "seed": "12",
        "tries_before": "0",
        "marks": "80",
        "placements": str(len(worked.done)),
        "good_placements": str(len(worked.done)),
        "seconds": f"{took:.1f}",
        "good_seconds": f"{took:.1f}",
        "hints": "2",
        "mistakes": "",
        "token": letters(CHANCE),
    }


def test_a_moment_without_a_zone_and_too_little_chance_are_refused() -> None:
    with pytest.raises(Refusal, match="2031-05-08 12:00:30 without a time zone"):
        of_own_error(NOON.replace(tzinfo=None))
    with pytest.raises(Refusal, match="11 bytes"):
        of_own_error(chance=CHANCE[:-1])
    with pytest.raises(Refusal, match="e-mail"):
        of_own_error(nickname="a@b")


def test_any_other_content_has_another_name_but_for_the_nickname(
    named: Callable[..., Record],
) -> None:
    record = named()
    others = {
        "when": "2031-05-08T09:30:01Z", "drill": "booking", "edition": 2, "grade": "rough",
        "seed": 8, "tries_before": 1, "marks": 84, "placements": 7, "good_placements": 5,
        "seconds": 130.6, "good_seconds": 94.9, "hints": 0, "mistakes": ("out", "wrong_sign"),
        "token": letters(CHANCE),
    }  # fmt: skip
    assert {*others, "attempt", "nickname"} == set(COLUMNS)
    names = {replace(record, **{key: value}).name_of_content for key, value in others.items()}
    assert len(names | {record.attempt}) == len(others) + 1
    assert replace(record, nickname="bo").name_of_content == record.attempt


def test_a_name_stays_what_it_was_whatever_the_order_of_columns(
    unnamed: Callable[..., Record],
) -> None:
    # Worked out when files had their columns in another order: those are read as before.
    record = unnamed(token="a" * 24).named(2)
    assert record.attempt == "hocbahloikofghpekbbenifojbgocknm"
    assert sorted(COLUMNS) == sorted(one.name for one in fields(Record))


def test_hints_before_it_was_begun_again_are_on_record() -> None:
    attempt = begin(OwnError(), 12, GRADES[2], 2).after(Move(HINT))
    marks = attempt.answered({"error": 0.0})
    assert record_of("ann", attempt, marks, NOON, CHANCE).hints == 3
    assert floor_of(attempt) == of_own_error().floor


def test_the_same_work_in_the_same_second_on_two_machines_is_two_attempts() -> None:
    one = of_own_error(datetime(2031, 5, 8, tzinfo=UTC))
    other = of_own_error(datetime(2031, 5, 8, tzinfo=UTC), CHANCE[::-1])
    assert one.named(0).attempt != other.named(0).attempt
    assert one.named(0) == of_own_error(datetime(2031, 5, 8, tzinfo=UTC)).named(0)


def test_no_cell_is_a_formula_nor_an_id_a_number(named: Callable[..., Record]) -> None:
    record = named(mistakes=())
    assert not [text for text in record.cells.values() if is_formula(text)]
    assert record.attempt.isalpha()
    assert record.token.isalpha()
