"""What a drill is: aim and moves, one task on one floor, marking, a worked answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

import pandas as pd

from kit.practice.fields import Field, Values
from kit.practice.floors import PracticeFloor
from kit.practice.grades import Grade
from kit.practice.mistakes import Kind, Mistake
from kit.practice.moves import Done, Move, MoveForm, OnPlan, Seen


@dataclass(frozen=True)
class Given:
    """What an apprentice is told before the first move; nothing of it is hidden.

    Parameters
    ----------
    sentences : tuple of str
        The situation, the task.
    room_mm : tuple of float
        Width and depth of the plan [mm]; (0, 0) where the drill has no plan.
    on_plan : tuple of OnPlan
        Outlines, stacks, points by name.
    tables : tuple of (str, DataFrame)
        Headings and figures; columns end in their unit.
    """

    sentences: tuple[str, ...]
    room_mm: tuple[float, float] = (0.0, 0.0)
    on_plan: tuple[OnPlan, ...] = ()
    tables: tuple[tuple[str, pd.DataFrame], ...] = ()


@dataclass(frozen=True)
class Worked:
    """A sound way, worked: shown when the answer has been given.

    Parameters
    ----------
    answer : mapping
        What it answers, by the keys of the fields.
    done : tuple of Done
        Its moves and what it saw; its placements and time are the good practice.
    sentences : tuple of str
        Why, step by step, with figures.
    tables : tuple of (str, DataFrame)
        The truth in figures.
    on_plan : tuple of OnPlan
        The truth in plan.
    floor : tuple of PracticeFloor
        The floor to be drawn, where there is one.
    """

    answer: Values
    done: tuple[Done, ...]
    sentences: tuple[str, ...]
    tables: tuple[tuple[str, pd.DataFrame], ...] = ()
    on_plan: tuple[OnPlan, ...] = ()
    floor: tuple[PracticeFloor, ...] = field(default=())


class Task(Protocol):
    """One drill on one floor. What it hides leaves it through `do`, `mark` and `worked` only."""

    @property
    def given(self) -> Given:
        """What is told before the first move."""
        ...

    @property
    def forms(self) -> tuple[MoveForm, ...]:
        """Moves that are allowed."""
        ...

    @property
    def asked(self) -> tuple[Field, ...]:
        """What is to be answered."""
        ...

    def do(self, done: Sequence[Done], move: Move) -> Seen:
        """Make a move after others; refuse what cannot be done."""
        ...

    def mark(self, done: Sequence[Done], answer: Values) -> tuple[Mistake, ...]:
        """Tell the mistakes, each kind once; none for sound work."""
        ...

    @property
    def worked(self) -> Worked:
        """A sound way, worked through the same moves; worked out once, when first asked for."""
        ...


class Drill(Protocol):
    """A kind of exercise.

    Parameters
    ----------
    key : str
        Its name in records.
    title, aim : str
        On the page.
    kinds : tuple of Kind
        Mistakes that it tells apart, with what each costs.
    hints : tuple of str
        From the gentlest to the plainest; none says anything of this floor.
    """

    @property
    def key(self) -> str: ...  # noqa: D102 - in the class's parameters
    @property
    def title(self) -> str: ...  # noqa: D102
    @property
    def aim(self) -> str: ...  # noqa: D102
    @property
    def kinds(self) -> tuple[Kind, ...]: ...  # noqa: D102
    @property
    def hints(self) -> tuple[str, ...]: ...  # noqa: D102

    def set_up(self, seed: int, grade: Grade) -> Task:
        """Make the task of a seed and a grade: the same everywhere."""
        ...
