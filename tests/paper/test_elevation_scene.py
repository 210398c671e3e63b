"""What an elevation shows."""

import pytest

from kit.paper.elevation_scene import elevation_scene, packer_greys
from kit.paper.elevation_view import ElevationView, Section
from kit.paper.label_places import letters_of
from kit.paper.marks import Area
from kit.paper.run_sheets import Window


def view(answer, window, height_scale=1.0):
    section = Section(answer, answer.layout.row("B"))
    return ElevationView(section, window, 20.0, height_scale, 12.0, 40.0)


def test_thin_packers_are_darker():
    greys = packer_greys((18.0, 1.0, 6.0, 3.0))
    assert greys[1.0] < greys[3.0] < greys[6.0] < greys[18.0]
    assert packer_greys((5.0,)) == {5.0: 0.3}


def test_sizes_are_written_where_they_fit(reading_room):
    large = letters_of(elevation_scene(view(reading_room, Window(0.0, 4000.0))))
    of = reading_room.stacks[reading_room.stacks["support"].str.startswith("B")]
    # At full size all but those of 1 mm have room for letters of 2.5 mm.
    assert sorted(float(one.text) for one in large) == sorted(
        of["nominal_mm"][of["nominal_mm"] > 1]
    )
    small = letters_of(elevation_scene(view(reading_room, Window(0.0, 4000.0), 5.0)))
    assert {one.text for one in small} == {"18"}


def test_a_window_shows_its_own_stacks(reading_room):
    marks = list(elevation_scene(view(reading_room, Window(900.0, 2100.0))))
    edge = view(reading_room, Window(900.0, 2100.0)).edge
    places = [place for mark in marks if isinstance(mark, Area) for place in mark.places]
    # A star at the high point is drawn whole.
    assert min(x for x, _ in places) >= edge.left - 1e-9
    assert max(x for x, _ in places) <= edge.right + 1e-9
    packers = [
        m for m in marks if isinstance(m, Area) and m.pen.width_mm == 0.2 and len(m.places) == 4
    ]
    seen = {round((m.places[0][0] + m.places[1][0]) / 2, 6) for m in packers}
    want = [12.0 + (mm - 900) / 20 for mm in (1000.0, 1500.0, 2000.0)]
    assert sorted(seen) == pytest.approx(want, abs=1e-6)
