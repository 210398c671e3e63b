"""Practice floors side by side: small maps with one key for all, and their figures in a table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kit.ink import paint
from kit.ink.lengths import number
from kit.ink.svg import Picture, box, element, line, words
from kit.ink.table import Head, Page, Table
from kit.practice.floors import PracticeFloor
from kit.show.board.label_places import Taken
from kit.show.board.lettering import LINE_PX, Swatch, fitted, key, paragraph
from kit.show.board.map_levels import Levels
from kit.show.practice.floor_bands import bands, hidden, level_numbers
from kit.show.practice.floor_map import fall_words, floor_map, levels_over
from kit.show.practice.looks import (
    band_swatch,
    highest_mark,
    highest_swatch,
    lowest_mark,
    lowest_swatch,
)
from kit.show.practice.plan import hidden_entries
from kit.show.practice.plan_labels import place_box
from kit.show.practice.room_frame import RoomFrame, ground
from kit.show.two_bases.drawing import PAGE_PX, beside

#: A small map is at least as wide as the first and at most as tall as the second; between
#: neighbours [px].
MAP_PX, TALLEST_PX, _GAP_PX = 210.0, 300.0, 18.0

#: At either side, for marks on the rim of a map; length of the scale's bar [px, mm].
_SIDE_PX, _BAR_MM = 8.0, 1000.0

#: The wall of a small map, and the room below it [px].
_WALL_PX, _BELOW_PX = 6.0, 14.0


@dataclass(frozen=True)
class Cell:
    """One small map: its floor, its title and where it lies."""

    floor: PracticeFloor
    title: tuple[str, ...]
    frame: RoomFrame


def floor_gallery(floors: Sequence[PracticeFloor], width_px: float = PAGE_PX) -> Page:
    """Show practice floors side by side, above a table of their figures.

    Parameters
    ----------
    floors : sequence of PracticeFloor
        One or more, of any sizes; all are drawn to one scale and with one key.
    width_px : float
        Of the picture [CSS px].

    Raises
    ------
    Refusal
        Where there is no floor.
    """
    return beside([gallery_picture(floors, width_px)], [gallery_table(floors)])


def gallery_picture(floors: Sequence[PracticeFloor], width_px: float = PAGE_PX) -> Picture:
    """Draw small maps of practice floors; see `floor_gallery`."""
    levels = levels_over(tuple(floor_map(floor) for floor in floors))
    cells, bottom = _cells(floors, width_px)
    maps = "".join(_small(cell, levels) for cell in cells)
    head = fitted(
        "Floors with loose boards pressed down, each against its own even fall, in mm: + hump,"
        " − hollow. The wall is at the top. All are drawn to one scale.",
        width_px - 4,
    )
    text = paragraph(2, bottom + LINE_PX, head, fill=paint.INK)
    explained, bottom = key(_entries(floors, levels), bottom + len(head) * LINE_PX + 3, width_px)
    scale, bottom = _scale(cells[0].frame.px_per_mm, bottom)
    said = f"{len(floors)} floors. " + " ".join(f"{', '.join(_title(floor))}." for floor in floors)
    return Picture(width_px, bottom, maps + text + explained + scale, said)


def _title(floor: PracticeFloor) -> tuple[str, str, str]:
    one = floor_map(floor)
    return (
        f"seed {floor.seed}, {floor.grade.name}",
        fall_words(one),
        f"lowest {one.range_mm:.1f} mm below highest",
    )


def _cells(floors: Sequence[PracticeFloor], width_px: float) -> tuple[list[Cell], float]:
    """Lay the small maps out in rows; return them and where they end [px]."""
    across = min(max(1, int((width_px + _GAP_PX) / (MAP_PX + _GAP_PX))), len(floors))
    wide = (width_px - _GAP_PX * (across - 1) - 2 * _SIDE_PX) / across
    scale = min(
        wide / max(floor.width_mm for floor in floors),
        TALLEST_PX / max(floor.depth_mm for floor in floors),
    )
    cells: list[Cell] = []
    top = 0.0
    for start in range(0, len(floors), across):
        row = floors[start : start + across]
        titles = [[line for text in _title(one) for line in fitted(text, wide)] for one in row]
        room_top = top + max(len(title) for title in titles) * LINE_PX + _WALL_PX + 8
        for column, (floor, title) in enumerate(zip(row, titles, strict=True)):
            left = _SIDE_PX + column * (wide + _GAP_PX)
            frame = RoomFrame(floor.width_mm, floor.depth_mm, left, room_top, scale, width_px)
            cells.append(Cell(floor, tuple(title), frame))
        top = room_top + max(floor.depth_mm for floor in row) * scale + _BELOW_PX
    return cells, top


def _small(cell: Cell, levels: Levels) -> str:
    frame, one = cell.frame, floor_map(cell.floor)
    left, top, right, bottom = frame.box
    first = top - _WALL_PX - 5 - (len(cell.title) - 1) * LINE_PX
    taken = Taken(place_box(frame.at(place)) for place in (one.highest, one.lowest))
    drawn = [
        paragraph(left, first, cell.title[:1], font_weight=600, fill=paint.INK),
        paragraph(left, first + LINE_PX, cell.title[1:], fill=paint.INK),
        ground(frame),
        bands(cell.floor, frame, levels),
        hidden(cell.floor, frame),
        box(left, top - _WALL_PX, right - left, _WALL_PX, fill=paint.FAINT_INK, class_="ufk-wall"),
        box(left, top, right - left, bottom - top, fill="none", stroke=paint.FAINT_INK),
        highest_mark(frame.at(one.highest)),
        lowest_mark(frame.at(one.lowest)),
        *level_numbers(cell.floor, frame, levels, taken),
    ]
    return element("g", "".join(drawn), class_="ufk-floor", data_seed=f"{cell.floor.seed}")


def _entries(floors: Sequence[PracticeFloor], levels: Levels) -> Iterator[tuple[Swatch, str]]:
    for tone, text in zip(levels.tones, levels.band_texts(), strict=True):
        yield band_swatch(tone), text
    yield highest_swatch, "highest"
    yield lowest_swatch, "lowest"
    yield from hidden_entries(floors)


def _scale(px_per_mm: float, top: float) -> tuple[str, float]:
    """Draw a bar that tells the scale of all maps; return it and where it ends [px]."""
    left, right, y = 4.0, 4.0 + _BAR_MM * px_per_mm, top + 11
    look = {"stroke": paint.INK, "stroke_width": 1.6}
    bars = "".join(line(x, y - 4, x, y + 4, **look) for x in (left, right))
    bar = line(left, y, right, y, class_="ufk-bar", **look)
    return bar + bars + words(right + 8, y + 4, f"{_BAR_MM:g} mm", fill=paint.INK), y + 9


def gallery_table(floors: Sequence[PracticeFloor]) -> Table:
    """Return the figures of practice floors, one a row."""
    heads = (
        Head("seed", right=True), Head("grade"), Head("width", "mm"), Head("depth", "mm"),
        Head("fall", "mm/m"), Head("falls towards", "degrees"), Head("highest at x, y", "mm"),
        Head("lowest at x, y", "mm"), Head("lowest below highest", "mm"),
        Head("largest hump", "mm"), Head("deepest hollow", "mm"),
        Head("loose board stands proud", "mm"),
        Head("gives underfoot", "mm"), Head("heating"),
    )  # fmt: skip
    note = (
        "As each floor carries, loose boards pressed down. Towards: 0 along the wall to the right,"
        " 90 into the room. Humps and hollows are against the floor's own even fall, on squares of"
        " 50 mm."
    )
    return Table("Practice floors", heads, tuple(_row(floor) for floor in floors), note)


def _row(floor: PracticeFloor) -> tuple[str, ...]:
    one = floor_map(floor)
    return (
        f"{floor.seed}",
        floor.grade.name,
        f"{floor.width_mm:g}",
        f"{floor.depth_mm:g}",
        number(one.fall_mm_per_m, 2),
        number(one.falls_to_deg, 0),
        f"{one.highest[0]:.0f}, {one.highest[1]:.0f}",
        f"{one.lowest[0]:.0f}, {one.lowest[1]:.0f}",
        number(one.range_mm, 1),
        number(float(one.residual_mm.max()), 1),
        number(float(one.residual_mm.min()), 1),
        _all(board.proud_mm for board in floor.loose),
        _all(soft.give_mm for soft in floor.soft),
        "yes" if floor.heated else "none",
    )


def _all(figures_mm: Iterator[float]) -> str:
    return ", ".join(number(mm, 1) for mm in figures_mm) or "none"
