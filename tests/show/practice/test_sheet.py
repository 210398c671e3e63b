"""The sheet of a class tells nothing of any answer; the answers tell all of it."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from html import unescape
from html.parser import HTMLParser

import pandas as pd
import pytest

from kit.practice.class_set import ClassSet, class_set
from kit.practice.drill import Drill, Given, Worked
from kit.practice.drills import DRILLS
from kit.practice.drills.own_error import OwnError
from kit.practice.effects import Effect
from kit.practice.fields import Field, Values
from kit.practice.grades import GRADES, Grade
from kit.practice.marking import RULE
from kit.practice.mistakes import OUT, WRONG_SIGN, Kind, Mistake
from kit.practice.moves import Done, Move, MoveForm, Seen
from kit.show.practice.sheet import answers_page, sheet_page

_GIVEN = Given(("Two posts <A> & B.",), tables=(("Posts", pd.DataFrame({"at_mm": [210.5]})),))


@dataclass(frozen=True)
class PostTask:
    """How much higher is post B than post A?"""

    low_mm: float
    given: Given = _GIVEN
    forms: tuple[MoveForm, ...] = (
        MoveForm("sight", "sight on a post", (Field("post", "post", "choice", "", ("A", "B")),)),
        MoveForm("cut", "cut a post down", gives_away=True),
    )
    asked: tuple[Field, ...] = (
        Field("higher", "B over A", unit="mm"),
        Field("which", "cut which", "choice", "", ("A", "B", "neither")),
        Field("where", "stand at", "place", "mm"),
        Field("under", "packers under it", "packers", "mm"),
    )

    def do(self, done: Sequence[Done], move: Move) -> Seen:  # noqa: ARG002 - of every task
        if move.kind == "cut":
            return Seen("it stands level with the other one now", 60.0)
        high = self.low_mm + (33.625 if move.values["post"] == "B" else 0.0)
        return Seen(f"mark at {high:g} mm", 30.0)

    def mark(self, done: Sequence[Done], answer: Values) -> tuple[Mistake, ...]:
        sound = bool(done) and answer == self.worked.answer
        return () if sound else (Mistake(OUT, "out", Effect("out"), "look"),)

    @property
    def worked(self) -> Worked:
        done: tuple[Done, ...] = ()
        for move in (Move("sight", {"post": "A"}), Move("sight", {"post": "B"}), Move("cut")):
            done = (*done, Done(move, self.do(done, move)))
        truth = pd.DataFrame({"post": ["B"], "rise_mm": [33.625], "of_old_mm": [771.25]})
        answer: Values = {
            "higher": 33.625, "which": "B", "where": (655.0, 345.0), "under": (18.0, 2.5),
        }  # fmt: skip
        return Worked(answer, done, ("B less A is 33.625 mm & no more.",), (("Truth", truth),))


@dataclass(frozen=True)
class Posts:
    key: str = "posts"
    title: str = "Posts <b>"
    aim: str = "See which post is higher."
    kinds: tuple[Kind, ...] = (WRONG_SIGN, OUT)
    hints: tuple[str, ...] = ("look",)

    def set_up(self, seed: int, grade: Grade) -> PostTask:
        return PostTask(101.5 + seed - (grade.name == "rough"))


@pytest.fixture(scope="module")
def of_class() -> ClassSet:
    return class_set([OwnError(), Posts()], 431, GRADES[1])


def seen(html: str) -> str:
    """Return what a reader sees, accessible names of pictures among it."""
    names = re.findall(r'aria-label="([^"]*)"', html)
    text = re.sub(r"<style>.*?</style>|<[^>]*>", " ", html)
    return re.sub(r"\s+", " ", unescape(" ".join([text, *names])))


def truths(of_class: ClassSet) -> Iterator[str]:
    """Yield every sentence, heading and figure that only the answers may have."""
    for one in of_class.solutions:
        yield from one.worked.sentences
        yield from (mark.label for mark in one.worked.on_plan if mark.label)
        yield from (kind.what for kind in one.kinds)
        for title, frame in one.worked.tables:
            yield title
            for column in frame.select_dtypes("number"):
                yield from (f"{value:g}" for value in frame[column])


def test_the_sheet_tells_nothing_of_an_answer(of_class: ClassSet) -> None:
    sheet, answers = seen(sheet_page(of_class)), seen(answers_page(of_class))
    told = list(truths(of_class))
    assert len(told) > 15
    for text in told:
        assert text in answers
        assert text not in sheet
    for text in ("33.625", "655", "18 + 2.5", "771.25", "level with the other one now"):
        assert text in answers
        assert text not in sheet


def test_no_answer_of_a_drill_changes_the_sheet(of_class: ClassSet) -> None:
    """Nothing of a solution is looked at."""
    assert sheet_page(replace(of_class, solutions=())) == sheet_page(of_class)


def test_floors_that_hide_other_things_are_not_drawn(of_class: ClassSet) -> None:
    sheet = sheet_page(of_class)
    for name in ("ufk-loose", "ufk-soft", "ufk-heated", "hump", "hollow"):
        assert name not in sheet
    assert "hump" in answers_page(of_class)


def test_the_sheet_can_be_worked_without_a_screen(of_class: ClassSet) -> None:
    text = seen(sheet_page(of_class))
    for one in of_class.exercises:
        for said in (one.title, one.aim, *one.given.sentences):
            assert re.sub(r"\s+", " ", said) in text
        for step in one.steps:
            assert step.words in text
        for field in one.asked:
            assert f"{field.label}:" in text
    assert "mark at 566.125 mm" in text  # 101.5 + 431 + 33.625, as sighted
    assert "cut which: ☐ A ☐ B ☐ neither" in text
    assert "stand at: x y mm" in text
    assert "packers under it: mm, from the floor up" in text
    assert "Write down what you would do, and where (cut a post down)" in text
    assert RULE in text
    assert text.count("Nickname:") == text.count("Date:") == 2


def test_seed_and_grade_stand_on_both(of_class: ClassSet) -> None:
    for page in (sheet_page(of_class), answers_page(of_class)):
        assert "<h1>" in page
        assert "seed 431, grade ordinary" in page.split("<h1>")[1].split("</h1>")[0]


def test_answers_have_mistakes_with_their_costs(of_class: ClassSet) -> None:
    text = seen(answers_page(of_class))
    for one in of_class.solutions:
        for kind in one.kinds:
            assert f"{kind.title} {kind.what} {kind.cost}" in text
        for label, answer in one.answers:
            assert f"{label}: {answer}" in text
    assert "Good practice: 3 placements, 2 minutes" in text


@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.key)
def test_no_drill_of_the_kit_tells_its_truth_on_the_sheet(drill: Drill) -> None:
    of_one = class_set([drill], 58, GRADES[2])
    sheet, answers = seen(sheet_page(of_one)), seen(answers_page(of_one))
    (exercise,), (solution,) = of_one.exercises, of_one.solutions
    shown = {title for step in exercise.steps for title, _ in step.tables}
    shown |= {title for title, _ in exercise.given.tables}
    known = " ".join((*shown, drill.title))
    truth = [*solution.worked.sentences, *(kind.what for kind in solution.kinds)]
    truth += [title for title, _ in solution.worked.tables if title not in known]
    assert len(truth) > 3
    for text in truth:
        assert re.sub(r"\s+", " ", text) in answers
        assert re.sub(r"\s+", " ", text) not in sheet


class Strict(HTMLParser):
    """Tells elements that are not closed, scripts, and what would be fetched."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert tag not in {"script", "link", "img", "iframe", "object"}
        keys = {key for key, _ in attrs}
        assert not keys & {"src", "href"}
        assert not [key for key in keys if key.startswith("on")]
        if tag not in {"meta"}:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert tag not in {"image", "use"}
        assert "href" not in {key for key, _ in attrs}


@pytest.mark.parametrize("page", [sheet_page, answers_page])
def test_a_page_is_whole_and_fetches_and_runs_nothing(page, of_class: ClassSet) -> None:
    html = page(of_class)
    reader = Strict()
    reader.feed(html)
    reader.close()
    assert reader.open == []
    assert "@page{size:A4" in html
    assert "url(" not in html
    assert "Posts &lt;b&gt;" in html
    assert "Posts <b>" not in html
