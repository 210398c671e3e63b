"""A floor cut open: every figure along a drawn line, and what the line does not tell."""

import numpy as np
import pytest

from kit.flatness import chord_gap_mm, section, stichmass_mm, straight_edge_map
from kit.job import Refusal


def test_along_a_row_it_is_the_map(hall):
    cut = section(hall, (0, 3000), (15_000, 3000), 100)
    along_x = straight_edge_map(hall, 2000, "x")
    checked = along_x.checked[30]
    assert cut.edge["x_mm"].tolist() == pytest.approx(hall.x_mm[checked].tolist())
    assert cut.edge["departure_mm"].tolist() == pytest.approx(
        along_x.departure_mm[30, checked].tolist(), abs=1e-9
    )
    for row in cut.edge.iloc[::17].to_dict("records"):
        one = along_x.placement(30, round(row["x_mm"] / 100))
        assert row["from_mm"] == pytest.approx(one.from_mm[0])
        assert row["to_mm"] == pytest.approx(one.to_mm[0])
        assert row["gap_at_mm"] == pytest.approx(one.gap_at_mm[0])
    assert cut.not_checked == ("5 of 151 places lie over holes",)
    assert cut.heights.columns.tolist() == ["at_mm", "x_mm", "y_mm", "height_mm"]


def test_a_slanting_line_tells_places_in_plan(grid_of):
    """A hollow across the line, 3-4-5: at 2 m along it lies at x 1.2, y 1.6 m, 4 mm deep."""
    x, y = 50.0 * np.arange(81), 50.0 * np.arange(81)
    along = 0.6 * x + 0.8 * y[:, None]
    grid = grid_of(np.minimum(0, np.abs(along - 2000) / 100 - 4), 50.0)
    cut = section(grid, (0, 0), (2400, 3200), 50)
    worst = cut.worst(1).iloc[0]
    assert worst["departure_mm"] == pytest.approx(4, abs=1e-9)
    # Level on both sides: it touches from its first to its last cell outside the hollow.
    assert worst["from_mm"] <= 1600
    assert worst["to_mm"] >= 2400
    assert worst["gap_at_mm"] == 2000
    middle = worst["at_mm"]
    assert (worst["x_mm"], worst["y_mm"]) == pytest.approx((0.6 * middle, 0.8 * middle))


def test_stations_q_and_z(hall):
    cut = section(hall, (15_000, 1000), (0, 1000), 100)
    h = hall.height_mm[10, ::-3]
    stations = cut.stations
    assert stations["height_mm"].tolist() == pytest.approx(h.tolist())
    assert stations["at_mm"].tolist() == (300.0 * np.arange(51)).tolist()
    assert np.isnan(stations["q_mm"]).sum() == 2
    assert stations["q_mm"].iloc[7] == pytest.approx(h[7] - 2 * h[6] + h[5])
    assert np.isnan(stations["z_mm"]).sum() == 10
    assert stations["z_mm"].iloc[13] == pytest.approx(h[13] - h[3])


def test_stichmass_along_the_line(hall):
    cut = section(hall, (0, 500), (9000, 500), 50)
    table = cut.stichmass(distances_m=[0.1, 1, 4, 15]).set_index("distance_m")
    h = cut.heights["height_mm"].to_numpy()
    for metres in (0.1, 1, 4):
        bends = stichmass_mm(h, round(metres * 10))
        worst = int(np.abs(bends).argmax())
        assert table.loc[metres, "worst_mm"] == pytest.approx(bends[worst])
        assert table.loc[metres, "at_mm"] == pytest.approx(50 * worst + 500 * metres)
        assert table.loc[metres, "positions"] == len(bends)
        assert table.loc[metres, "state"] == "within"
    assert table.loc[15, "state"] == "not checked"
    assert table.loc[15, "why"] == "nowhere 15 m with a height at both ends and the middle"
    coarse = section(hall, (0, 500), (9000, 500), 400).stichmass(distances_m=[1]).iloc[0]
    assert coarse["why"] == "not twice a whole number of 400 mm steps"


def test_beyond_is_counted():
    cut = section(lambda x, _y: np.where(x == 3000, -9.0, 0.0), (0, 0), (6000, 0), 500)
    row = cut.stichmass(distances_m=[1]).iloc[0]
    # The hollow itself 9; beside it 4.5 on either side, above the 4 of line 3.
    assert (row["worst_mm"], row["at_mm"], row["beyond"], row["state"]) == (-9, 3000, 3, "beyond")


def test_worst_places_lie_apart(hall):
    cut = section(hall, (0, 6000), (15_000, 6000), 100)
    worst = cut.worst(3, 1500)
    assert len(worst) == 3
    at = worst["at_mm"].to_numpy()
    assert np.min(np.abs(at[:, None] - at)[np.triu_indices(3, 1)]) >= 1500
    assert worst["departure_mm"].iloc[0] == cut.edge["departure_mm"].max()
    assert worst["departure_mm"].is_monotonic_decreasing
    assert len(cut.worst(3, 50_000)) == 1


def test_what_a_line_does_not_tell(hall):
    assert section(hall, (0, 0), (15_000, 0), 700).not_checked == (
        "straight edge: 2000 mm is not two or more whole steps of 700 mm",
        "stations: 300 mm is no whole number of steps",
    )
    coarse = section(hall, (0, 0), (15_000, 0), 700)
    assert len(coarse.edge) == len(coarse.stations) == len(coarse.worst()) == 0
    assert section(hall, (0, 0), (1500, 0), 100).not_checked == (
        "straight edge: nowhere 2000 mm without a hole",
    )


def test_a_chord_is_another_rule_than_the_edge():
    at = 300.0 * np.arange(8)
    h = np.array([0, -2.0, 0, -5, -9, -5, -1, 0])
    assert chord_gap_mm(at, h, 600) == pytest.approx(4.0)
    # From 0 at 600 to 0 at 2100 mm: 9; too long for 1400 mm, where 0 to -1 leaves 8.5.
    assert chord_gap_mm(at, h, 1500) == pytest.approx(9)
    assert chord_gap_mm(at, h, 1400) == pytest.approx(8.5)


def test_what_cannot_be_cut_is_refused(hall):
    with pytest.raises(Refusal, match="outside the grid of heights"):
        section(hall, (0, 0), (0, 9050), 100)
    with pytest.raises(Refusal, match="straight edge: found 0 mm; allowed: more than 0 mm"):
        section(hall, (0, 0), (0, 9000), 100, 0)
