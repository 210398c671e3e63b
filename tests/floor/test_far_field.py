import numpy as np
import pytest

from kit.floor.far_field import sum_of_kernels
from kit.floor.kernel import correlation


@pytest.mark.parametrize("length_mm", [150.0, 900.0, 20_000.0])
@pytest.mark.parametrize("places", [30, 500])
def test_sums_are_those_over_all_sources(length_mm, places):
    generator = np.random.default_rng(3)
    x, y = generator.uniform(-2000, 6000, 900), generator.uniform(0, 4000, 900)
    weight = generator.normal(0, 1, 900)
    at_x, at_y = generator.uniform(700, 1300, places), generator.uniform(2000, 2500, places)
    summed = sum_of_kernels((x, y), weight, length_mm, at_x, at_y)
    # A few times 5.8^-6 = 2.6e-5 of what each source adds, and 900 of either sign.
    every = correlation(at_x, at_y, x, y, length_mm) @ weight
    assert summed == pytest.approx(every, abs=1e-4 * np.sqrt(900))
    assert np.ptp(every) > 0.1
