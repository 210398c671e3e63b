"""Kinds of feet: what is in use, what reaches, and what all feet cost at least."""

from collections.abc import Mapping
from itertools import product

import numpy as np

from kit.base.feet_kinds import Kinds, fits, least_cost
from kit.job import Foot


def feet(*kinds: Mapping[str, float]) -> tuple[Foot, ...]:
    return tuple(Foot.model_validate(kind) for kind in kinds)


def test_limits_are_closed() -> None:
    kinds = Kinds.of(feet({"low_mm": 20.0, "high_mm": 30.0}))
    levels = np.array([19.9, 20.0, 30.0, 30.1])
    assert fits(kinds, np.zeros(1), levels, 0.0)[0, :, 0].tolist() == [False, True, True, False]
    assert fits(kinds, np.zeros(1), levels, -0.1)[0, :, 0].all()


def test_least_cost_within_counts_is_that_of_all_ways_tried() -> None:
    rng = np.random.default_rng(8)
    binding = 0
    for _ in range(150):
        count, places = int(rng.integers(2, 5)), int(rng.integers(2, 6))
        kinds = Kinds(
            np.zeros(count),
            np.ones(count),
            rng.choice([1.0, 1.25, 2.0, 3.5], count),
            rng.choice([0.0, 1.0, 2.0, np.inf], count),
        )
        fit = rng.random((count, 1, places)) < 0.6
        ways = [
            sum(float(kinds.price[kind]) for kind in way)
            for way in product(range(count), repeat=places)
            if all(fit[kind, 0, place] for place, kind in enumerate(way))
            and all(way.count(kind) <= kinds.count[kind] for kind in range(count))
        ]
        least = float(least_cost(kinds, fit, limited=True)[0])
        assert least == min(ways, default=np.inf)  # sums of quarters are exact
        free = float(least_cost(kinds, fit, limited=False)[0])
        assert free <= least
        binding += free < least < np.inf
    assert binding > 10


def test_only_kinds_in_stock_that_reach_say_whether_prices_count() -> None:
    kinds = feet(
        {"low_mm": 40.0, "high_mm": 90.0, "price": 50.0},
        {"low_mm": 40.0, "high_mm": 90.0, "plate_mm": 60.0, "price": 1.0},
        {"low_mm": 45.0, "high_mm": 60.0, "count": 0},
        {"low_mm": 150.0, "high_mm": 190.0},
    )
    rest = np.array([-4.25, 0.5])
    near = Kinds.within(kinds, rest, (50.0, 62.0))
    assert near.priced
    assert near.price.tolist()[:2] == [50.0, 1.0]
    assert near.count.tolist() == [np.inf, np.inf, 0.0, 0.0]
    # the last one comes into its travel at 150 - 4.25
    assert not Kinds.within(kinds, rest, (50.0, 145.7)).unpriced
    far = Kinds.within(kinds, rest, (50.0, 145.8))
    assert far.unpriced == (3,)
    assert not far.price.any()
    assert Kinds.of(kinds).unpriced == (3,)
