"""How a row's heights lie on paper."""

import numpy as np
import pytest

from kit.paper.elevation_view import Section, height_scale


@pytest.mark.parametrize(
    ("real", "paper", "units", "scale"),
    [
        (66.0, 100.0, "mm", 1.0),
        (66.0, 60.0, "mm", 2.0),
        (19.0, 100.0, "mm", 0.2),
        (66.0, 1.0, "mm", 20.0),  # never smaller than lengths are
        (66.0, 20.0, "in", 4.0),
    ],
)
def test_scale_of_heights(real, paper, units, scale):
    assert height_scale(real, paper, units, 20.0) == scale


def test_floor_of_a_row_is_the_surfaces(reading_room):
    section = Section(reading_room, reading_room.layout.row("D"))
    floor = section.floor
    assert (floor.x_mm[0], floor.x_mm[-1]) == (2000.0, 3100.0)
    assert np.diff(floor.x_mm).max() <= 25.0 + 1e-9
    table = reading_room.supports.set_index("support")
    at = np.interp(table.loc["D2", "own_x_mm"], floor.x_mm, floor.height_mm)
    # D2 stands on a place at which the floor is looked at.
    assert at == pytest.approx(table.loc["D2", "floor_mm"], abs=1e-6)
    assert floor.stretches() == [slice(0, len(floor.x_mm))]


def test_high_point_is_in_its_own_row_alone(reading_room):
    found = [Section(reading_room, row).high_point for row in reading_room.layout.rows]
    high = reading_room.high_point
    assert found == [(high.x_mm, high.height_mm), None, None]


def test_front_lift_lifts_the_underside(reading_room):
    rows = {row.name: Section(reading_room, row) for row in reading_room.layout.rows}
    datum = reading_room.datum
    assert rows["B"].underside_mm == datum.datum_mm
    assert rows["B"].top_mm - rows["B"].underside_mm == pytest.approx(20.0, abs=1e-9)
