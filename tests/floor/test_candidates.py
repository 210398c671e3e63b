import math

import numpy as np
import pytest
from scipy.stats import norm

from kit.floor.candidates import candidates
from kit.floor.shared_doubt import SharedDoubt


def doubt_of(height, covariance):
    height, covariance = np.asarray(height, float), np.asarray(covariance, float)
    return SharedDoubt(height, np.diag(covariance), lambda rows: covariance[:, rows])


def floor(seed, count=40):
    """Heights that fall off on both sides, with doubt that neighbours share."""
    generator = np.random.default_rng(seed)
    at = np.sort(generator.uniform(0, 3000, count))
    covariance = 0.3 * np.exp(-np.abs(at[:, None] - at) / 700) + 2.0
    covariance += np.diag(generator.uniform(0.001, 0.1, count))
    return -(((at - 1100) / 700) ** 2) + generator.normal(0, 0.2, count), covariance


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("left_out", [0.02, 0.2])
def test_what_is_left_out_reaches_the_named_place_no_oftener_than_allowed(seed, left_out):
    height, covariance = floor(seed)
    named = int(height.argmax())
    rows = candidates(doubt_of(height, covariance), named, left_out)
    out = np.setdiff1d(np.arange(len(height)), rows)
    assert len(out) > 3
    drawn = np.random.default_rng(seed).multivariate_normal(height, covariance, 20_000)
    reached = np.any(drawn[:, out] >= drawn[:, [named]] - 1e-3, axis=1).mean()
    # Four standard errors of a share of 20,000 draws.
    assert reached <= left_out + 4 * math.sqrt(left_out / 20_000)


@pytest.mark.parametrize("seed", range(5))
def test_one_more_left_out_would_be_too_many(seed):
    height, covariance = floor(seed)
    named, variance = int(height.argmax()), np.diag(covariance)
    rows = candidates(doubt_of(height, covariance), named, 1e-5)
    sd = np.sqrt(variance + variance[named] - 2 * covariance[named])
    others = np.delete(np.arange(len(height)), named)
    reach = norm.sf((height[named] - height[others] - 1e-3) / sd[others])
    out = ~np.isin(others, rows)
    assert named in rows
    assert reach[out].sum() <= 1e-5 < reach[out].sum() + reach[~out].min()
    assert list(rows) == sorted(rows)


def test_doubt_that_both_places_share_does_not_keep_one():
    # All are known to 2 mm; the second differs from the named one by 0.05 mm sd, the third by 2.8.
    covariance = np.diag([0.00125, 0.00125, 4.0]) + 4.0 * np.array([[1, 1, 0], [1, 1, 0], [0] * 3])
    rows = candidates(doubt_of([0.0, -0.5, -0.5], covariance), 0, 1e-5)
    assert list(rows) == [0, 2]


def test_places_as_high_as_the_named_one_stay_however_well_they_are_known():
    height = [0.0, -0.0005, -0.002, 0.0009, -3.0]
    assert list(candidates(doubt_of(height, np.zeros((5, 5))), 0, 1e-5)) == [0, 1, 3]
    assert list(candidates(doubt_of(height, np.full((5, 5), 9.0)), 0, 1e-5)) == [0, 1, 3]


def test_with_nothing_to_be_left_out_every_place_stays():
    height, covariance = floor(3)
    doubt = doubt_of(height, covariance)
    assert len(candidates(doubt, int(height.argmax()), -1.0)) == len(height)
    assert len(candidates(doubt, int(height.argmax()), 1e-5)) < len(height)
