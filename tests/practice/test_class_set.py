from collections.abc import Sequence
from dataclasses import fields

import pytest

from kit.job import Refusal
from kit.practice.class_set import Exercise, class_set, drills_named, value_words
from kit.practice.drill import Drill
from kit.practice.drills.own_error import OwnError
from kit.practice.fields import Field
from kit.practice.grades import GRADES, grade_named

FAIR = GRADES[0]


def test_an_exercise_has_what_is_given_and_seen(fakes: Sequence[Drill]) -> None:
    of_class = class_set(fakes, 20, FAIR)
    assert (of_class.seed, of_class.grade) == (20, FAIR)
    assert [one.title for one in of_class.exercises] == ["Sight on two posts", "Book a line"]
    one = of_class.exercises[0]
    assert one.given.sentences == ("Two posts <A> and B & co.",)
    assert [step.words for step in one.steps] == [
        "sight on a post, post A: the mark stands at 121.5 mm",
        "sight on a post, post B: the mark stands at 267.875 mm",
    ]
    assert one.steps[1].tables[0][1]["sighted_mm"].tolist() == [267.875]
    assert [field.key for field in one.asked] == ["higher", "post", "where", "under"]


def test_an_exercise_stops_before_what_would_tell_the_answer(fakes: Sequence[Drill]) -> None:
    one = class_set(fakes[:1], 20, FAIR).exercises[0]
    assert [done.move.kind for done in one.looked] == ["sight", "sight"]
    assert one.left_to_do == ("cut a post",)
    assert not {field.name for field in fields(Exercise)} & {"worked", "answers", "kinds"}


def test_a_solution_has_the_answer_and_what_it_is_worth(fakes: Sequence[Drill]) -> None:
    one = class_set(fakes, 20, FAIR).solutions[1]
    assert one.answers == (
        ("B over A", "146.375 mm"),
        ("the lower one", "A"),
        ("stand at", "x 655, y 345 mm"),
        ("packers under it", "18 + 2.5 mm"),
    )
    assert [step.words for step in one.steps][2] == "cut a post, by 3 mm: sawdust at last"
    assert (one.placements, one.seconds) == (3, 120.0)
    assert [kind.key for kind in one.kinds] == ["wrong_sign", "out"]


def test_values_are_read_out_with_their_units() -> None:
    assert value_words(Field("p", "packers", "packers", "mm"), ()) == "none"
    assert value_words(Field("c", "c", "choice", "mm", ("18", "6")), "18") == "18 mm"
    assert value_words(Field("n", "n", unit="mm/m"), -0.25) == "-0.25 mm/m"


def test_a_place_that_is_in_the_words_stands_there_only() -> None:
    exercise = class_set([OwnError()], 7, grade_named("ordinary")).exercises[0]
    first = exercise.looked[0]
    x, y = first.move.values["from"]  # type: ignore[misc, str-unpack]
    assert exercise.steps[0].words.count(f"x {x:g}, y {y:g}") == 1
    assert exercise.steps[0].words.endswith(first.seen.words)
    assert len(exercise.steps) == len(exercise.looked) >= 2


def test_the_same_seed_makes_the_same_set(fakes: Sequence[Drill]) -> None:
    def words(seed: int, grade: int) -> list[str]:
        of_class = class_set([OwnError(), *fakes], seed, GRADES[grade])
        return [step.words for one in of_class.exercises for step in one.steps]

    assert words(31, 1) == words(31, 1)
    assert words(31, 1) != words(31, 2)
    assert words(31, 1) != words(32, 1)


def test_what_cannot_be_set_is_refused(fakes: Sequence[Drill]) -> None:
    with pytest.raises(Refusal, match="seed: found 1000000"):
        class_set(fakes, 1_000_000, FAIR)
    with pytest.raises(Refusal, match="drills: found none"):
        class_set((), 1, FAIR)
    with pytest.raises(Refusal, match=r"found 'sewing'; allowed: sighting \| booking"):
        drills_named(fakes, ["booking", "sewing"])


def test_drills_are_taken_in_the_order_of_the_site(fakes: Sequence[Drill]) -> None:
    chosen = drills_named(fakes, ["booking", "sighting", "booking"])
    assert [drill.key for drill in chosen] == ["sighting", "booking"]
