"""What is on an apprentice's desk: an attempt, what is amiss, and the mark once it is given."""

from __future__ import annotations

import secrets
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field

from kit.job import Problem, Refusal, refuse
from kit.practice.attempt import HINT, Attempt, begin
from kit.practice.drill import Drill
from kit.practice.fields import Field, Value, number, read_values
from kit.practice.floors import HIGHEST_SEED
from kit.practice.grades import grade_named
from kit.practice.marking import Marked
from kit.practice.moves import Move, MoveForm
from kit.practice.tools import turned

#: The form of the answer among the forms of the moves.
ANSWER = "answer"

#: What makes a floor the same again: drill, seed, grade.
_Floor = tuple[str, int, str]

_SEED = Field("seed", "seed", least=0, most=HIGHEST_SEED)


@dataclass(frozen=True)
class Amiss:
    """Something that could not be read or done, and the field that it is about, if one."""

    words: str
    form: str = ""
    field: str = ""


@dataclass
class PracticeDesk:
    """One attempt in a person's hands; it knows no widget.

    What was given away of a floor is remembered when it is begun again: hints until it is answered
    (they go on costing), and how often its answer was shown (`shown_before`, of this attempt).

    Parameters
    ----------
    drills : sequence of Drill
        To choose from.
    drill, seed, grade : str, int, str
        Those to begin with.
    """

    drills: Sequence[Drill]
    drill: str
    seed: int
    grade: str
    attempt: Attempt = field(init=False)
    marked: tuple[Marked, ...] = field(init=False, default=())
    amiss: tuple[Amiss, ...] = field(init=False, default=())
    fill: tuple[str, Mapping[str, str]] = field(init=False, default=("", {}))
    begun: int = field(init=False, default=0)
    shown_before: int = field(init=False, default=0)
    _hinted: Counter[_Floor] = field(init=False, repr=False, default_factory=Counter)
    _shown: Counter[_Floor] = field(init=False, repr=False, default_factory=Counter)

    def __post_init__(self) -> None:
        self.begin(self.drill, str(self.seed), self.grade)

    def begin(self, drill: str, seed: str, grade: str) -> None:
        """Begin anew: another drill, another floor, or the same again."""
        self._clear()
        whole = number(read_values((_SEED,), {"seed": seed}, "begin"), "seed")
        if not whole.is_integer():
            raise refuse("begin, seed", repr(seed), f"a whole number, 0 to {HIGHEST_SEED}")
        chosen, found = drill_named(self.drills, drill), grade_named(grade)
        hinted = self._hinted[chosen.key, int(whole), found.name]
        self.attempt = begin(chosen, int(whole), found, hinted)
        self.drill, self.seed, self.grade = drill, int(whole), grade
        self.shown_before = self._shown[self._floor]
        self.marked = ()
        self.begun += 1

    def another(self, drill: str, grade: str) -> None:
        """Begin on a floor that nobody chose."""
        self.begin(drill, str(secrets.randbelow(HIGHEST_SEED + 1)), grade)

    def move(self, kind: str, typed: Mapping[str, str]) -> None:
        """Make a move from what was typed for it."""
        form = self.form(kind)
        with self._noting(kind, form.label, form.fields):
            self._after(Move(kind, read_values(form.fields, typed, form.label)))

    def turn(self, kind: str) -> None:
        """Lay the instrument that was laid last on the same place, turned end for end."""
        form = self.form(kind)
        with self._noting(kind, form.label, form.fields):
            laid = [one.move for one in self.attempt.done if one.move.kind == kind]
            if not laid:
                raise refuse(form.turn, "nothing that is laid", f"{form.label} first")
            move = turned(laid[-1])
            self._after(move)
            self.fill = (kind, {key: as_typed(value) for key, value in move.values.items()})

    def hint(self) -> None:
        """Ask for the next hint."""
        with self._noting("", "", ()):
            self._after(Move(HINT))
            self._hinted[self._floor] = self.attempt.hints

    def answer(self, typed: Mapping[str, str]) -> bool:
        """Mark an answer; tell whether it could be read."""
        asked = self.attempt.task.asked
        with self._noting(ANSWER, ANSWER, asked):
            self._open()
            values = read_values(asked, typed, ANSWER)
            self.marked = (self.attempt.answered(values),)
            self._shown[self._floor] += 1
            del self._hinted[self._floor]
        return not self.amiss

    def form(self, kind: str) -> MoveForm:
        """Return the form of a kind of move of this drill.

        Raises
        ------
        Refusal
            Where the drill has no such move.
        """
        forms = {form.kind: form for form in self.attempt.task.forms}
        if kind not in forms:
            raise refuse("move", repr(kind), " | ".join(forms))
        return forms[kind]

    def check_shown(self, begun: int) -> None:
        """Refuse what a hand did on a floor that is no longer the one on the desk.

        Raises
        ------
        Refusal
            Where another has begun since: what was meant for one floor is not done on the next.
        """
        if begun != self.begun:
            raise refuse("page", "a move on a floor that is gone", "moves on the floor shown now")

    @property
    def _floor(self) -> _Floor:
        return self.attempt.drill.key, self.attempt.seed, self.attempt.grade.name

    def _after(self, move: Move) -> None:
        self._open()
        self.attempt = self.attempt.after(move)

    def _open(self) -> None:
        if self.marked:
            raise refuse("this floor", "its answer has been given", "begin again, or another floor")

    @contextmanager
    def _noting(self, kind: str, label: str, fields: Sequence[Field]) -> Iterator[None]:
        """Note what is refused, each beside the field that it is about."""
        self._clear()
        keys = {f"{label}, {one.label}": one.key for one in fields}
        try:
            yield
        except Refusal as refusal:
            self.amiss = tuple(
                Amiss(said(problem), kind, keys.get(problem.where, ""))
                for problem in refusal.problems
            )

    def _clear(self) -> None:
        self.amiss, self.fill = (), ("", {})


def drill_named(drills: Sequence[Drill], key: str) -> Drill:
    """Return the drill of a key.

    Raises
    ------
    Refusal
        Where there is none.
    """
    for drill in drills:
        if drill.key == key:
            return drill
    raise refuse("drill", repr(key), " | ".join(drill.key for drill in drills))


def as_typed(value: Value) -> str:
    """Return a value as it would be typed."""
    if isinstance(value, tuple):
        return " ".join(f"{number:g}" for number in value)
    return value if isinstance(value, str) else f"{value:g}"


def said(problem: Problem) -> str:
    """Return a problem for the place where it belongs: the place itself need not be named."""
    return f"found {problem.found}; allowed: {problem.allowed}"
