import numpy as np
import pytest
from sklearn.gaussian_process.kernels import Matern

from kit.floor.kernel import correlation, matern, matern_slope


def test_it_is_the_matern_kernel_of_a_reference_library():
    places = np.random.default_rng(1).uniform(0, 3000, (12, 2))
    others = np.random.default_rng(2).uniform(0, 3000, (7, 2))
    ours = correlation(*places.T, *others.T, 870.0)
    # The same formula, evaluated in another order.
    assert ours == pytest.approx(Matern(length_scale=870.0, nu=1.5)(places, others), rel=1e-12)


def test_one_length_away_the_floor_is_not_quite_half_alike():
    # (1 + sqrt 3)·exp(-sqrt 3), by hand.
    assert matern(np.array([640.0]), 640.0)[0] == pytest.approx(0.4833577, abs=5e-8)
    assert matern(np.array([0.0]), 640.0)[0] == 1.0


def test_the_slope_is_the_difference_quotient_in_the_logarithm_of_the_length():
    apart, step = np.array([0.0, 90.0, 800.0, 4000.0]), 1e-5
    up, down = (matern(apart, 700.0 * np.exp(sign * step)) for sign in (1, -1))
    # A central difference of step 1e-5 is good to about 1e-10.
    assert matern_slope(apart, 700.0) == pytest.approx((up - down) / (2 * step), abs=1e-9)
