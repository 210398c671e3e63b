"""The search against looking at every combination of stacks there is, with nothing in common."""

from itertools import product

import numpy as np
import pytest

from kit.as_built.changes_exact import Best, NoChange, can_be_done, fewest_changes
from kit.as_built.stack_menu import ChangeTask
from kit.base.effort import STEPS_A_SECOND, Effort
from kit.base.stack_rules import StackRules, to_units

Key = tuple[int, int, int, int, int]

#: Top, stacks opened, packers handled, packers more of each kind.
Option = tuple[int, int, int, tuple[int, ...]]

#: The search halves the reach to 1e-9 mm, and the middle of two tops is rounded down [1e-12 mm].
HALVED = 2000


def every_stack(rules: StackRules, thickness: np.ndarray) -> list[tuple[int, ...]]:
    found = []
    for counts in product(range(rules.max_pieces + 1), repeat=len(thickness)):
        height = sum(c * int(t) for c, t in zip(counts, thickness, strict=True))
        if 0 < sum(counts) <= rules.max_pieces and rules.shortest <= height <= rules.longest:
            found.append(counts)
    return found


def best_of_all(task: ChangeTask) -> Key | None:
    """Return opened, handled, greatest error, sum of errors and level of the best combination."""
    thickness = [int(t) for t in task.thickness]
    options = []
    for top, standing in zip(task.tops.tolist(), task.standing.tolist(), strict=True):
        of_one: list[Option] = [(top, 0, 0, (0,) * len(thickness))]
        for stack in every_stack(task.rules, task.thickness):
            net = tuple(a - b for a, b in zip(stack, standing, strict=True))
            raised = sum(n * t for n, t in zip(net, thickness, strict=True))
            of_one.append((top + raised, 1, sum(map(abs, net)), net))
        options.append(of_one)
    best: list[Key] = []

    reach = 2 * task.rules.reach
    bag = [(kind, int(left)) for kind, left in enumerate(task.left) if left >= 0]

    def look(
        i: int, chosen: tuple[Option, ...], low: int, high: int, cost: tuple[int, int]
    ) -> None:
        if i < len(options):
            for option in options[i]:
                top, opens, pieces, _ = option
                lowest, highest = min(low, top), max(high, top)
                dearer = (cost[0] + opens, cost[1] + pieces)
                if highest - lowest <= reach and not (best and dearer > best[0][:2]):
                    look(i + 1, (*chosen, option), lowest, highest, dearer)
            return
        level = min(max((low + high) // 2, task.low), task.high)
        errors = [abs(option[0] - level) for option in chosen]
        if max(errors) > task.rules.reach:
            return
        if any(sum(option[3][kind] for option in chosen) > left for kind, left in bag):
            return
        key = (*cost, max(errors), sum(errors), level)
        if not best or key < best[0]:
            best[:] = [key]

    look(0, (), 2**62, -(2**62), (0, 0))
    return best[0] if best else None


def made(seed: int) -> ChangeTask:
    """Return 3 to 5 supports, 2 to 4 kinds and a small bag; some with a window of the level."""
    draw = np.random.default_rng(seed)
    supports = int(draw.integers(3, 6))
    kinds = int(draw.integers(2, 5 if supports < 5 else 4))
    sizes = np.sort(draw.choice([1, 2, 3, 5, 6, 8, 4.8, 2.9], kinds, replace=False))[::-1]
    thickness = to_units(sizes)
    rules = StackRules(
        float(draw.choice([0.5, 0.75, 1.0])),
        int(draw.integers(2, 5 if supports < 5 else 4)),
        float(draw.choice([12, 20, 30])),
        float(draw.choice([1, 3])),
    )
    stacks = np.array(every_stack(rules, thickness))
    tops = to_units(np.round(draw.normal(0, draw.choice([0.5, 2, 4]), supports), 2))
    low, high = -(10**17), 10**17
    if draw.random() < 0.3:
        low = int(tops.mean()) + int(to_units(draw.uniform(-2, 1)))
        high = low + int(to_units(draw.choice([0, 0.4, 3])))
    return ChangeTask(
        names=tuple(f"B{i}" for i in range(supports)),
        tops=tops,
        standing=stacks[draw.integers(0, len(stacks), supports)],
        thickness=thickness,
        left=np.where(draw.random(kinds) < 0.8, draw.integers(0, 3, kinds), -1),
        rules=rules,
        low=low,
        high=high,
    )


@pytest.mark.parametrize("start", range(0, 200, 25))
def test_no_combination_is_better(start: int) -> None:
    for seed in range(start, start + 25):
        task = made(seed)
        found, expected = fewest_changes(task), best_of_all(task)
        if expected is None:
            assert isinstance(found, NoChange), seed
            assert found.proven, seed
            assert not can_be_done(task, Effort(5 * STEPS_A_SECOND)), seed
            continue
        assert isinstance(found, Best), seed
        assert found.unproven == "", seed
        assert (found.opened, found.handled) == expected[:2], seed
        assert abs(found.greatest - expected[2]) <= HALVED, seed
        # The solver's sums are trusted to 1e-6 mm.
        assert abs(found.total - expected[3]) <= 2 * 10**6, seed
        assert abs(found.level - expected[4]) <= HALVED, seed
        assert can_be_done(task, Effort(5 * STEPS_A_SECOND)), seed


def test_the_random_cases_are_of_all_sorts() -> None:
    keys = [best_of_all(made(seed)) for seed in range(40)]
    assert sum(key is None for key in keys) >= 8
    opened = [key[0] for key in keys if key is not None]
    assert {0, 1, 2, 3} <= set(opened)


def of_one_kind(left: tuple[int, ...]) -> ChangeTask:
    """Return three supports of which the last is 3 mm low, on 6 + 3 + 1 each."""
    return ChangeTask(
        names=("B1", "B2", "B3"),
        tops=to_units([0.0, 0.2, -3.0]),
        standing=np.array([[1, 1, 0], [1, 1, 0], [1, 1, 0]]),
        thickness=to_units([6.0, 3.0, 1.0]),
        left=np.array(left),
        rules=StackRules(0.5, 6, 30.0, 3.0),
    )


def test_one_packer_put_in_is_the_fewest() -> None:
    found = fewest_changes(of_one_kind((5, 5, 5)))
    assert isinstance(found, Best)
    assert (found.opened, found.handled, found.greatest) == (1, 1, to_units(0.1))


def test_where_the_bag_has_no_3_three_of_1_serve() -> None:
    found = fewest_changes(of_one_kind((0, 0, 3)))
    assert isinstance(found, Best)
    assert (found.opened, found.handled) == (1, 3)
    row = found.stacks[found.chosen[2]].tolist()
    assert row == [1, 1, 3]


def test_a_stack_that_is_right_gives_a_packer_where_the_bag_is_short() -> None:
    # Two of 1 are left: 1 + 1 come in at B3 and leave it 1 mm low; no level holds all three
    # within 0.5. A 3 out of a stack that is right, for 1 + 1 in its place, would leave that one
    # 1 mm low: nothing serves but to lower both others by 3 (out: 3, 3), which opens two.
    found = fewest_changes(of_one_kind((0, 0, 0)))
    assert isinstance(found, Best)
    assert (found.opened, found.handled) == (2, 2)
    assert found.tops.tolist() == to_units([-3.0, -2.8, -3.0]).tolist()


def test_without_steps_nothing_is_called_proven() -> None:
    found = fewest_changes(of_one_kind((0, 0, 0)), steps=0.0)
    assert isinstance(found, NoChange)
    assert not found.proven


def base_of(supports: int, seed: int) -> ChangeTask:
    draw = np.random.default_rng(seed)
    standing = np.stack(
        [draw.integers(low, high, supports) for low, high in ((1, 3), (0, 2), (0, 2), (0, 3))],
        axis=1,
    )
    tops = np.round(draw.normal(0, 0.3, supports), 2)
    tops[[1, supports - 2]] += [3.1, -2.2]
    return ChangeTask(
        names=tuple(f"B{i}" for i in range(supports)),
        tops=to_units(tops),
        standing=standing,
        thickness=to_units([17.8, 6.0, 3.0, 1.0]),
        left=np.array([2, 3, 3, 3]),
        rules=StackRules(0.5, 9, 100.0, 3.0),
    )


@pytest.mark.parametrize(("supports", "seed"), [(24, 0), (24, 1), (100, 1)])
def test_a_whole_base_is_proven_within_its_steps(supports: int, seed: int) -> None:
    found = fewest_changes(base_of(supports, seed))
    assert isinstance(found, Best)
    assert found.unproven == ""
    assert found.opened >= 2
    assert found.greatest <= to_units(0.5) + 1000  # closed, with the allowance of 1e-9 mm
