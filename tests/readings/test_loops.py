"""Rounds against the adjustment by condition equations, which knows nothing but them."""

import re
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kit.readings import Heights, Readings, adjust, read_readings

PLACES = "point,x_mm,y_mm\nA,0,0\nB,900,0\nC,900,700\nD,0,800\n"


def conditions(heights: Heights, readings: Readings) -> tuple[np.ndarray, np.ndarray]:
    """Return the rounds as rows over the readings (rounds, readings), and what is booked."""
    rows = readings.rows
    where = {f"{row}": i for i, row in enumerate(rows["row"])}
    table = np.zeros((len(heights.loops), len(rows)))
    for number, loop in enumerate(heights.loops.to_dict("records")):
        names = loop["round"].split("-")
        held = [where[row] for row in re.findall(r"\d+", loop["readings"].split("rows")[1])]
        for i, (one, other) in enumerate(pairwise(names)):
            station, point = (one, other) if i % 2 == 0 else (other, one)
            here = [
                r for r in held
                if rows["station_name"][r] == station and rows["point"][r] == point
            ]  # fmt: skip
            assert len(here) == 1
            table[number, here[0]] = 1.0 if i % 2 == 0 else -1.0
    return table, rows["observed_mm"].to_numpy(dtype=float)


@pytest.mark.parametrize("seed", range(6))
def test_the_rounds_hold_all_that_the_adjustment_checks(
    network: Callable[..., Any], seed: int
) -> None:
    """v'Pv = m'(B P^-1 B')^-1 m: Mikhail and Ackermann 1976, conditions only (from memory)."""
    readings = network(seed, points=9, setups=5).readings
    heights = adjust(readings, None, 0.0)
    table, observed = conditions(heights, readings)
    assert len(table) == heights.redundancy
    misclosure = table @ observed
    assert abs(misclosure) == pytest.approx(heights.loops["misclosure_mm"].to_numpy(), abs=1e-9)
    sd = readings.rows["sd_mm"].to_numpy(dtype=float)
    spread = (table * sd**2) @ table.T
    total = misclosure @ np.linalg.solve(spread, misclosure)
    # Rounding of a system of twenty equations.
    assert total == pytest.approx(heights.solution.weighted_square_sum, rel=1e-8)
    expected = 1.96 * np.sqrt(np.diag(spread))  # two-sided 5 %, from tables
    assert heights.loops["expected_within_mm"].to_numpy() == pytest.approx(expected, rel=1e-6)


def test_two_set_ups_and_two_points(staff: Callable[..., Any]) -> None:
    book = {"S1": {"K1": 1400.0, "A": 1410.0, "K2": 1393.0}, "S2": {"K2": 1493.5, "K1": 1498.0}}
    loops = adjust(staff(book, 0.5), None, 0.0).loops
    assert len(loops) == 1
    # (1400 - 1498) + (1493.5 - 1393) by hand.
    assert loops["misclosure_mm"].iloc[0] == pytest.approx(2.5)
    assert loops["expected_within_mm"].iloc[0] == pytest.approx(1.96 * 2 * 0.5, rel=1e-4)
    assert loops["beyond"].iloc[0]
    assert loops["readings"].iloc[0] == "readings.csv rows 2, 4, 5, 6"
    assert set(loops["round"].iloc[0].split("-")) == {"S1", "S2", "K1", "K2"}


def test_a_ring_of_set_ups_is_one_round(staff: Callable[..., Any]) -> None:
    ring = [f"K{i}" for i in range(6)]
    book = {
        f"S{i}": {ring[i]: 1400.0, ring[(i + 1) % 6]: 1400.0 + (0.9 if i == 4 else 0.0)}
        for i in range(6)
    }
    loops = adjust(staff(book, 0.3), None, 0.0).loops
    assert len(loops) == 1
    assert loops["misclosure_mm"].iloc[0] == pytest.approx(0.9)
    # Twelve readings stand in it.
    assert loops["expected_within_mm"].iloc[0] == pytest.approx(1.96 * 0.3 * 12**0.5, rel=1e-4)
    assert not loops["beyond"].iloc[0]


def test_a_level_goes_from_point_to_point(make_job: Callable[..., Any], tmp_path: Path) -> None:
    lines = "from,to,packer_mm,under\nA,B,3,from\nB,C,2,from\nC,A,6,to\nC,D,1,from\n"
    (tmp_path / "places.csv").write_text(PLACES, encoding="utf-8")
    job = make_job(
        lines={"kind": "level", "text": lines, "sd_mm": 0.5, "points_file": "places.csv"}
    )
    loops = adjust(read_readings(job), None, 0.0).loops
    assert len(loops) == 1
    # 3 + 2 - 6 by hand, three lines of 0.5 mm each.
    assert loops["misclosure_mm"].tolist() == pytest.approx([1.0])
    assert loops["expected_within_mm"].tolist() == pytest.approx([1.96 * 0.5 * 3**0.5], rel=1e-4)
    assert set(loops["round"].iloc[0].split("-")) == {"A", "B", "C"}
    assert loops["readings"].tolist() == ["lines.csv rows 2, 3, 4"]


def test_no_round_no_row(staff: Callable[..., Any]) -> None:
    book = {"S1": {"A": 1400.0, "B": 1401.0}, "S2": {"B": 1500.0, "C": 1502.0}}
    loops = adjust(staff(book), None, 0.0).loops
    assert loops.empty
    assert list(loops.columns) == [
        "round", "misclosure_mm", "expected_within_mm", "beyond", "readings",
    ]  # fmt: skip
