"""How many supports will be off: against the normal law as scipy tells it."""

import numpy as np
import pytest
from scipy.stats import norm

from kit.base.built_off import expected_off, share_off


@pytest.mark.parametrize(
    ("error", "sd", "tolerance"),
    [(0.0, 0.5, 0.5), (0.3, 0.4, 0.5), (-0.45, 0.2, 0.5), (0.9, 0.3, 0.5), (-2.0, 1.7, 1.0)],
)
def test_a_share_is_that_of_two_tails(error: float, sd: float, tolerance: float) -> None:
    wanted = norm.sf(tolerance, error, sd) + norm.cdf(-tolerance, error, sd)
    # Both are told to double precision.
    assert share_off(error, sd, tolerance) == pytest.approx(wanted, abs=1e-12)
    assert share_off(-error, sd, tolerance) == pytest.approx(wanted, abs=1e-12)


def test_without_doubt_it_is_off_or_not() -> None:
    assert share_off(0.5, 0.0, 0.5) == 0.0
    assert share_off(-0.6, 0.0, 0.5) == 1.0


def test_one_standard_deviation_either_way_is_a_third() -> None:
    # 31.73 % of a normal law lie beyond one standard deviation (any table of it).
    assert expected_off(np.zeros(24), 0.4, 0.4) == pytest.approx(24 * 0.31731, abs=1e-3)
    errors, doubts = np.array([0.1, -0.3, 0.5]), np.array([0.2, 0.4, 0.6])
    drawn = np.random.default_rng(5).normal(errors, doubts, (200_000, 3))
    counted = (np.abs(drawn) > 0.5).sum(axis=1).mean()
    # Standard error of the mean of 200,000 counts is below 0.002.
    assert expected_off(errors, doubts, 0.5) == pytest.approx(counted, abs=0.008)
