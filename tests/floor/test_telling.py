import math

import numpy as np
import pytest

from kit.floor.candidates import candidates
from kit.floor.next_reading import expected_gains, most_telling_place
from kit.floor.shared_doubt import SharedDoubt
from kit.floor.telling import CELLS, CHORDS, KNOTS, _bounds, most_telling


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


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("sd", [0.0, 0.4])
def test_the_reading_is_the_one_that_tells_most_with_every_line_followed(seed, sd):
    height, covariance = floor(seed, count=300)
    doubt, named = doubt_of(height, covariance), int(height.argmax())
    rows = candidates(doubt, named, 1e-5)
    assert 3 < len(rows) < 250
    place, gain = most_telling(doubt, rows, covariance[:, rows], sd)
    gains = expected_gains(height, covariance, sd)
    variance = np.diag(covariance)
    apart = np.sqrt(np.max(variance + variance[named] - 2 * covariance[named]))
    # Derived in `candidates`, Eq. (3); rounding on top.
    allowed = math.sqrt(2 / math.pi) * apart * 1e-5 + 1e-9
    assert gains[place] >= gains.max() - allowed
    assert gains[place] - allowed <= gain <= gains[place] + 1e-9
    every = np.arange(len(height))
    full = most_telling_place(height, covariance, sd)
    assert most_telling(doubt, every, covariance, sd) == pytest.approx(full, rel=1e-9)


def test_a_place_that_cannot_be_the_highest_is_read_where_it_tells_most():
    # The third lies 50 mm lower and moves with three times the difference of the two rivals.
    factor = np.array([[1.0, 0.0], [0.0, 1.0], [3.0, -3.0]])
    height, covariance = np.array([0.0, -0.1, -50.0]), factor @ factor.T
    doubt = doubt_of(height, covariance)
    rows = candidates(doubt, 0, 1e-5)
    assert list(rows) == [0, 1]
    place, gain = most_telling(doubt, rows, covariance[:, rows], 1.0)
    assert place == 2
    assert gain == pytest.approx(expected_gains(height, covariance, 1.0)[2], abs=1e-9)


def test_what_is_known_is_not_read_and_of_equals_the_first_is():
    doubt = doubt_of([1.0, 0.8, 0.8], np.diag([0.0, 0.5, 0.5]))
    place, gain = most_telling(doubt, np.arange(3), np.diag([0.0, 0.5, 0.5]), 0.1)
    assert place == 1
    assert gain > 0.1
    level = doubt_of([1.0, 1.0], np.zeros((2, 2)))
    assert most_telling(level, np.arange(2), np.zeros((2, 2)), 0.0) == (0, 0.0)


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("sd", [0.0, 0.4, 3.0])
def test_gains_lie_within_their_bounds(seed, sd):
    height, covariance = floor(seed, count=300)
    gains = expected_gains(height, covariance, sd)
    least, most = _bounds(
        height - height.max(), covariance, 1 / np.sqrt(np.diag(covariance) + sd**2)
    )
    assert np.all(least <= gains + 1e-12)
    assert np.all(gains <= most + 1e-12)
    # Close enough to be of use: most places are told from the best.
    assert np.mean(most < least.max()) > 0.5


def test_cells_and_chords_are_those_of_the_normal_distribution():
    z = np.linspace(-8, 8, 160_001)
    weight = np.exp(-(z**2) / 2) / math.sqrt(2 * math.pi) * (z[1] - z[0])
    values = np.random.default_rng(0).normal(0, 1, len(KNOTS))
    # The sum's own error at the kinks is about its step squared, 1e-8.
    assert CHORDS @ values == pytest.approx(weight @ np.interp(z, KNOTS, values), abs=1e-7)
    assert CELLS.sum() == pytest.approx(1.0, abs=1e-14)
    assert CELLS @ KNOTS[1:-1] == pytest.approx(0.0, abs=1e-14)
    assert CELLS @ KNOTS[1:-1] ** 2 < 1 < CHORDS @ KNOTS**2
