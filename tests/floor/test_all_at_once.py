import numpy as np
import pytest
from scipy.sparse import csr_array

from kit.floor import RowNoise
from kit.floor.all_at_once import trend_and_weights
from kit.floor.conditioning import Conditioned
from kit.floor.kernel import correlation
from kit.floor.likelihood import Unevenness

FOUND = Unevenness(1300.0, 7.0)


def noises(count):
    factors = np.zeros((count, 3))
    factors[np.arange(count), np.arange(count) % 3] = [0.2, 0.5, 0.1][: count % 3] or 0.4
    rows = RowNoise(np.linspace(0.1, 0.4, count), factors)
    sparse = RowNoise(rows.diagonal, csr_array(factors))
    return {
        "own": rows.diagonal,
        "rows": rows,
        "sparse": sparse,
        "full": rows.part(np.arange(count)),
    }


@pytest.mark.parametrize("kind", ["own", "rows", "sparse", "full"])
def test_heights_are_those_of_the_kriging(kind):
    generator = np.random.default_rng(8)
    # No multiple of the rows that are worked out at a time.
    x, y = generator.uniform(0, 8000, 150), generator.uniform(0, 5000, 150)
    z, noise = generator.normal(0, 2, 150) + 0.003 * x, noises(150)[kind]
    at_x, at_y = generator.uniform(0, 8000, 20), generator.uniform(0, 5000, 20)
    full = np.diag(noise) if kind == "own" else noises(150)["full"]
    whole = Conditioned(x, y, z, full, FOUND)
    trend, weights = trend_and_weights((x, y, z), noise, FOUND)
    alike = correlation(at_x, at_y, x, y, FOUND.length_mm)
    # The same equations by another routine.
    assert trend == pytest.approx(whole.coefficients, rel=1e-9)
    height = whole.frame.design(at_x, at_y) @ trend + alike @ weights
    assert height == pytest.approx(whole.predict(at_x, at_y)[0], abs=1e-9)
