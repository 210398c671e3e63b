"""Which units meet, and where joints lie, by hand."""

import numpy as np
import pytest

from kit.job import MovementJoint, Run
from kit.levels.bay import Tie
from kit.levels.joints_in_zones import joints_of_zone
from kit.levels.neighbours import apart_mm, meetings


def run(name, widths, origin=(0.0, 0.0), direction=0.0):
    units = [
        {"name": f"u{n}", "width_mm": float(w), "depth_mm": 400.0, "height_mm": 800.0}
        for n, w in enumerate(widths)
    ]
    told = {"name": name, "unit": tuple(units), "origin_mm": origin, "direction_deg": direction}
    return Run.model_validate(told)


def test_units_round_a_corner_and_back_to_back() -> None:
    first = run("A", [500, 600])
    corner = run("B", [700, 300], origin=(1100.0, 480.0), direction=90.0)
    # B's first unit lies from x 700 to 1100, 80 mm in front of A: it meets the second unit only
    assert meetings([first, corner]) == (Tie(0, 1), Tie(2, 3), Tie(1, 2, in_run=False))
    back = run("C", [400, 650], origin=(1080.0, -20.0), direction=180.0)
    # C stands behind, from x 1080 down: its units end at 680 and 30
    ties = meetings([first, back])
    assert set(ties[2:]) == {Tie(1, 2, False), Tie(0, 3, False), Tie(1, 3, False)}
    away = run("D", [500], origin=(1201.0, 0.0))
    assert meetings([first, away]) == (Tie(0, 1),)


def test_distance_of_shapes_by_hand() -> None:
    square = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
    assert apart_mm(square, square + np.array([13.0, 14.0])) == pytest.approx(5)  # corner to corner
    tilted = np.array([[12.0, 5.0], [20.0, -3.0], [28.0, 5.0], [20.0, 13.0]])
    assert apart_mm(square, tilted) == pytest.approx(2)  # corner to edge
    assert apart_mm(tilted, square) == pytest.approx(2)


def test_joints_across_along_and_beside() -> None:
    zone = run("A", [500, 600], origin=(2000.0, 100.0), direction=90.0)

    def told(start, end):
        return [
            w for _, w in joints_of_zone((MovementJoint(name="J", from_mm=start, to_mm=end),), zone)
        ]

    # the run goes out from (2000, 100) along +y; its depth lies from x = 1600 to 2000
    assert told((1500.0, 850.0), (2100.0, 850.0)) == [
        "J at 750 mm from its left end, under unit 'u1'"
    ]
    assert told((1500.0, 500.0), (2100.0, 800.0)) == [
        "J at 450 to 650 mm from its left end, under unit 'u1'"
    ]
    assert told((1500.0, 1205.0), (2100.0, 1205.0)) == ["J at its right end"]
    assert told((1500.0, 95.0), (2100.0, 95.0)) == ["J at its left end"]
    assert told((1500.0, 1300.0), (2100.0, 1300.0)) == []
    assert told((2050.0, 0.0), (2050.0, 3000.0)) == []
    assert told((1500.0, 0.0), (1590.0, 3000.0)) == []
