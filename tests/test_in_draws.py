"""Shares of floors, of a whole answer."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

import kit
from kit.in_draws import FLOORS, idle_odds
from kit.strength.stiff import stiff_units

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


def test_stacks_under_stiff_units_are_idle_as_often_as_the_floors_say():
    """Counted again floor by floor, by the rule that the answer itself is made by."""
    job = kit.read_job(DATA / "reading-room")
    answer = kit.solve(job, "stacks without bearers")
    odds = idle_odds(answer)
    supports = answer.supports
    x, y = supports["x_mm"].to_numpy(), supports["y_mm"].to_numpy()
    floors = answer.surface.draws(x, y, 400, 20) - supports["floor_mm"].to_numpy()
    names = supports["support"].tolist()
    hung = dict.fromkeys(names, 0)
    for floor in floors[:60]:
        tops = dict(zip(names, (answer.datum.plan.error_mm + floor).tolist(), strict=True))
        over = {
            prop.support
            for one in stiff_units(answer.layout, tops)
            for prop, gap in zip(one.props, one.rest.gaps_mm, strict=True)
            if gap > 1e-9
        }
        for name in over:
            hung[name] += 1
    shares = np.array([hung[name] / 60 for name in names])
    # 60 floors of the 400: a share is good to four standard errors of 0.065.
    assert np.abs(shares - np.array([odds[name] for name in names])).max() < 0.26
    assert 0.3 < np.mean(list(odds.values())) < 0.8  # four or five bear of seven, and less


def test_feet_are_set_by_hand_until_they_bear():
    answer = kit.solve(kit.read_job(DATA / "reading-room"), "screw feet")
    assert all(math.isnan(share) for share in idle_odds(answer).values())
