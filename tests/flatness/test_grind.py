"""Grind and fill against closed forms, search over all changes, and the whole programme at once."""

import itertools
import math

import numpy as np
import pytest
from scipy.optimize import linprog

from kit.flatness.grind import grind_and_fill
from kit.flatness.grind_chords import worst_gap_mm
from kit.flatness.grind_rules import GrindRules
from kit.job import Compound, Refusal


def all_chords(height, steps):
    """Every chord of every line, both ways, as a dense matrix."""
    place, rows = np.arange(height.size).reshape(height.shape), []
    for line in [*place, *place.T]:
        for left, right in itertools.combinations(range(len(line)), 2):
            if right - left > steps or np.isnan(height.ravel()[line[left : right + 1]]).any():
                continue
            for middle in range(left + 1, right):
                row = np.zeros(height.size)
                row[line[left]] = (right - middle) / (right - left)
                row[line[right]] = (middle - left) / (right - left)
                row[line[middle]] = -1.0
                rows.append(row)
    return np.array(rows)


def largest_departure(height, steps):
    """Every placement both ways: the hull's facet over the middle, by looking at all pairs."""
    worst = 0.0
    for line in [*height, *height.T]:
        for first in range(len(line) - steps):
            part, middle = line[first : first + steps + 1], steps / 2
            if np.isnan(part).any():
                continue
            pairs = [
                (a, b)
                for a, b in itertools.combinations(range(steps + 1), 2)
                if a <= middle <= b
                and all(
                    part[a] + (part[b] - part[a]) / (b - a) * (k - a) >= part[k] - 1e-9
                    for k in range(steps + 1)
                )
            ]
            for a, b in pairs:
                gaps = np.interp(range(a, b + 1), [a, b], part[[a, b]]) - part[a : b + 1]
                worst = max(worst, float(gaps.max()))
    return worst


def test_a_single_hump_ground_on_one_line(grid_of):
    """Beside a hump of H on a level line an edge of k steps bridges H (k - 1) / k."""
    line = np.zeros((1, 15))
    line[0, 7] = 9.0
    done = grind_and_fill(grid_of(line), 3.0, edge_mm=600, rules=GrindRules(ways="grind"))
    # So the hump may keep c k / (k - 1) = 3.6; a cell of 0.01 m².
    assert done.ground.litres == pytest.approx((9.0 - 3.6) * 0.01, rel=1e-9)
    assert (done.ground.deepest_mm, done.ground.x_mm) == (pytest.approx(5.4), 700.0)
    assert done.is_least
    assert done.filled.area_m2 == 0
    assert math.isnan(done.filled.deepest_mm)


