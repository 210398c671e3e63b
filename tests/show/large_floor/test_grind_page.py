"""Grinding and filling: the map, or the reason why there is none."""

import numpy as np
import pytest

from kit.flatness import grind_and_fill
from kit.large_floor.shown_floor import Changes
from kit.show.large_floor.grind_page import grind_cautions, grind_map, patch_table

NONE = Changes((), "Not told: the readings lie too far apart.")


@pytest.fixture(scope="module")
def changes(hall):
    return Changes((grind_and_fill(hall, 3.0, edge_mm=1000.0),), area_m2=hall.area_m2 + 4.0)


def test_the_map_says_how_much_and_what_is_left_out(changes, hall):
    chart = grind_map(changes)
    title = chart.figure.layout.title.text.replace("<br>", " ")
    (one,) = changes.found
    assert f"Ground off {one.ground.litres:.0f} l, filled {one.filled.litres:.0f} l" in title
    assert "keeps 3.00 mm under a straight edge of 1 m" in title
    assert f"4 m² of {hall.area_m2 + 4:.0f} m² lie too far from readings" in title
    assert np.nanmax(np.abs(one.change_mm)) > 0


def test_patches_and_cautions(changes):
    assert len(patch_table(changes).rows) == len(changes.found[0].patches.head(12)) > 0
    assert "dust" in grind_cautions(changes).html.lower()


def test_why_there_is_none_is_said():
    for part in (grind_map(NONE), grind_cautions(NONE), patch_table(NONE)):
        assert NONE.why_not in part.html
