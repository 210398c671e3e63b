"""An attempt in a person's hands: what is typed, refused, turned, marked."""

from __future__ import annotations

import secrets
from collections.abc import Callable

import pytest

from kit.job import Refusal
from kit.practice.drills import DRILLS
from kit.show.practice.desk import ANSWER, PracticeDesk, as_typed

LAID = {"level": "long", "from": "300 400", "towards": "2300 700", "under_from": "", "under_to": ""}


@pytest.fixture
def desk() -> PracticeDesk:
    return PracticeDesk(DRILLS, "own_error", 7, "ordinary")


def test_a_move_is_read_and_seen(desk: PracticeDesk) -> None:
    desk.move("lay", LAID)
    (done,) = desk.attempt.done
    assert done.move.values["from"] == (300.0, 400.0)
    assert done.move.values["under_to"] == ()
    assert done.seen.words.startswith("long level: bubble")
    assert desk.amiss == ()


def test_what_cannot_be_read_is_told_beside_its_field_and_nothing_is_done(
    desk: PracticeDesk,
) -> None:
    desk.move("lay", {**LAID, "towards": "2300", "under_to": "six"})
    assert desk.attempt.done == ()
    assert {(one.form, one.field) for one in desk.amiss} == {
        ("lay", "towards"),
        ("lay", "under_to"),
    }
    assert any("'six'" in one.words and "allowed" in one.words for one in desk.amiss)


def test_what_cannot_be_done_is_told_at_its_form(desk: PracticeDesk) -> None:
    desk.move("lay", {**LAID, "from": "4100 400", "towards": "4200 400"})
    assert desk.attempt.done == ()
    (one,) = desk.amiss
    assert (one.form, one.field) == ("lay", "")
    assert "outside the room" in one.words
    desk.move("lay", LAID)
    assert desk.amiss == ()


def test_turning_lays_the_same_level_on_the_same_place(desk: PracticeDesk) -> None:
    desk.turn("lay")
    assert "nothing that is laid" in desk.amiss[0].words
    desk.move("lay", {**LAID, "under_from": "3 1", "towards": "2100 400"})
    desk.turn("lay")
    one, other = (done.move.values for done in desk.attempt.done)
    assert other["from"] == pytest.approx((2100.0, 400.0))
    assert other["under_to"] == one["under_from"] == (3.0, 1.0)
    # The boxes show what was done, so that the next press of the button does it again.
    assert desk.fill == ("lay", {key: as_typed(value) for key, value in other.items()})
    assert desk.fill[1]["towards"] == "300 400"


def test_the_newest_level_is_turned_whatever_was_done_since(desk: PracticeDesk) -> None:
    desk.move("lay", LAID)
    desk.move("lay", {**LAID, "level": "short", "from": "900 1100", "towards": "300 1100"})
    desk.hint()
    desk.turn("lay")
    assert desk.amiss == ()
    assert desk.attempt.done[-1].move.values["level"] == "short"
    assert desk.attempt.done[-1].move.values["from"] == pytest.approx((300.0, 1100.0))


def test_a_move_that_the_drill_has_not_is_refused(desk: PracticeDesk) -> None:
    with pytest.raises(Refusal, match="move: found 'tread'; allowed: lay"):
        desk.move("tread", {"at": "300 400"})


def test_what_belongs_to_a_floor_that_is_gone_is_refused(desk: PracticeDesk) -> None:
    shown = desk.begun
    desk.check_shown(shown)
    desk.begin("own_error", "7", "ordinary")
    with pytest.raises(Refusal, match="a floor that is gone"):
        desk.check_shown(shown)


def test_the_first_answer_counts(desk: PracticeDesk) -> None:
    desk.move("lay", LAID)
    desk.answer({"error": "0.5"})
    marked = desk.marked
    assert not desk.answer({"error": "0.1"})
    assert desk.marked is marked
    assert "its answer has been given" in desk.amiss[0].words
    desk.begin("own_error", "7", "ordinary")
    assert desk.marked == desk.amiss == ()


