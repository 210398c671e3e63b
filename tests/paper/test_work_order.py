"""The order in which supports are set, on made floors with one high point."""

import math
from pathlib import Path

import pytest

import kit
from kit.paper.high_place import high_place
from kit.paper.work_order import work_order
from kit.parts import Answer

JOB = """
schema = 1
title = "A made floor"
[floor]
kind = "solid"
services = "checked"
[[survey]]
kind = "heights"
file = "heights.csv"
sd_mm = 0.1
[[run]]
name = "A"
origin_mm = [100, 50]
  [[run.unit]]
  name = "left"
  width_mm = 700
  depth_mm = 400
  height_mm = 800
  mass_kg = 20
  [[run.unit]]
  name = "right"
  width_mm = 900
  depth_mm = 620
  height_mm = 800
  divisions_mm = [450]
  mass_kg = 20
[[base]]
name = "made"
height_mm = [40, 80]
bearer = { stock_mm = [2400] }
[stock]
packers = [ {mm = 1}, {mm = 3}, {mm = 6}, {mm = 18} ]
screws_mm = [30, 40, 50, 70]
"""

#: The crown's place in the room [mm]; its own place along the run is 100 less, out 50 less.
CROWN = (830.0, 380.0)


@pytest.fixture(scope="module")
def crowned(tmp_path_factory: pytest.TempPathFactory) -> Answer:
    """A floor with one crown under the middle of the front row."""
    folder: Path = tmp_path_factory.mktemp("crowned")
    (folder / "job.toml").write_text(JOB, encoding="utf-8")
    lines = ["point,x_mm,y_mm,height_mm"]
    for x in range(0, 1900, 100):
        for y in range(0, 800, 100):
            away = math.hypot((x - CROWN[0]) / 250, (y - CROWN[1]) / 90)
            lines.append(f"P{x}-{y},{x},{y},{8 * math.exp(-(away**2)) - 0.0005 * x:.3f}")
    (folder / "heights.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    return kit.solve(kit.read_job(folder))


def test_work_goes_from_the_crown_along_back_then_front(crowned: Answer) -> None:
    # Stacks at 37.5, 368.75, 700 (F3, B3: nearest the crown at 730), 1150, 1562.5 along; the
    # further row under the deeper unit begins at its left side.
    assert [*crowned.layout.on_bearer("F")["own_x_mm"]] == [37.5, 368.75, 700, 1150, 1562.5]
    assert work_order(crowned) == (
        *("F3", "B3", "B4", "B5", "B2", "B1"),
        *("F4", "F5", "F2", "F1", "D1", "D2", "D3"),
    )


def test_the_high_point_is_told_from_the_runs_own_end(crowned: Answer) -> None:
    place = high_place(crowned)
    assert place.support == "F3"
    # The surface between readings is smooth: its crown lies within a step of the grid looked at.
    assert abs(place.along_mm - (CROWN[0] - 100)) <= 50
    assert abs(place.out_mm - (CROWN[1] - 50)) <= 50
    stands = crowned.supports.set_index("support").loc["F3"]
    away = math.hypot(place.along_mm - stands["own_x_mm"], place.out_mm - stands["own_y_mm"])
    assert abs(place.away_mm - away) <= 1e-9  # one distance in two frames


def test_the_second_run_begins_at_its_own_nearest_support(boot_room: Answer) -> None:
    order = work_order(boot_room)
    assert set(order) == set(boot_room.supports["support"])
    assert len(order) == len(boot_room.supports)
    runs = [name[0] for name in order]
    assert runs == sorted(runs)  # all of run A, where the high point is, before run B
    of_b = [name for name in order if name.startswith("B-")]
    supports = boot_room.supports.set_index("support")
    high = boot_room.high_point
    away = {
        name: math.hypot(
            supports.at[name, "x_mm"] - high.x_mm, supports.at[name, "y_mm"] - high.y_mm
        )
        for name in of_b
    }
    # The row that it begins with is the back row, at the place of the nearest one.
    near = min(away, key=away.__getitem__)
    assert of_b[0][:3] == "B-B"
    assert abs(supports.at[of_b[0], "own_x_mm"] - supports.at[near, "own_x_mm"]) <= 1e-9
