"""How far each support is off one level, as read and after the changes: one drawing a row."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from kit.as_built import Checked
from kit.ink.lengths import Units, plan_length, signed_small, small
from kit.ink.table import records
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import LINE, THIN, Area, Disc, Drawing, Letters, Mark, Pen, Stroke, box

#: Height of what is drawn, and room for the letters above and below it [mm].
_TALL_MM, _ABOVE_MM, _BELOW_MM = 28.0, 7.0, 10.0

#: Room for the figures of the axis, and at the other end [mm].
_LEFT_MM, _RIGHT_MM = 17.0, 8.0

_LETTERS_MM, _HEAD_MM = 2.8, 3.5

_BAND_GREY = 0.86

_BEFORE = Pen(0.35)

#: A doubt's whisker reaches so many standard deviations either way.
_DOUBTS = 2.0


@dataclass(frozen=True)
class _Axes:
    """Where a place along the run and a departure lie on the drawing."""

    from_mm: float
    to_mm: float
    most_mm: float
    wide_mm: float

    def x(self, along_mm: float) -> float:
        """Return how far right a place along the run lies [mm]."""
        room = self.wide_mm - _LEFT_MM - _RIGHT_MM
        span = max(self.to_mm - self.from_mm, 1.0)
        return _LEFT_MM + (along_mm - self.from_mm) / span * room

    def y(self, off_mm: float) -> float:
        """Return how far down a departure lies [mm]."""
        return _ABOVE_MM + _TALL_MM / 2 * (1 - off_mm / self.most_mm)


def tops_drawings(checked: Checked, wide_mm: float) -> tuple[Drawing, ...]:
    """Draw each row's supports against the one level, as read and after the changes.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.
    wide_mm : float
        Width of each drawing [mm].

    Returns
    -------
    tuple of Drawing
        One for each row, all at one scale; rows of which nothing was read are left out.
    """
    supports = _with_after(checked)
    seen = supports[supports["off_mm"].notna()]
    most = _most_mm(checked, seen)
    drawn = []
    for bearer, of_row in seen.groupby("bearer", sort=False):
        ends = supports[supports["run"] == of_row["run"].iloc[0]]["own_x_mm"]
        axes = _Axes(float(ends.min()), float(ends.max()), most, wide_mm)
        marks = tuple(_marks(checked, of_row, axes))
        words = f"Row {bearer}: {_in_words(of_row, checked.answer.job.units)}"
        tall = _ABOVE_MM + _TALL_MM + _BELOW_MM
        drawn.append(Drawing(wide_mm, tall, marks, words))
    return tuple(drawn)


def _with_after(checked: Checked) -> pd.DataFrame:
    """Return the supports with before_mm, after_mm and opened.

    Both are told against the level that the base comes to, where there are changes to make.
    """
    supports, changes = checked.supports, checked.changes
    if not (changes.possible and changes.opened):
        return supports.assign(before_mm=supports["off_mm"], after_mm=math.nan, opened=False)
    table = changes.table.set_index("support").loc[supports["support"]]
    return supports.assign(
        before_mm=table["off_before_mm"].to_numpy(),
        after_mm=table["off_after_mm"].to_numpy(),
        opened=table["opened"].to_numpy(dtype=bool),
    )


def _most_mm(checked: Checked, seen: pd.DataFrame) -> float:
    """Return what the axis reaches either way [mm]: all that is drawn and the tolerance."""
    before = (seen["before_mm"].abs() + _DOUBTS * seen["sd_mm"]).max()
    return 1.1 * float(max(before, seen["after_mm"].abs().max(), 1.2 * checked.tolerance_mm))


def _marks(checked: Checked, of_row: pd.DataFrame, axes: _Axes) -> Iterator[Mark]:
    units, limit = checked.answer.job.units, checked.tolerance_mm
    left, right = axes.x(axes.from_mm) - 4, axes.x(axes.to_mm) + 4
    yield Area(
        box(left, axes.y(limit), right - left, axes.y(-limit) - axes.y(limit)),
        _BAND_GREY,
        Pen(0.0),
    )
    yield Stroke(((left, axes.y(0)), (right, axes.y(0))), LINE)
    for off in (limit, 0.0, -limit):
        text = f"±0 {units}" if off == 0 else signed_small(off, units)
        at = (left - 1.5, axes.y(off) + _LETTERS_MM / 3)
        yield Letters(at, text, _LETTERS_MM, "end")
    for support in records(of_row):
        yield from _support(support, axes)
    yield from _names(of_row, axes, units)


def _support(support: Mapping[str, Any], axes: _Axes) -> Iterator[Mark]:
    """Yield one support: whisker of the doubt, ring as read, disc after the changes."""
    x, before = axes.x(support["own_x_mm"]), float(support["before_mm"])
    reach, after = _DOUBTS * float(support["sd_mm"]), float(support["after_mm"])
    yield Stroke(((x, axes.y(before - reach)), (x, axes.y(before + reach))), THIN)
    if support["opened"]:
        yield Stroke(((x, axes.y(before)), (x, axes.y(after))), Pen(0.5, 0.0, (1.2, 0.8)))
        yield Disc((x, axes.y(after)), 1.3, 0.0, _BEFORE)
    yield Disc((x, axes.y(before)), 1.3, 1.0, _BEFORE)


def _names(of_row: pd.DataFrame, axes: _Axes, units: Units) -> Iterator[Mark]:
    """Yield the supports' names below, opened ones bold, the closer ones a line lower."""
    low, ends = axes.y(-axes.most_mm) + 4, [-math.inf, -math.inf]
    for name, along, opened in zip(
        of_row["support"], of_row["own_x_mm"], of_row["opened"], strict=True
    ):
        text = f"{name} opened" if opened else str(name)
        wide = letters_wide_mm(text, _LETTERS_MM, bold=bool(opened))
        x = axes.x(along)
        line = next((place for place in (0, 1) if x - wide / 2 > ends[place] + 1), 1)
        ends[line] = x + wide / 2
        at = (x, low + 3.5 * line)
        yield Letters(at, text, _LETTERS_MM, "middle", bold=bool(opened), halo=True)
    first, last = (plan_length(value, units) for value in (axes.from_mm, axes.to_mm))
    head = f"Row {of_row['bearer'].iloc[0]}"
    said = f"along the run from {first} to {last} {units}"
    yield Letters((0.0, _ABOVE_MM - 3), head, _HEAD_MM, bold=True)
    at = (letters_wide_mm(head, _HEAD_MM, bold=True) + 4, _ABOVE_MM - 3)
    yield Letters(at, said, _LETTERS_MM)


def _in_words(of_row: pd.DataFrame, units: Units) -> str:
    """Return the row in a sentence."""
    rows = records(of_row)
    worst = max(rows, key=lambda row: abs(float(row["before_mm"])))
    off = small(abs(float(worst["before_mm"])), units)
    opened = ", ".join(str(row["support"]) for row in rows if row["opened"])
    way = "high" if worst["before_mm"] > 0 else "low"
    then = f" Opened: {opened}." if opened else ""
    return f"{len(rows)} supports, the worst, {worst['support']}, {off} {units} too {way}.{then}"
