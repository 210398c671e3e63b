"""How far each support is off one level, as read and after the changes: one drawing a row."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from kit.as_built import Checked
from kit.ink.before_after import DOUBTS, drawn, greatest_mm
from kit.ink.lengths import Units, plan_length, small
from kit.ink.table import records
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import LINE, THIN, Area, Disc, Drawing, Letters, Mark, Pen, Stroke, box
from kit.paper.tops_axes import TopsAxes, axis_marks
from kit.paper.tops_names import name_marks, names_tall_mm

#: Room above what is drawn for the heading of a row, and below it [mm].
_ABOVE_MM, _BELOW_MM = 8.0, 2.0

_HEAD_MM, _SAID_MM = 3.5, 3.0

_BAND_GREY = 0.86

#: Ring and disc of a support, and half the ends of its doubt's whisker [mm].
_RING_MM, _DISC_MM, _END_MM = 0.9, 1.1, 0.9

#: Ring, and half the arms, of a support that is crossed out [mm].
_CROSS_MM = 1.4

_RING, _CHANGE = Pen(0.35), Pen(0.5, 0.0, (1.2, 0.8))

#: The scale reaches a little beyond all that is drawn, and shows at least this much of the
#: tolerance either way.
_BEYOND, _OF_TOLERANCE = 1.1, 1.3

#: More supports of a row stand on a further drawing, where their names would be crowded.
_MOST = 40


@dataclass(frozen=True)
class _Part:
    """A stretch of a row that one drawing shows."""

    bearer: str
    number: int
    of: int
    supports: pd.DataFrame
    from_mm: float
    to_mm: float


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
        One for each row, a long one in several, all at one scale of height; what was not read is
        left out, and what contradicts itself stands on the level, crossed out.
    """
    seen, units = drawn(checked), checked.answer.job.units
    most = _BEYOND * greatest_mm(seen, checked.tolerance_mm)
    drawings = []
    for part in _stretches(checked.supports, seen):
        reach = _reach_mm(part.supports, checked.tolerance_mm)
        axes = TopsAxes(part.from_mm, part.to_mm, most, *reach, wide_mm, _ABOVE_MM)
        tall = axes.low_mm + _BELOW_MM + names_tall_mm(part.supports, axes)
        marks = tuple(_marks(checked, part, axes))
        drawings.append(Drawing(wide_mm, tall, marks, f"{_head(part)}: {_in_words(part, units)}"))
    return tuple(drawings)


def _reach_mm(supports: pd.DataFrame, tolerance_mm: float) -> tuple[float, float]:
    """Return how far above and below the level a stretch has anything to draw [mm]."""
    before, doubt = supports["before_mm"], DOUBTS * supports["sd_mm"]
    after, least = supports["after_mm"], _OF_TOLERANCE * tolerance_mm
    up = pd.concat([before + doubt, after]).max()
    down = -pd.concat([before - doubt, after]).min()
    # Of nothing but supports that are crossed out both are nan: the least is first, and stays.
    return max(least, _BEYOND * float(up)), max(least, _BEYOND * float(down))


def _stretches(supports: pd.DataFrame, seen: pd.DataFrame) -> Iterator[_Part]:
    """Yield the rows' stretches; all rows of a run are cut at the same places."""
    for run, of_run in seen.groupby("run", sort=False):
        along = supports[supports["run"] == run]["own_x_mm"]
        low, high = float(along.min()), float(along.max())
        count = 1
        while _crowded(of_run, low, high, count):
            count += 1
        for bearer, of_row in of_run.groupby("bearer", sort=False):
            stretch = _number_of(of_row["own_x_mm"], low, high, count)
            for number in range(count):
                here, step = of_row[stretch == number], (high - low) / count
                ends = low + number * step, low + (number + 1) * step
                if len(here):
                    yield _Part(str(bearer), number + 1, count, here, *ends)


def _crowded(of_run: pd.DataFrame, low: float, high: float, count: int) -> bool:
    stretch = _number_of(of_run["own_x_mm"], low, high, count)
    of_each = of_run.groupby([of_run["bearer"], stretch]).size()
    return bool(of_each.max() > _MOST) and count < len(of_run)


