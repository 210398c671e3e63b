"""Names of the supports below a drawing of a row: lying where they find room, else turned."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from kit.ink.table import records
from kit.paper.dimensions import PITCH_MM, spread, turned
from kit.paper.label_places import ABOVE, LEADING
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import THIN, Letters, Mark, Stroke
from kit.paper.tops_axes import TopsAxes

_LETTERS_MM, _TURNED_MM = 3.0, 3.5

#: Between two names of one line [mm].
_BETWEEN_MM = 1.5

#: Names lie in so many lines at most before they are turned.
_LINES = 2

#: A fine line leads from a support to its turned name [mm].
_LEAD_MM = 3.0


@dataclass(frozen=True)
class _Name:
    """A name and where its support stands on the paper."""

    text: str
    at_mm: float
    bold: bool

    @property
    def wide_mm(self) -> float:
        """How long it is lying [mm]."""
        return letters_wide_mm(self.text, _LETTERS_MM, bold=self.bold)

    @property
    def long_mm(self) -> float:
        """How long it is turned [mm]."""
        return letters_wide_mm(self.text, _TURNED_MM, bold=self.bold)


def names_tall_mm(supports: pd.DataFrame, axes: TopsAxes) -> float:
    """Return how much room the names take below the drawing [mm].

    Parameters
    ----------
    supports : DataFrame
        Those of one row: support, own_x_mm, changed, crossed, word.
    axes : TopsAxes
        Where they stand.
    """
    names = _names(supports, axes)
    lines = _lines(names, axes.wide_mm)
    if lines:
        return LEADING * _LETTERS_MM * (max(lines) + 1)
    return _LEAD_MM + max(name.long_mm for name in names) + 0.5


def name_marks(supports: pd.DataFrame, axes: TopsAxes, top_mm: float) -> Iterator[Mark]:
    """Yield the names, those of changed supports in the bold face.

    Parameters
    ----------
    supports : DataFrame
        Those of one row: support, own_x_mm, changed, crossed, word.
    axes : TopsAxes
        Where they stand.
    top_mm : float
        Where the names begin [mm of paper].
    """
    names = _names(supports, axes)
    lines = _lines(names, axes.wide_mm)
    if not lines:
        yield from _turned(names, axes, top_mm)
        return
    for name, line in zip(names, lines, strict=True):
        y = top_mm + ABOVE * _LETTERS_MM + line * LEADING * _LETTERS_MM
        yield Letters((name.at_mm, y), name.text, _LETTERS_MM, "middle", bold=name.bold)


def _names(supports: pd.DataFrame, axes: TopsAxes) -> list[_Name]:
    return [
        _Name(
            _text(one),
            axes.x(one["own_x_mm"]),
            bool(one["changed"] or one["crossed"]),
        )
        for one in records(supports.sort_values("own_x_mm", kind="stable"))
    ]


def _text(one: Mapping[str, Any]) -> str:
    """Return a support's name, with what is done to it."""
    done = "read again" if one["crossed"] else one["word"] if one["changed"] else ""
    return f"{one['support']} {done}".rstrip()


def _lines(names: list[_Name], wide_mm: float) -> list[int]:
    """Return on which line each name lies; empty where they would touch."""
    ends, lines = [0.0] * _LINES, []
    for name in names:
        left, right = name.at_mm - name.wide_mm / 2, name.at_mm + name.wide_mm / 2
        line = next((n for n in range(_LINES) if left >= ends[n]), None)
        if line is None or right > wide_mm:
            return []
        ends[line] = right + _BETWEEN_MM
        lines.append(line)
    return lines


def _turned(names: list[_Name], axes: TopsAxes, top_mm: float) -> Iterator[Mark]:
    half = PITCH_MM / 2
    places = spread([name.at_mm for name in names], PITCH_MM, half, axes.wide_mm - half)
    for name, place in zip(names, places, strict=True):
        yield Stroke(((name.at_mm, top_mm), (place, top_mm + _LEAD_MM - 0.4)), THIN)
        foot = top_mm + _LEAD_MM + name.long_mm
        yield from turned([(name.text, _TURNED_MM, name.bold)], place, foot)
