import math

import numpy as np
import pytest
import statsmodels.api as sm

from kit.floor import fit_plane, fit_plane_robust
from kit.job.refusal import Refusal


def survey(seed, count=40, noise_mm=0.5):
    generator = np.random.default_rng(seed)
    x, y = generator.uniform(0, 4200, count), generator.uniform(0, 2300, count)
    return x, y, 7.0 - 0.0025 * x + 0.0015 * y + generator.normal(0, noise_mm, count)


def test_clean_readings_give_nearly_the_ordinary_plane():
    x, y, z = survey(1)
    robust, plain = fit_plane_robust(x, y, z), fit_plane(x, y, z)
    # The bisquare keeps 95 % efficiency: the two differ by a fraction of the standard error.
    assert abs(robust.rise_x_mm_per_m - plain.rise_x_mm_per_m) < plain.rise_x_sd_mm_per_m
    assert abs(robust.rise_y_mm_per_m - plain.rise_y_mm_per_m) < plain.rise_y_sd_mm_per_m
    assert robust.rise_x_sd_mm_per_m == pytest.approx(plain.rise_x_sd_mm_per_m, rel=0.25)


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("slip_mm", [10.0, 100.0, -1000.0])
def test_thirty_per_cent_of_gross_errors_on_one_side_do_not_pull(seed, slip_mm):
    x, y, z = survey(seed)
    # All slips in the half of the room with the largest x: the worst case for the slope.
    wrong = np.argsort(x)[-12:]
    slipped = z.copy()
    slipped[wrong] += slip_mm
    robust = fit_plane_robust(x, y, slipped)
    clean = np.setdiff1d(np.arange(len(x)), wrong)
    honest = fit_plane(x[clean], y[clean], z[clean])
    assert not robust.weight[wrong].any()
    # Nothing of the slips is left: as near to the plane of the clean readings as noise allows.
    assert abs(robust.rise_x_mm_per_m - honest.rise_x_mm_per_m) < 2 * honest.rise_x_sd_mm_per_m
    assert abs(robust.rise_y_mm_per_m - honest.rise_y_mm_per_m) < 2 * honest.rise_y_sd_mm_per_m
    assert "12 of 40" in robust.notes[0] or int(robust.notes[0].split()[0]) > 12


def test_values_errors_and_weights_are_those_of_statsmodels_from_the_same_start():
    x, y, z = survey(5)
    z[[3, 17, 30]] += [6.0, -9.0, 3.0]
    ours = fit_plane_robust(x, y, z)
    design = sm.add_constant(np.column_stack([x, y]) / 1000)
    model = sm.RLM(z, design, M=sm.robust.norms.TukeyBiweight(c=4.685))
    start = np.array([ours.c_mm, ours.rise_x_mm_per_m, ours.rise_y_mm_per_m])
    theirs = model.fit(scale_est="mad", start_params=start, tol=1e-13, maxiter=500)
    # Both iterate to a fixed point; ours stops at 1e-10 of the scale.
    assert start == pytest.approx(theirs.params, rel=1e-7)
    assert ours.scale_mm == pytest.approx(theirs.scale, rel=1e-7)
    assert ours.weight == pytest.approx(theirs.weights, abs=1e-7)
    sds = [ours.c_sd_mm, ours.rise_x_sd_mm_per_m, ours.rise_y_sd_mm_per_m]
    assert sds == pytest.approx(theirs.bse, rel=1e-6)


def test_an_exact_plane_with_gross_errors_is_found_exactly():
    x, y, _ = survey(9, count=11)
    z = 1.0 + 0.004 * x - 0.002 * y
    z[[0, 5, 8]] += [25.0, -40.0, 3.0]
    robust = fit_plane_robust(x, y, z)
    # Eight of eleven readings agree to rounding.
    assert robust.rise_x_mm_per_m == pytest.approx(4.0, abs=1e-9)
    assert robust.rise_y_mm_per_m == pytest.approx(-2.0, abs=1e-9)
    assert np.flatnonzero(np.abs(robust.residual_mm) > 1).tolist() == [0, 5, 8]


def test_the_same_seed_gives_the_same_plane_and_another_seed_the_same_floor():
    x, y, z = survey(2)
    z[:10] += 30.0
    one, again, other = (fit_plane_robust(x, y, z, seed=seed) for seed in (4, 4, 5))
    assert one.rise_x_mm_per_m == again.rise_x_mm_per_m
    # Different triples, one and the same fixed point.
    assert one.rise_x_mm_per_m == pytest.approx(other.rise_x_mm_per_m, rel=1e-6)


def test_thousands_of_readings_start_from_a_sample():
    x, y, z = survey(3, count=6000)
    z[np.argsort(y)[:1800]] -= 20.0
    robust = fit_plane_robust(x, y, z)
    # 4,200 good readings of sd 0.5 mm over 2 m know the slope to about 0.02 mm/m.
    assert robust.rise_y_mm_per_m == pytest.approx(1.5, abs=0.1)
    assert robust.rise_x_mm_per_m == pytest.approx(-2.5, abs=0.1)


def test_three_points_have_no_standard_error():
    robust = fit_plane_robust([0, 2000, 300], [0, 100, 1500], [1.0, 4.0, -2.0])
    assert math.isnan(robust.rise_x_sd_mm_per_m)
    assert robust.height_mm(2000, 100)[0] == pytest.approx(4.0)


def test_a_grid_whose_random_triples_often_lie_on_a_line_is_no_obstacle():
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(5) * 700.0, np.arange(3) * 800.0))
    z = 0.001 * x + 0.002 * y + np.resize([0.2, -0.3, 0.1, 0.0], 15)
    z[[2, 9, 12, 13]] += 12.0
    robust = fit_plane_robust(x, y, z)
    assert np.flatnonzero(robust.weight == 0).tolist() == [2, 9, 12, 13]


def test_a_line_is_refused():
    with pytest.raises(Refusal, match="on one line"):
        fit_plane_robust([0, 1, 2, 3], [0, 1, 2, 3], [0, 0, 0, 1])
