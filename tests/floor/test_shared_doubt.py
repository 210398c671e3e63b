import numpy as np
import pytest

from kit.floor import Surface, fit_surface
from kit.floor.shared_doubt import AT_ONCE, shared_doubt

# Two rows of unequal length, one place given twice, and more places than are summed at once.
X = np.concatenate([np.arange(0.0, 3400.0, 20.0), np.arange(150.0, 2700.0, 20.0), [340.0]])
Y = np.repeat([67.0, 310.0, 67.0], [170, 128, 1])
ROWS = np.array([3, 17, 171, 290, 298])


def readings(count, seed=2):
    generator = np.random.default_rng(seed)
    x, y = generator.uniform(0, 3600, count), generator.uniform(0, 900, count)
    return x, y, 2 * np.sin(x / 600) + 0.002 * y + generator.normal(0, 0.4, count)


def many_readings():
    x, y, z = readings(2100)
    return Surface(x, y, z, np.full(2100, 0.16), 700.0, 4.0)


SURFACES = {
    "a dozen plausible lengths": lambda: fit_surface(*readings(27), 0.16 * np.eye(27) + 0.1),
    "one length": lambda: fit_surface(*readings(230), np.full(230, 0.16)),
    "a plane": lambda: fit_surface(*readings(5), np.full(5, 0.16)),
    "only the nearest readings count": many_readings,
}


@pytest.mark.parametrize("kind", SURFACES)
def test_it_is_the_joint_covariance_without_most_of_its_pairs(kind):
    assert len(X) > AT_ONCE
    surface = SURFACES[kind]()
    height, covariance = surface.joint(X, Y)
    doubt = shared_doubt(surface, X, Y)
    assert np.array_equal(doubt.height_mm, height)
    # Variances of some mm² are differences of larger ones: rounding of 1e-16 times a thousand.
    assert doubt.variance_mm2 == pytest.approx(np.diag(covariance), abs=1e-9)
    assert doubt.covariance_with(ROWS) == pytest.approx(covariance[:, ROWS], abs=1e-9)
    assert np.ptp(covariance[:, ROWS]) > 1e-3


def test_columns_come_in_the_order_asked_for():
    doubt = shared_doubt(SURFACES["a dozen plausible lengths"](), X, Y)
    ahead, back = doubt.covariance_with(ROWS), doubt.covariance_with(ROWS[::-1])
    assert back[:, ::-1] == pytest.approx(ahead, abs=1e-12)
    assert doubt.covariance_with(np.arange(0)).shape == (len(X), 0)
