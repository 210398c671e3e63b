"""Further readings for places that matter: against plain conditioning and simulated floors."""

from __future__ import annotations

import numpy as np
import pytest
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, DotProduct, Matern

from kit.floor import Surface, fit_surface
from kit.floor.read_next import LEAST_GAIN, read_next


@pytest.fixture
def surface():
    rng = np.random.default_rng(8)
    x, y = (a.ravel() for a in np.meshgrid([0.0, 700, 1500, 2600], [0.0, 450, 1100]))
    height = 3 * np.sin(x / 600) + 2 * np.cos(y / 500) + rng.normal(0, 0.3, len(x))
    return fit_surface(x, y, height, np.full(len(x), 0.3) ** 2 * np.eye(len(x)))


TARGETS = (np.array([300.0, 1100, 2100, 2500]), np.array([200.0, 260, 240, 900]))
CANDIDATES = (np.array([200.0, 1100, 2050, 2050, 2600]), np.array([300.0, 250, 200, 700, 1100]))


def test_first_two_readings_against_conditioning_by_hand(surface):
    sd = 0.4
    found = read_next(surface, TARGETS, CANDIDATES, sd, 2)
    x, y = np.append(TARGETS[0], CANDIDATES[0]), np.append(TARGETS[1], CANDIDATES[1])
    covariance = surface.covariance(x, y)
    taken: list[int] = []
    for step in range(2):
        left = [c for c in range(5) if c not in taken]
        traces = {}
        for c in left:
            rows = [4 + i for i in (*taken, c)]
            own = covariance[np.ix_(rows, rows)] + sd**2 * np.eye(len(rows))
            across = covariance[:4][:, rows]
            after = covariance[:4, :4] - across @ np.linalg.solve(own, across.T)
            traces[c] = (np.trace(after), np.sqrt(np.diag(after)))
        best = min(traces, key=lambda c: traces[c][0])
        taken.append(best)
        row = found.iloc[step]
        assert (row["x_mm"], row["y_mm"]) == (CANDIDATES[0][best], CANDIDATES[1][best])
        # One rank-one update and one solve: rounding only.
        assert row["mean_after_mm"] == pytest.approx(traces[best][1].mean(), rel=1e-9)
        assert row["worst_after_mm"] == pytest.approx(traces[best][1].max(), rel=1e-9)


def test_doubts_follow_on_each_other_and_fall(surface):
    found = read_next(surface, TARGETS, CANDIDATES, 0.4, 4)
    assert len(found) >= 2
    assert found["mean_before_mm"].to_numpy()[1:] == pytest.approx(
        found["mean_after_mm"].to_numpy()[:-1]
    )
    assert (found["mean_after_mm"] < (1 - LEAST_GAIN) * found["mean_before_mm"]).all()
    at = surface.predict(*TARGETS)
    # Prediction and joint covariance are two ways to one number.
    assert found["mean_before_mm"].iloc[0] == pytest.approx(np.mean(at.sd_mm), rel=1e-6)


def test_the_place_that_is_helped_most_is_near_the_reading(surface):
    found = read_next(surface, TARGETS, CANDIDATES, 0.2, 1)
    x, y = found[["x_mm", "y_mm"]].iloc[0]
    nearest = int(np.argmin(np.hypot(TARGETS[0] - x, TARGETS[1] - y)))
    assert found["helps"].iloc[0] == nearest


def test_a_reading_that_tells_nothing_is_not_named(surface):
    # A staff that is read to 50 mm teaches nothing of a floor known to half a millimetre.
    assert len(read_next(surface, TARGETS, CANDIDATES, 50.0, 3)) == 0
    assert list(read_next(surface, TARGETS, CANDIDATES, 50.0, 3)) == [
        "x_mm", "y_mm", "mean_before_mm", "mean_after_mm", "worst_before_mm", "worst_after_mm",
        "helps",
    ]  # fmt: skip


def test_the_first_place_beats_nine_in_ten_others_on_simulated_floors(surface):
    """Mean squared error under the targets after one reading, over 300 floors that fit."""
    rng = np.random.default_rng(3)
    cx, cy = (a.ravel() for a in np.meshgrid(np.linspace(0, 2600, 11), np.linspace(0, 1100, 5)))
    found = read_next(surface, TARGETS, (cx, cy), 0.3, 1)
    x, y = np.append(TARGETS[0], cx), np.append(TARGETS[1], cy)
    mean, covariance = surface.joint(x, y)
    floors = surface.draws(x, y, 300, seed=5)
    errors = np.empty(len(cx))
    for c in range(len(cx)):
        gain = covariance[:4, 4 + c] / (covariance[4 + c, 4 + c] + 0.3**2)
        read = floors[:, 4 + c] + rng.normal(0, 0.3, 300)
        after = mean[:4] + np.outer(read - mean[4 + c], gain)
        errors[c] = np.mean((floors[:, :4] - after) ** 2)
    chosen = int(np.argmin(np.hypot(cx - found["x_mm"][0], cy - found["y_mm"][0])))
    assert np.mean(errors[chosen] <= errors) >= 0.9


