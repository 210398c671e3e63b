"""What is done to a floor that steps is what is done to each level by itself."""

import re

import numpy as np
import pytest

from kit.flatness.grind import grind_and_fill
from kit.flatness.grind_rules import GrindRules
from kit.job import FloorStep, Refusal

STEP = FloorStep(name="kerb", from_mm=(650, 0), to_mm=(650, 300))


@pytest.fixture
def floor(grid_of):
    """A rough floor, 120 mm higher beyond x 650 mm, with a hole."""
    height = np.random.default_rng(17).normal(0, 2, (9, 15))
    height += np.where(np.arange(15) > 6, 120.0, 0.0)
    height[4, 3] = np.nan
    return grid_of(height)


@pytest.mark.parametrize("ways", ["both", "grind", "fill"])
def test_the_least_of_the_whole_is_the_sum_of_the_levels(ways, floor, grid_of):
    rules = GrindRules(ways=ways, ground_weight=1.5)
    asked = {"edge_mm": 600, "rules": rules}
    told = []
    done = grind_and_fill(floor, 1.5, **asked, steps=[STEP], tell=told.append)
    h = floor.height_mm
    parts = [
        grind_and_fill(grid_of(h[:, :7]), 1.5, **asked),
        grind_and_fill(grid_of(h[:, 7:], x0=700.0), 1.5, **asked),
    ]
    for name in ("weight_l", "bound_l"):
        assert getattr(done, name) == pytest.approx(
            sum(getattr(one, name) for one in parts), rel=1e-9
        )
    assert done.weight_sd_l == pytest.approx(np.hypot(*(one.weight_sd_l for one in parts)))
    assert done.is_least
    assert done.rounds == max(one.rounds for one in parts)
    for name in ("worst_before_mm", "worst_after_mm", "departure_before_mm", "departure_after_mm"):
        assert getattr(done, name) == pytest.approx(
            max(getattr(one, name) for one in parts), abs=1e-9
        )
    assert done.departure_after_mm <= 1.5 + 1e-6
    # Nothing of the 120 mm is ground or filled.
    assert np.nanmax(np.abs(done.change_mm)) < 15
    assert np.isnan(done.change_mm[4, 3])
    assert np.isfinite(done.change_mm).sum() == 134
    assert told == sorted(told)
    assert told[-1] == 1.0
    # Asked without its step, the floor is ground or filled up along it.
    plain = grind_and_fill(floor, 1.5, **asked)
    assert plain.weight_l > 2 * done.weight_l


def test_classes_and_patches_do_not_span_a_step(grid_of):
    """A hollow 8 mm deep on each side of a step, side by side: two patches, not one."""
    height = np.where(np.arange(60) > 29, 120.0, 0.0) + np.zeros((30, 1))
    height[14:17, 27:33] -= 8.0
    step = FloorStep(name="kerb", from_mm=(2950, 7), to_mm=(2950, 0))
    done = grind_and_fill(grid_of(height), 5.0, rules=GrindRules(ways="fill"), steps=[step])
    assert (done.class_before, done.class_after) == ("SR3", "SR2")
    assert done.departure_before_mm == pytest.approx(8.0)
    assert len(done.patches) == 2
    assert done.patches["to_x_mm"].min() == done.patches["from_x_mm"].max() == 2950
    assert done.patches["litres"].sum() == pytest.approx(done.filled.litres)
    assert done.patches["patch"].tolist() == [1, 2]


def test_rules_hold_on_every_level(floor):
    left = np.zeros(floor.height_mm.shape, dtype=bool)
    left[3, 2] = left[2, 11] = True
    done = grind_and_fill(floor, 2.5, edge_mm=500, steps=[STEP], untouched=left)
    assert np.abs(done.change_mm[left]).max() == 0
    rules = GrindRules(most_grind_mm=0.1, most_fill_mm=0.1)
    with pytest.raises(Refusal, match=r"about x \d+, y \d+ mm"):
        grind_and_fill(floor, 1.5, edge_mm=500, steps=[STEP], rules=rules)


def test_where_too_much_would_be_ground_is_said(grid_of):
    """Common practice, no source: more than 20 mm are taken out and laid anew."""
    height = np.zeros((9, 30))
    height[2:7, 17] = 26.0
    rules = GrindRules(ways="grind")
    said = grind_and_fill(grid_of(height), 3.0, rules=rules).cautions()[0]
    # The edge may rest on the top of the ridge, which the limit lets stand 3 mm high at most.
    assert re.match(r"2\d\.\d mm would be ground off at x 1700, y [2-6]00 mm\. More than 20", said)
    assert "[[excluded]]" in said
    height[2:7, 17] = 12.0
    shallow = grind_and_fill(grid_of(height), 3.0, rules=rules).cautions()
    assert not any("[[excluded]]" in one for one in shallow)
