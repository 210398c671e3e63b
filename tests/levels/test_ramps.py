"""Ramps: lengths by hand, lines over a plane and over a hump."""

import numpy as np
import pandas as pd
import pytest

from kit.base.runs import Frame
from kit.floor import fit_surface
from kit.job import Refusal
from kit.levels.ramps import length_needed_mm, ramp_over, steepest_mm_per_m


def plane(x, y):
    return 3.0 - 0.02 * x + 0.004 * y


@pytest.fixture(scope="module")
def surface():
    x, y = (g.ravel() for g in np.meshgrid(np.arange(0, 5001, 500.0), np.arange(0, 1501, 500.0)))
    return fit_surface(x, y, plane(x, y), np.full(len(x), 1e-4))


def test_length_of_a_ramp_by_hand() -> None:
    assert length_needed_mm(150, 1000 / 12) == pytest.approx(1800)  # 1 in 12
    assert length_needed_mm(-150, 50) == pytest.approx(3000)  # 1 in 20
    with pytest.raises(Refusal, match="above 0"):
        length_needed_mm(150, 0)


def test_a_ramp_over_a_plane_by_hand(surface) -> None:
    ramp = ramp_over(surface, Frame((700.0, 400.0), 0.0), 160.0, 40.0, 60.0, 2000.0)
    assert ramp.needed_mm == pytest.approx(2000)
    assert ramp.fits  # closed
    line = ramp.profile
    assert line["along_mm"].iloc[-1] == pytest.approx(2000)
    assert line["x_mm"].iloc[-1] == pytest.approx(2700)
    # the surface goes through a plane; the readings' doubt of 0.01 mm is all that is between
    assert line["floor_mm"].to_numpy() == pytest.approx(
        plane(line["x_mm"].clip(lower=705), 400.0),
        abs=0.01,  # at its top 5 mm down the line
    )
    assert line["ramp_mm"].iloc[4] == pytest.approx(160 - 60 * line["along_mm"].iloc[4] / 1000)
    assert (line["ramp_mm"] - line["floor_mm"]).to_numpy() == pytest.approx(line["above_mm"])
    assert ramp.floor_steepest_mm_per_m == pytest.approx(20, abs=0.1)
    assert "steeper" not in ramp.words


def test_what_is_wrong_with_a_ramp_is_said(surface) -> None:
    left = Frame((2000.0, 400.0), 180.0)
    ramp = ramp_over(surface, left, 20.0, -100.0, 90.0, 1000.0)
    assert ramp.profile["x_mm"].iloc[-1] == pytest.approx(2000 - 120 / 0.09)
    assert not ramp.fits
    assert "room for 1000 mm only" in ramp.words
    assert "steeper than 1 in 12" in ramp.words
    assert "the floor stands up to" in ramp.words  # it rises to the left, the ramp falls
    out = ramp_over(surface, Frame((4000.0, 400.0), 0.0), 90.0, 0.0, 20.0)
    assert "not surveyed" in out.words
    assert out.profile["floor_mm"].isna().any()
    with pytest.raises(Refusal, match="below the upper"):
        ramp_over(surface, left, 10.0, 10.0, 60.0)


def test_steepest_gradient_passes_over_holes() -> None:
    along = pd.Series([0.0, 200.0, 500.0, 600.0])
    assert steepest_mm_per_m(along, pd.Series([0.0, 5.0, -4.0, -3.0])) == pytest.approx(30)
    holes = pd.Series([0.0, np.nan, 9.0, np.nan])
    assert np.isnan(steepest_mm_per_m(along, holes))
