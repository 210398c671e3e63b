"""Shared kinds of mistake: one key each, and costs by what they ruin."""

import kit.practice.mistakes as room
from kit.practice.marking import FULL
from kit.practice.mistakes import GUESSED, Kind


def test_shared_kinds_differ_in_key_title_and_words():
    kinds = [one for one in vars(room).values() if isinstance(one, Kind)]
    assert len(kinds) >= 6
    for name in ("key", "title", "what"):
        assert len({getattr(kind, name) for kind in kinds}) == len(kinds)


def test_costs_lie_between_a_lesser_habit_and_a_ruined_base():
    kinds = [one for one in vars(room).values() if isinstance(one, Kind) and one != GUESSED]
    assert GUESSED.cost == FULL  # no work, no marks
    assert {kind.key: kind.cost for kind in kinds if not 10 <= kind.cost <= 30} == {}
