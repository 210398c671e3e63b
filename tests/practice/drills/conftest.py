"""Two hundred tasks of a drill, and hands that play scripts on them through the drill's moves."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

import pytest

from kit.practice.attempt import Attempt, begin
from kit.practice.drill import Drill
from kit.practice.fields import Values
from kit.practice.grades import GRADES
from kit.practice.marking import Marked
from kit.practice.moves import Move, Seen

SEEDS = 200


@dataclass
class Hands:
    """What a scripted apprentice has: the attempt as shown, and moves. Nothing hidden."""

    attempt: Attempt

    def do(self, move: Move) -> Seen:
        """Make a move and return what is seen."""
        self.attempt = self.attempt.after(move)
        return self.attempt.done[-1].seen


Script = Callable[[Hands], Values]


@cache
def _begun(drill: Drill) -> tuple[Attempt, ...]:
    return tuple(begin(drill, seed, GRADES[seed % len(GRADES)]) for seed in range(SEEDS))


@pytest.fixture(scope="session")
def begun() -> Callable[[Drill], Sequence[Attempt]]:
    """Return a function that gives 200 attempts at a drill, in all grades, nothing done yet."""
    return _begun


@pytest.fixture(scope="session")
def play() -> Callable[[Attempt, Script], Marked]:
    """Return a function that lets a script do an attempt, and marks its answer."""

    def played(attempt: Attempt, script: Script) -> Marked:
        hands = Hands(attempt)
        answer = script(hands)
        return hands.attempt.answered(answer)

    return played
