"""How an elevation lies on its picture: scale, enlargement of heights, room for letters."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from kit.answer import Answer
from kit.ink.escape import cut_text
from kit.ink.lengths import length, length_with_unit, plan_length
from kit.ink.svg import letters_px
from kit.job import Run
from kit.show.board.lettering import LINE_PX, fitted, letters_in
from kit.show.section import Section, Stack
from kit.show.spread import lanes

#: Times that heights may be enlarged: figures that a person can work with.
ENLARGEMENTS = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100)

#: A run is never drawn smaller than this [px/mm]: stacks must stay apart for a finger.
LEAST_PX_PER_MM = 0.09

#: Least height of the units' lower part: break line and two lines of a name [px].
UNITS_PX = 46.0

#: Height given to what lies between the lowest floor and the base top [px].
HEIGHTS_PX = 132.0

#: Between the lowest floor and the letters below it [px].
BELOW_FLOOR_PX = 7.0

#: How much wider bold letters are than plain ones (measured on the faces in use).
BOLD = 1.1

#: What each row is called.
ROW_WORDS = {"B": "back row", "M": "middle row", "F": "front row", "D": "further row"}

_UNIT_WORDS = {"mm": "mm", "in": "inches"}


@dataclass(frozen=True)
class Note:
    """Words below the floor about a place along the run.

    Parameters
    ----------
    at_mm : float
        Place along the run [mm].
    from_mm : float
        Height from which a thin line leads down to the words [mm].
    text : str
    """

    at_mm: float
    from_mm: float
    text: str


@dataclass(frozen=True)
class Levels:
    """Heights that are named at the right end: height [mm], words."""

    named: tuple[tuple[float, str], ...]

    @property
    def width_px(self) -> float:
        """Room for the longest name [px]."""
        return max(letters_px(text) for _, text in self.named)


@dataclass(frozen=True)
class Frame:
    """One row on its picture.

    Parameters
    ----------
    answer : Answer
    part : Section
    run : Run
    asked_px : float
        Width that was asked for, at which sentences wrap [px].
    notes : tuple of Note
        Words about places, in lines of their own below the stacks' names.
    plinth_mm : float
        Width of the front row's plinth board; 0 where there is none [mm].
    by_hand : frozenset of str
        Names of the stacks that were moved by hand.
    """

    answer: Answer
    part: Section
    run: Run
    asked_px: float
    notes: tuple[Note, ...]
    plinth_mm: float
    by_hand: frozenset[str]

    # ---- along the run ----------------------------------------------------------------------

    @cached_property
    def levels(self) -> Levels:
        """Base top, underside, and the plinth's uncut edge, from above."""
        units, part = self.answer.job.units, self.part
        named = [
            (part.top_mm, f"base top {length(part.top_mm, units)}"),
            (part.underside_mm, f"underside {length(part.underside_mm, units)}"),
        ]
        if self.plinth_mm:
            board = length(self.plinth_mm, units)
            named.append((part.top_mm - self.plinth_mm, f"plinth {board}"))
        return Levels(tuple(sorted(named, reverse=True)))

    @cached_property
    def left_px(self) -> float:
        """Room on the left: a wall, and half a name of the first stack [px]."""
        reach = [label_px(self, s) / 2 - s.x_mm * LEAST_PX_PER_MM for s in self.part.stacks]
        end_mark = letters_px("0") / 2
        return max(16.0, end_mark, *reach) + 2

    @cached_property
    def right_px(self) -> float:
        """Room on the right, in which the levels are named [px]."""
        units = self.answer.job.units
        end_mark = letters_px(plan_length(self.run.length_mm, units)) / 2 + 8 + letters_px(units)
        return max(self.levels.width_px + 22, end_mark) + 2

    @cached_property
    def px_per_mm(self) -> float:
        """Scale of lengths."""
        room = self.asked_px - self.left_px - self.right_px
        return max(room / self.run.length_mm, LEAST_PX_PER_MM)

    @property
    def width_px(self) -> float:
        """Width of the picture: wider than asked for where the run is long [px]."""
        return self.left_px + self.run.length_mm * self.px_per_mm + self.right_px

    @property
    def end_px(self) -> float:
        """Right end of the run [px]."""
        return self.x(self.run.length_mm)

    def x(self, along_mm: float) -> float:
        """Return where a place along the run lies [px]."""
        return self.left_px + along_mm * self.px_per_mm

    # ---- heights ----------------------------------------------------------------------------

    @cached_property
    def lowest_mm(self) -> float:
        """Lowest floor that is drawn, its doubt included [mm]."""
        return min(self.part.profile.lowest_mm, *(s.floor_mm for s in self.part.stacks))

    @cached_property
    def _bottom_mm(self) -> float:
        edge = self.part.top_mm - self.plinth_mm if self.plinth_mm else self.lowest_mm
        return min(self.lowest_mm, edge)

    @cached_property
    def enlargement(self) -> int:
        """How many times larger heights are drawn than lengths."""
        true_px = (self.part.top_mm - self._bottom_mm) * self.px_per_mm
        fitting = [times for times in ENLARGEMENTS if times * true_px <= HEIGHTS_PX]
        return max(fitting, default=1)

    @cached_property
    def px_per_high_mm(self) -> float:
        """Scale of heights."""
        return self.px_per_mm * self.enlargement

    @cached_property
    def head(self) -> list[str]:
        """What stands above the drawing, in lines that fit the width asked for."""
        units, part = self.answer.job.units, self.part
        times = (
            f"heights drawn {self.enlargement} times"
            if self.enlargement > 1
            else "heights drawn as lengths are"
        )
        return fitted(
            f"Bearer {part.row.name}, {ROW_WORDS[part.row.label]}, seen from the room;"
            f" {length_with_unit(part.row.y_mm, units)} from the wall to its middle;"
            f" {times}, in {_UNIT_WORDS[units]} from {zero_name(self.answer)}.",
            self.asked_px - 4,
        )

    @cached_property
    def units_y(self) -> float:
        """Upper end of the drawing: the break line [px]."""
        return len(self.head) * LINE_PX + 14

    @cached_property
    def _bottom_y(self) -> float:
        needed = (self.part.top_mm - self._bottom_mm) * self.px_per_high_mm
        return self.units_y + UNITS_PX + max(HEIGHTS_PX, needed)

    def y(self, height_mm: float) -> float:
        """Return where a height lies [px]."""
        return self._bottom_y - (height_mm - self._bottom_mm) * self.px_per_high_mm

    # ---- letters below the floor -----------------------------------------------------------

    @cached_property
    def stack_lanes(self) -> list[int]:
        """Lane of each stack's name and height, 0 nearest to the floor."""
        stacks = self.part.stacks
        return lanes([self.x(s.x_mm) for s in stacks], [label_px(self, s) for s in stacks])

    @cached_property
    def names_y(self) -> float:
        """Upper end of the stacks' names: below the floor, and below a plinth's edge [px]."""
        return self._bottom_y + BELOW_FLOOR_PX

    @cached_property
    def notes_y(self) -> float:
        """Upper end of the notes, below the names [px]."""
        return self.names_y + 2 * LINE_PX * (max(self.stack_lanes, default=-1) + 1)

    @cached_property
    def note_texts(self) -> list[str]:
        """The notes as they are written, a name that is longer than the run cut."""
        most = letters_in(self.end_px - self.left_px - 8)
        return [cut_text(note.text, most) for note in self.notes]

    @cached_property
    def note_places(self) -> list[tuple[float, float]]:
        """Middle and baseline of each note, none on another [px]."""
        widths = [letters_px(text) for text in self.note_texts]
        middles = [
            max(min(self.x(note.at_mm), self.end_px - wide / 2 - 2), self.left_px + wide / 2 + 2)
            for note, wide in zip(self.notes, widths, strict=True)
        ]
        order = sorted(range(len(middles)), key=middles.__getitem__)
        found = lanes([middles[n] for n in order], [widths[n] for n in order])
        lane_of = dict(zip(order, found, strict=True))
        return [
            (middle, self.notes_y + LINE_PX * (lane_of[n] + 1) - 3)
            for n, middle in enumerate(middles)
        ]

    @cached_property
    def ground_y(self) -> float:
        """Lower end of the ground that is drawn [px]."""
        last = max((y for _, y in self.note_places), default=self.notes_y)
        return max(last, self._bottom_y) + 6


