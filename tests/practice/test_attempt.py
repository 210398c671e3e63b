"""Attempts: moves are added or refused, hints run out, the answer is marked by what was done."""

from dataclasses import dataclass, replace

import pytest

from kit.job import Refusal, refuse
from kit.practice.attempt import HINT, begin
from kit.practice.drill import Given, Worked
from kit.practice.effects import Effect
from kit.practice.fields import Field, number
from kit.practice.grades import GRADES
from kit.practice.mistakes import GUESSED, Kind, Mistake
from kit.practice.moves import Done, Move, MoveForm, Seen

BLIND = Kind("blind", "did not look", "answers without a look", 25)


@dataclass(frozen=True)
class Box:
    """A number in a box: lift the lid, at most twice, and tell it."""

    inside: int

    @property
    def given(self):
        return Given(("There is a number in the box.",))

    @property
    def forms(self):
        return (MoveForm("lift", "lift the lid"),)

    @property
    def asked(self):
        return (Field("number", "number"),)

    def do(self, done, move):
        if sum(one.move == move for one in done) == 2:
            raise refuse("lid", "lifted twice", "2 times")
        return Seen(f"it is {self.inside}", 30.0)

    def mark(self, done, answer):
        looked = any(one.move.kind == "lift" for one in done)
        right = number(answer, "number") == self.inside
        return () if looked and right else (Mistake(BLIND, "no look", Effect("none"), "look"),)

    @property
    def worked(self):
        return Worked({"number": self.inside}, (Done(Move("lift"), self.do((), Move("lift"))),), ())


@dataclass(frozen=True)
class Boxes:
    key: str = "boxes"
    title: str = "Boxes"
    aim: str = "Tell the number."
    kinds: tuple[Kind, ...] = (BLIND,)
    hints: tuple[str, ...] = ("There is a lid.", "Lift it.")

    def set_up(self, seed, grade):
        return Box(10 * seed + len(grade.name))


@pytest.fixture
def attempt():
    return begin(Boxes(), 4, GRADES[1])


def test_a_beginning_has_its_task_and_nothing_done(attempt):
    assert (attempt.seed, attempt.grade.name, attempt.done, attempt.hints) == (4, "ordinary", (), 0)
    assert attempt.task == Box(48)


def test_a_move_makes_a_new_attempt_and_leaves_the_old_one(attempt):
    after = attempt.after(Move("lift"))
    assert attempt.done == ()
    assert [one.seen.words for one in after.done] == ["it is 48"]
    assert after.after(Move("lift")).done[:1] == after.done


@pytest.mark.parametrize("kind", ["shake", "", "Lift"])
def test_an_unknown_move_is_refused_and_nothing_is_done(attempt, kind):
    once = attempt.after(Move("lift"))
    with pytest.raises(Refusal) as refused:
        once.after(Move(kind))
    assert str(refused.value) == f"move: found {kind!r}; allowed: lift | hint"
    assert len(once.done) == 1


def test_a_move_that_the_task_refuses_leaves_the_attempt(attempt):
    twice = attempt.after(Move("lift")).after(Move("lift"))
    with pytest.raises(Refusal, match="lifted twice"):
        twice.after(Move("lift"))
    assert len(twice.done) == 2
    assert twice.after(Move(HINT)).hints == 1


def test_hints_come_in_their_order_and_run_out(attempt):
    two = attempt.after(Move(HINT)).after(Move("lift")).after(Move(HINT))
    assert [one.seen.words for one in two.done] == [
        "hint: There is a lid.", "it is 48", "hint: Lift it.",
    ]  # fmt: skip
    assert two.hints == 2
    with pytest.raises(Refusal) as refused:
        two.after(Move(HINT))
    assert str(refused.value) == "hint: found all hints are given; allowed: 2 hints"
    assert two.hints == 2


def test_hints_given_before_it_was_begun_again_cost_and_the_next_one_comes():
    again = begin(Boxes(), 4, GRADES[1], hints_before=1)
    assert (again.done, again.hints) == ((), 1)
    looked = again.after(Move("lift"))
    assert looked.hints == 1
    assert looked.answered({"number": 48.0}).lost == (("hints", 10),)
    both = looked.after(Move(HINT))
    assert both.done[-1].seen.words == "hint: Lift it."
    assert both.answered({"number": 48.0}).hints == 2
    with pytest.raises(Refusal, match="all hints are given"):
        both.after(Move(HINT))


def test_an_answer_is_marked_by_what_was_done(attempt):
    sound = attempt.after(Move("lift")).answered({"number": 48.0})
    assert (sound.marks, sound.hints, sound.placements, sound.seconds) == (100, 0, 1, 30)
    helped = attempt.after(Move(HINT)).after(Move("lift")).answered({"number": 48.0})
    assert (helped.marks, helped.lost) == (90, (("hints", 10),))
    assert (helped.placements, helped.seconds) == (1, 30)  # a hint is none and takes no time
    guessed = attempt.answered({"number": 48.0})
    assert ([m.kind for m in guessed.mistakes], guessed.marks) == ([BLIND], 75)
    assert guessed.worked.answer == {"number": 48}


def test_what_is_hidden_does_not_show_in_print(attempt):
    assert "48" not in repr(attempt)


def test_a_guess_is_told_alone_where_a_drill_announces_guesses(attempt):
    drill = replace(attempt.drill, kinds=(BLIND, GUESSED))
    announced = replace(attempt, drill=drill)
    for idle in (announced, announced.after(Move(HINT))):
        guessed = idle.answered({"number": 48.0})
        assert ([m.kind for m in guessed.mistakes], guessed.marks) == ([GUESSED], 0)
    assert announced.after(Move("lift")).answered({"number": 48.0}).marks == 100
