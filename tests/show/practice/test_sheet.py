"""The sheet that a class takes along has blanks for everything and nothing of any floor."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from html import unescape
from typing import Any

import pytest

from kit.practice.class_set import ClassSet, class_set
from kit.practice.drill import Drill, Given, Worked
from kit.practice.drills import DRILLS
from kit.practice.fields import Field, Value
from kit.practice.grades import GRADES, Grade
from kit.practice.mistakes import Mistake
from kit.practice.moves import Done, Move, MoveForm, Seen
from kit.show.practice.sheet import SHORT_RULE, sheet_page


@dataclass(frozen=True)
class Blind:
    """A task of which nothing is left but what is asked."""

    asked: tuple[Field, ...]
    given: Given = field(default_factory=lambda: Given(("Nothing is told.",)))
    forms: tuple[MoveForm, ...] = ()

    def do(self, done: Sequence[Done], move: Move) -> Seen:  # noqa: ARG002 - of every task
        raise AssertionError

    def mark(self, done: Sequence[Done], answer: Any) -> tuple[Mistake, ...]:  # noqa: ARG002
        raise AssertionError

    @property
    def worked(self) -> Worked:
        values: dict[str, Value] = {"number": 77.125, "place": (655.0, 345.0), "packers": (18.0,)}
        answer = {f.key: values.get(f.kind) or f.choices[-1] for f in self.asked}
        return Worked(answer, (), ("Nothing was worked.",))


@dataclass(frozen=True)
class BlindDrill:
    """A drill whose tasks are blind."""

    of: Drill

    def __getattr__(self, name: str) -> Any:
        return "blind" if name == "key" else getattr(self.of, name)

    def set_up(self, seed: int, grade: Grade) -> Blind:
        return Blind(self.of.set_up(seed, grade).asked)


@pytest.fixture(scope="module")
def of_all() -> ClassSet:
    return class_set(DRILLS, 58, GRADES[2])


def seen(html: str) -> str:
    text = re.sub(r"<style>.*?</style>|<[^>]*>", " ", html)
    return re.sub(r"\s+", " ", unescape(text))


def test_nothing_hidden_nor_given_is_looked_at(of_all: ClassSet) -> None:
    blind: Any = [BlindDrill(drill) for drill in DRILLS]
    assert sheet_page(of_all) == sheet_page(class_set(blind, 58, GRADES[2]))


def test_every_drill_has_a_block_with_what_it_takes(of_all: ClassSet) -> None:
    html = sheet_page(of_all)
    assert html.count('<section class="drill">') == len(DRILLS) == 11
    for number, (one, drill) in enumerate(zip(of_all.exercises, DRILLS, strict=True), start=1):
        block = seen(html.split('<section class="drill">')[number])
        assert block.strip().startswith(f"{number}. {drill.title} {drill.aim} ")
        assert "placements minutes marks what I did wrong:" in block
        for blank in one.asked:
            for part in re.split(r", | at ", blank.label):
                assert part in block
            assert blank.unit in block


def test_every_screw_and_every_stack_has_its_cell(of_all: ClassSet) -> None:
    blocks = sheet_page(of_all).split('<section class="drill">')
    for number, key in ((8, "screws"), (6, "choose_stacks")):
        assert DRILLS[number - 1].key == key
        cells = blocks[number].count("<td></td>") + blocks[number].count('<td class="has">')
        corner, made = (1 if key == "screws" else 0), 3
        assert cells == len(of_all.exercises[number - 1].asked) + corner + made


def test_neither_plan_nor_given_table_is_on_it(of_all: ClassSet) -> None:
    html = sheet_page(of_all)
    assert "<svg" not in html
    assert "<caption" not in html


def test_the_head_says_seed_grade_and_rule(of_all: ClassSet) -> None:
    text = seen(sheet_page(of_all))
    assert "Practice sheet: seed 58, grade rough" in text
    assert SHORT_RULE in text
    assert "100 marks less each kind of mistake once, each hint 10" in SHORT_RULE
    assert len(SHORT_RULE) < 140  # a line of small print
    assert text.count("Nickname:") == text.count("Date:") == 1
