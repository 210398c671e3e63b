"""The plinth of one run from the room: lengths to scale, heights enlarged."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

import numpy as np
import pandas as pd

from kit.base.plinth_profile import PlinthBoard
from kit.ink.lengths import Units, length, plan_length
from kit.job.units import MM_PER_INCH
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import THIN, Area, Drawing, Letters, Mark, Pen, Place, Stroke
from kit.paper.scales import largest_scale, scale_words

#: Left of the picture for figures, above it for the boards' names, its window, and below [mm].
_LEFT_MM, _ABOVE_MM, _WINDOW_MM, _BELOW_MM = 22.0, 11.0, 46.0, 9.0

#: How many times heights may be drawn larger than they are; the first that fits is taken.
_ENLARGED = (20.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1)

#: Steps of the figures along and up, of which the first that leaves room is taken [mm].
_STEPS_MM: dict[Units, tuple[float, ...]] = {
    "mm": (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000),
    "in": tuple(MM_PER_INCH * n for n in (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 6, 12, 24, 48, 96)),
}

_BOARD, _DOUBT = 0.93, 0.75
_FLOOR, _GRID, _JOINT = Pen(0.5), Pen(0.1, 0.6), Pen(0.35)
_SIDE = Pen(0.2, 0.4, (3.0, 1.0, 0.6, 1.0))
_NO_EDGE = Pen(0.0)


@dataclass(frozen=True, eq=False)
class PlinthPicture:
    """The picture of one run.

    Parameters
    ----------
    boards : tuple of PlinthBoard
        Of the run, from left to right; part of the floor under them at least was surveyed.
    sides_mm : tuple of float
        Sides of its units [mm].
    wide_mm : float
        Of paper [mm].
    units : {"mm", "in"}
        Of the job.
    """

    boards: tuple[PlinthBoard, ...]
    sides_mm: tuple[float, ...]
    wide_mm: float
    units: Units

    @cached_property
    def line(self) -> pd.DataFrame:
        """The whole line of the run."""
        return pd.concat([board.line for board in self.boards], ignore_index=True)

    @cached_property
    def scale(self) -> float:
        """How many times smaller lengths are drawn."""
        room = self.wide_mm - _LEFT_MM - 2.0
        return largest_scale((self.boards[-1].piece.to_mm,), (room,), self.units, least=1.0)

    @cached_property
    def heights_mm(self) -> tuple[float, float]:
        """Least and greatest height of the window, doubt included [mm]."""
        line = self.line.dropna(subset=["height_mm"])
        low = (line["height_mm"] - line["floor_sd_mm"]).min()
        return float(low), float((line["height_mm"] + line["floor_sd_mm"]).max())

    @cached_property
    def enlarged(self) -> float:
        """How many times larger heights are drawn than they are."""
        low, high = self.heights_mm
        room = _WINDOW_MM - 12.0
        return next((e for e in _ENLARGED if (high - low) * e <= room), _ENLARGED[-1])

    def drawing(self) -> Drawing:
        """Return the drawing."""
        tall = _ABOVE_MM + _WINDOW_MM + _BELOW_MM
        run = self.boards[0].run
        words = f"The plinth of run {run} from the room, over the floor line, heights enlarged"
        return Drawing(self.wide_mm, tall, tuple(self._marks()), words, self.scale)

    def caption(self) -> str:
        """Return what it shows, and how much larger heights are drawn."""
        times = self.enlarged * self.scale
        return (
            f"Run {self.boards[0].run} seen from the room. Lengths"
            f" {scale_words(self.scale, self.units)}, heights drawn {times:g} times larger than"
            f" lengths. Figures at the left: below the base top [{self.units}]. Grey about the"
            " floor line: doubt, 1 sd either way. Dash and dot: sides of units."
        )

    def _x(self, along_mm: float) -> float:
        return _LEFT_MM + along_mm / self.scale

    def _y(self, height_mm: float) -> float:
        return _ABOVE_MM + 8.0 + (height_mm - self.heights_mm[0]) * self.enlarged

    def _marks(self) -> Iterator[Mark]:
        yield from self._heights()
        for board in self.boards:
            yield from self._board(board)
        for at in self.sides_mm:
            x = self._x(at)
            yield Stroke(((x, _ABOVE_MM), (x, _ABOVE_MM + _WINDOW_MM)), _SIDE)
        yield from self._alongs()

    def _board(self, board: PlinthBoard) -> Iterator[Mark]:
        for stretch in _stretches(board.line):
            x = [self._x(at) for at in stretch["along_mm"]]
            height, sd = stretch["height_mm"].to_numpy(), stretch["floor_sd_mm"].to_numpy()
            floor = [self._y(float(y)) for y in height]
            above = [(x[0], _ABOVE_MM), (x[-1], _ABOVE_MM)]
            yield Area((*above, *_both(x[::-1], floor[::-1])), _BOARD, _NO_EDGE)
            upper = _both(x, [self._y(float(y)) for y in height - sd])
            lower = _both(x, [self._y(float(y)) for y in height + sd])
            yield Area((*upper, *lower[::-1]), _DOUBT, _NO_EDGE)
            yield Stroke(_both(x, floor), _FLOOR)
        left, right = self._x(board.piece.from_mm), self._x(board.piece.to_mm)
        for at in (left, right):
            yield Stroke(((at, _ABOVE_MM - 9.0), (at, _ABOVE_MM + _WINDOW_MM)), _JOINT)
        for size, text in ((3.5, self._told(board)), (3.5, board.name), (2.5, board.name)):
            if letters_wide_mm(text, size, bold=True) < right - left - 1.0:
                at_mm = (left + right) / 2, _ABOVE_MM - 3.5
                yield Letters(at_mm, text, size, "middle", bold=True)
                return

    def _told(self, board: PlinthBoard) -> str:
        ends = f"{length(board.least_mm, self.units)} to {length(board.greatest_mm, self.units)}"
        return f"{board.name}: {board.manner}, {ends} {self.units}"

    def _heights(self) -> Iterator[Mark]:
        low, high = self.heights_mm
        right = self._x(self.boards[-1].piece.to_mm)
        step = _step(_STEPS_MM[self.units], 4.5 / self.enlarged)
        for number in range(int(low // step), int(high // step) + 2):
            y = self._y(number * step)
            if _ABOVE_MM + 2.0 <= y <= _ABOVE_MM + _WINDOW_MM:
                yield Stroke(((_LEFT_MM - 1.5, y), (right, y)), _GRID)
                said = plan_length(number * step, self.units)
                yield Letters((_LEFT_MM - 2.2, y + 1.2), said, 3.5, "end")

    def _alongs(self) -> Iterator[Mark]:
        end, low = self.boards[-1].piece.to_mm, _ABOVE_MM + _WINDOW_MM
        yield Stroke(((_LEFT_MM, low), (self._x(end), low)), THIN)
        step = _step(_STEPS_MM[self.units], 18.0 * self.scale)
        for number in range(int(end // step) + 1):
            x = self._x(number * step)
            yield Stroke(((x, low), (x, low + 1.8)), THIN)
            yield Letters((x, low + 6.0), plan_length(number * step, self.units), 3.5, "middle")


def _both(x: Sequence[float], y: Sequence[float]) -> tuple[Place, ...]:
    return tuple(zip(x, y, strict=True))


def _step(steps: Sequence[float], least_mm: float) -> float:
    return next((step for step in steps if step >= least_mm), steps[-1])


def _stretches(line: pd.DataFrame) -> Iterator[pd.DataFrame]:
    """Yield what of a line is known, stretch by stretch."""
    known = np.isfinite(line["height_mm"].to_numpy(dtype=float))
    for is_known, group in groupby(range(len(line)), lambda at: bool(known[at])):
        at = list(group)
        if is_known and len(at) > 1:
            yield line.iloc[at]
