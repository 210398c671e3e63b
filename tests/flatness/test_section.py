"""A floor cut open: every figure along a drawn line, and what the line does not tell."""

import numpy as np
import pytest

from kit.flatness import Line, chord_gap_mm, section, stichmass_mm, straight_edge_map
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
        assert table.loc[metres, "state"] == "kept"
    assert table.loc[15, "state"] == "not checked"
    assert table.loc[15, "why"] == "nowhere 15 m with a height at both ends and the middle"
    coarse = section(hall, (0, 500), (9000, 500), 400).stichmass(distances_m=[1]).iloc[0]
    assert coarse["why"] == "not twice a whole number of 400 mm steps"


def test_beyond_is_counted():
    cut = section(lambda x, _y: np.where(x == 3000, -9.0, 0.0), (0, 0), (6000, 0), 500)
    row = cut.stichmass(distances_m=[1]).iloc[0]
    # The hollow itself 9; beside it 4.5 on either side, above the 4 of line 3.
    assert (row["worst_mm"], row["at_mm"], row["beyond"], row["state"]) == (-9, 3000, 3, "not kept")


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


def test_nothing_spans_a_step(hall, grid_of):
    """Along a row: heights through the step, each figure that of the two halves by themselves."""
    step = Line("kerb", (6050, 4000), (6050, 3000))
    floor = grid_of(hall.height_mm + np.where(hall.x_mm > 6050, 120.0, 0.0))
    cut = section(floor, (0, 700), (15_000, 700), 100, 1500, [step])
    halves = [
        section(floor, *ends, 100, 1500)
        for ends in (((0, 700), (6000, 700)), ((6100, 700), (15_000, 700)))
    ]
    assert cut.heights["height_mm"].tolist() == floor.height_mm[7].tolist()
    assert np.ptp(cut.heights["height_mm"]) > 100
    for name in ("x_mm", "departure_mm"):
        both = [value for one in halves for value in one.edge[name]]
        assert cut.edge[name].tolist() == pytest.approx(both, abs=1e-9)
    assert cut.edge["departure_mm"].max() < 5
    h = cut.stations["height_mm"].to_numpy()
    far = cut.stations["at_mm"].to_numpy() > 6050
    for name, back, figure in (
        ("q_mm", 2, lambda k: h[k] - 2 * h[k - 1] + h[k - 2]),
        ("z_mm", 10, lambda k: h[k] - h[k - 10]),
    ):
        told = [k for k in range(back, len(h)) if far[k] == far[k - back]]
        assert np.flatnonzero(np.isfinite(cut.stations[name])).tolist() == told
        assert cut.stations[name].iloc[told].tolist() == pytest.approx([figure(k) for k in told])
    table = cut.stichmass(distances_m=[1, 4])
    parts = [one.stichmass(distances_m=[1, 4]) for one in halves]
    assert table["positions"].tolist() == (parts[0] + parts[1])["positions"].tolist()
    assert table["worst_mm"].abs().tolist() == pytest.approx(
        np.fmax(*(one["worst_mm"].abs() for one in parts)).tolist()
    )
    assert cut.not_checked == ("nothing is measured across step kerb",)


def test_a_slanting_line_mixes_no_levels(grid_of):
    """Two level floors 120 mm apart: every height is that of one, beside the step there is none."""
    floor = grid_of(np.where(np.arange(70) > 33, 120.0, 0.0) + np.zeros((60, 1)))
    step = Line("kerb", (3350, 0), (3350, 1))
    cut = section(floor, (0, 0), (6900, 5175), 100, 1500, [step])
    h, x = cut.heights["height_mm"], cut.heights["x_mm"]
    # A place has no height where a cell across the step has a share in it.
    assert np.isnan(h[(x > 3300) & (x < 3400)]).all()
    assert set(h[x <= 3300]) == {0.0}
    # Bilinear: 120 times four shares that add up to 1.
    assert h[x >= 3400].tolist() == pytest.approx([120.0] * int((x >= 3400).sum()))
    assert cut.edge["departure_mm"].max() < 1e-9
    assert "places lie over holes or beside a step" in cut.not_checked[0]
    assert section(floor, (0, 0), (6900, 5175), 100, 1500).edge["departure_mm"].max() > 50


def test_a_step_through_middles_of_cells_leaves_them_their_heights(grid_of):
    """Places along 0.1 m steps are on the cells but for round-off, and so on the step's line."""
    floor = grid_of(np.where(np.arange(60) > 21, 120.0, 0.0) + np.zeros((5, 1)), 0.1)
    step = Line("kerb", (2.1, 0), (2.1, 1))
    cut = section(floor, (0, 0.2), (5.9, 0.2), 0.1, 1.0, [step])
    assert np.isfinite(cut.heights["height_mm"]).all()
    assert cut.edge["departure_mm"].max() == 0
    assert len(cut.edge) == (22 - 10) + (38 - 10)


def test_a_floor_that_tells_its_own_levels_is_asked_as_it_is():
    step = Line("kerb", (3000, 0), (3000, 1))
    cut = section(lambda x, _y: np.where(x > 3000, 120.0, 0.0), (0, 0), (6000, 0), 100, 900, [step])
    assert np.isfinite(cut.heights["height_mm"]).all()
    assert cut.edge["departure_mm"].max() == 0
    assert cut.stichmass(distances_m=[1])["worst_mm"].tolist() == [0]
