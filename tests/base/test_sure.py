"""The depths that 95 of 100 floors keep to, at the place where they are worst."""

from statistics import NormalDist

import numpy as np
import pytest

from kit.base.sure import SURE_SDS, Sure, greatest_sure, least_sure

DEPTH, SD = np.array([4.0, 3.5, 9.0, 8.8]), np.array([1.0, 0.2, 0.1, 0.5])


def test_the_factor_is_that_of_a_normal_distribution() -> None:
    # Given to three decimals.
    assert pytest.approx(NormalDist().inv_cdf(0.95), abs=5e-4) == SURE_SDS


def test_the_worst_place_need_not_be_the_one_that_is_expected_to_be() -> None:
    # 4 - 1.645 = 2.355 is below 3.5 - 0.329; 8.8 + 0.8225 is above 9 + 0.1645. Round-off.
    assert least_sure(DEPTH, SD) == Sure(pytest.approx(2.355), pytest.approx(1.645), 0)
    assert greatest_sure(DEPTH, SD) == Sure(pytest.approx(9.6225), pytest.approx(0.8225), 3)
