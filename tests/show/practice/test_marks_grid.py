"""Marks of a class in a picture: the right figure in the right cell, told without colour."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass
from xml.etree import ElementTree

import pandas as pd
import pytest

from kit.ink import paint
from kit.ink.svg import Picture
from kit.practice.trainer import TrainersTable
from kit.show.practice.marks_grid import MARK_PX, TONES, marks_grid, tone_of

NAMES = ("ash", "Zoë B-2", "a nickname of twenty")
TITLES = ("Level", "The high point under the base", "Screws that never pass the board", "Bases")


@dataclass(frozen=True)
class Titled:
    """A drill, of which only key and title matter."""

    key: str
    title: str
    aim: str = ""
    kinds: tuple[()] = ()
    hints: tuple[()] = ()


DRILLS = tuple(Titled(f"d{place}", title) for place, title in enumerate(TITLES))

#: nickname, drill, tries, best mark of a first try or none.
TRIED = (
    ("ash", "d0", 2, 100), ("ash", "d2", 1, 79), ("ash", "d3", 11, 40),
    ("Zoë B-2", "d0", 3, None), ("Zoë B-2", "d1", 1, 0), ("Zoë B-2", "older_drill", 4, 60),
)  # fmt: skip


@pytest.fixture
def table() -> TrainersTable:
    rows = [
        {"nickname": name, "drill": key, "title": key if key[0] == "o" else TITLES[int(key[1])],
         "tries": tries, "best_marks": pd.NA if best is None else best}
        for name, key, tries, best in TRIED
    ]  # fmt: skip
    who = pd.DataFrame(rows).astype({"best_marks": "Int64"})
    none = pd.DataFrame()
    return TrainersTable(who, none, none, pd.DataFrame({"nickname": NAMES}))


def drawn(table: TrainersTable, width_px: float = 960.0) -> Picture:
    return marks_grid(table, DRILLS, width_px)  # type: ignore[arg-type]


def cells(picture: Picture) -> list[tuple[float, float, str, str, str]]:
    """Return left and top of each tried cell [px], its tone, its mark and its tries."""
    root = ElementTree.fromstring(picture.svg)
    found = []
    for group in (node for node in root.iter() if node.get("class") == "ufk-cell"):
        rect, mark, tries = list(group)
        place = float(rect.get("x", "")), float(rect.get("y", ""))
        found.append((*place, rect.get("fill", ""), mark.text or "", tries.text or ""))
    return found


def test_every_figure_stands_in_its_row_and_column(
    table: TrainersTable, texts_of: Callable[[str], list]
) -> None:
    picture = drawn(table)
    texts = texts_of(picture.svg)
    found = cells(picture)
    lefts, tops = (sorted({cell[axis] for cell in found}) for axis in (0, 1))
    assert len(lefts) == 5
    assert len(tops) == 2
    columns = ["d0", "d1", "d2", "d3", "older_drill"]
    seen = {(tops.index(y), columns[lefts.index(x)], mark, tries) for x, y, _, mark, tries in found}
    assert seen == {
        (0, "d0", "100", "2 tries"), (0, "d2", "79", "1 try"), (0, "d3", "40", "11 tries"),
        (1, "d0", "–", "3 tries"), (1, "d1", "0", "1 try"), (1, "older_drill", "60", "4 tries"),
    }  # fmt: skip
    # The row's name stands at its height, the drill's title over its column.
    for row, name in enumerate(NAMES[:2]):
        (label,) = [one for one in texts if one.text == name]
        assert tops[row] < label.top < label.bottom < tops[row] + 42
        assert label.right < lefts[0]
    (level,) = [one for one in texts if one.text == "Level"]
    (older,) = [one for one in texts if one.text == "older drill"]
    assert lefts[0] < (level.left + level.right) / 2 < lefts[1]
    assert older.left > lefts[3]
    assert older.bottom < tops[0]


def test_what_was_not_tried_is_left_empty(table: TrainersTable, classed: Callable) -> None:
    svg = drawn(table).svg
    # Five drills times three apprentices less what was tried, and one in the key.
    assert len(classed(svg, "ufk-untried")) == 15 - len(TRIED) + 1
    assert len(classed(svg, "ufk-again")) == 1 + 1


@pytest.mark.parametrize("width_px", [300.0, 400.0, 640.0, 960.0])
def test_letters_keep_apart_and_inside_at_every_width(
    table: TrainersTable, touching: Callable, outside: Callable, width_px: float
) -> None:
    picture = drawn(table, width_px)
    assert outside(picture.svg) == []
    assert touching(picture.svg) == []
    assert max(x for x, *_ in cells(picture)) < width_px


def test_where_drills_do_not_fit_beside_each_other_they_follow_below(table: TrainersTable) -> None:
    wide, narrow = drawn(table), drawn(table, 400.0)
    assert len({y for _, y, *_ in cells(wide)}) == 2
    assert len({y for _, y, *_ in cells(narrow)}) > 2
    assert narrow.height_px > wide.height_px
    assert sorted(cell[3:] for cell in cells(narrow)) == sorted(cell[3:] for cell in cells(wide))
    assert narrow.svg.count(">Zoë B-2<") == narrow.svg.count(">ash<") >= 2


def test_many_apprentices_make_it_taller_not_smaller(table: TrainersTable) -> None:
    many = pd.DataFrame({"nickname": [*NAMES, *(f"tree {n}" for n in range(40))]})
    tall = drawn(TrainersTable(table.who, table.mistakes, table.mistakes, many))
    assert tall.height_px > 40 * 42
    assert tall.width_px == 960


@pytest.mark.parametrize(
    ("marks", "place"), [(100, 0), (80, 0), (79, 1), (60, 1), (59, 2), (40, 2), (39, 3), (0, 3)]
)
def test_tones_go_by_the_marks(marks: int, place: int) -> None:
    assert tone_of(marks) == TONES[place][1]


def luminance(colour: str) -> float:
    """Return the relative luminance of IEC 61966-2-1 sRGB (constants from memory)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return sum(share * part for share, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def test_tones_are_told_apart_in_grey_and_their_letters_read() -> None:
    light = [paint.lightness(tone) for _, tone in TONES]
    # 12 of L* 0 to 100 are many just noticeable differences; by eye on a grey print (no source).
    assert all(one - other > 12 for one, other in itertools.pairwise(light))
    for _, tone in TONES:
        high, low = sorted((luminance(tone), luminance(paint.ink_on(tone))), reverse=True)
        # WCAG 2.1, 1.4.3: 4.5 to 1 for letters of any size.
        assert (high + 0.05) / (low + 0.05) >= 4.5


def test_marks_are_large_enough_for_an_arms_length(table: TrainersTable) -> None:
    assert MARK_PX >= 18  # common practice, no source: half as large again as the other letters
    assert drawn(table).svg.count(f'font-size="{MARK_PX:g}"') == len(TRIED)


def test_its_words_tell_each_apprentice(table: TrainersTable) -> None:
    said = drawn(table).words
    assert said.startswith("Best first-try marks of 3 apprentices at 5 drills.")
    assert "ash: 3 drills tried, best marks 40 to 100." in said
    assert "Zoë B-2: 3 drills tried, best marks 0 to 60." in said
    assert "a nickname of twenty: 0 drills tried, no first try." in said


def test_letters_that_are_twice_as_wide_get_their_room(table: TrainersTable) -> None:
    names = pd.DataFrame({"nickname": ["ash", "Zoë B-2", "木" * 20]})
    wide = drawn(TrainersTable(table.who, table.mistakes, table.mistakes, names))
    # 20 such letters are as wide as they are tall: 12 px each.
    assert min(x for x, *_ in cells(wide)) > 2 + 20 * 12
