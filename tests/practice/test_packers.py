"""Packers: order in a stack, what is short, every stack that a stock makes."""

from __future__ import annotations

from collections import Counter
from itertools import combinations

import pytest

from kit.job import Refusal
from kit.practice.packers import (
    check_stack,
    count_words,
    laid,
    lies_right,
    short_of,
    stack_words,
    taken,
    ways,
)


@pytest.mark.parametrize(
    ("packers", "stack"),
    [
        ((1.0,), (1.0,)),
        ((1.0, 18.0), (18.0, 1.0)),
        ((1.0, 6.0, 18.0), (18.0, 1.0, 6.0)),
        ((3.0, 18.0, 1.0, 18.0, 6.0), (18.0, 6.0, 3.0, 1.0, 18.0)),
    ],
)
def test_thickest_on_the_floor_next_on_top_thin_inside(packers, stack):
    # Common practice, no source.
    assert laid(packers) == stack
    assert lies_right(stack)


@pytest.mark.parametrize(
    ("stack", "right"),
    [
        ((18.0, 1.0, 3.0, 6.0), True),  # inside, any order holds
        ((18.0, 3.0, 1.0, 6.0), True),
        ((10.0, 10.0), True),
        ((18.0, 6.0, 1.0), False),
        ((1.0, 18.0), False),
        ((6.0, 1.0, 18.0), False),
    ],
)
def test_a_thin_one_outside_does_not_lie_right(stack, right):
    assert lies_right(stack) is right


def test_what_is_short_is_told_thickest_first():
    wanted = taken([(18.0, 1.0, 6.0), (18.0, 6.0), (3.0, 3.0)])
    assert list(short_of(wanted, {18.0: 1, 6.0: 2, 1.0: 9}).items()) == [(18.0, 1), (3.0, 2)]
    assert short_of(wanted, {18.0: 2, 6.0: 2, 3.0: 2, 1.0: 1}) == {}


def test_every_stack_of_a_stock_is_given_once():
    stock = {10.0: 2, 6.0: 1, 3.0: 3, 1.0: 4}
    pieces = list(Counter(stock).elements())
    by_hand = {
        tuple(sorted(some))
        for count in range(1, 6)
        for some in combinations(pieces, count)
        if 12.0 <= sum(some) <= 14.0
    }
    given = [tuple(sorted(stack)) for stack in ways(stock, 12.0, 14.0, 5)]
    assert set(given) == by_hand
    assert len(given) == len(by_hand) == 9
    assert all(lies_right(stack) for stack in ways(stock, 12.0, 14.0, 5))


def test_words():
    assert stack_words((18.0, 1.0, 6.0)) == "18 1 6"
    assert stack_words(()) == "nothing"
    assert count_words({3.0: 1, 18.0: 2}) == "2 of 18, 1 of 3"


def test_refusals_name_what_is_allowed():
    with pytest.raises(Refusal, match=r"stack at B1: found no packer; allowed: .*: 18 \| 6"):
        check_stack("stack at B1", (), (18.0, 6.0))
    with pytest.raises(Refusal, match=r"found a packer of 5\.5 mm; allowed: as printed: 18 \| 6"):
        check_stack("stack at B1", (18.0, 5.5), (18.0, 6.0))
    check_stack("stack at B1", (18.0, 6.0), (18.0, 6.0))
