import numpy as np
import pytest

from kit.floor.repeats import rows_to_keep
from kit.job.refusal import Refusal

X = np.array([0.0, 900.0, 0.0, 300.0, 900.0])
Y = np.array([0.0, 200.0, 0.0, 800.0, 200.0])
Z = np.array([1.0, -2.0, 1.0, 0.0, -2.0])


def test_readings_with_doubts_of_their_own_are_all_kept():
    assert rows_to_keep(X, Y, Z + np.arange(5), np.full(5, 0.25)).tolist() == [0, 1, 2, 3, 4]
    assert rows_to_keep(X, Y, Z + np.arange(5), np.eye(5) + 3.0).tolist() == [0, 1, 2, 3, 4]


def test_a_reading_that_says_the_same_for_certain_is_left_out():
    assert rows_to_keep(X, Y, Z, np.zeros(5)).tolist() == [0, 1, 3]
    together = np.eye(5)
    together[1, 4] = together[4, 1] = 1.0
    assert rows_to_keep(X, Y, Z, together).tolist() == [0, 1, 2, 3]


def test_two_certain_heights_at_one_place_are_refused():
    with pytest.raises(Refusal, match=r"rows 2 and 5.*0\.3 mm apart"):
        rows_to_keep(X, Y, Z + np.array([0, 0, 0, 0, 0.3]), np.zeros(5))
