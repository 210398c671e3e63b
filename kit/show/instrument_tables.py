"""What the check of an instrument found, as tables."""

from __future__ import annotations

from collections.abc import Sequence

from kit.ink.lengths import number
from kit.ink.table import Head, Table
from kit.readings.instruments import OwnErrorFound, ReversalTest, TwoPegTest, TwoWallTest

#: Name, unit, value and decimals of a figure.
Figure = tuple[str, str, float, int]

WALL_MARKS = (
    "on A, laser near A",
    "on B, laser near A",
    "on A, laser near B",
    "on B, laser near B",
)


def own_error_table(title: str, found: OwnErrorFound, more: Sequence[Figure]) -> Table:
    """Return the own error, its doubt and further figures.

    Parameters
    ----------
    title : str
        What was done.
    found : OwnErrorFound
        The test.
    more : sequence of Figure
        What stands below the error.
    """
    figures: list[Figure] = [
        ("own error", "mm/m", found.error_mm_per_m, 3),
        ("its doubt, 1 sd", "mm/m", found.sd_mm_per_m, 3),
        *more,
    ]
    heads = (Head("figure"), Head("value", right=True), Head("unit"))
    rows = tuple((name, number(value, digits), unit) for name, unit, value, digits in figures)
    return Table(title, heads, rows)


def two_peg_figures(found: TwoPegTest) -> list[Figure]:
    """Return what the second stand would have read without the error."""
    return [
        ("staff A, second stand, put right", "mm", found.true_mm[0], 1),
        ("staff B, second stand, put right", "mm", found.true_mm[1], 1),
        ("peg B above peg A", "mm", found.difference_mm, 1),
    ]


def reversal_figures(found: ReversalTest) -> list[Figure]:
    """Return the true difference of height of each line, and how the lines scatter."""
    heights: list[Figure] = [
        (f"line {line}, 'to' above 'from'", "mm", mm, 2)
        for line, mm in enumerate(found.difference_mm, start=1)
    ]
    return [*heights, ("scatter of the lines, 1 sd", "mm/m", found.scatter_mm_per_m, 3)]


def two_wall_figures(found: TwoWallTest) -> list[Figure]:
    """Return where the marks would stand without the error."""
    marks = (*found.true_first_mm, *found.true_second_mm)
    return [
        (f"mark {name}, put right", "mm", mm, 1) for name, mm in zip(WALL_MARKS, marks, strict=True)
    ]


def two_peg_table(found: TwoPegTest) -> Table:
    """Return a two-peg test."""
    return own_error_table("Two-peg test of a level", found, two_peg_figures(found))


def reversal_table(found: ReversalTest) -> Table:
    """Return a spirit level turned end for end."""
    return own_error_table("Turning a spirit level end for end", found, reversal_figures(found))


def two_wall_table(found: TwoWallTest) -> Table:
    """Return a laser line on two walls."""
    return own_error_table("Laser line on two walls", found, two_wall_figures(found))
