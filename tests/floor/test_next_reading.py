import math

import numpy as np
import pytest
from scipy.stats import norm

from kit.floor.next_reading import expected_gains, expected_maxima, most_telling_place


def test_two_lines_have_the_known_expectation_of_the_greater_of_two_normals():
    # C. E. Clark, Operations Research 9 (1961) 145-162 (from memory): with theta the sd of the
    # difference, E max = a1·Phi(alpha) + a2·Phi(-alpha) + theta·phi(alpha).
    a, b = np.array([1.3, 0.4]), np.array([[0.7, -0.5]])
    theta = 1.2
    alpha = (a[0] - a[1]) / theta
    expected = a[0] * norm.cdf(alpha) + a[1] * norm.cdf(-alpha) + theta * norm.pdf(alpha)
    assert expected_maxima(a, b)[0] == pytest.approx(expected, rel=1e-12)


def test_a_line_and_its_mirror_image_have_the_mean_of_the_absolute_normal():
    value = expected_maxima(np.zeros(2), np.array([[1.0, -1.0]]))[0]
    assert value == pytest.approx(math.sqrt(2 / math.pi), rel=1e-12)


@pytest.mark.parametrize("seed", range(6))
def test_the_envelope_is_the_integral_over_a_fine_grid(seed):
    generator = np.random.default_rng(seed)
    a, b = generator.normal(0, 1, 25), generator.normal(0, 1, (7, 25))
    b[2] = b[2, 0]
    b[3, 10:] = b[3, 10]
    b[4] *= 1e-3
    z = np.linspace(-9, 9, 90_001)
    weight = norm.pdf(z) * (z[1] - z[0])
    for row, slopes in enumerate(b):
        expected = np.sum(weight * np.max(a[:, None] + slopes[:, None] * z, axis=0))
        # The grid's own error at kinks is about its step squared, 4e-8.
        assert expected_maxima(a, b)[row] == pytest.approx(expected, abs=1e-6)


def test_ties_and_plateaus_are_counted_once():
    a = np.array([2.0, 2.0, 2.0, 0.0])
    assert expected_maxima(a, np.zeros((1, 4)))[0] == pytest.approx(2.0, rel=1e-14)
    assert expected_maxima(a, np.full((1, 4), 0.7))[0] == pytest.approx(2.0, rel=1e-14)
    twice = expected_maxima(np.repeat(a, 2), np.repeat([[0.3, -0.2, 0.0, 0.1]], 2, axis=1))
    once = expected_maxima(a, np.array([[0.3, -0.2, 0.0, 0.1]]))
    assert twice[0] == pytest.approx(once[0], rel=1e-12)


def test_the_gain_is_what_simulated_readings_gain():
    generator = np.random.default_rng(3)
    factor = generator.normal(0, 1, (6, 6))
    covariance, height, sd = factor @ factor.T, generator.normal(0, 1, 6), 0.4
    gains = expected_gains(height, covariance, sd)
    truth = generator.multivariate_normal(height, covariance, 200_000)
    for place in range(6):
        reading = truth[:, place] + generator.normal(0, sd, len(truth))
        slope = covariance[place] / (covariance[place, place] + sd**2)
        after = height + np.outer(reading - height[place], slope)
        gained = truth[np.arange(len(truth)), after.argmax(axis=1)] - truth[:, height.argmax()]
        # Standard error of a mean of 200,000 gains; four of those.
        assert abs(gained.mean() - gains[place]) < 4 * gained.std() / math.sqrt(len(truth))


def test_reading_what_is_known_gains_nothing_and_the_doubtful_rival_is_read():
    height = np.array([1.0, 0.8, -5.0])
    covariance = np.diag([0.0, 0.5, 0.5])
    gains = expected_gains(height, covariance, 0.1)
    assert gains[0] == pytest.approx(0.0, abs=1e-12)
    assert most_telling_place(height, covariance, 0.1)[0] == 1
    # Far below, nothing that a reading can say would make it the highest.
    assert gains[2] < 1e-9


def test_a_worse_instrument_gains_less():
    height, covariance = np.array([0.0, 0.1]), np.array([[0.4, 0.1], [0.1, 0.6]])
    gains = [expected_gains(height, covariance, sd).max() for sd in (0.0, 0.5, 2.0)]
    assert gains[0] > gains[1] > gains[2] > 0


def test_of_equal_places_the_first_is_named():
    height = np.zeros(3)
    assert most_telling_place(height, np.eye(3), 0.5)[0] == 0
