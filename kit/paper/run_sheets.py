"""How a run is put on sheets: at which scale, and where it is cut if it is too long for one."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from kit.ink.lengths import Units
from kit.paper.scales import scales_of

#: A packer is a dot on anything smaller than this (common practice, no source).
SMALLEST = {"mm": 25.0, "in": 24.0}

#: Drawings of one run overlap by about so much, and are cut at whole steps [mm]: 50 mm; 2 in.
OVERLAP_MM = {"mm": 200.0, "in": 203.2}
_STEP_MM = {"mm": 50.0, "in": 50.8}

#: Room beside the run on a sheet, for scale bars and figures of levels [mm of paper].
LEFT_MM, RIGHT_MM = 8.0, 7.0

#: What is drawn of the room beyond a run's ends and in front of its units [mm of paper].
AROUND_MM = 3.0


@dataclass(frozen=True)
class Window:
    """The part of a run that one drawing shows.

    Parameters
    ----------
    from_mm, to_mm : float
        Along the run [mm].
    number, of : int
        Which of how many it is, from 1.
    matches_mm : tuple of float
        Where it meets its neighbours along the run: a line drawn in both [mm].
    """

    from_mm: float
    to_mm: float
    number: int = 1
    of: int = 1
    matches_mm: tuple[float, ...] = ()

    def holds(self, at_mm: float) -> bool:
        """Tell whether a place along the run is shown."""
        return self.from_mm - 1e-6 <= at_mm <= self.to_mm + 1e-6


@dataclass(frozen=True)
class Sheets:
    """A run on sheets: one scale, and the windows from left to right."""

    scale: float
    windows: tuple[Window, ...]

    @property
    def order(self) -> tuple[int, float]:
        """Few sheets before many, then large drawings before small ones."""
        return len(self.windows), self.scale


def sheets(length_mm: float, paper_mm: float, units: Units) -> Iterator[Sheets]:
    """Yield the ways of putting a run on sheets, the best first.

    Parameters
    ----------
    length_mm : float
        Of the run [mm].
    paper_mm : float
        How wide a sheet's drawing may be [mm of paper].
    units : {"mm", "in"}
        Whose scales.

    Yields
    ------
    Sheets
        First those at `SMALLEST` or larger, fewest sheets first; then smaller ones.
    """
    room = paper_mm - LEFT_MM - RIGHT_MM - 2 * AROUND_MM
    made = [_cut(length_mm, scale, room, units) for scale in scales_of(units)]
    found = [one for one in made if one]
    least = SMALLEST[units]
    yield from sorted((one for one in found if one.scale <= least), key=lambda one: one.order)
    yield from (one for one in found if one.scale > least)


def _cut(length_mm: float, scale: float, room_mm: float, units: Units) -> Sheets | None:
    """Cut a run into windows that fit a sheet; None where the sheet is no wider than overlaps."""
    if length_mm / scale <= room_mm:
        return Sheets(scale, (Window(0.0, length_mm),))
    over, step = OVERLAP_MM[units], _STEP_MM[units]
    # Cuts at whole steps may widen a window by a step at both ends.
    wide = room_mm * scale - 2 * step
    if wide < 2 * over:
        return None
    count = math.ceil((length_mm - over) / (wide - over))
    each = (length_mm - over) / count
    starts = [math.floor(n * each / step) * step for n in range(count)]
    ends = [math.ceil((n * each + each + over) / step) * step for n in range(count - 1)]
    ends.append(length_mm)
    # They meet in the middle of what both show, at a whole step.
    meets = [round((ends[n] + starts[n + 1]) / 2 / step) * step for n in range(count - 1)]
    return Sheets(
        scale,
        tuple(
            Window(starts[n], ends[n], n + 1, count, tuple(meets[max(0, n - 1) : n + 1]))
            for n in range(count)
        ),
    )
