"""What a plan shows of a room."""

import pytest
from shapely.geometry import LineString, box

from kit.paper.marks import Area, Stroke
from kit.paper.plan import plan_drawings
from kit.paper.plan_scene import JOIST, SERVICE, SUPPORT_GREY, WALL, star

LYING = (273.0, 171.0)


def zero_of(drawing, answer):
    """Return where the run's own x = 0 is drawn, by the first support [mm of paper]."""
    first = next(m for m in drawing.marks if isinstance(m, Area) and m.grey == SUPPORT_GREY)
    middle = (first.places[0][0] + first.places[2][0]) / 2
    return middle - answer.supports["own_x_mm"].iloc[0] / drawing.scale


def test_joists_and_pipe_lie_where_the_job_has_them(reading_room):
    (drawing,) = plan_drawings(reading_room, LYING)
    zero = zero_of(drawing, reading_room)
    drawn = [m.places[0][0] for m in drawing.marks if isinstance(m, Stroke) and m.pen == JOIST]
    # First joist at 150 mm, the others every 400 mm, at 1:20.
    want = [zero + (150 + 400 * n) / 20 for n in range(10)]
    assert drawn == pytest.approx(want, abs=0.01)
    (pipe,) = [m for m in drawing.marks if isinstance(m, Stroke) and m.pen == SERVICE]
    assert pipe.places[0][0] - zero == pytest.approx(3700 / 20, abs=0.01)


def test_no_wall_goes_through_units_of_another_run(boot_room):
    key = plan_drawings(boot_room, LYING)[0]
    areas = [m for m in key.marks if isinstance(m, Area) and m.grey == SUPPORT_GREY]
    xs = [x for m in areas for x, _ in m.places]
    ys = [y for m in areas for _, y in m.places]
    # Inside the corner, away from the walls at its edges, there are only units.
    inner = box(min(xs) + 3, min(ys) + 5, max(xs) - 3, max(ys) - 3)
    walls = [LineString(m.places) for m in key.marks if isinstance(m, Stroke) and m.pen == WALL]
    assert len(walls) >= 3
    assert not any(wall.intersects(inner) for wall in walls)


def test_star_points_up():
    one = star((10.0, 20.0), 2.0)
    assert one.places[0] == pytest.approx((10.0, 18.0), abs=1e-12)
    assert len(one.places) == 10
