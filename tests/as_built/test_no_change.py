from dataclasses import replace

import numpy as np

from kit.as_built.changes_exact import NoChange, can_be_done, fewest_changes
from kit.as_built.no_change import what_is_missing
from kit.as_built.stack_menu import ChangeTask
from kit.base.effort import STEPS_A_SECOND, Effort
from kit.base.stack_rules import StackRules, to_units


def task(tops: list[float], left: list[int], rules: StackRules, kinds: list[float]) -> ChangeTask:
    standing = np.zeros((len(tops), len(kinds)), dtype=np.int64)
    standing[:, 0] = 2
    return ChangeTask(
        names=tuple(f"B{i + 1}" for i in range(len(tops))),
        tops=to_units(tops),
        standing=standing,
        thickness=to_units(kinds),
        left=np.array(left),
        rules=rules,
    )


def test_a_height_that_no_packers_make_names_support_and_packer() -> None:
    # 6 + 6 under each; the second is 3 mm low, and packers of 6 make no 15 within 0.5.
    one = task([0.0, -3.0, 0.1, 0.2], [-1], StackRules(0.5, 6, 60.0, 3.0), [6.0])
    assert isinstance(fewest_changes(one), NoChange)
    missing = what_is_missing(one)
    assert missing.supports == ("B2",)
    assert "Support B2 stands" in missing.found
    assert "too low" in missing.found
    assert "12 and 18 mm" in missing.found
    # 3 mm: one of it makes 15; 1 and 2 mm do as well with more of them, and 1 comes first.
    assert missing.remedy == "Packers of 1 mm would do."


def test_a_bag_that_is_short_names_the_size_and_how_many() -> None:
    # The last two are 4 mm low; of 2 mm none is left. Four would raise both; three do, where the
    # others come down by 4 instead (6 + 2 in place of 6 + 6).
    one = task([0.0, 0.1, 0.2, -4.0, -4.1], [0, 0], StackRules(0.5, 6, 60.0, 3.0), [6.0, 2.0])
    assert isinstance(fewest_changes(one), NoChange)
    missing = what_is_missing(one)
    assert missing.supports == ("B4", "B5")
    assert missing.found.startswith("The bag (0 of 6 mm, 0 of 2 mm) and what comes out")
    assert missing.remedy == "3 more of 2 mm would do."
    assert not can_be_done(replace(one, left=np.array([0, 2])), Effort(5 * STEPS_A_SECOND))
    assert can_be_done(replace(one, left=np.array([0, 3])), Effort(5 * STEPS_A_SECOND))


def test_where_several_sizes_are_wanted_it_says_so() -> None:
    # At a level that is given, 15 mm are wanted under one (6 + 6 + 3 only, of three pieces) and
    # 17.2 under another (6 + 6 + 5.2 only): no one kind serves both.
    one = task([0.0, 0.0, -3.0, -5.2], [0, 0, 0], StackRules(0.1, 3, 60.0, 3.0), [6.0, 5.2, 3.0])
    one = replace(one, low=0, high=0)
    assert isinstance(fewest_changes(one), NoChange)
    missing = what_is_missing(one)
    assert missing.supports == ("B3", "B4")
    assert missing.remedy == "More packers of several sizes are wanted."
