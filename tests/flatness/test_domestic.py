"""Domestic guidance over a floor, against every pair tried."""

import numpy as np
import pytest

from kit.flatness import Guidance, domestic_guidance
from kit.flatness import domestic as module


def rough(grid_of, cell=250.0):
    rng = np.random.default_rng(4)
    h = np.cumsum(rng.normal(size=(21, 34)), axis=1) * 3
    h[7, 9] = h[0, 0] = np.nan
    return grid_of(h, cell, x0=125, y0=40)


def pairs(h):
    """Every two cells of one row: difference, steps apart, row, columns."""
    for r in range(h.shape[0]):
        for a in range(h.shape[1]):
            for b in range(a + 1, h.shape[1]):
                if np.isfinite(h[r, a] + h[r, b]):
                    yield abs(h[r, b] - h[r, a]), b - a, r, a, b


def test_levels_are_those_of_every_pair(grid_of):
    grid = rough(grid_of)
    table = domestic_guidance(grid).set_index("rule")
    both = [list(pairs(grid.height_mm)), list(pairs(grid.height_mm.T))]
    for metres in range(1, 7):
        row = table.loc[f"out of level over {metres} m"]
        found = [max((p for p in way if p[1] == 4 * metres), default=(-1,)) for way in both]
        assert row["worst_mm"] == pytest.approx(max(f[0] for f in found))
        assert row["limit_mm"] == 3 * metres
        assert row["state"] == ("not kept" if row["worst_mm"] > 3 * metres else "kept")
    row = table.loc["out of level over more than 6 m"]
    worst, _, r, a, b = max(p for way in both for p in way if p[1] > 24)
    assert (row["worst_mm"], row["limit_mm"]) == (pytest.approx(worst), 20)
    assert row["axis"] == "x"  # along y the floor is 5 m
    assert (row["from_x_mm"], row["from_y_mm"]) == (125 + 250 * a, 40 + 250 * r)
    assert (row["to_x_mm"], row["to_y_mm"]) == (125 + 250 * b, 40 + 250 * r)


def test_flat_is_the_departure_from_the_line_through_both_ends(grid_of, monkeypatch):
    grid = rough(grid_of)
    worst = 0.0
    for h in (grid.height_mm, grid.height_mm.T):
        for r, a in np.ndindex(h.shape[0], h.shape[1] - 8):
            w = h[r, a : a + 9]
            if np.isfinite(w).all():
                worst = max(worst, np.abs(w - np.linspace(w[0], w[-1], 9)).max())
    monkeypatch.setattr(module, "BLOCK_CELLS", 70)  # two rows a block
    row = domestic_guidance(grid).set_index("rule").loc["out of flat under 2 m"]
    assert row["worst_mm"] == pytest.approx(worst)
    assert (row["limit_mm"], row["state"]) == (5, "not kept")
    length = abs(row["to_x_mm"] - row["from_x_mm"]) + abs(row["to_y_mm"] - row["from_y_mm"])
    assert length == 2000


def test_places_along_y(grid_of):
    h = np.zeros((30, 5))
    h[3, 2], h[28, 2] = 12.5, -9.0
    table = domestic_guidance(grid_of(h, 500.0)).set_index("rule")
    row = table.loc["out of level over more than 6 m"]
    assert row.drop(["limit_mm", "why"]).tolist() == [
        21.5, "y", 1000, 1500, 1000, 14_000, "not kept",
    ]  # fmt: skip
    assert table.loc["out of level over 5 m", "worst_mm"] == 12.5
    assert table.loc["out of flat under 2 m", "worst_mm"] == 12.5


def test_a_limit_itself_is_kept(grid_of):
    h = np.zeros((2, 9))
    h[0, 4] = 5.0
    table = domestic_guidance(grid_of(h, 1000.0)).set_index("rule")
    assert table["state"].tolist() == [
        "not kept", "kept", "kept", "kept", "kept", "kept", "kept", "kept",
    ]  # fmt: skip


def test_what_the_grid_does_not_allow_is_not_checked(grid_of):
    table = domestic_guidance(grid_of(np.zeros((3, 5)), 800.0)).set_index("rule")
    assert table.loc["out of level over 1 m", "why"] == "1 m is no whole number of 800 mm cells"
    assert table.loc["out of level over 4 m", "why"] == (
        "the floor is nowhere known over so far on a line along x or y"
    )
    assert table.loc["out of flat under 2 m", "why"] == "2 m is not two or more whole cells"
    assert set(table["state"]) == {"not checked"}


def test_another_guidance_has_its_own_rows(grid_of):
    h = np.zeros((2, 30))
    h[0, 3] = 9.0
    table = domestic_guidance(grid_of(h, 500.0), Guidance("ours", 8.0, 2, 9.5, np.nan))
    assert table["rule"].tolist() == [
        "out of level over 1 m", "out of level over 2 m", "out of level over more than 2 m",
    ]  # fmt: skip
    assert table["limit_mm"].tolist() == [8, 16, 9.5]
    assert table["state"].tolist() == ["not kept", "kept", "kept"]
