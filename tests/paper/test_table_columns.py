"""Widths of printed columns."""

import pytest

from kit.ink.table import Head, Table
from kit.paper.letters import letters_wide_mm
from kit.paper.table_columns import BAD_SIGN, LEAST_MM, cell_text, columns_of, head_text

ROOM_MM = 186.0


def table(heads, *rows, bad=()):
    return Table("t", tuple(heads), tuple(rows), bad=frozenset(bad))


def inner(columns, number):
    """Return the room for text in a column [mm]."""
    return columns.wide_mm[number] - 2 * columns.pad_mm


def test_a_small_table_is_as_wide_as_its_texts():
    small = table([Head("at"), Head("off", "mm")], ("A-B12", "-10.5"), ("A-B3", "2"))
    columns = columns_of(small, ROOM_MM, 3.2)
    assert columns.size_mm == 3.2
    assert inner(columns, 0) == pytest.approx(letters_wide_mm("A-B12", 3.2), abs=1e-9)
    assert inner(columns, 1) == pytest.approx(letters_wide_mm("off [mm]", 3.2, bold=True), abs=1e-9)


def test_long_heads_take_two_lines():
    name = "height above the benchmark at the door"
    columns = columns_of(table([Head(name, "mm")], ("1.5",)), ROOM_MM, 3.0)
    line = letters_wide_mm(f"{name} [mm]", 3.0, bold=True)
    assert 0.5 * line < inner(columns, 0) < 0.7 * line


def test_wide_texts_give_way_and_figures_do_not():
    long = table(
        [Head("n"), Head("b", wide=True), Head("c", "mm")], ("A-B1", "word " * 90, "1 234.5")
    )
    columns = columns_of(long, ROOM_MM, 3.5)
    assert columns.size_mm == 3.5
    assert sum(columns.wide_mm) == pytest.approx(ROOM_MM, abs=1e-6)
    assert inner(columns, 0) >= letters_wide_mm("A-B1", 3.5) - 1e-9
    assert inner(columns, 2) >= letters_wide_mm("1 234.5", 3.5) - 1e-9


def test_letters_become_smaller_before_texts_of_one_line_are_broken():
    heads = [Head(f"column {n}") for n in range(6)]
    row = tuple("packers of ten" for _ in heads)
    columns = columns_of(table(heads, row), ROOM_MM, 5.0)
    assert LEAST_MM < columns.size_mm < 5.0
    assert sum(columns.wide_mm) <= ROOM_MM + 1e-6
    for number in range(6):
        assert inner(columns, number) >= letters_wide_mm(row[0], columns.size_mm) - 1e-6


@pytest.mark.parametrize("many", [1, 7, 24, 60])
@pytest.mark.parametrize("text", ["x" * 10_000, "word " * 300, "12.5", ""])
def test_no_table_is_wider_than_the_page(many, text):
    heads = [
        Head("a long name for it " * 3, "mm" if n % 3 else "", n % 2 == 0) for n in range(many)
    ]
    columns = columns_of(table(heads, tuple(text for _ in heads), bad=[0]), ROOM_MM, 3.5)
    assert sum(columns.wide_mm) <= ROOM_MM + 1e-6
    assert columns.size_mm >= LEAST_MM - 1e-9
    assert min(columns.wide_mm) > 2 * columns.pad_mm


def test_letters_asked_for_smaller_than_the_least_stay_so():
    assert columns_of(table([Head("a")], ("x",)), ROOM_MM, 2.0).size_mm == 2.0


def test_texts():
    one = table([Head("a", "mm"), Head("b")], ("1\t2", "x\x07"), ("3", "y"), bad=[1])
    assert [head_text(head) for head in one.heads] == ["a [mm]", "b"]
    assert cell_text(one, 0, 0) == "1 2"
    assert cell_text(one, 0, 1) == "x⟨U+0007⟩"
    assert cell_text(one, 1, 0) == BAD_SIGN + "3"
    assert cell_text(one, 1, 1) == "y"
