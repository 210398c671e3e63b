"""How tall an elevation is drawn, and how many times its heights are enlarged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kit.show.chart import LETTER_PX
from kit.show.section import Section
from kit.show.spread import lanes

#: Enlargements that a person can work with, the one that fits best is taken.
ENLARGEMENTS = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100)

#: Height of a line of the smallest writing [px].
LINE_PX = 13.5

#: Part of a run that is shown beyond each of its ends.
BESIDE = 0.015


@dataclass(frozen=True)
class Paper:
    """What an elevation is drawn on.

    Parameters
    ----------
    wide_px, narrow_px : float
        Width of what is drawn on a wide page and on a narrow one [px].
    tall_px : float
        Greatest height of one row [px].
    """

    wide_px: float
    narrow_px: float
    tall_px: float


#: A chart over the whole width of the page.
PAGE = Paper(1130, 580, 400)
#: The drawing of the panel, which a live chart first draws 700 px wide whatever its place.
PANEL = Paper(540, 470, 290)


@dataclass(frozen=True)
class Scale:
    """Ends and enlargement of the elevations of one run; the same for all of its rows.

    Parameters
    ----------
    left_mm, right_mm, low_mm, high_mm : float
        What is shown at least: along the run, and of heights [mm].
    enlargement : int
        How many times larger heights are drawn than lengths.
    plot_px : float
        Height of one row [px].
    narrow_px_per_mm : float
        Of lengths along the run on a narrow page.
    """

    left_mm: float
    right_mm: float
    low_mm: float
    high_mm: float
    enlargement: int
    plot_px: float
    narrow_px_per_mm: float


def scale_of(parts: Sequence[Section], length_mm: float, top_mm: float, paper: Paper) -> Scale:
    """Choose the largest enlargement at which all rows of a run fit the paper.

    Parameters
    ----------
    parts : sequence of Section
        The rows.
    length_mm : float
        Length of the run [mm].
    top_mm : float
        Base top for which there must be room at least [mm].
    paper : Paper
        Widths and height.

    Returns
    -------
    Scale
    """
    left, right = -BESIDE * length_mm, (1 + BESIDE) * length_mm
    narrow = paper.narrow_px / (right - left)
    wide = paper.wide_px / (right - left)
    floor = min(part.profile.lowest_mm for part in parts)
    top = max(top_mm, *(part.top_mm for part in parts))
    letters = max(label_px(part, narrow) for part in parts)
    for enlargement in reversed(ENLARGEMENTS):
        low = floor - letters / (narrow * enlargement)
        high = top + UNIT_PX / (wide * enlargement)
        plot = (high - low) * wide * enlargement
        if plot <= paper.tall_px:
            break
    return Scale(left, right, low, high, enlargement, max(plot, 160.0), narrow)


#: Room above the base top for the lower part of the units and their names [px].
UNIT_PX = 64.0


def label_px(part: Section, px_per_mm: float) -> float:
    """Return the room that the names of a row's stacks take below the floor [px]."""
    return (2 * max(label_lanes(part, px_per_mm), default=0) + 2) * LINE_PX + 12


def label_lanes(part: Section, px_per_mm: float) -> list[int]:
    """Return the lane of each stack's name below the floor, 0 nearest."""
    middles = [stack.x_mm * px_per_mm for stack in part.stacks]
    widths = [max(len(stack.support), 5) * LETTER_PX for stack in part.stacks]
    return lanes(middles, widths)
