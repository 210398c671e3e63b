"""What a picture of loads shows, as numbers: scales of force and height, and where things lie."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from kit.answer import Answer
from kit.ink.lengths import Units
from kit.ink.svg import letters_px
from kit.job.units import MM_PER_INCH
from kit.show.board.elevation_frame import BOLD, ROW_WORDS, Frame, frame_of
from kit.show.board.lettering import LINE_PX, fitted
from kit.show.board.load_forces import CASE_WORDS, Bearing, Forces, Pressing, StackAt
from kit.show.section import Profile, run_length_mm, section
from kit.show.spread import lanes

#: Length of the longest arrow [px].
FORCE_PX = 54.0

#: Room for the heights of bearer and stacks, and below it for marks and words [px].
HEIGHTS_PX, MARKS_PX = 104.0, 46.0

#: A bearer that strays less than this is drawn as good as straight [mm]: no fitter feels it.
LEAST_RANGE_MM = 0.1

#: Longest scale bar of heights [px].
BAR_PX = 48.0

#: Loads nearer to each other than this are one arrow [px].
ONE_ARROW_PX = 7.0

#: A space at which no line is broken.
FAST = "\u00a0"

#: Lanes of names below the arrows at most; what would need more is not written.
MOST_LANES = 3

#: Thickness of a stack's top, and size of the marks under it [px].
TOP_TALL_PX, MARK_PX = 4.0, 10.0

#: A stack's top is drawn at least this wide to either side [px].
LEAST_HALF_PX = 3.5


class Mark(NamedTuple):
    """A mark under a stack's top: "carries", "idle" or "rocks"; its middle [px], and of what."""

    kind: str
    x: float
    y: float
    bearing: Bearing