def test_a_v_shaped_hollow_on_one_line(grid_of):
    """Legs of 2 mm a step: over the middle an edge of 6 steps bridges 6 mm, beside it 4."""
    line = 2.0 * np.abs(np.arange(21) - 10.0)[None, :]
    done = grind_and_fill(grid_of(line), 4.0, edge_mm=600)
    assert done.filled.litres == pytest.approx(2.0 * 0.01, rel=1e-9)
    assert done.weight_l == pytest.approx(done.bound_l, rel=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_no_change_in_whole_millimetres_is_lighter(seed, grid_of):
    """All changes of -1, 0, 1 mm of up to 4 cells of a 5 by 4 floor in whole millimetres."""
    height = np.random.default_rng(seed).integers(0, 2, (4, 5)).astype(float)
    chords = all_chords(height, 4)
    done = grind_and_fill(grid_of(height), 0.7, edge_mm=400)
    least = done.weight_l / 0.01
    assert (chords @ (height + done.change_mm).ravel()).max() <= 0.7 + 1e-6
    weights = []
    for count in range(5):
        for cells in itertools.combinations(range(20), count):
            signs = np.array(list(itertools.product((-1.0, 1.0), repeat=count)))
            tried = np.repeat(height.ravel()[None, :], len(signs), axis=0)
            tried[:, list(cells)] += signs
            if ((chords @ tried.T).max(axis=0) <= 0.7).any():
                weights.append(count)
    assert not weights or min(weights) >= least - 1e-6
    assert least > 0.1


@pytest.mark.parametrize("weight", [1.0, 2.5])
def test_chords_added_as_they_are_needed_give_the_whole_programmes_value(weight, grid_of):
    height = np.random.default_rng(5).normal(0, 2.5, (9, 12))
    height[4, 5] = np.nan
    matrix, flat = all_chords(height, 6), np.nan_to_num(height).ravel()
    whole = linprog(
        np.repeat([1.0, weight], flat.size),
        A_ub=np.hstack([matrix, -matrix]),
        b_ub=1.2 - matrix @ flat,
    )
    rules = GrindRules(ground_weight=weight)
    done = grind_and_fill(grid_of(height), 1.2, edge_mm=600, rules=rules)
    # Both to the solver's tolerance of 1e-7.
    assert done.weight_l / 0.01 == pytest.approx(whole.fun, rel=1e-6)
    assert done.bound_l / 0.01 == pytest.approx(whole.fun, rel=1e-6)
    assert done.is_least
    assert done.filled.litres > 0.1
    assert done.ground.litres > 0.1


@pytest.mark.parametrize("ways", ["both", "grind", "fill"])
def test_no_edge_departs_by_more_than_the_limit_when_it_is_done(ways, grid_of):
    height = np.random.default_rng(9).normal(0, 2, (8, 13))
    height[3, 9] = np.nan
    done = grind_and_fill(grid_of(height), 1.5, edge_mm=500, rules=GrindRules(ways=ways))
    assert largest_departure(height, 5) > 3.0
    assert largest_departure(height + done.change_mm, 5) <= 1.5 + 1e-6
    assert done.worst_after_mm <= 1.5 + 1e-6
    assert done.departure_before_mm == pytest.approx(largest_departure(height, 5), abs=1e-9)
    assert np.isnan(done.change_mm[3, 9])
    if ways != "both":
        sign = 1 if ways == "fill" else -1
        assert np.nanmin(sign * done.change_mm) >= 0


def test_what_may_be_done_is_kept_to(grid_of):
    height = np.random.default_rng(2).normal(0, 2, (7, 9))
    free = grind_and_fill(grid_of(height), 2.0, edge_mm=400)
    left = np.zeros(height.shape, dtype=bool)
    tenth = np.argsort(np.abs(free.change_mm).ravel())[-10]  # of those changed most
    left[np.unravel_index(tenth, height.shape)] = True
    rules = GrindRules(most_grind_mm=5.0, most_fill_mm=0.8 * free.change_mm.max())
    bound = grind_and_fill(grid_of(height), 2.0, edge_mm=400, rules=rules, untouched=left)
    assert np.abs(free.change_mm[left]).min() > 0.1
    assert np.abs(bound.change_mm[left]).max() == 0.0
    assert bound.change_mm.max() <= rules.most_fill_mm + 1e-9
    assert bound.change_mm.min() >= -5.0 - 1e-9
    assert bound.weight_l > free.weight_l + 1e-3
    assert bound.is_least
    assert bound.worst_after_mm <= 2.0 + 1e-6


def test_a_skim_lies_everywhere(grid_of):
    height = np.random.default_rng(7).normal(0, 2, (6, 8))
    rules = GrindRules(ways="fill", skim_mm=3.0)
    done = grind_and_fill(grid_of(height), 2.0, edge_mm=400, rules=rules)
    assert done.change_mm.min() == pytest.approx(3.0)
    bare = grind_and_fill(grid_of(height), 2.0, edge_mm=400, rules=GrindRules(ways="fill"))
    # A skim of even depth leaves the straight edge where it was.
    assert done.change_mm == pytest.approx(bare.change_mm + 3.0, abs=1e-9)


@pytest.mark.parametrize("ways", ["both", "grind"])
def test_stopped_early_it_is_within_the_limit_and_says_how_far_from_the_least(ways, grid_of):
    height = np.random.default_rng(21).normal(0, 2, (14, 17))
    asked = {"edge_mm": 800, "rules": GrindRules(ways=ways)}
    least = grind_and_fill(grid_of(height), 1.0, **asked)
    told = []
    early = grind_and_fill(grid_of(height), 1.0, **asked, rounds=2, tell=told.append)
    assert early.rounds == 2
    assert early.worst_after_mm <= 1.0 + 1e-6
    assert early.bound_l <= least.weight_l * (1 + 1e-9) <= early.weight_l * (1 + 2e-9)
    assert 1e-6 < early.gap < 0.8
    assert not early.is_least
    assert told == sorted(told)
    assert told[-1] == 1.0


@pytest.mark.parametrize("ways", ["both", "fill"])
def test_the_doubt_of_the_volume_is_its_slope(ways, grid_of):
    height, step = np.random.default_rng(31).normal(0, 2, (5, 7)), 1e-4
    rules, slopes = GrindRules(ways=ways), np.zeros(35)

    def weight(floor):
        return grind_and_fill(grid_of(floor), 1.5, edge_mm=400, rules=rules).weight_l

    for cell in range(35):
        moved = np.zeros(35)
        moved[cell] = step
        high, low = (weight(height + s * moved.reshape(5, 7)) for s in (1, -1))
        slopes[cell] = (high - low) / 2 / step
    found = grind_and_fill(grid_of(height), 1.5, edge_mm=400, rules=rules).weight_sd_l
    # grid_of: sd 0.5 mm; the value is piecewise linear, so differences are exact to 1e-6 of it.
    assert found == pytest.approx(0.5 * math.sqrt(float(slopes @ slopes)), rel=1e-4)


def test_a_floor_within_the_limit_is_left_alone(grid_of):
    done = grind_and_fill(grid_of(np.tile(0.5 * np.arange(30.0), (25, 1))), 3.0)
    assert np.abs(done.change_mm).max() == 0.0
    assert (done.weight_l, done.bound_l, done.gap, done.is_least) == (0.0, 0.0, 0.0, True)
    assert (done.class_before, done.class_after) == ("SR1", "SR1")
    assert done.patches.empty


def test_classes_before_and_after_and_the_patches(grid_of):
    y, x = np.mgrid[0:26, 0:31]
    height = 19.0 * np.exp(-((x - 9) ** 2 + (y - 8) ** 2) / 20.0)
    height -= 9.0 * np.exp(-((x - 22) ** 2 + (y - 17) ** 2) / 12.0)
    done = grind_and_fill(grid_of(height, x0=50.0, y0=50.0), 5.0)
    assert (done.class_before, done.class_after) == ("beyond", "SR2")
    work = done.patches
    assert set(work["work"]) == {"grind", "fill"}
    assert work["litres"].is_monotonic_decreasing
    for name, whole in (("grind", done.ground), ("fill", done.filled)):
        part = work[work["work"] == name]
        assert part["litres"].sum() == pytest.approx(whole.litres, rel=1e-9)
        assert part["area_m2"].sum() == pytest.approx(whole.area_m2, rel=1e-9)
    first = work.iloc[0]
    assert (first["work"], first["x_mm"], first["y_mm"]) == ("grind", 950.0, 850.0)
    assert first["from_x_mm"] < 900.0
    assert first["to_x_mm"] > 1000.0
    cells = done.tables()["grind-fill.csv"]
    assert (cells["change_mm"].clip(lower=0).sum() * 0.01) == pytest.approx(done.filled.litres)
    assert done.after.height_mm == pytest.approx(height + done.change_mm)


def test_cautions_are_of_the_work_that_is_done(grid_of):
    line = np.zeros((1, 15))
    line[0, 7] = 9.0
    hump = grind_and_fill(grid_of(line), 3.0, edge_mm=600, rules=GrindRules(ways="grind"))
    assert any("silica" in one for one in hump.cautions())
    made = {"least_mm": 6, "greatest_mm": 9, "powder_kg_per_l": 1.7, "set_kg_per_l": 2.0}
    compound = Compound.model_validate({**made, "drying": ({"to_mm": 10, "days": 2},)})
    filled = grind_and_fill(grid_of(line), 3.0, edge_mm=600, rules=GrindRules(ways="fill"))
    words = filled.cautions(compound)
    assert not any("silica" in one for one in words)
    area, litres = filled.thin_fill(6.0)
    assert any(f"{area:.2f} m² of the fill ({litres:.1f} l) is thinner" in one for one in words)
    assert any("joints" in one for one in words)
    assert "approves no floor" in words[-1]


def test_rules_are_refused_just_where_the_whole_programme_has_no_answer(grid_of):
    refused = 0
    for seed in range(12):
        height = np.random.default_rng(seed).normal(0, 2, (5, 7))
        rules = GrindRules(most_grind_mm=2.0, most_fill_mm=2.4)
        matrix = all_chords(height, 4)
        most = np.repeat([2.4, 2.0], 35)
        whole = linprog(
            np.ones(70),
            A_ub=np.hstack([matrix, -matrix]),
            b_ub=2.4 - matrix @ height.ravel(),
            bounds=np.stack([np.zeros(70), most], axis=1),
        )
        try:
            done = grind_and_fill(grid_of(height), 2.4, edge_mm=400, rules=rules)
        except Refusal:
            refused += 1
            assert whole.status == 2
        else:
            assert done.weight_l / 0.01 == pytest.approx(whole.fun, rel=1e-6)
    assert 0 < refused < 12  # some can be done, some cannot


@pytest.mark.parametrize("ways", ["both", "fill"])
def test_rules_that_do_not_suffice_are_refused_with_the_place(ways, grid_of):
    line = np.zeros((1, 15))
    line[0, 7] = 9.0
    rules = GrindRules(ways=ways, most_grind_mm=1.0, most_fill_mm=1.0)
    with pytest.raises(Refusal, match=r"about x [5-9]00, y 0 mm"):
        grind_and_fill(grid_of(line), 3.0, edge_mm=600, rules=rules)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"limit_mm": 0.0}, "above 0 mm"),
        ({"rounds": 0}, "1 or more"),
        ({"edge_mm": 250.0}, "whole number"),
        ({"untouched": np.zeros((2, 2), dtype=bool)}, "as the grid"),
    ],
)
def test_what_cannot_be_asked_is_refused(asked, said, grid_of):
    with pytest.raises(Refusal, match=said):
        grind_and_fill(grid_of(np.zeros((3, 9))), **{"limit_mm": 3.0, "edge_mm": 400} | asked)


@pytest.mark.parametrize(
    "asked",
    [
        {"ways": "sand"},
        {"most_fill_mm": -1.0},
        {"most_grind_mm": math.nan},
        {"ground_weight": 0.0},
        {"skim_mm": 2.0},
        {"skim_mm": 2.0, "ways": "fill", "most_fill_mm": 1.0},
    ],
)
def test_rules_that_make_no_sense_are_refused(asked):
    with pytest.raises(Refusal):
        GrindRules(**asked)


def test_a_floor_far_above_its_datum_is_the_same_floor(grid_of):
    height = np.random.default_rng(12).normal(0, 2, (6, 9))
    near, far = (grind_and_fill(grid_of(height + z), 1.5, edge_mm=400) for z in (0.0, 1e5))
    # 1e5 mm leave 1e-11 of a height.
    assert near.weight_l == pytest.approx(far.weight_l, rel=1e-9)
    assert worst_gap_mm(far.after.height_mm, 4) <= 1.5 + 2e-6
