import math

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st

from kit.floor import fit_plane
from kit.floor import plane as plane_module
from kit.job.refusal import Refusal

X = np.array([40.0, 910.0, 1830.0, 2700.0, 150.0, 1100.0, 2950.0, 60.0, 2100.0])
Y = np.array([70.0, 35.0, 110.0, 60.0, 900.0, 1010.0, 870.0, 1890.0, 2040.0])
Z = np.array([0.0, -1.5, -4.0, -3.5, 1.0, -2.5, -7.0, 2.0, -1.0])


def test_a_tilted_floor_gives_its_own_slopes_fall_and_direction():
    plane = fit_plane(X, Y, 5.0 - 0.003 * X + 0.004 * Y)
    # Rounding of heights near 10 mm over metres: 1e-12 relative is ample.
    assert plane.rise_x_mm_per_m == pytest.approx(-3.0, rel=1e-12)
    assert plane.rise_y_mm_per_m == pytest.approx(4.0, rel=1e-12)
    assert plane.fall_mm_per_m == pytest.approx(5.0, rel=1e-12)
    assert plane.c_mm == pytest.approx(5.0, rel=1e-12)
    # It rises with y and falls with x: downhill is +x and -y, in the fourth quadrant.
    assert plane.fall_towards_deg == pytest.approx(360 - math.degrees(math.atan2(4, 3)))
    assert plane.rms_mm == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(
    ("a", "b", "degrees"),
    [(-1, 0, 0.0), (0, -1, 90.0), (1, 0, 180.0), (0, 1, 270.0), (-1, -1, 45.0), (1, -1, 135.0)],
)
def test_the_direction_is_downhill_from_x_towards_y(a, b, degrees):
    plane = fit_plane(X, Y, a * X / 1000 + b * Y / 1000)
    # 1e-9 degrees: rounding only; modulo keeps 360 - 1e-15 equal to 0.
    assert (plane.fall_towards_deg - degrees + 180) % 360 == pytest.approx(180.0, abs=1e-9)


def test_values_standard_errors_and_r2_are_those_of_statsmodels():
    plane = fit_plane(X, Y, Z)
    reference = sm.OLS(Z, sm.add_constant(np.column_stack([X, Y]) / 1000)).fit()
    ours = [plane.c_mm, plane.rise_x_mm_per_m, plane.rise_y_mm_per_m]
    # Two backward stable solutions of a well-conditioned problem: 1e-10 relative.
    assert ours == pytest.approx(reference.params, rel=1e-10)
    sds = [plane.c_sd_mm, plane.rise_x_sd_mm_per_m, plane.rise_y_sd_mm_per_m]
    assert sds == pytest.approx(reference.bse, rel=1e-10)
    assert plane.covariance == pytest.approx(reference.cov_params(), rel=1e-9)
    assert plane.r2 == pytest.approx(reference.rsquared, rel=1e-10)
    assert plane.scale_mm == pytest.approx(math.sqrt(reference.mse_resid), rel=1e-10)
    assert plane.residual_mm == pytest.approx(reference.resid, abs=1e-11)
    assert plane.rms_mm == pytest.approx(math.sqrt(reference.ssr / len(Z)), rel=1e-10)


def test_the_doubt_of_fall_and_direction_is_that_of_simulated_floors():
    generator = np.random.default_rng(11)
    truth = 4.0 - 0.006 * X + 0.002 * Y
    fits = [fit_plane(X, Y, truth + generator.normal(0, 0.4, len(X))) for _ in range(800)]
    falls = np.array([fit.fall_mm_per_m for fit in fits])
    towards = np.array([fit.fall_towards_deg for fit in fits])
    # The sd of 800 draws is itself known to 1/sqrt(1600) = 2.5 %; three of those, and the
    # stated variance is a mean over 6 degrees of freedom each, unbiased.
    stated = math.sqrt(np.mean([fit.fall_sd_mm_per_m**2 for fit in fits]))
    assert falls.std() == pytest.approx(stated, rel=0.08)
    stated = math.sqrt(np.mean([fit.fall_towards_sd_deg**2 for fit in fits]))
    assert towards.std() == pytest.approx(stated, rel=0.08)


