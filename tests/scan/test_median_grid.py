import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binned_statistic_2d, median_abs_deviation

from kit.job import Refusal
from kit.scan.median_grid import median_grid
from kit.scan.medians import medians


def floor(count=20_000, seed=0):
    generator = np.random.default_rng(seed)
    x, y = generator.uniform(-310, 900, count), generator.uniform(40, 1700, count)
    z = 0.004 * x + generator.normal(0, 1.5, count)
    wall = generator.random(count) < 0.3
    z[wall] = generator.uniform(0, 2600, count)[wall]
    return x, y, z


@settings(deadline=None)
@given(
    st.integers(1, 3000), st.integers(1, 40), st.integers(0, 2**32), st.sampled_from([1, 50, 1e-9])
)
def test_medians_equal_numpys_to_the_last_bit(count, groups, seed, grain):
    generator = np.random.default_rng(seed)
    group = generator.integers(0, groups, count)
    value = generator.standard_cauchy(count)
    if grain != 1e-9:
        value = np.round(value / grain) * grain
    found = medians(group, value, groups, np.bincount(group, minlength=groups))
    for one in range(groups):
        mine = value[group == one]
        assert np.array_equal(found[one], np.median(mine) if len(mine) else np.nan, equal_nan=True)


def test_more_groups_than_sixteen_bits_count():
    generator = np.random.default_rng(11)
    group = generator.integers(0, 150_000, 400_000)
    value = generator.normal(0, 3, 400_000)
    found = medians(group, value, 150_000, np.bincount(group, minlength=150_000))
    peer = pd.Series(value).groupby(group).median().reindex(range(150_000)).to_numpy()
    assert np.array_equal(found, peer, equal_nan=True)


def test_heights_equal_scipys_and_pandas_to_the_last_bit():
    x, y, z = floor()
    grid = median_grid(x, y, z, 60.0)
    ex, ey = (np.arange(np.floor(v.min() / 60), np.floor(v.max() / 60) + 2) * 60 for v in (x, y))
    peer = binned_statistic_2d(y, x, z, "median", bins=[ey, ex]).statistic
    assert np.array_equal(grid.height_mm, peer, equal_nan=True)
    groups = pd.Series(z).groupby([np.floor(y / 60), np.floor(x / 60)])
    assert np.array_equal(grid.height_mm[grid.known], groups.median().to_numpy())
    assert np.array_equal(grid.count[grid.known], groups.count().to_numpy())
    assert grid.x_mm[0] == ex[0] + 30
    assert grid.y_mm[-1] == ey[-1] - 30


def test_doubt_follows_the_scatter_of_each_cell():
    x, y, z = floor(4000, 3)
    grid = median_grid(x, y, z, 200.0)
    row, column = 3, 2
    here = (np.floor(y / 200) == row) & (np.floor(x / 200) == column - 2)
    scatter = median_abs_deviation(z[here], scale=1 / 1.4826)
    # √(π/2) is 1.2533 to four digits.
    assert grid.sd_mm[row, column] == pytest.approx(
        1.2533 * scatter / np.sqrt(here.sum()), rel=1e-4
    )


def test_doubt_is_what_medians_of_normal_errors_scatter_by():
    # 4000 cells of 101 points, sd 2 mm; the sd of their medians is known to 1/√8000 = 1.1 %.
    generator = np.random.default_rng(8)
    x = np.repeat(np.arange(4000) * 10.0 + 5, 101)
    grid = median_grid(x, np.full(len(x), 5.0), generator.normal(0, 2, len(x)), 10.0)
    assert np.std(grid.height_mm) == pytest.approx(1.2533 * 2 / np.sqrt(101), rel=0.04)
    assert np.mean(grid.sd_mm) == pytest.approx(np.std(grid.height_mm), rel=0.05)


def test_few_points_take_the_scatter_of_the_others():
    x = np.array([5.0, 5, 5, 5, 5, 15, 15, 35])
    z = np.array([1.0, 2, 4, 7, 9, 3, 8, 6])
    grid = median_grid(x, np.full(8, 5.0), z, 10.0)
    assert grid.height_mm[0].tolist()[:2] == [4.0, 5.5]
    assert np.isnan(grid.height_mm[0, 2])
    # MAD of the first cell: 0, 2, 3, 3, 5 off 4, so 3.
    one = np.sqrt(np.pi / 2) * 1.4826 * 3
    # Products of four numbers, rounded at 1e-16 each.
    assert grid.sd_mm[0, [0, 1, 3]] == pytest.approx(
        [one / np.sqrt(5), one / np.sqrt(2), one], rel=1e-14
    )
    assert grid.count[0].tolist() == [5, 2, 0, 1]
    assert "2 cells have fewer than 5 points" in grid.notes[0]
    lone = median_grid(x[4:], np.full(4, 5.0), z[4:], 10.0)
    assert np.isnan(lone.sd_mm).all()
    assert "not known" in lone.notes[0]


@pytest.mark.parametrize(
    ("x", "cell", "found"),
    [
        ([1.0, np.nan], 10.0, "1 that are no number"),
        ([1.0, 2.0], 0.0, "0 mm"),
        ([1.0, 9e12], 10.0, "cells of 10 mm"),
        ([1.0, 2.0], 10.0, "1 by 1 cells"),
        ([1.0, 2.0, 3.0], 10.0, "shapes"),
    ],
)
def test_what_has_no_grid(x, cell, found):
    with pytest.raises(Refusal, match=found):
        median_grid(np.array(x), np.array([1.0, 2.0]), np.array([5.0, 6.0]), cell)
