"""Worst places: the largest first, apart from each other, with contacts."""

import numpy as np
import pytest

from kit.flatness import straight_edge_map, worst_places
from kit.job import Refusal


@pytest.fixture
def maps(hall):
    return [straight_edge_map(hall, 2000, axis) for axis in ("x", "y")]


def test_as_if_every_place_were_sorted(maps):
    """The plain way: all places by size, each kept if it lies apart from those kept."""
    every = [
        (one.departure_mm[r, c], one.x_mm[c], one.y_mm[r], one.axis)
        for one in maps
        for r, c in np.argwhere(one.checked)
    ]
    every.sort(key=lambda each: -each[0])
    kept = []
    for each in every:
        if all(np.hypot(each[1] - k[1], each[2] - k[2]) >= 1700 for k in kept):
            kept.append(each)
    found = worst_places(maps, 6, 1700)
    assert found["departure_mm"].tolist() == pytest.approx([k[0] for k in kept[:6]], abs=1e-9)
    at = found[["x_mm", "y_mm"]].to_numpy()
    gaps = np.hypot(*(at[:, None] - at).transpose(2, 0, 1))[np.triu_indices(6, 1)]
    assert gaps.min() >= 1700


def test_a_row_has_contacts_and_the_gap_s_place(grid_of):
    h = np.zeros((9, 30))
    h[4, 12] = -6.0
    h[7, 20] = -2.5
    grid = grid_of(h, 500.0)
    found = worst_places([straight_edge_map(grid, 2000, axis) for axis in ("x", "y")], 5, 2000)
    first = found.iloc[0]
    # Five placements along x have the hollow below them; the first one found is told.
    assert (first["departure_mm"], first["axis"]) == (6, "x")
    assert (first["gap_x_mm"], first["gap_y_mm"]) == (6000, 2000)
    assert (first["from_y_mm"], first["to_y_mm"]) == (2000, 2000)
    assert first["from_x_mm"] < 6000 < first["to_x_mm"]
    assert found.iloc[1]["departure_mm"] in (6, 2.5)
    assert found["departure_mm"].is_monotonic_decreasing
    assert 2.5 in found["departure_mm"].tolist()


def test_a_level_floor_has_none(grid_of):
    found = worst_places(straight_edge_map(grid_of(np.zeros((4, 40))), 2000, "x"), 3, 0)
    assert len(found) == 0
    assert found.columns.tolist()[:4] == ["x_mm", "y_mm", "axis", "departure_mm"]


def test_at_no_distance_every_place_counts_once(maps):
    found = worst_places(maps[0], 4, 0)
    wanted = np.sort(maps[0].departure_mm[maps[0].checked])[::-1][:4]
    assert found["departure_mm"].tolist() == pytest.approx(wanted.tolist(), abs=1e-9)


def test_none_or_less_is_refused(maps):
    with pytest.raises(Refusal, match="worst places: found 0, 100 mm apart"):
        worst_places(maps, 0, 100)
    with pytest.raises(Refusal, match="1, -1 mm apart"):
        worst_places(maps, 1, -1)
