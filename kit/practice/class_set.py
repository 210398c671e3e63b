"""A set for a class: one seed, the exercises on a sheet, the answers apart."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import pandas as pd

from kit.base.cautions import NO_APPROVAL, standing_cautions
from kit.job import Floor, refuse
from kit.practice.drill import Drill, Given, Task, Worked
from kit.practice.fields import Field, Value, Values, number, numbers
from kit.practice.floors import check_seed
from kit.practice.grades import Grade
from kit.practice.marking import effort
from kit.practice.mistakes import Kind
from kit.practice.moves import Done, Move, MoveForm
from kit.practice.on_paper import PLANS, OnPaper
from kit.practice.tools import place_words

#: What the kit says of every boarded floor of which nothing is known, and of every floor.
_STANDING = frozenset((*standing_cautions(Floor(kind="boarded", board_mm=21.0)), NO_APPROVAL))


@dataclass(frozen=True)
class Step:
    """A move that was made, in words.

    Parameters
    ----------
    words : str
        What was done and seen.
    tables : tuple of (str, DataFrame)
        What it showed, where that was a table.
    """

    words: str
    tables: tuple[tuple[str, pd.DataFrame], ...] = ()


@dataclass(frozen=True)
class Looked:
    """What is told of a drill that is worked without a screen.

    Parameters
    ----------
    given : Given
        What is told before the first move, without what holds on every floor.
    steps : tuple of Step
        What moves showed that depend on nothing hidden.
    plan : bool
        Whether a plan is wanted.
    cautions : tuple of str
        Sentences of what is given that hold on every floor.
    """

    given: Given
    steps: tuple[Step, ...]
    plan: bool
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class Exercise:
    """What a sheet has of one drill; nothing of its answer.

    Parameters
    ----------
    title, aim : str
        Of the drill.
    asked : tuple of Field
        What is to be answered.
    looked : tuple of Looked
        What is told to those without a screen: one, or none where it cannot be worked so.
    """

    title: str
    aim: str
    asked: tuple[Field, ...]
    looked: tuple[Looked, ...]


@dataclass(frozen=True)
class Solution:
    """What the trainer has of one drill.

    Parameters
    ----------
    title : str
        Of the drill.
    given : Given
        For a plan.
    answers : tuple of (str, str)
        What was asked, and the right answer.
    steps : tuple of Step
        All moves of the good practice.
    worked : Worked
        Why, step by step, and the truth in tables and in plan.
    placements, seconds : int, float
        Of the good practice [s].
    kinds : tuple of Kind
        Typical mistakes with what each costs.
    """

    title: str
    given: Given
    answers: tuple[tuple[str, str], ...]
    steps: tuple[Step, ...]
    worked: Worked
    placements: int
    seconds: float
    kinds: tuple[Kind, ...]


@dataclass(frozen=True)
class ClassSet:
    """Exercises and their answers, in the same order.

    Parameters
    ----------
    seed : int
        Of all floors.
    grade : Grade
        Of all floors.
    exercises : tuple of Exercise
        For the sheet.
    solutions : tuple of Solution
        For the trainer.
    left_out : tuple of str
        Titles of drills that were wanted and cannot be worked without a screen.
    """

    seed: int
    grade: Grade
    exercises: tuple[Exercise, ...]
    solutions: tuple[Solution, ...]
    left_out: tuple[str, ...] = ()


def class_set(
    drills: Sequence[Drill], seed: int, grade: Grade, left_out: tuple[str, ...] = ()
) -> ClassSet:
    """Make the exercises of a seed and a grade, and work them.

    Parameters
    ----------
    drills : sequence of Drill
        One or more, in the order of the sheet.
    seed : int
        The number on the sheet; the same seed and grade give the same set everywhere.
    grade : Grade
        How bad the floors are.
    left_out : tuple of str
        See `ClassSet`.

    Raises
    ------
    Refusal
        Where the seed is none or there is no drill.
    """
    check_seed(seed)
    if not drills:
        raise refuse("drills", "none", "one or more")
    tasks = [drill.set_up(seed, grade) for drill in drills]
    pairs = list(zip(drills, tasks, strict=True))
    return ClassSet(
        seed,
        grade,
        tuple(_exercise(drill, task) for drill, task in pairs),
        tuple(_solution(drill, task) for drill, task in pairs),
        left_out,
    )


def drills_named(drills: Sequence[Drill], keys: Sequence[str]) -> tuple[Drill, ...]:
    """Return the drills of some keys, in the order of the site.

    Raises
    ------
    Refusal
        Where one of them is no drill's.
    """
    known = [drill.key for drill in drills]
    for key in keys:
        if key not in known:
            raise refuse("--drills", repr(key), " | ".join(known))
    return tuple(drill for drill in drills if drill.key in keys)


def _exercise(drill: Drill, task: Task) -> Exercise:
    plans = (PLANS[drill.key],) if drill.key in PLANS else ()
    return Exercise(
        drill.title, drill.aim, task.asked, tuple(_looked(task, plan) for plan in plans)
    )


def _looked(task: Task, plan: OnPaper) -> Looked:
    given, done = task.given, _made(task, plan.moves(task.given, task.forms))
    booked = plan.book(done)
    steps = (Step("", booked),) if booked else tuple(_steps(task, done))
    own = tuple(one for one in given.sentences if one not in _STANDING)
    cautions = tuple(one for one in given.sentences if one in _STANDING)
    return Looked(replace(given, sentences=own), steps, plan.plan, cautions)


def _made(task: Task, moves: Sequence[Move]) -> tuple[Done, ...]:
    done: tuple[Done, ...] = ()
    for move in moves:
        done = (*done, Done(move, task.do(done, move)))
    return done


def _solution(drill: Drill, task: Task) -> Solution:
    worked = task.worked
    placements, seconds = effort(worked.done)
    answers = tuple(
        (field.label, value_words(field, worked.answer[field.key])) for field in task.asked
    )
    steps = tuple(_steps(task, worked.done))
    return Solution(
        drill.title, task.given, answers, steps, worked, placements, seconds, drill.kinds
    )


def _steps(task: Task, done: Sequence[Done]) -> Iterator[Step]:
    forms = {form.kind: form for form in task.forms}
    for one in done:
        yield Step(_said(forms[one.move.kind], one), one.seen.tables)


def _said(form: MoveForm, one: Done) -> str:
    """Say a move and what it showed; what is in the words of the latter stands there only."""
    words = one.seen.words
    told = [
        f"{field.label} {value_words(field, one.move.values[field.key])}"
        for field in form.fields
        if not _is_said(field, one.move.values, words)
    ]
    if not told:
        return words
    thing = form.label.split()[-1]
    return f"{', '.join(told if thing in words else (form.label, *told))}: {words}"


def _is_said(field: Field, values: Values, words: str) -> bool:
    """Tell whether the value of a field stands in what was seen; nothing need not be said."""
    value = values[field.key]
    if field.kind == "place":
        return place_words(_place(numbers(values, field.key))) in words
    if field.kind == "packers":
        return " ".join(f"{one:g}" for one in numbers(values, field.key)) in words
    text = f"{number(values, field.key):g} {field.unit}" if field.kind == "number" else str(value)
    return bool(re.search(rf"(?<![\w.]){re.escape(text.strip())}(?!\w)", words))


def value_words(field: Field, value: Value) -> str:
    """Return a value with its unit, as it is read out."""
    values = {field.key: value}
    if field.kind == "choice":
        return _with_unit(str(value), field)
    if field.kind == "number":
        return _with_unit(f"{number(values, field.key):g}", field)
    several = numbers(values, field.key)
    if field.kind == "place":
        return _with_unit(place_words(_place(several)), field)
    return _with_unit(" + ".join(f"{one:g}" for one in several), field) if several else "none"


def _with_unit(text: str, field: Field) -> str:
    return f"{text} {field.unit}".strip()


def _place(pair: Sequence[float]) -> tuple[float, float]:
    return float(pair[0]), float(pair[1])
