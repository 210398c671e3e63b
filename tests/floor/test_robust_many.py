import numpy as np
import pytest

from kit.floor import fit_plane_robust
from kit.floor.bisquare import covariance, reweighted, weights
from kit.floor.plane import MANY_POINTS, Frame


def cluttered(count, share, seed):
    """A hall with a heap in one corner and clutter strewn about, all of it above the floor."""
    generator = np.random.default_rng(seed)
    x, y = generator.uniform(0, 24_000, count), generator.uniform(0, 16_000, count)
    z = 5.0 + 0.002 * x - 0.001 * y + generator.normal(0, 1, count)
    wrong = np.zeros(count, bool)
    wrong[np.argsort(x + 1.3 * y)[: int(count * share / 2)]] = True
    wrong[generator.choice(np.flatnonzero(~wrong), int(count * share / 2), replace=False)] = True
    z[wrong] += generator.uniform(5, 800, wrong.sum())
    return x, y, z


@pytest.mark.parametrize(("share", "seed"), [(0.3, 1), (0.3, 2), (0.1, 3), (0.42, 4)])
def test_many_points_give_the_plane_that_full_steps_give(share, seed):
    x, y, z = cluttered(MANY_POINTS + 37, share, seed)
    plane = fit_plane_robust(x, y, z, seed=seed)
    frame = Frame.of(x, y)
    design = frame.design(x, y)
    truth = np.linalg.lstsq(design, 5.0 + 0.002 * x - 0.001 * y, rcond=None)[0]
    coefficients, scale = reweighted(design, z, truth)
    errors = covariance(design, z - design @ coefficients, scale)
    found = np.array([plane.centre_height_mm, plane.rise_x_mm_per_m, plane.rise_y_mm_per_m])
    per_metre = np.array([1.0, 1000 / frame.size_mm, 1000 / frame.size_mm])
    # Steps end at a twentieth of a standard error, and each is a fraction of the one before.
    assert np.all(
        np.abs(found - coefficients * per_metre) < 0.05 * np.sqrt(np.diag(errors)) * per_metre
    )
    assert plane.scale_mm == pytest.approx(scale, rel=1e-4)
    sds = np.sqrt(np.diag(plane.centre_covariance))
    assert sds == pytest.approx(np.sqrt(np.diag(errors)) * per_metre, rel=1e-3)
    assert plane.weight == pytest.approx(weights(plane.residual_mm, plane.scale_mm), abs=1e-12)
    assert plane.residual_mm == pytest.approx(z - plane.height_mm(x, y), abs=1e-9)


def test_an_exact_plane_of_many_points_is_found():
    x, y, z = cluttered(MANY_POINTS, 0.3, 5)
    exact = 5.0 + 0.002 * x - 0.001 * y
    plane = fit_plane_robust(x, y, np.where(z - exact > 6, z, exact))
    assert plane.rise_x_mm_per_m == pytest.approx(2.0, abs=1e-9)
    assert plane.c_mm == pytest.approx(5.0, abs=1e-8)
