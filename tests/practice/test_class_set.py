from collections.abc import Sequence
from dataclasses import fields

import pytest

from kit.base.cautions import NO_APPROVAL
from kit.job import Refusal
from kit.practice.class_set import Exercise, class_set, drills_named, value_words
from kit.practice.drill import Drill, Given
from kit.practice.drills import DRILLS
from kit.practice.drills.own_error import OwnError
from kit.practice.fields import Field
from kit.practice.grades import GRADES
from kit.practice.moves import Move, MoveForm
from kit.practice.on_paper import PLANS, OnPaper

FAIR = GRADES[0]


def sight_both(given: Given, forms: Sequence[MoveForm]) -> tuple[Move, ...]:  # noqa: ARG001
    return Move("sight", {"post": "B"}), Move("sight", {"post": "A"})


@pytest.fixture
def on_paper(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the drill with the sights be worked without a screen."""
    monkeypatch.setitem(PLANS, "sighting", OnPaper(sight_both, plan=True))


def test_an_exercise_has_what_is_asked_and_nothing_looked_at(fakes: Sequence[Drill]) -> None:
    of_class = class_set(fakes, 20, FAIR, ("Sewing",))
    assert (of_class.seed, of_class.grade, of_class.left_out) == (20, FAIR, ("Sewing",))
    assert [one.title for one in of_class.exercises] == ["Sight on two posts", "Book a line"]
    one = of_class.exercises[0]
    assert [field.key for field in one.asked] == ["higher", "post", "where", "under"]
    assert one.looked == ()
    assert not {field.name for field in fields(Exercise)} & {"worked", "answers", "kinds"}


@pytest.mark.usefixtures("on_paper")
def test_what_neutral_moves_show_is_told_in_their_order(fakes: Sequence[Drill]) -> None:
    one, other = class_set(fakes, 20, FAIR).exercises
    assert other.looked == ()
    (looked,) = one.looked
    assert looked.plan
    assert looked.given.sentences == ("Two posts <A> and B & co.",)
    assert [step.words for step in looked.steps] == [
        "sight on a post, post B: the mark stands at 267.875 mm",
        "sight on a post, post A: the mark stands at 121.5 mm",
    ]
    assert looked.steps[0].tables[0][1]["sighted_mm"].tolist() == [267.875]


def test_what_holds_on_every_floor_is_kept_apart() -> None:
    drills = [drill for drill in DRILLS if drill.key in ("screws", "front_lift")]
    screws, lift = (one.looked[0] for one in class_set(drills, 7, FAIR).exercises)
    assert any(one.startswith("Hold point: locate services") for one in screws.cautions)
    assert NO_APPROVAL in screws.cautions
    assert not set(screws.cautions) & set(screws.given.sentences)
    assert lift.cautions == ()
    assert "Two people carry a bag." in lift.given.sentences[-1]  # of this drill alone


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


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("screws", "detector beside S1: it s"),
        ("front_lift", "gauge under the back row: "),
        ("choose_stacks", "calliper on a packer that says 18 mm: "),
        ("high_point", "staff at x "),
        ("two_bearers", "back bearer pressed at its left end: "),
    ],
)
def test_a_move_whose_words_say_all_is_not_said_twice(key: str, words: str) -> None:
    (solution,) = class_set([d for d in DRILLS if d.key == key], 7, GRADES[1]).solutions
    assert any(step.words.startswith(words) for step in solution.steps)


def test_what_the_words_leave_out_is_said_before_them() -> None:
    (solution,) = class_set([OwnError()], 7, GRADES[1]).solutions
    x, y = solution.worked.done[0].move.values["from"]  # type: ignore[misc, str-unpack]
    first = solution.steps[0].words
    assert first.startswith(f"marked end at x {x:g}, y {y:g} mm, other end towards x ")
    assert first.endswith(f": {solution.worked.done[0].seen.words}")
    assert "lay the level" not in first
    packed = [step.words for step in solution.steps if "packers" in step.words]
    assert packed
    assert all("packers under the other end 20 mm: long level" in one for one in packed)


def test_the_same_seed_makes_the_same_set(fakes: Sequence[Drill]) -> None:
    def words(seed: int, grade: int) -> list[str]:
        of_class = class_set([OwnError(), *fakes], seed, GRADES[grade])
        return [step.words for one in of_class.solutions for step in one.steps]

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
