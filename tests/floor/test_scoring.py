import numpy as np
import pytest

from kit.floor.likelihood import Contrasts, Search, Unevenness, restricted_likelihood
from kit.floor.places import distances
from kit.floor.plane import Frame
from kit.floor.scoring import Readings, _slope, climb


def survey(seed, count=90):
    generator = np.random.default_rng(seed)
    x, y = generator.uniform(0, 5200, count), generator.uniform(0, 2600, count)
    z = 2 * np.sin(x / 700) + 1.5 * np.cos(y / 600) + generator.normal(0, 0.4, count)
    return x, y, z, 0.16 * np.eye(count) + 0.3


@pytest.mark.parametrize("start", [Unevenness(400.0, 1.0), Unevenness(6000.0, 200.0)])
@pytest.mark.parametrize("seed", [1, 2])
def test_the_climb_ends_where_the_search_does(seed, start):
    x, y, z, noise = survey(seed)
    design, apart = Frame.of(x, y).design(x, y), distances(x, y, x, y)
    searched = restricted_likelihood(Search(Contrasts.of(design, z, noise, apart), 150.0, 17_000.0))
    limits = np.array([150.0, 1e-6]), np.array([17_000.0, 1e6])
    climbed = climb(Readings(design, z, noise, apart), start, *limits)
    # Search and climb both stop within 0.5 % of the top; the variance follows the length's cube.
    assert climbed.length_mm == pytest.approx(searched.length_mm, rel=0.02)
    assert climbed.variance_mm2 == pytest.approx(searched.variance_mm2, rel=0.06)


def test_the_slope_is_the_difference_quotient_of_the_deviance():
    x, y, z, noise = survey(3, count=40)
    readings = Readings(Frame.of(x, y).design(x, y), z, noise, distances(x, y, x, y))
    here, step = np.log([900.0, 4.0]), 1e-5
    slope = _slope(readings, here)[1]
    for axis in np.eye(2):
        up, down = (_slope(readings, here + sign * step * axis)[0] for sign in (1, -1))
        # deviance = -2 log L; the quotient is good to about 1e-7.
        assert slope @ axis == pytest.approx(-(up - down) / (4 * step), rel=1e-5)


def test_the_climb_stays_within_its_limits():
    x, y, z, noise = survey(4, count=60)
    readings = Readings(Frame.of(x, y).design(x, y), z, noise, distances(x, y, x, y))
    low, high = np.array([3000.0, 0.01]), np.array([17_000.0, 2.0])
    found = climb(readings, Unevenness(5000.0, 1.0), low, high)
    assert low[0] * (1 - 1e-9) <= found.length_mm <= high[0]
    assert low[1] <= found.variance_mm2 <= high[1] * (1 + 1e-9)
