"""Marks of a class at a glance: a row an apprentice, a column a drill, a figure in each cell."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil

import pandas as pd

from kit.ink import paint
from kit.ink.svg import Picture, box, element, letters_px, words
from kit.ink.table import records
from kit.practice.drill import Drill
from kit.practice.marking import FULL
from kit.practice.next_drill import ENOUGH_MARKS
from kit.practice.trainer import TrainersTable
from kit.show.board.lettering import LINE_PX, Swatch, fitted, key, paragraph
from kit.show.two_bases.drawing import PAGE_PX

#: Marks from so many on, and the tone of their cells: the lower, the darker, each far enough from
#: the next to be told from it in grey.
TONES = ((ENOUGH_MARKS, "#fff6b8"), (60, "#c9c79f"), (40, "#7f9aa6"), (0, "#2b4a63"))

#: A cell at its narrowest and widest, and how tall it is; between cells, and between blocks [px].
LEAST_PX, MOST_PX, TALL_PX, _GAP_PX, _APART_PX = 76.0, 118.0, 42.0, 3.0, 12.0

#: Letters of a mark, to be read at arm's length; baselines of mark and tries in a cell [px].
MARK_PX, _MARK_Y, _TRIES_Y = 20.0, 20.0, 35.0


@dataclass(frozen=True)
class Cell:
    """Tries of one apprentice at one drill, and the best mark of a first try, if there was one."""

    tries: int
    best: tuple[int, ...]


@dataclass(frozen=True)
class Block:
    """Some of the drills over all apprentices, where it lies and how wide its cells are [px]."""

    drills: tuple[str, ...]
    titles: tuple[tuple[str, ...], ...]
    left: float
    top: float
    cell_px: float

    @property
    def rows_top(self) -> float:
        """Upper end of the first row [px]."""
        return self.top + max(len(title) for title in self.titles) * LINE_PX + 5


@dataclass(frozen=True)
class Grid:
    """What is drawn: names, titles of drills by their keys, cells by nickname and key."""

    names: tuple[str, ...]
    titles: Mapping[str, str]
    cells: Mapping[tuple[str, str], Cell]


def marks_grid(table: TrainersTable, drills: Sequence[Drill], width_px: float = PAGE_PX) -> Picture:
    """Draw the best first-try mark and the tries of each apprentice at each drill.

    Parameters
    ----------
    table : TrainersTable
        From `kit.practice.trainer.trainers_table`.
    drills : sequence of Drill
        In the order of the work on site; all get a column, and others that were tried after them.
    width_px : float
        Of the picture [CSS px]; where the drills do not fit beside each other, they follow below.
    """
    grid = _grid(table, drills)
    head = fitted(
        f"Large: the best mark of a first try on a floor, of {FULL}. Small: how many tries at the"
        " drill. Drills in the order of the work on site.",
        width_px - 4,
    )
    drawn = [paragraph(2, LINE_PX, head, fill=paint.INK)]
    top = len(head) * LINE_PX + 6
    for block in _blocks(grid, top, width_px):
        drawn += _block(block, grid)
        top = block.rows_top + len(grid.names) * (TALL_PX + _GAP_PX)
    explained, bottom = key(_entries(), top + 2, width_px)
    return Picture(width_px, bottom, "".join(drawn) + explained, _said(grid))


def _grid(table: TrainersTable, drills: Sequence[Drill]) -> Grid:
    rows = records(table.who)
    titles = {drill.key: drill.title for drill in drills}
    titles |= {row["drill"]: row["title"] for row in rows if row["drill"] not in titles}
    cells = {
        (row["nickname"], row["drill"]): Cell(
            int(row["tries"]),
            () if pd.isna(row["best_marks"]) else (int(row["best_marks"]),),
        )
        for row in rows
    }
    return Grid(tuple(table.next["nickname"]), titles, cells)


def _blocks(grid: Grid, top: float, width_px: float) -> Iterator[Block]:
    """Yield blocks of as many drills as fit beside the names, as even as can be."""
    names_px = max((_name_px(name) for name in grid.names), default=0.0) + 12
    fit = max(int((width_px - names_px) / LEAST_PX), 1)
    keys = list(grid.titles)
    blocks = ceil(len(keys) / fit)
    across = ceil(len(keys) / blocks)
    cell_px = min((width_px - names_px) / across, MOST_PX)
    for start in range(0, len(keys), across):
        some = tuple(keys[start : start + across])
        titles = tuple(
            tuple(fitted(grid.titles[one].replace("_", " "), cell_px - _GAP_PX - 4)) for one in some
        )
        block = Block(some, titles, names_px, top, cell_px)
        yield block
        top = block.rows_top + len(grid.names) * (TALL_PX + _GAP_PX) + _APART_PX


def _name_px(name: str) -> float:
    """Return about how wide a name is [px]; letters of some scripts take two letters' room."""
    wide = sum(unicodedata.east_asian_width(letter) in "WF" for letter in name)
    return letters_px(name) + wide * letters_px("o")


