"""Which foot goes where at one level: cheapest, then most travel left, within the counts."""

from collections.abc import Mapping

import numpy as np

from kit.base.feet_choice import Chosen, greatest
from kit.base.feet_choice import choose_kinds as choose
from kit.base.feet_kinds import Kinds
from kit.base.runs import Floats
from kit.job import Foot


def feet(*kinds: Mapping[str, float]) -> tuple[Foot, ...]:
    return tuple(Foot.model_validate(kind) for kind in kinds)


def choose_kinds(kinds: tuple[Foot, ...], rest_mm: Floats, datum_mm: float) -> Chosen | None:
    return choose(Kinds.of(kinds), rest_mm, datum_mm)


def test_the_cheapest_kind_that_reaches_is_taken_and_of_equal_ones_the_one_with_most_left() -> None:
    kinds = feet(
        {"low_mm": 20.0, "high_mm": 40.0, "price": 2.5},
        {"low_mm": 25.0, "high_mm": 60.0, "price": 2.0},
        {"low_mm": 30.0, "high_mm": 50.0, "price": 2.0},
    )
    # heights 22, 39, 58: only the first; 14 and 9 left of two at 2.0; only the second
    chosen = choose_kinds(kinds, np.array([8.0, -9.0, -28.0]), 30.0)
    assert chosen is not None
    assert chosen.kinds == (0, 1, 1)
    assert not chosen.limited


def test_without_prices_the_fewest_kinds_are_taken_the_first_listed_first() -> None:
    kinds = feet(
        {"low_mm": 20.0, "high_mm": 40.0},
        {"low_mm": 36.0, "high_mm": 55.0},
        {"low_mm": 30.0, "high_mm": 60.0},
    )
    one = choose_kinds(kinds, np.array([-2.0, -15.0]), 36.0)  # 38 and 51: the second or the third
    assert one is not None
    assert one.kinds == (1, 1)
    two = choose_kinds(kinds, np.array([12.0, -15.0, -2.0]), 36.0)  # 24, 51, 38: first and second
    assert two is not None
    assert two.kinds == (0, 1, 0)  # at 38 each of the two leaves 2 mm: as listed


def test_one_price_that_is_missing_makes_all_unpriced() -> None:
    kinds = feet({"low_mm": 20.0, "high_mm": 60.0}, {"low_mm": 20.0, "high_mm": 60.0, "price": 0.1})
    chosen = choose_kinds(kinds, np.array([0.0]), 33.0)
    assert chosen is not None
    assert chosen.kinds == (0,)


def test_a_count_that_binds_sends_cheap_feet_where_no_other_reaches() -> None:
    kinds = feet(
        {"low_mm": 20.0, "high_mm": 60.0, "price": 1.0, "count": 2},
        {"low_mm": 30.0, "high_mm": 45.0, "price": 3.0},
    )
    # heights 35, 58, 40, 25: the two at 58 and 25 need the first kind
    chosen = choose_kinds(kinds, np.array([0.0, -23.0, -5.0, 10.0]), 35.0)
    assert chosen is not None
    assert chosen.kinds == (1, 0, 1, 0)
    assert chosen.limited


def test_where_counts_do_not_suffice_there_is_no_choice() -> None:
    kinds = feet({"low_mm": 20.0, "high_mm": 60.0, "count": 2})
    assert choose_kinds(kinds, np.array([0.0, 1.0, 2.0]), 35.0) is None
    assert choose_kinds(kinds, np.array([0.0, 1.0]), 35.0) is not None


def test_the_greatest_that_holds_is_found_and_none_is_none() -> None:
    asked: list[float] = []

    def holds(value: float) -> bool:
        asked.append(value)
        return value <= 3.5

    assert greatest(np.arange(100.0), holds) == 3.0
    assert len(asked) <= 7  # 100 < 2 to the 7th
    assert greatest(np.array([4.0, 9.0]), holds) is None
