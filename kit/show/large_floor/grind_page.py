"""What is ground off a large floor and filled in: the map, what to mind, patches of work."""

from __future__ import annotations

from kit.ink.lengths import Units, small
from kit.ink.table import Page, Table, sentences
from kit.large_floor.shown_floor import Changes
from kit.show.chart import Chart
from kit.show.large_floor.floor_maps import change_map
from kit.show.large_floor.floor_marks import NO_MARKS, FloorMarks
from kit.show.large_floor.frame_table import frame_table

#: Columns of the patches, and how many are shown.
PATCH, MOST_PATCHES = ("patch", "work", "area_m2", "litres", "deepest_mm", "x_mm", "y_mm"), 12

_TITLE = "Least to grind off and fill"


def grind_map(changes: Changes, units: Units = "mm", marks: FloorMarks = NO_MARKS) -> Chart | Page:
    """Draw the least that is ground off and filled; where it cannot be told, say why.

    Parameters
    ----------
    changes : Changes
        From `kit.large_floor.shown_floor.least_change`.
    units : {"mm", "in"}
        Of the picture.
    marks : FloorMarks
        Drawn over it.
    """
    for one in changes.found:
        said = (
            f"Ground off {one.ground.litres:.0f} l, filled {one.filled.litres:.0f} l: nothing less"
            f" keeps {small(one.limit_mm, units)} {units} under a straight edge of"
            f" {one.edge_mm / 1000:g} m."
        )
        return change_map(one.grid, one.change_mm, _TITLE, [said, changes.left_out], units, marks)
    return sentences([changes.why_not], _TITLE)


def grind_cautions(changes: Changes) -> Page:
    """Return what must be minded before anything is ground or filled."""
    lines = [words for one in changes.found for words in one.cautions()]
    return sentences(lines or [changes.why_not], "Before anything is ground or filled")


def patch_table(changes: Changes, units: Units = "mm") -> Table | Page:
    """Return the largest patches of work."""
    for one in changes.found:
        shown = one.patches.head(MOST_PATCHES)
        return frame_table("Patches of work", shown, units, columns=PATCH)
    return sentences([changes.why_not], "Patches of work")