@dataclass(frozen=True)
class LoadFrame:
    """One bearer, its loads and its stacks, on their picture.

    Parameters
    ----------
    along : Frame
        The elevation of the same row at the same width: where lengths lie.
    forces : Forces
        What presses on it and what carries it.
    """

    along: Frame
    forces: Forces

    def x(self, along_mm: float) -> float:
        """Return where a place along the run lies [px]."""
        return self.along.x(along_mm)

    @property
    def units(self) -> Units:
        """What lengths are written in."""
        return self.along.answer.job.units

    @property
    def stacks(self) -> tuple[StackAt, ...]:
        """From left to right."""
        return self.forces.stacks

    @cached_property
    def pressing(self) -> tuple[Pressing, ...]:
        """Arrows of loads."""
        return self.forces.pressing(ONE_ARROW_PX / self.along.px_per_mm)

    @cached_property
    def px_per_n(self) -> float:
        """Scale of forces, one for loads and for what stacks carry."""
        forces = [one.force_n for one in self.pressing] + [one.carried_n for one in self.stacks]
        greatest = max(forces, default=0.0)
        return FORCE_PX / greatest if greatest > 0 else 0.0

    # ---- heights ----------------------------------------------------------------------------

    @cached_property
    def times(self) -> int:
        """How many times larger heights are drawn than lengths: 1, 2, 5, 10, 20 and so on."""
        low, high = self.forces.range_mm
        true_px = max(high - low, LEAST_RANGE_MM) * self.along.px_per_mm
        most = max(HEIGHTS_PX / true_px, 1.0)
        return int(_one_two_five(most))

    @cached_property
    def px_per_high_mm(self) -> float:
        """Scale of heights."""
        return self.along.px_per_mm * self.times

    @cached_property
    def bar_mm(self) -> float:
        """Length of the scale bar, a round figure in the job's units [mm]."""
        one = 1.0 if self.units == "mm" else MM_PER_INCH
        return _one_two_five(BAR_PX / self.px_per_high_mm / one) * one

    # ---- from above -------------------------------------------------------------------------

    @cached_property
    def head(self) -> list[str]:
        """What stands above the drawing, in lines that fit the width asked for."""
        row = self.along.part.row
        case = CASE_WORDS[self.forces.case]
        said = f"What carries bearer {row.name}, {ROW_WORDS[row.label]}: {case}"
        if not self.forces.laid:
            return fitted(f"{said}. It lies on one stack, and nothing of it bends.", self._wrap_px)
        rest = f"heights {self.times} times, from the level that was meant."
        return fitted(f"{said}, {self.forces.total_n:.0f}{FAST}N in all; {rest}", self._wrap_px)

    @property
    def _wrap_px(self) -> float:
        return self.along.asked_px - 4

    @cached_property
    def panels_y(self) -> float:
        """Upper end of the sides and divisions [px]."""
        return len(self.head) * LINE_PX + 8

    @cached_property
    def pressed_y(self) -> float:
        """Where the points of the loads' arrows are [px]."""
        longest = max((one.force_n for one in self.pressing), default=0.0) * self.px_per_n
        return self.panels_y + max(longest, LINE_PX) + 5

    @cached_property
    def middle_y(self) -> float:
        """Middle of the room for heights [px]."""
        return self.pressed_y + 12 + self._heights_px / 2

    @cached_property
    def _heights_px(self) -> float:
        low, high = self.forces.range_mm
        return max(HEIGHTS_PX, (high - low) * self.px_per_high_mm)

    def y(self, height_mm: float) -> float:
        """Return where a height above the level that was meant lies [px]."""
        return self.meant_y - height_mm * self.px_per_high_mm

    @cached_property
    def meant_y(self) -> float:
        """Where the level that was meant lies [px]."""
        return self.middle_y + sum(self.forces.range_mm) / 2 * self.px_per_high_mm

    @cached_property
    def curves(self) -> tuple[list[tuple[float, float]], ...]:
        """Underside of each piece of bearer, point by point [px]."""
        left, scale = self.x(0.0), self.along.px_per_mm
        return tuple(
            list(
                zip(
                    (left + places * scale).tolist(),
                    (self.meant_y - heights * self.px_per_high_mm).tolist(),
                    strict=True,
                )
            )
            for places, heights in self.forces.lines
        )

    # ---- marks ------------------------------------------------------------------------------

    @cached_property
    def top_half_px(self) -> float:
        """Half the width of a stack's top [px]."""
        packer = self.along.answer.layout.packer_size_mm[0]
        return max(packer * self.along.px_per_mm / 2, LEAST_HALF_PX)

    @cached_property
    def marks(self) -> dict[str, tuple[Mark, ...]]:
        """Marks of each stack by its name."""
        return {one.name: tuple(self._marks(one)) for one in self.stacks}

    def _marks(self, stack: StackAt) -> Iterator[Mark]:
        """Yield one mark for a stack, or two where not both pieces over it bear."""
        x = self.x(stack.x_mm)
        y = self.y(stack.top_mm) + TOP_TALL_PX + 2 + MARK_PX / 2
        shown = stack.bearings if stack.idle else stack.bearings[:1]
        for number, one in enumerate(shown):
            aside = (number - (len(shown) - 1) / 2) * (MARK_PX + 3)
            yield Mark("carries" if one.carries else "idle", x + aside, y, one)
        if stack.rocks:
            yield Mark("rocks", x, y + MARK_PX + 4, stack.bearings[0])

    @cached_property
    def marks_end_y(self) -> float:
        """Lower end of what is marked and written at the stacks' tops [px]."""
        return self.middle_y + self._heights_px / 2 + MARKS_PX

    @cached_property
    def foot_y(self) -> float:
        """Where the arrows of what is carried stand [px]."""
        longest = max((one.carried_n for one in self.stacks), default=0.0) * self.px_per_n
        return self.marks_end_y + longest + 4

    # ---- names ------------------------------------------------------------------------------

    @cached_property
    def lanes(self) -> list[int]:
        """Lane of each stack's name and newtons, 0 nearest to the arrows."""
        return lanes(
            [self.x(one.x_mm) for one in self.stacks], [label_px(one) for one in self.stacks]
        )

    def named(self) -> Iterator[tuple[StackAt, int]]:
        """Yield the stacks for whose name there is room, and the lane of each."""
        for one, lane in zip(self.stacks, self.lanes, strict=True):
            if lane < MOST_LANES:
                yield one, lane

    @property
    def names_end_y(self) -> float:
        """Lower end of the names [px]."""
        lane = max((lane for _, lane in self.named()), default=0)
        return self.foot_y + 2 * LINE_PX * (lane + 1) + 6


def load_frame_of(answer: Answer, bearer: str, width_px: float, case: str) -> LoadFrame:
    """Return how a bearer's loads lie on a picture of a width."""
    row = answer.layout.row(bearer)
    # No floor is drawn here, and none has a say in where lengths lie.
    flat = np.zeros(2)
    floor = Profile(np.array([0.0, run_length_mm(answer, row.run)]), flat, flat)
    along = frame_of(answer, section(answer, row, floor), width_px)
    laid = tuple(one for one in answer.strength.laid if one.piece.bearer == bearer)
    return LoadFrame(along, Forces(laid, case))


def label_px(stack: StackAt) -> float:
    """Return the width of a stack's name or newtons, whichever is wider [px]."""
    return max(BOLD * letters_px(stack.name), letters_px(stack.newtons))


def _one_two_five(most: float) -> float:
    """Return the greatest of 1, 2, 5, 10, 20 and so on, and of their tenths, up to a number."""
    power = math.floor(math.log10(most))
    steps = (float(f"{step}e{power}") for step in (5, 2, 1))
    return next((step for step in steps if step <= most), float(f"1e{power}"))