def as_likeliest(surface):
    """Return the surface with its likeliest unevenness alone, which one Gaussian process has."""
    return Surface(
        surface.x_mm, surface.y_mm, surface.height_mm, surface.noise, surface.length_mm,
        surface.variance_mm2,
    )  # fmt: skip


def with_reading(surface, x, y, height, variance):
    """Return the surface kriged anew with one more reading, length and variance as they were."""
    noise = np.diag(np.append(np.diag(surface.noise), variance))
    return Surface(
        np.append(surface.x_mm, x), np.append(surface.y_mm, y),
        np.append(surface.height_mm, height), noise, surface.length_mm, surface.variance_mm2,
    )  # fmt: skip


def test_picks_against_kriging_anew_with_each_candidate(surface):
    surface, sd = as_likeliest(surface), 0.4
    found = read_next(surface, TARGETS, CANDIDATES, sd, 3)
    assert len(found) == 3
    for step in range(3):
        tried = [with_reading(surface, x, y, 0.0, sd**2) for x, y in zip(*CANDIDATES, strict=True)]
        after = [one.predict(*TARGETS).sd_mm for one in tried]
        best = int(np.argmin([np.sum(one**2) for one in after]))
        row = found.iloc[step]
        assert (row["x_mm"], row["y_mm"]) == (CANDIDATES[0][best], CANDIDATES[1][best])
        # Two ways to one number, by matrices of 13 to 15 readings: rounding only.
        assert row["mean_after_mm"] == pytest.approx(after[best].mean(), rel=1e-7)
        assert row["worst_after_mm"] == pytest.approx(after[best].max(), rel=1e-7)
        surface = tried[best]


def test_doubt_after_against_a_reference_library(surface):
    """scikit-learn's Gaussian process; a wide prior on the plane stands for the unknown trend."""
    surface, sd = as_likeliest(surface), 0.4
    found = read_next(surface, TARGETS, CANDIDATES, sd, 2)
    read = np.vstack([np.column_stack([surface.x_mm, surface.y_mm]), found[["x_mm", "y_mm"]]])
    wide = ConstantKernel(1e5) * DotProduct(1.0)  # of metres: slopes and height free to 300 mm
    bumps = ConstantKernel(surface.variance_mm2) * Matern(surface.length_mm / 1000, nu=1.5)
    noise = np.append(np.diag(surface.noise), [sd**2, sd**2])
    reference = GaussianProcessRegressor(wide + bumps, alpha=noise, optimizer=None)
    reference.fit(read / 1000, np.zeros(len(read)))
    _, after = reference.predict(np.column_stack(TARGETS) / 1000, return_std=True)
    # The prior of 1e5 mm² is not infinite beside readings of 0.1 mm².
    assert found["mean_after_mm"].iloc[-1] == pytest.approx(after.mean(), rel=1e-3)
    assert found["worst_after_mm"].iloc[-1] == pytest.approx(after.max(), rel=1e-3)


def waves(rng):
    """Return an invented floor: a fall and eight waves, no Gaussian process."""
    fall, size = rng.normal(0, 2e-3, 2), rng.uniform(0.4, 1.4, 8)
    pace, phase = rng.normal(0, 1 / 450, (8, 2)), rng.uniform(0, 2 * np.pi, 8)
    return lambda x, y: (
        np.stack([x, y], -1) @ fall + np.cos(np.stack([x, y], -1) @ pace.T + phase) @ size
    )


def errors_after(read, floor, candidates, slips):
    """Return the mean squared error under the targets after a reading at each candidate (n,)."""
    read = as_likeliest(read)
    heights = floor(*candidates) + slips
    after = [
        with_reading(read, *one, 0.09).predict(*TARGETS).height_mm
        for one in zip(*candidates, heights, strict=True)
    ]
    return np.mean((np.array(after) - floor(*TARGETS)) ** 2, axis=1)


def test_the_first_place_beats_nine_in_ten_others_on_floors_of_another_kind():
    """Nothing knows the true floor: each is read in twelve places and fitted as a job's is."""
    rng = np.random.default_rng(12)
    x, y = (a.ravel() for a in np.meshgrid([0.0, 700, 1500, 2600], [0.0, 450, 1100]))
    candidates = [a.ravel() for a in np.meshgrid(np.linspace(0, 2600, 9), np.linspace(0, 1100, 5))]
    chosen, every = [], []
    for _ in range(60):
        floor = waves(rng)
        noise = np.diag(np.full(12, 0.09))
        read = fit_surface(x, y, floor(x, y) + rng.normal(0, 0.3, 12), noise)
        place = read_next(read, TARGETS, candidates, 0.3, 1)[["x_mm", "y_mm"]].to_numpy()[0]
        errors = errors_after(read, floor, candidates, rng.normal(0, 0.3, len(candidates[0])))
        at = np.argmin(np.hypot(candidates[0] - place[0], candidates[1] - place[1]))
        chosen.append(errors[at])
        every.append(errors)
    # Over 60 floors: the same place every time, for each of the 45 that could be read.
    assert np.mean(np.mean(chosen) <= np.mean(every, axis=0)) >= 0.9
