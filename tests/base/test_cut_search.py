"""The exact search: what it proves, and that its cost is bounded."""

from __future__ import annotations

import pytest

from kit.base.cut_joints import BearerLine, facing_joints, possible_pieces
from kit.base.cut_patterns import all_patterns, next_total_mm
from kit.base.cut_programme import (
    Programme,
    fewest_cuts,
    fewest_pieces,
    patterns_for_length,
    patterns_for_pieces,
)
from kit.base.cut_search import bars_adding_to, search_cuts
from kit.base.effort import Effort

STOCK = (1800.0, 2400.0)


def programme(*layouts: list[float], stock: tuple[float, ...] = STOCK) -> Programme:
    lines = tuple(
        BearerLine(
            "BMF"[i], "A", "B", 0.0, stacks[-1] + 37.5, tuple(stacks),
            tuple(f"{'BMF'[i]}{n + 1}" for n in range(len(stacks))), ("BMF"[i - 1],) if i else (),
        )
        for i, stacks in enumerate(layouts)
    )  # fmt: skip
    return Programme(lines, possible_pieces(lines, stock[-1]), stock, 3.0, facing_joints(lines, 75))


ROOM = (
    [37.5, 480.0, 1010.0, 1490.0, 2060.0, 2540.0, 3010.0, 3400.0],
    [37.5, 480.0, 1010.0, 1530.0, 2060.0, 2600.0, 3010.0, 3400.0],
)


def test_bars_adding_to_a_total():
    assert bars_adding_to((1800.0, 2400.0), 7200.0) == [
        (2400.0, 2400.0, 2400.0), (1800.0, 1800.0, 1800.0, 1800.0),
    ]  # fmt: skip
    assert bars_adding_to((1800.0, 2400.0), 3000.0) == []


def test_search_and_integer_programme_agree():
    room = programme(*ROOM)
    least = next_total_mm(STOCK, sum(line.length_mm for line in room.lines))
    reached = search_cuts(room, least, 100_000)
    assert reached.made
    assert reached.least_mm == least == 7200.0
    patterns = all_patterns(room.cutting, 10_000)
    choice = fewest_cuts(room, patterns, least, Effort(500_000))
    assert choice.proven
    assert len(choice.pieces) == len(reached.made)
    bars = {bar for _, bar in reached.made}
    assert len(choice.patterns) == len(bars)


@pytest.mark.parametrize("steps", [0, 1, 7])
def test_few_steps_leave_the_bound_as_it_was(steps):
    reached = search_cuts(programme(*ROOM), 7200.0, steps)
    assert reached.made == ()
    assert reached.least_mm == 7200.0


def test_totals_that_cannot_be_are_passed_over():
    """3 mm of saw cut are missing: 1200 + 1200 does not come out of 2400."""
    one = programme([37.5, 1162.5], [37.5, 1162.5], stock=(1300.0, 2400.0))
    reached = search_cuts(one, 2400.0, 1000)
    assert reached.least_mm == 2600.0
    assert [bar for _, bar in reached.made] == [0, 1]


def test_bounds_of_the_generated_patterns():
    """Both bounds hold for the exact plan, and the patterns reach it."""
    room = programme(*ROOM)
    start = [room.cutting.fill(k) for k in range(len(room.cutting.lengths_mm))]
    patterns, least = patterns_for_length(room, start, 0.0, 40)
    assert least == 7200.0
    patterns, fewest = patterns_for_pieces(room, patterns, least, 40)
    exact = search_cuts(room, 7200.0, 100_000)
    assert 4 - 1e-6 <= fewest <= len(exact.made)  # two bearers, each longer than a bar
    assert len(fewest_cuts(room, patterns, least, Effort(500_000)).pieces) >= len(exact.made)


def test_fewest_pieces_heeds_facing_joints():
    """One joint each is enough, but only the middle stack is in reach of both ends."""
    close = programme([37.5, 700.0, 1200.0, 2362.5], [37.5, 1200.0, 2362.5], stock=(1800.0,))
    assert len(fewest_pieces(close, Effort(125_000)).pieces) == 4
    only = programme([37.5, 1200.0, 2362.5], [37.5, 1200.0, 2362.5], stock=(1800.0,))
    choice = fewest_pieces(only, Effort(125_000))
    assert choice.proven
    assert choice.pieces == ()
