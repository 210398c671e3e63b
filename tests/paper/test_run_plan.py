"""One drawing of a run in plan."""

import pytest

from kit.paper.label_places import letters_of
from kit.paper.marks import Disc
from kit.paper.plan import plan_drawings, run_drawings


def test_rows_that_find_no_room_together_are_drawn_apart(reading_room):
    together = run_drawings(reading_room, "A", (186.0, 258.0))
    apart = run_drawings(reading_room, "A", (186.0, 100.0))
    assert len(together) == 1
    titles = [letters_of(drawing.marks)[0].text for drawing in apart]
    assert titles == [
        "Plan; Bearer B, back row, 1:25",
        "Plan; Bearer F, front row, 1:25",
        "Plan; Bearer D, further row, 1:25",
    ]
    assert all(drawing.height_mm <= 100.0 for drawing in apart)


def test_where_x_begins(boot_room, inch_room):
    texts = [
        " ".join(o.text for o in letters_of(d.marks))
        for d in plan_drawings(boot_room, (273.0, 171.0))
    ]
    assert "0 is the left end of run B, as one looks at its wall" in texts[2]
    assert "x 3600, y 510 mm, and the run goes 90 degrees" in texts[2]
    inches = " ".join(
        o.text for o in letters_of(run_drawings(inch_room, "A", (186.0, 258.0))[0].marks)
    )
    assert "figure less true place" in inches


@pytest.mark.parametrize(("part", "rings"), [(0, 2), (1, 0)])
def test_only_what_shows_the_left_end_has_the_ring_at_0(part, rings, made_rooms):
    drawing = run_drawings(made_rooms["long"], "A", (273.0, 171.0))[part]
    found = [m for m in drawing.marks if isinstance(m, Disc) and m.radius_mm == 0.9]
    assert len(found) == rings
