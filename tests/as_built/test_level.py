import numpy as np
import pytest

from kit.as_built.level import best_level
from kit.job import Refusal


def by_search(height: np.ndarray, tolerance: float) -> tuple[int, float, float]:
    """Return most within, least greatest error and lowest level on a fine grid."""
    levels = np.round(np.arange(height.min() - 1, height.max() + 1, 0.005), 3)
    off = np.abs(height[None, :] - levels[:, None])
    count = (off <= tolerance + 1e-9).sum(axis=1)
    most = count == count.max()
    greatest = np.where(off <= tolerance + 1e-9, off, 0.0).max(axis=1)
    best = most & (greatest <= greatest[most].min() + 1e-9)
    return int(count.max()), float(greatest[most].min()), float(levels[best][0])


@pytest.mark.parametrize("seed", range(60))
def test_the_best_level_is_that_of_a_search_over_all_levels(seed: int) -> None:
    draw = np.random.default_rng(seed)
    # Hundredths, so that every candidate (the middle of two) lies on the grid of 0.005.
    height = np.round(draw.normal(0, draw.choice([0.4, 2.0]), int(draw.integers(1, 9))), 2)
    tolerance = float(draw.choice([0.25, 0.5, 1.0]))
    found = best_level(height, tolerance)
    count, greatest, level = by_search(height, tolerance)
    assert found.within == count
    # Grid and candidates are the same decimals but for round-off.
    assert found.greatest_mm == pytest.approx(greatest, abs=1e-9)
    assert found.level_mm == pytest.approx(level, abs=1e-9)


def test_three_that_agree_outvote_two_that_are_high() -> None:
    found = best_level(np.array([0.0, 0.2, 5.0, 0.9, 5.1]), 0.5)
    # 0, 0.2, 0.9 lie within 0.5 of 0.4 to 0.5; the two others do not draw it off their middle.
    assert (found.within, found.level_mm) == (3, pytest.approx(0.45, abs=1e-12))
    assert found.greatest_mm == pytest.approx(0.45, abs=1e-12)
    assert (found.minimax_mm, found.minimax_greatest_mm) == pytest.approx((2.55, 2.55), abs=1e-12)


def test_no_height_is_refused() -> None:
    with pytest.raises(Refusal, match="no support that was read"):
        best_level(np.zeros(0), 0.5)