def test_extremes_come_with_their_places():
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(7) * 610.0, np.arange(5) * 480.0))
    heights = 0.002 * x
    heights[9] += 2.5
    heights[26] -= 1.75
    highest, lowest = fit_plane(x, y, heights).extremes
    assert highest[:2] == (x[9], y[9]) == (1220.0, 480.0)
    assert lowest[:2] == (x[26], y[26]) == (3050.0, 1440.0)
    # One reading of 35 takes at most a tenth of its own bump into the plane.
    assert 2.25 < highest.residual_mm < 2.5
    assert -1.75 < lowest.residual_mm < -1.57


def test_three_points_are_gone_through_and_say_that_nothing_checks_them():
    plane = fit_plane([0, 2000, 300], [0, 100, 1500], [1.0, 4.0, -2.0])
    assert plane.residual_mm == pytest.approx([0, 0, 0], abs=1e-12)
    assert math.isnan(plane.rise_x_sd_mm_per_m)
    assert math.isnan(plane.c_sd_mm)
    assert "nothing checks it" in plane.notes[0]


def test_a_level_floor_falls_nowhere():
    plane = fit_plane(X, Y, np.full(len(X), -3.25))
    assert plane.fall_mm_per_m == pytest.approx(0.0, abs=1e-12)
    assert math.isnan(plane.fall_towards_deg)
    assert math.isnan(plane.r2)
    assert math.isnan(plane.fall_sd_mm_per_m)
    assert math.isnan(plane.fall_towards_sd_deg)


@pytest.mark.parametrize(
    ("x", "y", "z", "message"),
    [
        ([0, 1000], [0, 500], [0, 1], "at least 3 points"),
        ([0, 1000, 2000], [0, 500, 1000], [0, 1, 5], "on one line"),
        ([0, 1000, 2000], [0, 500, 900], [0, np.nan, 5], "height_mm, row 2"),
    ],
)
def test_what_fixes_no_plane_is_refused(x, y, z, message):
    with pytest.raises(Refusal, match=message):
        fit_plane(x, y, z)


def test_many_points_by_their_moments_agree_with_few_by_qr(monkeypatch):
    few = fit_plane(X + 90_000, Y - 50_000, Z + 3000)
    monkeypatch.setattr(plane_module, "MANY_POINTS", 3)
    many = fit_plane(X + 90_000, Y - 50_000, Z + 3000)
    # Normal equations of centred, scaled columns square a condition of about 3: 1e-9 is ample.
    assert many.centre_height_mm == pytest.approx(few.centre_height_mm, rel=1e-12)
    assert many.rise_x_mm_per_m == pytest.approx(few.rise_x_mm_per_m, rel=1e-9)
    assert many.rise_y_mm_per_m == pytest.approx(few.rise_y_mm_per_m, rel=1e-9)
    assert many.centre_covariance == pytest.approx(few.centre_covariance, rel=1e-9, abs=1e-12)


@given(
    away_x=st.floats(-2e5, 2e5),
    away_y=st.floats(-2e5, 2e5),
    turn=st.floats(0, 2 * math.pi),
)
def test_fall_and_residuals_do_not_depend_on_the_axes(away_x, away_y, turn):
    turned_x = X * math.cos(turn) - Y * math.sin(turn) + away_x
    turned_y = X * math.sin(turn) + Y * math.cos(turn) + away_y
    here, there = fit_plane(X, Y, Z), fit_plane(turned_x, turned_y, Z)
    # Coordinates of 2e5 mm keep 3e-11 mm; over metres that is far below 1e-8 mm of height.
    assert there.residual_mm == pytest.approx(here.residual_mm, abs=1e-8)
    assert there.fall_mm_per_m == pytest.approx(here.fall_mm_per_m, rel=1e-8)
    difference = there.fall_towards_deg - here.fall_towards_deg - math.degrees(turn)
    assert (difference + 180) % 360 - 180 == pytest.approx(0.0, abs=1e-6)
