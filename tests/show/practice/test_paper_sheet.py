"""A sheet without a screen: all that neutral moves show, nothing of any answer."""

import re
from dataclasses import dataclass, replace
from html import unescape
from html.parser import HTMLParser
from typing import Any

import pytest

from kit.practice.class_set import ClassSet, class_set
from kit.practice.drill import Drill, Task, Worked
from kit.practice.drills import DRILLS
from kit.practice.fields import Value
from kit.practice.grades import GRADES, Grade
from kit.practice.moves import Done
from kit.practice.on_paper import PLANS, drills_on_paper
from kit.show.practice.answers import answers_page
from kit.show.practice.paper_sheet import TALLEST_PX, paper_page
from kit.show.practice.sheet import sheet_page

ABLE, LEFT_OUT = drills_on_paper(DRILLS)


@dataclass(frozen=True)
class Otherwise:
    """A task, or a drill, whose worked answer is another one."""

    of: Any

    def __getattr__(self, name: str) -> Any:
        return getattr(self.of, name)

    def set_up(self, seed: int, grade: Grade) -> "Otherwise":
        return Otherwise(self.of.set_up(seed, grade))

    @property
    def worked(self) -> Worked:
        values: dict[str, Value] = {"number": 77.125, "place": (655.0, 345.0), "packers": (18.0,)}
        answer = {f.key: values.get(f.kind) or f.choices[-1] for f in self.of.asked}
        return Worked(answer, (), ("Worked otherwise.",))


@pytest.fixture(scope="module")
def of_all() -> ClassSet:
    return class_set(ABLE, 58, GRADES[2], LEFT_OUT)


def seen(html: str) -> str:
    """Return what a reader sees, accessible names of pictures among it."""
    names = re.findall(r'aria-label="([^"]*)"', html)
    text = re.sub(r"<style>.*?</style>|<[^>]*>", " ", html)
    return re.sub(r"\s+", " ", unescape(" ".join([text, *names])))


@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.key)
def test_another_worked_answer_is_the_same_sheet(drill: Drill) -> None:
    one, other = (class_set([each], 58, GRADES[2]) for each in (drill, Otherwise(drill)))
    assert sheet_page(one) == sheet_page(other)
    assert paper_page(one) == paper_page(other)
    assert answers_page(one) != answers_page(other)


@pytest.mark.parametrize("drill", ABLE, ids=lambda drill: drill.key)
def test_no_drill_tells_its_truth(drill: Drill) -> None:
    of_one = class_set([drill], 58, GRADES[2])
    sheet, answers = seen(paper_page(of_one)), seen(answers_page(of_one))
    (exercise,), (solution,) = of_one.exercises, of_one.solutions
    (looked,) = exercise.looked
    tables = (*looked.given.tables, *(table for step in looked.steps for table in step.tables))
    known = " ".join((drill.title, *(title for title, _ in tables)))
    truth = [*solution.worked.sentences, *(kind.what for kind in solution.kinds)]
    truth += [title for title, _ in solution.worked.tables if title not in known]
    assert len(truth) > 3
    for text in truth:
        assert re.sub(r"\s+", " ", text) in answers
        assert re.sub(r"\s+", " ", text) not in sheet
    for name in ("ufk-loose", "ufk-soft", "ufk-heated", "ufk-map"):
        assert name not in paper_page(of_one)


def made(task: Task, key: str) -> tuple[Done, ...]:
    done: tuple[Done, ...] = ()
    for move in PLANS[key].moves(task.given, task.forms):
        done = (*done, Done(move, task.do(done, move)))
    return done


@pytest.mark.parametrize("drill", ABLE, ids=lambda drill: drill.key)
def test_it_can_be_worked_without_a_screen(drill: Drill) -> None:
    of_one, task = class_set([drill], 7, GRADES[1]), drill.set_up(7, GRADES[1])
    html = paper_page(of_one)
    text = seen(html)
    (looked,) = of_one.exercises[0].looked
    for said in (drill.title, drill.aim, *task.given.sentences):
        assert text.count(re.sub(r"\s+", " ", said)) == 1
    booked = PLANS[drill.key].book(made(task, drill.key))
    for one in () if booked else made(task, drill.key):
        assert one.seen.words in text
    tables = [*task.given.tables, *booked]
    tables += [table for step in looked.steps for table in step.tables]
    for title, frame in tables:
        assert (title in text) == bool(len(frame))
    assert "Your answer" in text
    assert "Room to reckon" in text
    assert ("<svg" in html) == PLANS[drill.key].plan


def test_nobody_is_told_the_same_twice(of_all: ClassSet) -> None:
    html = paper_page(of_all)
    cautions = {one for each in of_all.exercises for one in each.looked[0].cautions}
    assert len(cautions) >= 6
    end = seen(html.split("On every floor")[1])
    for one in cautions:
        assert seen(html).count(one) == end.count(one) == 1


def test_what_wants_the_screen_is_named(of_all: ClassSet) -> None:
    text = seen(paper_page(of_all))
    assert f"Left out, because they want the screen: {'; '.join(LEFT_OUT)}." in text
    assert "Left out" not in seen(paper_page(replace(of_all, left_out=())))
    assert "Practice on paper: seed 58, grade rough" in text


def test_plans_are_no_taller_than_60_mm(of_all: ClassSet) -> None:
    tall = [float(h) for h in re.findall(r'<svg[^>]* height="([\d.]+)"', paper_page(of_all))]
    assert len(tall) == 5
    assert 60 < min(tall) <= max(tall) <= TALLEST_PX <= 60 / 25.4 * 96


def test_labels_on_plans_do_not_touch(of_all: ClassSet, touching: Any, outside: Any) -> None:
    for svg in re.findall(r"<svg.*?</svg>", paper_page(of_all), re.DOTALL):
        assert touching(svg) == []
        assert outside(svg) == []


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


@pytest.mark.parametrize("page", [sheet_page, paper_page, answers_page])
def test_a_page_is_whole_and_fetches_and_runs_nothing(page: Any, of_all: ClassSet) -> None:
    html = page(of_all)
    reader = Strict()
    reader.feed(html)
    reader.close()
    assert reader.open == []
    assert "@page{size:A4" in html
    assert "url(" not in html
