import numpy as np
import pytest

from kit.as_built.changes_search import STAYS, OutOfSteps, Search, middle_of, tops_after
from kit.as_built.stack_menu import ChangeTask, Menus, possible_stacks
from kit.base.effort import STEPS_A_SECOND, Effort
from kit.base.stack_rules import StackRules, to_units


def menus(low: float = -50.0, high: float = 50.0) -> Menus:
    task = ChangeTask(
        names=("B1", "B2", "F1"),
        tops=to_units([0.0, 0.2, -3.1]),
        standing=np.array([[1, 1], [2, 0], [1, 0]]),
        thickness=to_units([6.0, 3.0]),
        left=np.array([1, 1]),
        rules=StackRules(0.5, 4, 20.0, 3.0),
        low=int(to_units(low)),
        high=int(to_units(high)),
    )
    return Menus(task, possible_stacks(task, 0, 10**18))


def test_tops_follow_their_stacks() -> None:
    one = menus()
    heights = one.heights.tolist()
    to_nine = heights.index(int(to_units(9.0)))
    after = tops_after(one, (STAYS, to_nine, to_nine))
    # 12 becomes 9 under B2, 6 becomes 9 under F1.
    assert after.tolist() == to_units([0.0, -2.8, -0.1]).tolist()


def test_the_middle_keeps_to_the_levels_that_are_allowed() -> None:
    tops = to_units([0.0, 1.0])
    assert middle_of(menus().task, tops) == to_units(0.5)
    assert middle_of(menus(low=0.7).task, tops) == to_units(0.7)
    assert middle_of(menus(high=0.2).task, tops) == to_units(0.2)


def test_the_cheapest_change_opens_one_stack() -> None:
    one = menus()
    search = Search(one, Effort(10 * STEPS_A_SECOND))
    found = search.cheapest(one.task.rules.reach)
    assert found is not None
    assert found.cost == one.task.dearest + 1
    assert [stack == STAYS for stack in found.chosen] == [True, True, False]
    assert search.cheapest(one.task.rules.reach, most=found.cost - 1) is None


def test_a_smaller_reach_finds_what_comes_nearer() -> None:
    one = menus()
    search = Search(one, Effort(10 * STEPS_A_SECOND))
    first = search.cheapest(one.task.rules.reach)
    assert first is not None
    best = search.nearest(first)
    tops = tops_after(one, best.chosen)
    # 0, 0.2 and -0.1: the middle is 0.05, the greatest error 0.15.
    assert np.abs(tops - middle_of(one.task, tops)).max() == to_units(0.15)


def test_without_time_it_says_so() -> None:
    one = menus()
    with pytest.raises(OutOfSteps):
        Search(one, Effort(0)).cheapest(one.task.rules.reach)
