import math

import numpy as np
import pytest

from kit.floor.kernel import matern
from kit.floor.likelihood import Contrasts, Search, Spectrum, restricted_likelihood
from kit.floor.places import distances
from kit.floor.plane import Frame


def readings(seed=0, count=19):
    generator = np.random.default_rng(seed)
    x, y = generator.uniform(0, 3600, count), generator.uniform(0, 1700, count)
    z = 2 * np.sin(x / 600) + np.cos(y / 500) + generator.normal(0, 0.3, count)
    factor = generator.normal(0, 0.25, (count, count // 2))
    return x, y, z, factor @ factor.T + np.diag(generator.uniform(0.02, 0.2, count))


def contrasts_of(x, y, z, noise):
    return Contrasts.of(Frame.of(x, y).design(x, y), z, noise, distances(x, y, x, y))


def dense_deviance(x, y, z, noise, length, variance):
    """-2 log restricted likelihood written out with full matrices, constants left out."""
    design = np.column_stack([np.ones_like(x), x / 1000, y / 1000])
    total = variance * matern(distances(x, y, x, y), length) + noise
    inverse = np.linalg.inv(total)
    information = design.T @ inverse @ design
    projector = inverse - inverse @ design @ np.linalg.inv(information) @ design.T @ inverse
    return np.linalg.slogdet(total)[1] + np.linalg.slogdet(information)[1] + z @ projector @ z


def test_differences_of_the_likelihood_are_those_of_the_full_matrices():
    given = readings()
    contrasts = contrasts_of(*given)
    pairs = [(400.0, 0.5), (400.0, 7.0), (1500.0, 3.0), (9000.0, 60.0)]
    ours = [contrasts.spectrum(a).deviance(np.array([v]))[0] for a, v in pairs]
    dense = [dense_deviance(*given, a, v) for a, v in pairs]
    # The two differ by a constant of the design alone; 1e-6 is the jitter's share.
    assert np.diff(ours) == pytest.approx(np.diff(dense), abs=1e-6)


def test_no_other_length_or_variance_is_likelier():
    given = readings(4)
    found = restricted_likelihood(Search(contrasts_of(*given), 200.0, 12_000.0))
    best = dense_deviance(*given, found.length_mm, found.variance_mm2)
    for length in np.geomspace(200, 12_000, 60):
        for variance in found.variance_mm2 * np.geomspace(1e-3, 1e3, 61):
            # The length is found to 0.5 %, which costs less than 0.001 at the bottom.
            assert dense_deviance(*given, length, variance) > best - 1e-3


def test_the_length_stays_within_its_limits():
    x, y, _, noise = readings(2)
    wild = np.random.default_rng(0).normal(0, 5, len(x))
    short = restricted_likelihood(Search(contrasts_of(x, y, wild, noise), 900.0, 9000.0))
    assert short.length_mm == pytest.approx(900.0, rel=0.01)
    smooth = (x / 1000) ** 2
    smooth_noise = 1e-6 * np.eye(len(x))
    long = restricted_likelihood(Search(contrasts_of(x, y, smooth, smooth_noise), 900.0, 9000.0))
    assert long.length_mm == pytest.approx(9000.0, rel=0.01)


def test_a_plane_of_readings_leaves_the_least_variance_and_no_error():
    x, y, _, noise = readings(3)
    contrasts = contrasts_of(x, y, 0.003 * x - 0.001 * y, noise)
    found = restricted_likelihood(Search(contrasts, 300.0, 9000.0))
    assert found.variance_mm2 == pytest.approx(contrasts.least_variance, rel=1e-6)


@pytest.mark.parametrize("kind", ["benchmark", "free network", "none at all", "two alike"])
def test_a_singular_noise_covariance_is_no_obstacle(kind):
    x, y, z, noise = readings(5)
    count = len(x)
    noise = {
        "benchmark": noise * np.outer(np.arange(count) != 3, np.arange(count) != 3),
        "free network": 0.2 * (np.eye(count) - 1 / count),
        "none at all": np.zeros((count, count)),
        "two alike": 0.2 * np.eye(count) + 0.2 * np.fliplr(np.eye(count)),
    }[kind]
    contrasts = contrasts_of(x, y, z, noise)
    ours = contrasts.spectrum(700.0).deviance(np.array([2.0, 5.0]))
    dense = [dense_deviance(x, y, z, noise, 700.0, variance) for variance in (2.0, 5.0)]
    assert np.diff(ours) == pytest.approx(np.diff(dense), abs=1e-6)


def test_an_offset_common_to_all_readings_says_nothing_of_the_unevenness():
    x, y, z, noise = readings(6)
    one = restricted_likelihood(Search(contrasts_of(x, y, z, noise), 300.0, 9000.0))
    other = restricted_likelihood(Search(contrasts_of(x, y, z + 900, noise + 1e4), 300.0, 9000.0))
    # 1e4 mm² of common variance leaves 1e-12 of itself in the contrasts by rounding.
    assert other.length_mm == pytest.approx(one.length_mm, rel=1e-5)
    assert other.variance_mm2 == pytest.approx(one.variance_mm2, rel=1e-5)


def test_one_reading_more_than_a_plane_has_the_likelihood_of_one_normal_variable():
    spectrum = Spectrum(np.array([1.0]), np.array([0.5]), np.array([2.0]), 0.0)
    at = spectrum.deviance(np.array([1.5]))[0]
    assert at == pytest.approx(math.log(2.0) + 2.0 / 2.0)
