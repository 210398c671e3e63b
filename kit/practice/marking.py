"""Marks: a rule that is printed beside them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from kit.practice.drill import Drill, Worked
from kit.practice.mistakes import Mistake
from kit.practice.moves import Done

FULL, HINT_COST = 100, 10

#: Placements are free up to a quarter more than the good practice's, rounded up, time up to half
#: more; beyond, a mark for each placement and for each tenth of the time begun, up to these.
FREE_PLACEMENTS, FREE_TIME = 1.25, 1.5
MOST_FOR_PLACEMENTS, MOST_FOR_TIME = 15, 10

#: A tenth that is begun by no more than this share of it, by round-off, is not begun.
_ROUND_OFF = 1e-9

#: The rule in words, printed beside every mark.
RULE = (
    f"{FULL} marks. Each kind of mistake costs its own marks, once; each hint {HINT_COST}. "
    f"Placements beyond 1¼ times the good practice's, rounded up, cost 1 each, at most "
    f"{MOST_FOR_PLACEMENTS}; time beyond 1½ times its time costs 1 for each further tenth of it "
    f"that is begun, at most {MOST_FOR_TIME}. "
    "Never below 0."
)


@dataclass(frozen=True)
class Marked:
    """An answer, marked.

    Parameters
    ----------
    marks : int
        0 to 100.
    mistakes : tuple of Mistake
        What was done wrong, each kind once.
    lost : tuple of (str, int)
        What took marks, and how many.
    placements, good_placements : int
        Of the apprentice and of the good practice.
    seconds, good_seconds : float
        Likewise [s].
    hints : int
        Asked for.
    worked : Worked
        The sound way.
    """

    marks: int
    mistakes: tuple[Mistake, ...]
    lost: tuple[tuple[str, int], ...]
    placements: int
    good_placements: int
    seconds: float
    good_seconds: float
    hints: int
    worked: Worked


def marked(
    drill: Drill, mistakes: tuple[Mistake, ...], done: Sequence[Done], worked: Worked, hints: int
) -> Marked:
    """Give marks by the rule.

    Raises
    ------
    ValueError
        Where the drill found a kind of mistake that it does not announce, or one twice: a defect.
    """
    kinds = [mistake.kind for mistake in mistakes]
    if len(set(kinds)) < len(kinds) or not set(kinds) <= set(drill.kinds):
        raise ValueError(f"{drill.key}: {[kind.key for kind in kinds]}")
    placements, seconds = effort(done)
    good_placements, good_seconds = effort(worked.done)
    lost = [(mistake.kind.title, mistake.kind.cost) for mistake in mistakes]
    lost.append(("hints", HINT_COST * hints))
    lost.append(("placements", _for_placements(placements, good_placements)))
    lost.append(("time", _for_time(seconds, good_seconds)))
    marks = max(FULL - sum(cost for _, cost in lost), 0)
    taken = tuple(one for one in lost if one[1])
    return Marked(
        marks, mistakes, taken, placements, good_placements, seconds, good_seconds, hints, worked
    )


def effort(done: Sequence[Done]) -> tuple[int, float]:
    """Return how many placements moves took, and how long [s]."""
    return sum(one.seen.placement for one in done), sum(one.seen.seconds for one in done)


def _for_placements(placements: int, good: int) -> int:
    free = math.ceil(FREE_PLACEMENTS * good)
    return min(max(placements - free, 0), MOST_FOR_PLACEMENTS)


def _for_time(seconds: float, good: float) -> int:
    if good <= 0:
        return 0
    tenths = (seconds - FREE_TIME * good) / (good / 10)
    return min(math.ceil(max(tenths - _ROUND_OFF, 0.0)), MOST_FOR_TIME)