def stack_name(frame: Frame, stack: Stack) -> str:
    """Return a stack's name as it is written, marked where it was moved by hand."""
    return "▲ " * (stack.support in frame.by_hand) + stack.support


def label_px(frame: Frame, stack: Stack) -> float:
    """Return the width of a stack's name or height, whichever is wider [px]."""
    height = length(stack.height_mm, frame.answer.job.units)
    return max(BOLD * letters_px(stack_name(frame, stack)), letters_px(height))


def frame_of(answer: Answer, part: Section, width_px: float) -> Frame:
    """Return how a row lies on a picture of a width."""
    run = next(run for run in answer.job.runs if run.name == part.row.run)
    boards = zip(answer.plinth["run"].tolist(), answer.plinth["board_mm"].tolist(), strict=True)
    known = (float(mm) for name, mm in boards if name == run.name and math.isfinite(mm))
    board = next(known, 0.0)
    notes = (*_unknown(part), *_closed(part), *_high_point(answer, part))
    names, reasons = (answer.supports[name].tolist() for name in ("support", "reasons"))
    moved = frozenset(n for n, why in zip(names, reasons, strict=True) if "by_hand" in why)
    board = board if part.row.label == "F" else 0.0
    return Frame(answer, part, run, width_px, notes, board, moved)


def unknown_stretches(part: Section) -> list[tuple[float, float]]:
    """Return from where to where along the run the floor was not surveyed [mm]."""
    x = part.profile.x_mm.tolist()
    known = [(x[s.start], x[s.stop - 1]) for s in part.profile.stretches()]
    ends = [x[0], *(edge for stretch in known for edge in stretch), x[-1]]
    return [(a, b) for a, b in zip(ends[::2], ends[1::2], strict=True) if b > a]


def _unknown(part: Section) -> list[Note]:
    low = part.profile.lowest_mm
    return [Note((a + b) / 2, low, "not surveyed") for a, b in unknown_stretches(part)]


def _closed(part: Section) -> list[Note]:
    low = part.profile.lowest_mm
    return [Note((a + b) / 2, low, f"no-go: {name}") for a, b, name in part.closed]


def _high_point(answer: Answer, part: Section) -> list[Note]:
    if not part.high_point:
        return []
    x, height = part.high_point
    return [Note(x, height, f"★ high point, {answer.high_point.certainty:.0%} certain")]


def zero_name(answer: Answer) -> str:
    """Return what heights are counted from."""
    floor = answer.job.floor
    if floor.benchmark is None:
        return "the highest reading"
    return floor.benchmark if floor.benchmark_mm == 0 else "zero"
