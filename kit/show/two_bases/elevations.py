"""Two bases in elevation, one above the other on the same axes, and the table of their heights."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kit.answer import Answer
from kit.ink import paint
from kit.ink.lengths import NOTHING, Units, length, length_with_unit, plan_length
from kit.ink.svg import Picture, element, letters_px, line, words
from kit.ink.table import Head, Page, Table
from kit.job.units import MM_PER_INCH
from kit.job.ways import way_of
from kit.show.board.elevation_frame import ROW_WORDS, zero_name
from kit.show.board.elevation_picture import INCH_STEPS, MM_STEPS
from kit.show.board.lettering import LINE_PX, fitted, key, paragraph
from kit.show.two_bases import row_marks
from kit.show.two_bases.axes import Axes, Panel
from kit.show.two_bases.drawing import PAGE_PX, beside
from kit.show.two_bases.elevation_key import key_of
from kit.show.two_bases.row_view import RowView, labels_of, row_view
from kit.side_by_side import Comparison

#: Room of the ruler below the second elevation [px].
_RULER_PX = 26.0


@dataclass(frozen=True, eq=False)
class _Side:
    """One base in the picture: its name, its answer, and its row where it has one."""

    name: str
    answer: Answer
    view: RowView | None


def elevations(comparison: Comparison, width_px: float = PAGE_PX, row: str = "F") -> Page:
    """Draw both bases in elevation on the same axes, run by run, with the table of heights.

    Parameters
    ----------
    comparison : Comparison
        From `kit.compare`.
    width_px : float
        Width of the pictures [CSS px].
    row : {"B", "M", "F", "D"}
        Which row of each run.

    Returns
    -------
    Page
    """
    drawn = [elevation_picture(comparison, run, width_px, row) for run in runs_of(comparison)]
    return beside(drawn, [elevation_table(comparison, row)])


def runs_of(comparison: Comparison) -> tuple[str, ...]:
    """Return the names of the runs that either base has."""
    both = (run.name for one in (comparison.a, comparison.b) for run in one.job.runs)
    return tuple(dict.fromkeys(both))


def elevation_picture(
    comparison: Comparison, run: str, width_px: float = PAGE_PX, row: str = "F"
) -> Picture:
    """Draw one row of both bases, the first above the second, on the same axes.

    Parameters
    ----------
    comparison : Comparison
        From `kit.compare`.
    run : str
        Name of the run.
    width_px : float
        Width of the picture [px]; wider where the run is too long for it.
    row : {"B", "M", "F", "D"}
        Which row of the run; of several further rows the first.

    Returns
    -------
    Picture
        A base without such a row has a sentence in its place.
    """
    sides = [
        _Side(name, answer, row_view(answer, run, row))
        for name, answer in zip(comparison.names, (comparison.a, comparison.b), strict=True)
    ]
    views = tuple(side.view for side in sides if side.view is not None)
    units = comparison.a.job.units
    if not views:
        return _nothing(sides, run, row, width_px)
    axes = Axes(views, _run_mm(comparison, run), width_px, units)
    head = fitted(_head(comparison, axes, run, row), axes.width_px - 4)
    drawn, y = [paragraph(2, 13, head)], len(head) * LINE_PX + 10.0
    for number, side in enumerate(sides):
        part, y = _panel(axes, side, sides[1 - number].view, number, y, run, row)
        drawn.append(part)
        y += 12
    drawn += _ruler(axes, y - 8)
    named, bottom = key(key_of(views), y + _RULER_PX, axes.width_px)
    said = f"{' '.join(head)} {' '.join(_said(side, run, row, units) for side in sides)}"
    return Picture(axes.width_px, bottom, "".join(drawn) + named, said)


def _run_mm(comparison: Comparison, name: str) -> float:
    both = (comparison.a, comparison.b)
    return max(run.length_mm for one in both for run in one.job.runs if run.name == name)


def _head(comparison: Comparison, axes: Axes, run: str, row: str) -> str:
    times = (
        f"heights drawn {axes.enlargement} times as large as lengths"
        if axes.enlargement > 1
        else "heights drawn as lengths are"
    )
    unit = "mm" if axes.units == "mm" else "inches"
    return (
        f"Run {run}, {ROW_WORDS.get(row, row)}, seen from the room. Both on the same axes: {times},"
        f" in {unit} from {zero_name(comparison.a)}."
    )


def _panel(
    axes: Axes, side: _Side, other: RowView | None, number: int, y: float, run: str, row: str
) -> tuple[str, float]:
    """Return one elevation as a group, and where it ends [px]."""
    title = fitted(_title(side, number, run, row, axes.units), axes.width_px - 4)
    drawn = paragraph(2, y + 12, title, font_weight="bold")
    y += len(title) * LINE_PX + 6
    if side.view is None:
        return drawn, y
    panel = Panel(axes, side.view, y)
    marks = [
        *row_marks.floor(panel),
        *row_marks.heights(panel),
        *row_marks.units(panel),
        *row_marks.no_go(panel),
        *row_marks.stands(panel),
        *row_marks.levels(panel, other.top_mm if other else None),
        *row_marks.names(panel),
    ]
    group = element("g", "".join(marks), class_="ufk-side", data_base_y=panel.base_y)
    return drawn + group, panel.ground_y


def _title(side: _Side, number: int, run: str, row: str, units: Units) -> str:
    start = f"{number + 1}  {side.name}"
    if side.view is None:
        return f"{start}: {_without(side, run, row)}"
    away = length_with_unit(side.view.part.row.y_mm, units)
    way = way_of(side.answer.base).name
    is_so = "" if way in side.name else f" ({way})"
    return (
        f"{start}{is_so}: base top"
        f" {length_with_unit(side.view.top_mm, units)}; middle of the row {away} from the wall"
    )


def _without(side: _Side, run: str, row: str) -> str:
    has = labels_of(side.answer, run)
    there = ", ".join(f"{ROW_WORDS.get(one, one)} ({one})" for one in has)
    wanted = f"no {ROW_WORDS.get(row, 'row')} ({row}) in run {run}"
    return f"{wanted}; this base has there: {there}" if has else f"{wanted}, nor any other row"


def _nothing(sides: list[_Side], run: str, row: str, width_px: float) -> Picture:
    texts = [f"{number}  {s.name}: {_without(s, run, row)}." for number, s in enumerate(sides, 1)]
    lines = [part for text in texts for part in fitted(text, width_px - 4)]
    return Picture(width_px, len(lines) * LINE_PX + 8, paragraph(2, 13, lines), " ".join(texts))


def _ruler(axes: Axes, y: float) -> Iterator[str]:
    """Yield places along the run, one ruler for both."""
    units, end = axes.units, axes.run_mm
    last = plan_length(end, units)
    apart_px = letters_px(last) + 10
    one, steps = (1.0, MM_STEPS) if units == "mm" else (MM_PER_INCH, INCH_STEPS)
    step = next((s for s in steps if s * one * axes.px_per_mm >= apart_px), steps[-1]) * one
    yield line(axes.x(0), y, axes.end_px, y, stroke=paint.INK)
    marks = [step * n for n in range(int(end / step) + 1)]
    for mm in (*(mm for mm in marks if (end - mm) * axes.px_per_mm >= apart_px), end):
        yield line(axes.x(mm), y, axes.x(mm), y + 6, stroke=paint.INK)
        yield words(axes.x(mm), y + 18, plan_length(mm, units), text_anchor="middle")
    along = f"{units} along the run"
    yield words(axes.end_px + letters_px(last) / 2 + 6, y + 18, along)


def _said(side: _Side, run: str, row: str, units: Units) -> str:
    """Return one of the two in words, with its numbers."""
    view = side.view
    if view is None:
        return f"{side.name}: {_without(side, run, row)}."
    pairs = zip(view.part.stacks, view.heights_mm, strict=True)
    reached = ", ".join(f"{stack.support} {length(mm, units)}" for stack, mm in pairs)
    low, high = view.window_mm
    closed = "".join(f" No-go area: {name}." for _, _, name in view.part.closed)
    return (
        f"{side.name}: base top {length_with_unit(view.top_mm, units)}, allowed"
        f" {length(low, units)} to {length_with_unit(high, units)}; heights above the floor"
        f" [{units}]: {reached}.{closed}"
    )


def elevation_table(comparison: Comparison, row: str = "F") -> Table:
    """Return support, place, floor and height of one row of both bases.

    Parameters
    ----------
    comparison : Comparison
        From `kit.compare`.
    row : {"B", "M", "F", "D"}
        Which row of each run.

    Returns
    -------
    Table
        One row a support of either base; a base without such a row says so in one.
    """
    units = comparison.a.job.units
    heads = (
        Head("base", wide=True),
        Head("support"),
        Head("place along the run", units),
        Head("floor", units),
        Head("height above the floor", units),
    )
    rows: list[tuple[str, ...]] = []
    for run in runs_of(comparison):
        for name, answer in zip(comparison.names, (comparison.a, comparison.b), strict=True):
            rows += _table_rows(name, row_view(answer, run, row), run, row, units)
    note = f"Floor from {zero_name(comparison.a)}, as it is expected."
    title = f"Supports of both bases, {ROW_WORDS.get(row, row)}"
    return Table(title, heads, tuple(rows), note)


def _table_rows(
    name: str, view: RowView | None, run: str, row: str, units: Units
) -> list[tuple[str, ...]]:
    if view is None:
        return [(name, f"no row {row} in run {run}", NOTHING, NOTHING, NOTHING)]
    return [
        (
            name,
            stack.support,
            plan_length(stack.x_mm, units),
            length(stack.floor_mm, units),
            length(mm, units),
        )
        for stack, mm in zip(view.part.stacks, view.heights_mm, strict=True)
    ]
