import numpy as np
import pytest
import statsmodels.api as sm

from kit.floor.conditioning import SMALL, Conditioned
from kit.floor.kernel import correlation
from kit.floor.likelihood import Unevenness

UNEVEN = Unevenness(900.0, 3.5)
AT_X = np.array([150.0, 1700.0, 2950.0, 2950.0])
AT_Y = np.array([220.0, 900.0, 40.0, 1500.0])


def readings(count=17, seed=0):
    generator = np.random.default_rng(seed)
    x, y = generator.uniform(0, 3100, count), generator.uniform(0, 1600, count)
    factor = generator.normal(0, 0.2, (count, 4))
    noise = factor @ factor.T + np.diag(generator.uniform(0.05, 0.3, count))
    return x, y, generator.normal(0, 2, count) + 0.003 * x, noise


def bordered(x, y, z, noise):
    """Universal kriging by its textbook system with Lagrange multipliers."""
    alike = UNEVEN.variance_mm2 * correlation(x, y, x, y, UNEVEN.length_mm)
    trend = np.column_stack([np.ones_like(x), x / 1000, y / 1000])
    system = np.block([[alike + noise, trend], [trend.T, np.zeros((3, 3))]])
    known = UNEVEN.variance_mm2 * correlation(x, y, AT_X, AT_Y, UNEVEN.length_mm)
    at = np.vstack([np.ones(4), AT_X / 1000, AT_Y / 1000])
    right = np.vstack([known, at])
    weights = np.linalg.solve(system, right)
    prior = UNEVEN.variance_mm2 * correlation(AT_X, AT_Y, AT_X, AT_Y, UNEVEN.length_mm)
    return weights[: len(x)].T @ z, prior - weights.T @ right


@pytest.mark.parametrize("count", [17, SMALL + 5])
def test_heights_and_covariances_are_those_of_the_textbook_system(count):
    given = readings(count)
    height, covariance = Conditioned(*given, UNEVEN).joint(AT_X, AT_Y)
    expected_height, expected_covariance = bordered(*given)
    # Both solve a system of condition about 1e3 in double precision; jitter is 1e-10.
    assert height == pytest.approx(expected_height, abs=1e-7)
    assert covariance == pytest.approx(expected_covariance, abs=1e-7)
    again, sd = Conditioned(*given, UNEVEN).predict(AT_X, AT_Y)
    assert again == pytest.approx(height, abs=1e-12)
    assert sd**2 == pytest.approx(np.diag(covariance), abs=1e-10)


def test_the_trend_is_that_of_generalised_least_squares_in_statsmodels():
    x, y, z, noise = readings(seed=3)
    here = Conditioned(x, y, z, noise, UNEVEN)
    total = UNEVEN.variance_mm2 * correlation(x, y, x, y, UNEVEN.length_mm) + noise
    reference = sm.GLS(z, here.frame.design(x, y), sigma=total).fit()
    assert here.coefficients == pytest.approx(reference.params, rel=1e-7)


def test_many_places_at_once_are_the_same_as_one_by_one():
    here = Conditioned(*readings(40, seed=1), UNEVEN)
    x, y = np.random.default_rng(2).uniform(0, 3000, (2, 700))
    height, sd = here.predict(x, y)
    for row in (0, 163, 164, 699):
        one = here.predict(x[[row]], y[[row]])
        assert one[0][0] == pytest.approx(height[row], abs=1e-10)
        assert one[1][0] == pytest.approx(sd[row], abs=1e-10)


def test_leaving_out_without_refitting_is_leaving_out_with_refitting():
    x, y, z, noise = readings(12, seed=5)
    error, sd = Conditioned(x, y, z, noise, UNEVEN).left_out()
    for row in range(12):
        rest = np.arange(12) != row
        total = UNEVEN.variance_mm2 * correlation(x, y, x, y, UNEVEN.length_mm) + noise
        trend = np.column_stack([np.ones_like(x), x / 1000, y / 1000])
        system = np.block([[total[rest][:, rest], trend[rest]], [trend[rest].T, np.zeros((3, 3))]])
        right = np.concatenate([total[rest, row], trend[row]])
        weights = np.linalg.solve(system, right)
        assert error[row] == pytest.approx(z[row] - weights[:11] @ z[rest], abs=1e-6)
        assert sd[row] ** 2 == pytest.approx(total[row, row] - weights @ right, abs=1e-6)


def test_a_fixed_benchmark_is_gone_through():
    x, y, z, noise = readings(seed=7)
    noise[4, :] = noise[:, 4] = 0
    height, sd = Conditioned(x, y, z, noise, UNEVEN).predict(x[[4]], y[[4]])
    # The jitter of 1e-10 of 3.5 mm² is 2e-5 mm.
    assert height[0] == pytest.approx(z[4], abs=1e-6)
    assert sd[0] < 1e-4
