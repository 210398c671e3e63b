"""Records and small made-up drills that the tests of the practice room share."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from kit.practice.drill import Given, Worked
from kit.practice.effects import Effect
from kit.practice.fields import Field, Values
from kit.practice.grades import Grade
from kit.practice.mistakes import NEVER_TURNED, OUT, WRONG_SIGN, Kind, Mistake
from kit.practice.moves import Done, Move, MoveForm, OnPlan, Seen
from kit.practice.record import Record, letters
from kit.practice.records_file import keep

_NUMBERS = itertools.count(1)

_RECORD = Record(
    attempt="", when="2031-05-08T09:30:00Z", nickname="ann", drill="sighting", edition=1,
    grade="fair", seed=7, tries_before=0, marks=85, placements=6, good_placements=4,
    seconds=130.5, good_seconds=95.0, hints=1, mistakes=("out",), token="",
)  # fmt: skip


@pytest.fixture(scope="session")
def unnamed() -> Callable[..., Record]:
    """Return a function that makes a record which is not kept yet; each has its own token."""

    def made(**changes: Any) -> Record:
        token = letters(next(_NUMBERS).to_bytes(12))
        return replace(_RECORD, **{"token": token, **changes})

    return made


@pytest.fixture(scope="session")
def named(unnamed: Callable[..., Record]) -> Callable[..., Record]:
    """Return a function that makes a record as it stands in a file."""

    def made(**changes: Any) -> Record:
        record = unnamed(**changes)
        return record.named(record.tries_before)

    return made


@pytest.fixture
def kept_text(tmp_path: Path, unnamed: Callable[..., Record]) -> str:
    """Return what a file with two attempts holds, as the kit writes it."""
    home = tmp_path / "written before"
    keep(home, unnamed(seed=3, marks=64, mistakes=("never_turned", "out")))
    keep(home, unnamed(seed=4))
    return (home / "ann.csv").read_text(encoding="utf-8")


_GIVEN = Given(
    ("Two posts <A> and B & co.",),
    (1300.0, 700.0),
    (OnPlan("place", ((210.0, 340.0),), "A"),),
    (("Posts", pd.DataFrame({"post": ["A", "B"], "x_mm": [210.0, 990.5]})),),
)


@dataclass(frozen=True)
class SightingTask:
    """Heights of two posts: what is looked at is told, the difference is asked."""

    low_mm: float
    high_mm: float
    given: Given = _GIVEN
    forms: tuple[MoveForm, ...] = (
        MoveForm("sight", "sight on a post", (Field("post", "post", "choice", "", ("A", "B")),)),
        MoveForm("cut", "cut a post", (Field("by", "by", unit="mm"),)),
    )
    asked: tuple[Field, ...] = (
        Field("higher", "B over A", unit="mm"),
        Field("post", "the lower one", "choice", "", ("A", "B")),
        Field("where", "stand at", "place", "mm"),
        Field("under", "packers under it", "packers", "mm"),
    )

    def do(self, done: Sequence[Done], move: Move) -> Seen:  # noqa: ARG002 - of every task
        if move.kind == "cut":
            return Seen("sawdust at last", 60.0)
        high = self.low_mm if move.values["post"] == "A" else self.high_mm
        shown = pd.DataFrame({"sighted_mm": [high]})
        return Seen(f"the mark stands at {high:g} mm", 30.0, tables=(("Sighted", shown),))

    def mark(self, done: Sequence[Done], answer: Values) -> tuple[Mistake, ...]:
        sound = bool(done) and answer == self.worked.answer
        return () if sound else (Mistake(OUT, "out", Effect("out"), "look"),)

    @property
    def worked(self) -> Worked:
        moves = [Move("sight", {"post": "A"}), Move("sight", {"post": "B"}), Move("cut", {"by": 3})]
        done: tuple[Done, ...] = ()
        for move in moves:
            done = (*done, Done(move, self.do(done, move)))
        rise = self.high_mm - self.low_mm
        table = pd.DataFrame({"post": ["B"], "rise_mm": [rise], "secret_mm": [77.125]})
        answer = {"higher": rise, "post": "A", "where": (655.0, 345.0), "under": (18.0, 2.5)}
        sentences = (f"{self.high_mm:g} less {self.low_mm:g} is {rise:g} mm & no more.",)
        return Worked(
            answer, done, sentences, (("Truth", table),),
            (OnPlan("place", ((655.0, 345.0),), "stand here"),),
        )  # fmt: skip


@dataclass(frozen=True)
class FakeDrill:
    """A drill of which only key, title and kinds matter, or a sighting."""

    key: str
    title: str
    kinds: tuple[Kind, ...] = (OUT,)
    aim: str = "See which post is higher."
    hints: tuple[str, ...] = field(default=("look",))

    def set_up(self, seed: int, grade: Grade) -> SightingTask:
        return SightingTask(101.5 + seed, 223.875 + 2 * seed + len(grade.name))


@pytest.fixture(scope="session")
def fakes() -> tuple[FakeDrill, FakeDrill]:
    """Return two drills, the first on site first."""
    return (
        FakeDrill("sighting", "Sight on two posts", (NEVER_TURNED, OUT)),
        FakeDrill("booking", "Book a line", (WRONG_SIGN, OUT)),
    )
