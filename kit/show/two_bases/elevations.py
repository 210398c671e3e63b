"""Two bases in elevation, one above the other on the same axes, and the table of their heights."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kit.answer import Answer
from kit.job.units import MM_PER_INCH
from kit.job.ways import way_of
from kit.show import paint
from kit.show.board.elevation_frame import ROW_WORDS, unknown_stretches, zero_name
from kit.show.board.elevation_picture import INCH_STEPS, MM_STEPS
from kit.show.board.lettering import LINE_PX, SWATCH_PX, Swatch, fitted, hatched, key, paragraph
from kit.show.board.svg import Picture, box, element, letters_px, line, path, words
from kit.show.lengths import NOTHING, Units, length, length_with_unit, plan_length
from kit.show.section import BAND_SD
from kit.show.table import Head, Page, Table
from kit.show.two_bases import row_marks
from kit.show.two_bases.axes import Axes, Panel
from kit.show.two_bases.drawing import PAGE_PX, beside
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
    named, bottom = key(_key(views), y + _RULER_PX, axes.width_px)
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


def _key(views: tuple[RowView, ...]) -> Iterator[tuple[Swatch, str]]:
    """Yield what the key shows: only what is drawn."""
    if any(view.has_slabs for view in views):
        yield _swatch(paint.PANEL, paint.INK), "packer, the thinner the darker"
    if any(view.has_bearer for view in views):
        yield _swatch(paint.TIMBER, paint.TIMBER_LINE), "bearer"
    if any(view.feet for view in views):
        yield _foot_swatch, "screw foot"
    if any(view.body is not None for view in views):
        yield _body_swatch, "lies on the floor along its length"
        yield _crossing_swatch, "side, division or rung over it"
    yield _floor_swatch, "floor as it is expected"
    yield _doubt_swatch, f"its doubt, ±{BAND_SD:g} standard deviations"
    if any(unknown_stretches(view.part) for view in views):
        yield _hatch_swatch(paint.FAINT_INK), "not surveyed"
    if any(view.part.closed for view in views):
        yield _hatch_swatch(paint.NO_GO), "no-go area"
    yield _top_swatch, "base top"
    yield _other_swatch, "top of the other base"
    yield _allowed_swatch, "heights allowed"


def _swatch(fill: str, stroke: str) -> Swatch:
    return lambda x, y: box(x, y, *SWATCH_PX, fill=fill, stroke=stroke)


def _hatch_swatch(stroke: str) -> Swatch:
    return lambda x, y: (
        box(x, y, *SWATCH_PX, fill="none", stroke=stroke)
        + hatched(x, y, *SWATCH_PX, step_px=5, stroke=stroke)
    )


def _body_swatch(x: float, y: float) -> str:
    filled = box(x, y, *SWATCH_PX, fill=paint.TIMBER, stroke=paint.INK)
    return filled + hatched(x, y, *SWATCH_PX, step_px=6, stroke=paint.INK, stroke_width=0.5)


def _foot_swatch(x: float, y: float) -> str:
    stem = box(x + 7, y, 4, 10, fill=paint.PAPER, stroke=paint.INK)
    return stem + box(x + 2, y + 7, 14, 3, fill=paint.INK)


def _crossing_swatch(x: float, y: float) -> str:
    return line(x + 9, y - 1, x + 9, y + 11, stroke=paint.INK, stroke_width=2.2)


def _floor_swatch(x: float, y: float) -> str:
    ground = box(x, y + 3, SWATCH_PX[0], SWATCH_PX[1] - 3, fill=paint.FLOOR)
    return ground + line(x, y + 3, x + 18, y + 3, stroke=paint.FLOOR_LINE, stroke_width=2)


def _doubt_swatch(x: float, y: float) -> str:
    edge = {"stroke": paint.FLOOR_LINE, "stroke_width": 0.7, "stroke_dasharray": "2 2"}
    return box(x, y, *SWATCH_PX, fill=paint.DOUBT, **edge)


def _top_swatch(x: float, y: float) -> str:
    return line(x, y + 5, x + 18, y + 5, stroke=paint.ACCENT, stroke_width=2)


def _other_swatch(x: float, y: float) -> str:
    look = {"stroke": paint.ACCENT, "stroke_width": 1.2, "stroke_dasharray": "1 4"}
    return line(x, y + 5, x + 18, y + 5, **look)


def _allowed_swatch(x: float, y: float) -> str:
    bracket = path([(x + 6, y + 10), (x + 12, y + 10), (x + 12, y), (x + 6, y)])
    return element("path", d=bracket, fill="none", stroke=paint.FAINT_INK, stroke_width=1.4)


def _said(side: _Side, run: str, row: str, units: Units) -> str:
    """Return one of the two in words, with its numbers."""
    view = side.view
    if view is None:
        return f"{side.name}: {_without(side, run, row)}."
    pairs = zip(view.part.stacks, view.heights_mm, strict=True)
    reached = ", ".join(f"{stack.support} {length(mm, units)}" for stack, mm in pairs)
    low, high = view.window_mm
    return (
        f"{side.name}: base top {length_with_unit(view.top_mm, units)}, allowed"
        f" {length(low, units)} to {length_with_unit(high, units)}; heights above the floor"
        f" [{units}]: {reached}."
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
    note = f"Floor in {units} from {zero_name(comparison.a)}, as it is expected."
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
