from dataclasses import dataclass

import numpy as np
import pytest
from scipy.sparse import csr_array

from kit.floor import RowNoise, fit_surface
from kit.floor.noise import averaged, checked_noise, kept, part_of, variances_of, with_extra
from kit.floor.repeats import rows_to_keep
from kit.job.refusal import Refusal

DIAGONAL = np.array([0.2, 0.0, 0.5, 0.1])
FACTORS = np.array([[0.3, 0.0], [0.3, 0.1], [0.0, 0.4], [0.2, 0.0]])
FULL = np.diag(DIAGONAL) + FACTORS @ FACTORS.T
ROWS = np.array([3, 0, 2])


@pytest.fixture(params=["dense", "sparse"])
def noise(request):
    return RowNoise(DIAGONAL, FACTORS if request.param == "dense" else csr_array(FACTORS))


def test_parts_are_those_of_the_full_matrix(noise):
    assert part_of(noise, ROWS) == pytest.approx(FULL[np.ix_(ROWS, ROWS)], abs=1e-15)
    assert variances_of(noise) == pytest.approx(np.diag(FULL), abs=1e-15)
    again = kept(noise, ROWS)
    assert part_of(again, np.array([2, 1])) == pytest.approx(
        FULL[np.ix_([2, 0], [2, 0])], abs=1e-15
    )
    assert noise.pairs(np.array([0, 1]), np.array([3, 2])) == pytest.approx(
        [FULL[0, 3], FULL[1, 2]], abs=1e-15
    )


def test_means_of_readings_have_the_full_matrix_s_noise(noise):
    weights = csr_array(np.array([[0.25, 0.75, 0.0, 0.0], [0.0, 0.0, 0.4, 0.6]]))
    mean = with_extra(averaged(noise, weights), np.array([0.1, 0.2]))
    full = weights @ FULL @ weights.toarray().T + np.diag([0.1, 0.2])
    assert part_of(mean, np.arange(2)) == pytest.approx(full, abs=1e-15)
    assert with_extra(averaged(FULL, weights), np.array([0.1, 0.2])) == pytest.approx(full)


@dataclass(frozen=True)
class FromElsewhere:
    diagonal: np.ndarray
    factors: np.ndarray


def test_what_looks_alike_is_taken():
    given = checked_noise(FromElsewhere(DIAGONAL, FACTORS), 4)
    assert part_of(given, np.arange(4)) == pytest.approx(FULL, abs=1e-15)


@pytest.mark.parametrize(
    ("diagonal", "factors", "message"),
    [
        (DIAGONAL, FACTORS[:3], r"factors \(3, 2\)"),
        (DIAGONAL - 0.05, FACTORS, "row 2: found variance"),
        (DIAGONAL, FACTORS * np.nan, "not finite"),
        (DIAGONAL[:3], FACTORS[:3], "3 rows"),
    ],
)
def test_what_is_no_noise_is_refused(diagonal, factors, message):
    with pytest.raises(Refusal, match=message):
        checked_noise(FromElsewhere(diagonal, factors), 4)


def test_readings_of_one_place_that_share_every_error_are_one():
    x, y = np.array([0.0, 0.0, 900.0, 100.0]), np.array([0.0, 0.0, 50.0, 700.0])
    shared = RowNoise(np.array([0.0, 0.0, 0.1, 0.1]), np.full((4, 1), 0.3))
    assert rows_to_keep(x, y, np.array([1.0, 1.0, 2.0, 3.0]), shared).tolist() == [0, 2, 3]
    with pytest.raises(Refusal, match="no doubt between them"):
        rows_to_keep(x, y, np.array([1.0, 1.5, 2.0, 3.0]), shared)


def test_a_surface_of_few_readings_is_that_of_the_full_matrix():
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(5) * 700.0, np.arange(4) * 900.0))
    z = 2 * np.sin(x / 900) + np.cos(y / 700)
    rows = RowNoise(np.full(20, 0.04), np.repeat(np.eye(2), 10, axis=0) * 0.3)
    given, full = (fit_surface(x, y, z, n) for n in (rows, rows.part(np.arange(20))))
    assert given.length_mm == pytest.approx(full.length_mm, rel=1e-9)
    assert given.predict([350.0], [420.0]).sd_mm == pytest.approx(
        full.predict([350.0], [420.0]).sd_mm, rel=1e-9
    )
