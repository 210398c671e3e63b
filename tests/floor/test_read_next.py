"""Further readings for places that matter: against plain conditioning and simulated floors."""

from __future__ import annotations

import numpy as np
import pytest

from kit.floor import fit_surface
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