def _block(block: Block, grid: Grid) -> Iterator[str]:
    for place, title in enumerate(block.titles):
        x = block.left + (place + 0.5) * block.cell_px - _GAP_PX / 2
        # Titles stand on the cells: short ones begin lower.
        y = block.rows_top - 6 - (len(title) - 1) * LINE_PX
        yield paragraph(x, y, title, text_anchor="middle", fill=paint.INK)
    for row, name in enumerate(grid.names):
        y = block.rows_top + row * (TALL_PX + _GAP_PX)
        yield words(2, y + TALL_PX / 2 + 4, name, font_weight=600, fill=paint.INK)
        for place, drill in enumerate(block.drills):
            x = block.left + place * block.cell_px
            found = grid.cells.get((name, drill), Cell(0, ()))
            yield _cell(found, x, y, block.cell_px - _GAP_PX)


def _cell(cell: Cell, x: float, y: float, wide: float) -> str:
    if not cell.tries:
        return _empty(x, y, wide, TALL_PX)
    tone = tone_of(cell.best[0]) if cell.best else paint.PAPER
    ink, middle = paint.ink_on(tone), {"text_anchor": "middle"}
    ground = _tried(x, y, wide, TALL_PX) if not cell.best else box(
        x, y, wide, TALL_PX, fill=tone, stroke=paint.FAINT_INK, class_="ufk-mark"
    )  # fmt: skip
    mark = words(
        x + wide / 2, y + _MARK_Y, f"{cell.best[0]}" if cell.best else "–",
        font_size=MARK_PX, font_weight=600, fill=ink, **middle,
    )  # fmt: skip
    tries = words(x + wide / 2, y + _TRIES_Y, _tries(cell.tries), fill=ink, **middle)
    return element("g", ground + mark + tries, class_="ufk-cell")


def _empty(x: float, y: float, wide: float, tall: float) -> str:
    return box(x, y, wide, tall, fill="none", stroke=paint.PANEL, class_="ufk-untried")


def _tried(x: float, y: float, wide: float, tall: float) -> str:
    look = {"stroke": paint.INK, "stroke_dasharray": "4 3", "class_": "ufk-again"}
    return box(x, y, wide, tall, fill=paint.PAPER, **look)


def tone_of(marks: int) -> str:
    """Return the tone of a mark's cell."""
    return next(tone for least, tone in TONES if marks >= least)


def _entries() -> Iterator[tuple[Swatch, str]]:
    most = FULL
    for least, tone in TONES:
        settles = ": counts towards settling" if least == ENOUGH_MARKS else ""
        yield _swatch(tone), f"{least} to {most}{settles}"
        most = least - 1
    yield lambda x, y: _tried(x, y, 18, 10), "no first try among these records"
    yield lambda x, y: _empty(x, y, 18, 10), "not tried"


def _swatch(tone: str) -> Swatch:
    return lambda x, y: box(x, y, 18, 10, fill=tone, stroke=paint.FAINT_INK)


def _tries(count: int) -> str:
    return f"{count} tr{'y' if count == 1 else 'ies'}"


def _said(grid: Grid) -> str:
    told = " ".join(_of_one(name, grid) for name in grid.names)
    return (
        f"Best first-try marks of {len(grid.names)} apprentices at {len(grid.titles)} drills."
        f" {told} All figures stand in the table below."
    )


def _of_one(name: str, grid: Grid) -> str:
    mine = [cell for (nickname, _), cell in grid.cells.items() if nickname == name]
    best = sorted(mark for cell in mine for mark in cell.best)
    tried = f"{name}: {len(mine)} drill{'s' * (len(mine) != 1)} tried"
    if not best:
        return f"{tried}, no first try."
    if len(best) == 1:
        return f"{tried}, best mark {best[0]}."
    return f"{tried}, best marks {best[0]} to {best[-1]}."
