"""What a base takes: counts, costs and minutes by hand."""

import math

import numpy as np
import pandas as pd
import pytest

from kit.base.bill import (
    Bill,
    Item,
    bearer_items,
    packer_items,
    packing_steps,
    price_of,
    screw_items,
    step,
)
from kit.base.stack_plan import without_stacks
from kit.job import Bearer, Rates, Stock

STOCK = Stock.model_validate(
    {
        "packers": ({"mm": 1.0, "price": 0.05}, {"mm": 6.0, "count": 9}, {"mm": 18.0}),
        "screw_price": 0.08,
    }
)


def screws(*lengths: float) -> pd.DataFrame:
    return pd.DataFrame({"length_mm": lengths})


def test_costs_add_up_and_one_missing_price_makes_them_unknown() -> None:
    packers, posts = Item("packer", 3.0, 4, None, 0.25), Item("post", 90.0, 3, 5, 2.5)
    bill = Bill((packers, posts), ())
    assert bill.cost == 4 * 0.25 + 3 * 2.5
    assert bill.unpriced == ()
    unpriced = Bill((packers, Item("packer", 6.0, 2), Item("packer", 9.0, 1), posts), ())
    assert math.isnan(unpriced.cost)
    assert unpriced.unpriced == ("packer",)
    assert unpriced.count_of("packer") == 7


def test_what_might_serve_if_it_had_a_price_leaves_the_cost_unknown() -> None:
    bill = Bill((Item("foot", 65.0, 8, None, 1.5), Item("other foot", 90.0, 0)), ())
    assert math.isnan(bill.cost)
    assert bill.unpriced == ("other foot",)


def test_what_lies_beside_the_base_is_listed_and_not_counted() -> None:
    bill = Bill((Item("packer", 3.0, 4, 40, 0.25),), (), beside=(Item("plinth", 95.0, 2),))
    assert bill.cost == 1.0
    table = bill.take_off()
    assert table["item"].tolist() == ["packer", "plinth"]
    assert table["in_stock"].tolist() == [40, pd.NA]
    assert table["cost"].iloc[0] == 1.0


def test_packers_are_counted_kind_by_kind_and_unused_kinds_left_out() -> None:
    level = without_stacks(50.0, 3, [(50.0, 50.0)])
    plan = type(level)(**{**vars(level), "stacks": ((2, 0, 0), (2,), (0, 2))})
    first, second = packer_items(STOCK, plan)
    assert (first.size_mm, first.count, first.in_stock, first.price) == (1.0, 3, None, 0.05)
    assert (second.size_mm, second.count) == (18.0, 3)
    assert math.isnan(second.price)


def test_screws_and_lengths_by_size() -> None:
    short, long = screw_items(STOCK, screws(50.0, 30.0, np.nan, 50.0))
    assert (short.size_mm, short.count, long.size_mm, long.count) == (30.0, 1, 50.0, 2)
    assert long.cost == pytest.approx(0.16)
    bought = pd.DataFrame({"stock_mm": [2400.0, 3600.0], "count": [3, 1]})
    small, large = bearer_items(Bearer(price_per_m=1.75), bought)
    assert (small.cost, large.cost) == (pytest.approx(12.6), pytest.approx(6.3))
    assert math.isnan(bearer_items(Bearer(), bought)[0].price)
    assert math.isnan(price_of(None))
    assert price_of(0.0) == 0.0


def test_minutes_come_from_the_jobs_rates_or_say_that_they_do_not() -> None:
    rates = Rates.model_validate({"packer_min": 0.75})
    given = step(rates, "packer_min", "lay a packer", 8, "packer")
    assert given.minutes == 6.0
    assert given.source == "job.toml, rates.packer_min"
    other = step(rates, "screw_min", "drive a screw", 3, "screw")
    assert other.minutes == 3 * rates.screw_min
    assert other.source == "rates.screw_min, from memory"
    steps = packing_steps(rates, 5, 8, screws(30.0, np.nan, 50.0))
    assert [one.count for one in steps] == [5, 8, 2]
    bill = Bill((), tuple(steps))
    assert bill.minutes == pytest.approx(
        5 * rates.mark_support_min + 8 * 0.75 + 2 * rates.screw_min
    )
    assert bill.steps()["minutes"].sum() == pytest.approx(bill.minutes)
