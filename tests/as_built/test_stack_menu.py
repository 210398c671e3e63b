from itertools import product

import numpy as np
import pytest

from kit.as_built import stack_menu
from kit.as_built.stack_menu import ChangeTask, Menus, RangeLeast, possible_stacks
from kit.base.stack_rules import StackRules, to_units
from kit.job import Refusal


def task(**keys: object) -> ChangeTask:
    given: dict[str, object] = {
        "names": ("B1", "B2", "F1"),
        "tops": to_units([0.2, -2.9, 0.6]),
        "standing": np.array([[1, 0, 2], [1, 1, 0], [1, 0, 2]]),
        "thickness": to_units([5.8, 3.0, 1.0]),
        "left": np.array([1, -1, 0]),
        "rules": StackRules(0.5, 4, 14.0, 3.0),
    }
    return ChangeTask(**{**given, **keys})  # type: ignore[arg-type]


def test_possible_stacks_are_all_that_rules_and_packers_allow() -> None:
    one = task()
    found = {tuple(row) for row in possible_stacks(one, -(10**18), 10**18).tolist()}
    # 1 of 5.8 is left and three stand; of 1.0 none is left and four stand.
    most = (4, 4, 4)
    expected = {
        (a, b, c)
        for a, b, c in product(range(most[0] + 1), range(most[1] + 1), range(most[2] + 1))
        if 1 <= a + b + c <= 4 and 3.0 <= 5.8 * a + 3 * b + c <= 14.0
    }
    assert found == expected
    heights = possible_stacks(one, -(10**18), 10**18) @ one.thickness
    assert (np.diff(heights) >= 0).all()


def test_a_kind_of_which_none_is_left_and_none_stands_is_in_no_stack() -> None:
    none = task(left=np.array([0, 0, 0]), standing=np.array([[1, 0, 2], [2, 0, 0], [1, 0, 2]]))
    assert possible_stacks(none, 0, 10**18)[:, 1].max() == 0


def test_too_many_stacks_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(stack_menu, "MOST_STACKS", 10)
    with pytest.raises(Refusal, match="more than 10 different stacks"):
        possible_stacks(task(), 0, 10**18)


def test_the_bound_without_prices_is_the_cheapest_of_every_support() -> None:
    one = task()
    menus = Menus(one, possible_stacks(one, 0, 10**18))
    reach, dearest = one.rules.reach, one.dearest
    levels = menus.levels(reach)
    bounds = menus.bound(levels, reach, np.zeros(2))
    for level, bound in zip(levels.tolist(), bounds.tolist(), strict=True):
        total = 0.0
        for i in range(3):
            costs = [0.0] if abs(int(one.tops[i]) - level) <= reach else []
            for stack in menus.stacks:
                top = int(one.tops[i] + (stack - one.standing[i]) @ one.thickness)
                if abs(top - level) <= reach:
                    costs.append(dearest + float(np.abs(stack - one.standing[i]).sum()))
            total += min(costs, default=np.inf)
        assert bound == total  # whole numbers


def test_prices_make_a_bound_below_every_choice_in_the_bag() -> None:
    one = task()
    menus = Menus(one, possible_stacks(one, 0, 10**18))
    prices = np.array([3.25, 0.5])
    level = int(one.tops[2])
    bound = float(menus.bound(np.array([level]), one.rules.reach, prices)[0])
    options = []
    for i in range(3):
        here = menus.within(i, level, one.rules.reach)
        rows = np.arange(here.start, here.stop)
        changed = [
            (one.dearest + menus.handled(i)[row], use)
            for row, use in zip(rows, menus.net(i, rows), strict=True)
        ]
        stays = [(0, np.zeros(2))] if abs(int(one.tops[i]) - level) <= one.rules.reach else []
        options.append(stays + changed)
    in_bag = [
        sum(cost for cost, _ in choice)
        for choice in product(*options)
        if (sum(use for _, use in choice) <= one.left[one.limited]).all()
    ]
    assert in_bag
    assert bound <= min(in_bag) + 1e-9  # round-off of sums of prices


def test_the_least_of_every_stretch() -> None:
    values = np.array([5.0, 2.0, 7.0, 7.0, 1.0, 9.0, 3.0])
    table = RangeLeast.of(values)
    pairs = [(a, b) for a in range(8) for b in range(a, 8)]
    first, last = (np.array(each) for each in zip(*pairs, strict=True))
    expected = [min(values[a:b], default=np.inf) for a, b in pairs]
    assert table.least(first, last).tolist() == expected
