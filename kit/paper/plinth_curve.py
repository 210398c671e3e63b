"""The floor line under a plinth board at its true size in both directions, to scribe by."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

import numpy as np

from kit.base.plinth_profile import PlinthBoard
from kit.ink.lengths import Units, length
from kit.job.units import MM_PER_INCH
from kit.paper.full_size import StripPiece, cut_strip, join_marks, scale_marks
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import Area, Letters, Mark, Pen, Place, Stroke

#: Paper above a strip's straight line, for what is said on it, and below its lowest place [mm].
_ABOVE_MM, _BELOW_MM = 8.0, 4.0

#: The straight line lies so far above the curve at least, the scale between them [mm].
_CLEAR_MM = 14.0

#: A strip that is taller finds no room on a page [mm].
_TALLEST_MM = 156.0

#: Steps of the straight line below the base top [mm].
_STEPS_MM = {"mm": 1.0, "in": MM_PER_INCH / 4}

_CURVE, _SIDE = Pen(0.5), Pen(0.25, 0.3, (4.0, 1.2, 0.6, 1.2))
_NO_EDGE = Pen(0.0)
_WASTE = 0.87


@dataclass(frozen=True, eq=False)
class ScribeStrip:
    """The strip of one board.

    Parameters
    ----------
    board : PlinthBoard
        Of which part of the floor under it at least was surveyed.
    sides_mm : tuple of float
        Sides of units along its run [mm].
    units : {"mm", "in"}
        Of the job.
    """

    board: PlinthBoard
    sides_mm: tuple[float, ...]
    units: Units

    @cached_property
    def line_mm(self) -> float:
        """How far its straight line lies below the base top [mm]."""
        step = _STEPS_MM[self.units]
        return max(0.0, math.floor((self.board.least_mm - _CLEAR_MM) / step) * step)

    @cached_property
    def tall_mm(self) -> float:
        """How tall it is [mm]."""
        return _ABOVE_MM + self.board.greatest_mm - self.line_mm + _BELOW_MM

    @property
    def fits(self) -> bool:
        """Whether a page is tall enough for it."""
        return self.tall_mm <= _TALLEST_MM

    @cached_property
    def pieces(self) -> tuple[StripPiece, ...]:
        """Its pieces from left to right."""
        piece, name = self.board.piece, f"plinth {self.board.name}"
        return cut_strip(name, piece.from_mm, piece.to_mm, self.sides_mm, self.units)

    def marks(self, piece: StripPiece, top_mm: float) -> tuple[Mark, ...]:
        """Draw one of its pieces, its upper end so far down the drawing [mm]."""
        line = top_mm + _ABOVE_MM
        return (
            *self._waste(piece, line),
            *join_marks(piece, top_mm, self.tall_mm, self.units),
            *self._sides(piece, line),
            *scale_marks(piece, line, self.units, self.sides_mm),
            *self._curve(piece, line),
            *self._said(piece, top_mm),
        )

    def _known(self, piece: StripPiece) -> Iterator[list[Place]]:
        """Yield the known stretches on a piece: along the run, height [mm]."""
        line = self.board.line
        along = line["along_mm"].to_numpy(dtype=float)
        height = line["height_mm"].to_numpy(dtype=float)
        ends = [at for at in (piece.from_mm, piece.to_mm) if along[0] <= at <= along[-1]]
        for known, group in groupby(range(len(along)), lambda at: bool(np.isfinite(height[at]))):
            at = list(group)
            if known and len(at) > 1:
                x, y = along[at], height[at]
                cut = [one for one in ends if x[0] < one < x[-1]]
                both = sorted({*x[(x >= piece.from_mm) & (x <= piece.to_mm)].tolist(), *cut})
                if len(both) > 1:
                    yield [(one, float(np.interp(one, x, y))) for one in both]

    def _places(self, piece: StripPiece, line_mm: float) -> Iterator[tuple[Place, ...]]:
        for stretch in self._known(piece):
            yield tuple((piece.x_mm(x), line_mm + y - self.line_mm) for x, y in stretch)

    def _curve(self, piece: StripPiece, line_mm: float) -> Iterator[Mark]:
        for places in self._places(piece, line_mm):
            yield Stroke(places, _CURVE)

    def _waste(self, piece: StripPiece, line_mm: float) -> Iterator[Mark]:
        """Yield what is cut off, and where nothing is known of the floor."""
        low = line_mm + self.tall_mm - _ABOVE_MM
        for places in self._places(piece, line_mm):
            corners = (*places, (places[-1][0], low), (places[0][0], low))
            yield Area(corners, _WASTE, _NO_EDGE)
        for left, right in self.board.open_mm:
            a, b = max(left, piece.from_mm), min(right, piece.to_mm)
            if b - a > letters_wide_mm("not surveyed", 3.5):
                middle = piece.x_mm((a + b) / 2), line_mm + _CLEAR_MM
                yield Letters(middle, "not surveyed", 3.5, "middle")

    def _sides(self, piece: StripPiece, line_mm: float) -> Iterator[Mark]:
        for at in self.sides_mm:
            if piece.holds(at):
                x = piece.x_mm(at)
                yield Stroke(((x, line_mm), (x, line_mm + self.tall_mm - _ABOVE_MM)), _SIDE)

    def _said(self, piece: StripPiece, top_mm: float) -> Iterator[Mark]:
        below = f"{length(self.line_mm, self.units)} {self.units}"
        where = f"line {below} below the base top" if self.line_mm else "line: base top"
        said = f"▲ up. {piece.name(self.units)}; {where}"
        yield Letters((piece.x_mm(piece.from_mm) + 1.5, top_mm + 5.5), said, 3.5)