def _number_of(along: pd.Series[float], low: float, high: float, count: int) -> pd.Series[int]:
    """Return in which of so many equal stretches each place lies."""
    share = (along - low) / max(high - low, 1.0)
    return (share * count).astype(int).clip(upper=count - 1)


def _marks(checked: Checked, part: _Part, axes: TopsAxes) -> Iterator[Mark]:
    units, limit = checked.answer.job.units, checked.tolerance_mm
    left, right = axes.ends_mm
    tall = axes.y(-limit) - axes.y(limit)
    yield Area(box(left, axes.y(limit), right - left, tall), _BAND_GREY, Pen(0.0))
    yield Stroke(((left, axes.y(0)), (right, axes.y(0))), LINE)
    yield from axis_marks(axes, limit, units)
    for support in records(part.supports):
        yield from _support(support, axes)
    yield from name_marks(part.supports, axes, axes.low_mm + _BELOW_MM)
    yield from _heading(part, units)


def _support(support: Mapping[str, Any], axes: TopsAxes) -> Iterator[Mark]:
    """Yield one support: whisker of the doubt, ring as read, disc after the changes."""
    x, off = axes.x(support["own_x_mm"]), float(support["before_mm"])
    if support["crossed"]:
        yield from _crossed(x, axes.y(0))
        return
    reach = DOUBTS * float(support["sd_mm"])
    for end in (axes.y(off - reach), axes.y(off + reach)):
        yield Stroke(((x - _END_MM, end), (x + _END_MM, end)), THIN)
    yield Stroke(((x, axes.y(off - reach)), (x, axes.y(off + reach))), THIN)
    if support["changed"]:
        then = axes.y(float(support["after_mm"]))
        yield Stroke(((x, axes.y(off)), (x, then)), _CHANGE)
        yield Disc((x, then), _DISC_MM, 0.0, _RING)
    yield Disc((x, axes.y(off)), _RING_MM, 1.0, _RING)


def _crossed(x: float, y: float) -> Iterator[Mark]:
    """Yield a support of which nothing is told: a ring, crossed out."""
    yield Disc((x, y), _CROSS_MM, 1.0, _RING)
    for way in (-1, 1):
        ends = ((x - _CROSS_MM, y - way * _CROSS_MM), (x + _CROSS_MM, y + way * _CROSS_MM))
        yield Stroke(ends, _RING)


def _head(part: _Part) -> str:
    return f"Row {part.bearer}" + (f", {part.number} of {part.of}" if part.of > 1 else "")


def _heading(part: _Part, units: Units) -> Iterator[Mark]:
    first, last = (plan_length(mm, units) for mm in (part.from_mm, part.to_mm))
    head = _head(part)
    yield Letters((0.0, _HEAD_MM), head, _HEAD_MM, bold=True)
    at = (letters_wide_mm(head, _HEAD_MM, bold=True) + 4, _HEAD_MM)
    yield Letters(at, f"along the run from {first} to {last} {units}", _SAID_MM)


def _in_words(part: _Part, units: Units) -> str:
    """Return a stretch in a sentence, for those who do not see it."""
    crossed = [str(row["support"]) for row in records(part.supports) if row["crossed"]]
    again = f" Readings contradict, read again: {', '.join(crossed)}." if crossed else ""
    rows = [row for row in records(part.supports) if not row["crossed"]]
    if not rows:
        return again.strip()
    worst = max(rows, key=lambda row: abs(float(row["before_mm"])))
    off = small(abs(float(worst["before_mm"])), units)
    way = "high" if worst["before_mm"] > 0 else "low"
    of = f"{len(rows)} supports" if len(rows) > 1 else "1 support"
    changed = ", ".join(str(row["support"]) for row in rows if row["changed"])
    then = f" {rows[0]['word'].capitalize()}: {changed}." if changed else ""
    return f"{of}, the worst, {worst['support']}, {off} {units} too {way}.{then}{again}"