def test_an_answer_closes_the_floor(desk: PracticeDesk) -> None:
    assert not desk.answer({"error": "a lot"})
    assert (desk.amiss[0].form, desk.amiss[0].field) == (ANSWER, "error")
    assert desk.marked == ()
    assert desk.answer({"error": "0,5"})
    (marked,) = desk.marked
    assert [one.kind.key for one in marked.mistakes] == ["guessed"]
    desk.move("lay", LAID)
    desk.hint()
    assert desk.attempt.done == ()
    assert "its answer has been given" in desk.amiss[0].words


def test_hints_run_out_in_words(desk: PracticeDesk) -> None:
    for _ in desk.attempt.drill.hints:
        desk.hint()
    assert desk.attempt.hints == len(desk.attempt.drill.hints)
    desk.hint()
    assert desk.attempt.hints == len(desk.attempt.drill.hints)
    assert "all hints are given" in desk.amiss[0].words


def test_hints_are_remembered_by_floor_until_it_is_answered(desk: PracticeDesk) -> None:
    desk.hint()
    desk.begin("own_error", "8", "ordinary")
    assert desk.attempt.hints == 0
    desk.begin("own_error", "7", "fair")
    assert desk.attempt.hints == 0
    desk.begin("own_error", " 7.0", "ordinary")  # the same floor, typed otherwise
    assert (desk.attempt.hints, desk.attempt.done) == (1, ())
    desk.hint()
    assert desk.attempt.done[-1].seen.words == f"hint: {desk.attempt.drill.hints[1]}"
    desk.begin("own_error", "7", "ordinary")
    assert desk.attempt.hints == 2
    assert desk.answer({"error": "0.5"})
    assert desk.marked[0].hints == 2
    desk.begin("own_error", "7", "ordinary")
    assert desk.attempt.hints == 0


def test_answers_shown_are_remembered_by_floor(desk: PracticeDesk) -> None:
    assert not desk.answer({"error": "a lot"})
    assert desk.answer({"error": "0.5"})
    assert desk.shown_before == 0  # of the attempt that was just marked
    desk.begin("own_error", "7", "fair")
    assert desk.shown_before == 0
    desk.begin("own_error", "7", "ordinary")
    assert desk.shown_before == 1
    desk.answer({"error": "0.5"})
    desk.begin("own_error", "7", "ordinary")
    assert desk.shown_before == 2


def test_beginning_again_clears_the_desk_and_a_wrong_beginning_leaves_it(
    desk: PracticeDesk,
) -> None:
    desk.move("lay", LAID)
    begun = desk.begun
    for drill, seed, grade in (
        ("no such", "7", "fair"),
        ("own_error", "7.5", "fair"),
        ("own_error", "-1", "fair"),
        ("own_error", "7", "awful"),
    ):
        with pytest.raises(Refusal, match="allowed"):
            desk.begin(drill, seed, grade)
        assert len(desk.attempt.done) == 1
        assert desk.begun == begun
    desk.begin("own_error", "8", "rough")
    assert desk.attempt.done == ()
    assert (desk.seed, desk.grade, desk.begun) == (8, "rough", begun + 1)


def test_another_floor_is_another(desk: PracticeDesk) -> None:
    desk.another("own_error", "fair")
    first = desk.seed
    desk.another("own_error", "fair")
    # Of a million seeds two alike are drawn once in a million tests.
    assert desk.seed != first


@pytest.mark.parametrize(("drawn", "seed"), [(lambda _: 0, 0), (lambda b: b - 1, 999_999)])
def test_any_floor_may_come(
    desk: PracticeDesk,
    monkeypatch: pytest.MonkeyPatch,
    drawn: Callable[[int], int],
    seed: int,
) -> None:
    monkeypatch.setattr(secrets, "randbelow", drawn)
    desk.another("own_error", "fair")
    assert (desk.seed, desk.grade) == (seed, "fair")
