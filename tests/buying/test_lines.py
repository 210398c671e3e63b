"""Spares, stock, packs and cost by figures worked by hand."""

from __future__ import annotations

import math

import pytest

from kit.base.bill import Item
from kit.buying.lines import Line, lines_of
from kit.buying.things import key_of
from kit.job import Packer


@pytest.fixture
def job(reading_room):
    """Packs of 25 and of 40, boxes of 50, 7 % to spare; 18 mm in two piles."""
    packers = (
        Packer(mm=1.0, count=12, price=0.05, pack=25),
        Packer(mm=3.0, price=0.07, pack=40),
        Packer(mm=18.0, measured_mm=17.8, count=30, price=0.22, pack=10),
        Packer(mm=18.0, measured_mm=18.1, count=5, price=0.22, pack=10),
    )
    stock = reading_room.job.stock.model_copy(
        update={"packers": packers, "screw_box": 50, "spare_percent": 7.0}
    )
    return reading_room.job.model_copy(update={"stock": stock})


def line_of(job, base, item: Item, enough: int) -> Line:
    (line,) = lines_of(job, base, {key_of(item): item}, {key_of(item): enough})
    return line


# What suffices, and by hand: spares (7 % rounded up), in stock, to buy, packs, bought, cost.
@pytest.mark.parametrize(
    ("item", "enough", "expected"),
    [
        # 43: spares 3.01, so 4; 47 less 12 in stock; two packs of 25 at 0.05.
        (Item("packer", 1.0, 30, 12, 0.05), 43, (4, 12, 35, 2, 50, 2.5)),
        # 9: spares 0.63, at least one; nobody said what is there; one pack of 40 at 0.07.
        (Item("packer", 3.0, 9, None, 0.07), 9, (1, None, 10, 1, 40, 2.8)),
        # 32: spares 2.24, so 3; both piles are there, 35: none is bought.
        (Item("packer", 18.0, 31, 30, 0.22), 32, (3, 35, 0, 0, 0, 0.0)),
        # 100: spares 7 exactly; 107 are three boxes of 50, at 0.03.
        (Item("screw", 40.0, 90, None, 0.03), 100, (7, None, 107, 3, 150, 4.5)),
        # Lengths, boards and bags: no spares, sold one by one.
        (Item("bearer length", 2400.0, 3, None, 3.84), 3, (0, None, 3, 3, 3, 11.52)),
        (Item("ladder board, 70 mm deep", 2440.0, 5, None, 6.1), 5, (0, None, 5, 5, 5, 30.5)),
    ],
)
def test_by_hand(job, reading_room, item: Item, enough: int, expected: tuple) -> None:
    line = line_of(job, reading_room.base, item, enough)
    found = (line.spares, line.in_stock, line.to_buy, line.packs, line.bought)
    assert found == expected[:-1]
    assert line.cost == pytest.approx(expected[-1], abs=1e-9)  # round-off of a product
    assert (line.plan, line.enough) == (item.count, enough)


def test_a_thing_without_a_price_has_no_cost_and_one_not_bought_costs_nothing(
    job, reading_room
) -> None:
    unpriced = Item("packer", 1.0, 3, 12)
    assert math.isnan(line_of(job, reading_room.base, unpriced, 20).cost)
    assert line_of(job, reading_room.base, unpriced, 5).cost == 0.0


def test_no_spares_where_none_are_wanted(job, reading_room) -> None:
    stock = job.stock.model_copy(update={"spare_percent": 0.0})
    bare = job.model_copy(update={"stock": stock})
    assert line_of(bare, reading_room.base, Item("screw", 30.0, 24), 24).spares == 0


def test_what_is_said_at_the_counter(job, answer_of) -> None:
    for base, item, expected in (
        ("bearers on packers", Item("bearer length", 2400.0, 1), "45 × 20 mm, C16"),
        ("bearers on packers", Item("packer", 3.0, 1), "75 × 45 mm"),
        ("bearers on packers", Item("screw", 30.0, 1), "4.5 mm thick"),
        ("screw feet", Item("screw foot, 60-95 mm", 95.0, 1), "plate 55 mm, bears 1500 N"),
        ("ladder frame", Item("ladder board, 70 mm deep", 2440.0, 1), "18 mm thick"),
        ("levelling compound", Item("compound bag", math.nan, 1), "20 kg"),
    ):
        assert line_of(job, answer_of("reading-room", base).base, item, 1).detail == expected


def test_what_nobody_takes_has_no_line(job, reading_room) -> None:
    item = Item("packer", 3.0, 0)
    assert lines_of(job, reading_room.base, {key_of(item): item}, {key_of(item): 0}) == ()
