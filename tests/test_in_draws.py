"""Shares of floors, of a whole answer."""

from __future__ import annotations

from pathlib import Path

import pytest

import kit
from kit.in_draws import FLOORS, idle_odds

DATA = Path(__file__).parents[1] / "data"


@pytest.fixture(scope="module")
def answer():
    return kit.solve(kit.read_job(DATA / "boot-room"))


def test_what_is_idle_on_the_likeliest_floor_is_so_on_most(answer):
    odds = idle_odds(answer)
    assert list(odds) == list(answer.supports["support"])
    idle = {one.support for one in answer.strength.stacks if one.idle}
    # Stacks that carry hundreds of newtons carry on every floor; the near-weightless ones vary.
    heavy = [one.support for one in answer.strength.stacks if one.full_n > 100]
    assert all(odds[name] == 0 for name in heavy)
    assert all(odds[name] > 0.3 for name in idle)
    assert idle_odds(answer) == odds  # a fixed seed


def test_shares_are_whole_numbers_of_floors(answer):
    counts = [share * FLOORS for share in idle_odds(answer).values()]
    assert counts == pytest.approx([round(count) for count in counts], abs=1e-9)
    assert 0 < max(counts) < FLOORS
