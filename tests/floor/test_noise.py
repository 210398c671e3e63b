import numpy as np
import pytest

from kit.floor.noise import checked_noise, deviations, part_of, quick_deviations, root_of
from kit.job.refusal import Refusal


@pytest.mark.parametrize(
    ("noise", "message"),
    [
        (np.eye(4), r"shape \(4, 4\)"),
        (np.ones((3, 2)), r"shape \(3, 2\)"),
        (0.25, r"shape \(\)"),
        ([0.1, -0.2, 0.3], "row 2: found variance -0.2"),
        ([0.1, np.nan, 0.3], "not finite"),
        ([[1, 0.2, 0], [0.1, 1, 0], [0, 0, 1]], "unsymmetric"),
        ([[1, 2, 0], [2, 1, 0], [0, 0, 1]], "negative eigenvalue"),
    ],
)
def test_what_is_no_covariance_is_refused(noise, message):
    with pytest.raises(Refusal, match=message):
        checked_noise(noise, 3)


@pytest.mark.parametrize(
    "noise",
    [
        np.zeros((3, 3)),
        np.eye(3) - 1 / 3,
        np.diag([0.2, 0.0, 0.1]),
        np.full((3, 3), 7.0),
        np.zeros(3),
    ],
)
def test_singular_covariances_are_covariances(noise):
    assert np.array_equal(checked_noise(noise, 3), noise)


def test_a_part_of_variances_or_of_a_matrix_is_a_matrix():
    rows = np.array([2, 0])
    assert part_of(np.array([1.0, 2.0, 3.0]), rows).tolist() == [[3, 0], [0, 1]]
    assert part_of(np.arange(9.0).reshape(3, 3), rows).tolist() == [[8, 6], [2, 0]]


COVARIANCE = np.array([[2.0, 0.9, 0.0], [0.9, 0.5, 0.1], [0.0, 0.1, 1.5]])


@pytest.mark.parametrize("draw", [deviations, quick_deviations])
def test_draws_have_the_covariance_and_follow_their_seed(draw):
    drawn = draw(COVARIANCE, 40_000, 3)
    # An element's standard error is about 2·sqrt(2/40,000) = 0.014; four of those.
    assert np.cov(drawn.T) == pytest.approx(COVARIANCE, abs=0.06)
    assert np.array_equal(drawn[:100], draw(COVARIANCE, 40_000, 3)[:100])
    assert not np.array_equal(drawn[:100], draw(COVARIANCE, 40_000, 4)[:100])


def test_a_nearly_singular_covariance_has_a_root_too():
    # Rounding has made the smallest eigenvalue negative: -1e-9 of the largest.
    bad = np.outer([1.0, 2.0, 3.0], [1.0, 2.0, 3.0]) - 2e-8 * np.eye(3)
    root = root_of(bad)
    assert root @ root.T == pytest.approx(bad, abs=1e-7)
    assert np.array_equal(deviations(np.zeros((2, 2)), 5, 0).round(9), np.zeros((5, 2)))
