"""One apprentice's attempt at one drill: what was done so far, and the mark for it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from kit.job import refuse
from kit.practice.drill import Drill, Task
from kit.practice.effects import Effect
from kit.practice.fields import Values
from kit.practice.grades import Grade
from kit.practice.marking import Marked, marked
from kit.practice.mistakes import GUESSED, Mistake
from kit.practice.moves import Done, Move, Seen

_NO_MOVE = "no move was made before the answer"
_LUCK = Effect("how the furniture will stand is left to luck")

#: The move that asks for the next hint; every drill has it.
HINT = "hint"


@dataclass(frozen=True)
class Attempt:
    """An attempt; each move gives a new one.

    Parameters
    ----------
    drill : Drill
        Which drill.
    seed : int
        Of its floor.
    grade : Grade
        Of its floor.
    task : Task
        The drill on that floor. It knows what is hidden: nothing of it is ever shown but what its
        `given` and the moves in `done` show.
    done : tuple of Done
        Moves so far and what was seen.
    hints_before : int
        Hints that were given on this floor before it was begun again; they cost, and the next
        hint is the one after them.
    """

    drill: Drill
    seed: int
    grade: Grade
    task: Task = field(repr=False)
    done: tuple[Done, ...] = ()
    hints_before: int = 0

    def after(self, move: Move) -> Attempt:
        """Make a move.

        Raises
        ------
        Refusal
            Where it cannot be made; the attempt is as it was.
        """
        seen = self._hint() if move.kind == HINT else self._seen(move)
        return replace(self, done=(*self.done, Done(move, seen)))

    def answered(self, answer: Values) -> Marked:
        """Mark an answer; where a drill announces guesses, one without a move is that alone."""
        mistakes = self.task.mark(self.done, answer)
        looked = any(one.move.kind != HINT for one in self.done)
        if GUESSED in self.drill.kinds and not looked:
            mistakes = (Mistake(GUESSED, _NO_MOVE, _LUCK, self.drill.hints[0]),)
        return marked(self.drill, mistakes, self.done, self.task.worked, self.hints)

    @property
    def hints(self) -> int:
        """How many hints were asked for, those before it was begun again among them."""
        return self.hints_before + sum(one.move.kind == HINT for one in self.done)

    def _seen(self, move: Move) -> Seen:
        kinds = [form.kind for form in self.task.forms]
        if move.kind not in kinds:
            raise refuse("move", repr(move.kind), " | ".join((*kinds, HINT)))
        return self.task.do(self.done, move)

    def _hint(self) -> Seen:
        if self.hints >= len(self.drill.hints):
            raise refuse("hint", "all hints are given", f"{len(self.drill.hints)} hints")
        return Seen(f"hint: {self.drill.hints[self.hints]}", 0.0, placement=False)


def begin(drill: Drill, seed: int, grade: Grade, hints_before: int = 0) -> Attempt:
    """Begin an attempt on the floor of a seed and a grade, after hints that were given on it."""
    return Attempt(drill, seed, grade, drill.set_up(seed, grade), hints_before=hints_before)
