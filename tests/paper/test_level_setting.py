"""What a staff reads where the level is set: differences of heights, and nothing else."""

from dataclasses import replace

import pytest

from kit.paper.document import Grid
from kit.paper.level_setting import level_parts, staff_places
from kit.parts import Answer


def rows(answer: Answer) -> dict[str, str]:
    (grid,) = level_parts(answer)
    assert isinstance(grid, Grid)
    return {row[0]: row[2] for row in grid.table.rows}


def test_lines_of_the_base_are_above_the_high_point(reading_room: Answer) -> None:
    datum, found = reading_room.datum, rows(reading_room)
    assert found["high point"] == "r"
    assert found["bearers' underside"] == f"r − {datum.datum_mm - datum.high_point_mm:.1f}"
    assert found["bearers' top"] == f"r − {datum.base_top_mm - datum.high_point_mm:.1f}"


def test_points_nearest_the_ends_are_marks(reading_room: Answer) -> None:
    # The run ends at 0 and 4000, units 320 deep; read points lie at y = 60, 240 and 420.
    points = reading_room.heights.points.set_index("point")["height_mm"]
    high = reading_room.datum.high_point_mm
    marks = {one.name: one for one in staff_places(reading_room) if one.sd_mm}
    assert [*marks] == ["P2", "P26"]
    for name, mark in marks.items():
        assert mark.above_mm == pytest.approx(points[name] - high, abs=1e-9)
        assert rows(reading_room)[name] == f"r + {high - points[name]:.1f}"  # lower: reads more


def test_a_benchmark_stands_in_place_of_points(reading_room: Answer) -> None:
    floor = reading_room.job.floor.model_copy(update={"benchmark": "nail", "benchmark_mm": 12.0})
    answer = replace(reading_room, job=reading_room.job.model_copy(update={"floor": floor}))
    (nail,) = [one for one in staff_places(answer) if one.name == "nail"]
    assert nail.where == "as it was marked"
    assert rows(answer)["nail"] == f"r − {12.0 - answer.datum.high_point_mm:.1f}"
    assert "P2" not in rows(answer)


def test_a_lifted_front_row_has_its_own_line(reading_room: Answer) -> None:
    lifted = replace(reading_room, ground=reading_room.ground)
    lifted = replace(lifted, datum=replace(reading_room.datum, front_lift_mm=1.5))
    found = rows(lifted)
    under = lifted.datum.datum_mm - lifted.datum.high_point_mm
    assert found["bearers' underside, back row"] == f"r − {under:.1f}"
    assert found["bearers' underside, front row"] == f"r − {under + 1.5:.1f}"


def test_inches_say_what_they_are_rounded_by(inch_room: Answer) -> None:
    # 33.9 mm are 1.335 in, shown as 1 5/16.
    assert rows(inch_room)["bearers' underside"].startswith("r − 1 5/16 (-0.0")


@pytest.mark.parametrize("method", ["stacks", "feet", "ladder", "compound"])
def test_without_bearers_there_is_one_line(ways: dict[str, Answer], method: str) -> None:
    found = rows(ways[method])
    assert "bearers' top" not in found
    assert found["base top"] == f"r − {ways[method].datum.base_height_mm:.1f}"
