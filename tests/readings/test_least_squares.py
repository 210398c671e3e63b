"""One solution, several ways to ask for its quality."""

from __future__ import annotations

import numpy as np
import pytest

from kit.readings import adjust, elimination, least_squares


def test_portions_of_the_covariance_fit_together(network, monkeypatch):
    readings = network(13, points=23, kinds=("staff", "heights")).readings
    whole = adjust(readings, None, 0.0).covariance()
    monkeypatch.setattr(least_squares, "COLUMNS_AT_ONCE", 4)
    assert adjust(readings, None, 0.0).covariance() == pytest.approx(whole, abs=1e-12)
    # A free network knows nothing of its own height: the covariances of each point add up to 0.
    assert whole.sum(axis=0) == pytest.approx(np.zeros(23), abs=1e-10)


@pytest.mark.parametrize("held", [None, "P4"])
def test_rounds_of_elimination_change_nothing(network, monkeypatch, held):
    readings = network(14, points=60, setups=9, kinds=("staff", "grid")).readings
    dense = adjust(readings, held, 3.0)
    monkeypatch.setattr(elimination, "SMALL", 3)
    sparse = adjust(readings, held, 3.0)
    for frame, column in (
        ("points", "height_mm"),
        ("points", "sd_mm"),
        ("residuals", "residual_mm"),
        ("residuals", "redundancy"),
    ):
        one, other = getattr(dense, frame)[column], getattr(sparse, frame)[column]
        assert other.to_numpy() == pytest.approx(one.to_numpy(), abs=1e-9)  # rounding


def test_residual_cofactors_are_columns_of_one_matrix(network):
    solution = adjust(network(15).readings, None, 0.0).solution
    sd = solution.model.sd_mm
    full = np.array([solution.residual_cofactors(i) for i in range(len(sd))])
    assert full == pytest.approx(full.T, abs=1e-10)
    assert np.diag(full) == pytest.approx(solution.redundancy_numbers * sd**2, abs=1e-10)
    projector = full / sd**2  # Q_vv P projects onto the residuals
    assert projector @ projector == pytest.approx(projector, abs=1e-9)


def test_readings_of_very_unequal_weight(network):
    """A steel rule beside a guess: 0.001 mm and 1000 mm."""
    made = network(16, points=9, setups=4)
    tables = [
        type(t)(t.survey, t.kind, t.datum,
                t.readings.assign(sd_mm=np.where(np.arange(len(t.readings)) % 3, 0.001, 1000.0)),
                t.extra)
        for t in made.readings.tables
    ]  # fmt: skip
    heights = adjust(type(made.readings)(tuple(tables)), "P0", 0.0)
    # Weights 1e12 apart leave four digits of the redundancy.
    assert heights.residuals["redundancy"].sum() == pytest.approx(heights.redundancy, abs=1e-4)
    assert np.isfinite(heights.points["height_mm"]).all()
