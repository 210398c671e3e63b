"""Marks: the rule in words, read as words and reckoned by hand, against the rule in code."""

import math
import re
from dataclasses import dataclass
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.practice.drill import Worked
from kit.practice.effects import Effect
from kit.practice.marking import RULE, effort, marked
from kit.practice.mistakes import Kind, Mistake
from kit.practice.moves import Done, Move, Seen

CARELESS = Kind("careless", "careless", "does not look", 25)
HASTY = Kind("hasty", "hasty", "does not wait", 17)
FOREIGN = Kind("foreign", "foreign", "belongs to another drill", 10)


@dataclass(frozen=True)
class Bench:
    """A drill of which only key and kinds count here."""

    key: str = "bench"
    title: str = "Bench"
    aim: str = "none"
    kinds: tuple[Kind, ...] = (CARELESS, HASTY)
    hints: tuple[str, ...] = ()

    def set_up(self, *_):
        raise AssertionError("marks need no task")


def made(kind: Kind) -> Mistake:
    return Mistake(kind, "did it", Effect("leans"), "look")


def moves(placements: int, seconds: float) -> tuple[Done, ...]:
    """Return moves with so many placements that take so long, one look among them."""
    look = Done(Move("look"), Seen("seen", 0.0, placement=False))
    if not placements:
        return (Done(Move("look"), Seen("seen", seconds, placement=False)),)
    put = [Done(Move("put"), Seen("put", 0.0)) for _ in range(placements - 1)]
    return (look, *put, Done(Move("put"), Seen("put", seconds)))


def mark(mistakes=(), placements=4, seconds=100.0, hints=0, good=(4, 100.0)):
    return marked(Bench(), tuple(map(made, mistakes)), moves(placements, seconds),
                  Worked({}, moves(*good), ()), hints)  # fmt: skip


def test_sound_work_has_full_marks_and_loses_nothing():
    result = mark()
    assert (result.marks, result.lost, result.mistakes) == (100, (), ())
    assert (result.placements, result.good_placements) == (4, 4)
    assert (result.seconds, result.good_seconds) == (100, 100)


@pytest.mark.parametrize(
    ("given_", "lost"),
    [
        ({"mistakes": (CARELESS,)}, [("careless", 25)]),
        ({"mistakes": (HASTY, CARELESS)}, [("hasty", 17), ("careless", 25)]),
        ({"hints": 3}, [("hints", 30)]),
        ({"placements": 5}, []),  # 1¼ · 4 = 5
        ({"placements": 7}, [("placements", 2)]),
        ({"placements": 7, "good": (5, 100)}, []),  # 6¼, rounded up
        ({"placements": 8, "good": (5, 100)}, [("placements", 1)]),
        ({"placements": 20}, [("placements", 15)]),
        ({"placements": 200}, [("placements", 15)]),
        ({"placements": 2, "good": (0, 100)}, [("placements", 2)]),
        ({"seconds": 150}, []),
        ({"seconds": 150.5}, [("time", 1)]),  # a tenth begun
        ({"seconds": 160}, [("time", 1)]),
        ({"seconds": 185}, [("time", 4)]),
        ({"seconds": 7000}, [("time", 10)]),
        ({"seconds": 30.6, "good": (4, 17)}, [("time", 3)]),  # a double makes it a fourth begun
        ({"seconds": 5, "good": (4, 0)}, []),  # no time to compare with
        (
            {"mistakes": (HASTY,), "hints": 1, "placements": 8, "seconds": 171},
            [("hasty", 17), ("hints", 10), ("placements", 3), ("time", 3)],
        ),
    ],
)
def test_each_term_of_the_rule(given_, lost):
    result = mark(**given_)
    assert list(result.lost) == lost
    assert result.marks == 100 - sum(cost for _, cost in lost)


def test_marks_never_go_below_nought():
    result = mark(mistakes=(CARELESS, HASTY), hints=7, placements=90, seconds=900)
    assert sum(cost for _, cost in result.lost) == 25 + 17 + 70 + 15 + 10
    assert result.marks == 0


RULE_IN_WORDS = (
    r"(?P<full>\d+) marks\. Each kind of mistake costs its own marks, once; "
    r"each hint (?P<hint>\d+)\. Placements beyond (?P<free>1¼) times the good practice's, "
    r"rounded up, cost (?P<one>\d+) each, at most (?P<most>\d+); time beyond (?P<free_time>1½) "
    r"times its time costs (?P<tenth>\d+) for each further tenth of it that is begun, at most "
    r"(?P<most_time>\d+)\. Never below 0\."
)


@given(
    st.lists(st.sampled_from([CARELESS, HASTY]), unique=True), st.integers(0, 9),
    st.integers(0, 60), st.integers(1, 4000), st.tuples(st.integers(0, 30), st.integers(1, 900)),
)  # fmt: skip
def test_words_and_code_agree(mistakes, hints, placements, seconds, good):
    """The figures are read out of the words, the sum is done in fractions."""
    said = re.fullmatch(RULE_IN_WORDS, RULE)
    assert said, RULE
    quarter = {"1¼": Fraction(5, 4), "1½": Fraction(3, 2)}
    over = max(placements - math.ceil(quarter[said["free"]] * good[0]), 0) * int(said["one"])
    tenths = (seconds - quarter[said["free_time"]] * good[1]) / Fraction(good[1], 10)
    late = max(math.ceil(tenths), 0) * int(said["tenth"])
    left = (
        int(said["full"])
        - sum(kind.cost for kind in mistakes)
        - int(said["hint"]) * hints
        - min(over, int(said["most"]))
        - min(late, int(said["most_time"]))
    )
    assert mark(mistakes, placements, float(seconds), hints, good).marks == max(left, 0)


@pytest.mark.parametrize("kinds", [(FOREIGN,), (CARELESS, FOREIGN), (HASTY, HASTY)])
def test_a_kind_that_is_not_announced_or_comes_twice_is_a_defect(kinds):
    with pytest.raises(ValueError, match=rf"bench: .*{kinds[-1].key}"):
        mark(mistakes=kinds)


def test_effort_counts_what_was_put_down_and_all_the_time():
    done = (
        Done(Move("put"), Seen("a", 20.0)),
        Done(Move("look"), Seen("b", 8.5, placement=False)),
        Done(Move("put"), Seen("c", 35.0)),
    )
    assert effort(done) == (2, 63.5)
    assert effort(()) == (0, 0)
