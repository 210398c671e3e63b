"""A plain table for print of any figures whose columns end in their unit."""

from __future__ import annotations

import math

import pandas as pd

from kit.ink.escape import html_text
from kit.ink.table import records
from kit.show.practice.column_heads import head_and_unit


def plain_table(title: str, frame: pd.DataFrame) -> str:
    """Return a table as HTML, everything in it escaped.

    Parameters
    ----------
    title : str
        Its caption.
    frame : DataFrame
        Figures are shown to a thousandth, empty cells as a dash.
    """
    figures = [pd.api.types.is_numeric_dtype(frame[name]) for name in frame.columns]
    styles = ["n" if one else "" for one in figures]
    heads = "".join(
        f'<th scope="col" class="{style}">{html_text(head_words(str(name)))}</th>'
        for name, style in zip(frame.columns, styles, strict=True)
    )
    rows = "".join(
        f"<tr>{_cells([cell_words(cell) for cell in row.values()], styles)}</tr>"
        for row in records(frame)
    )
    return (
        f"<table><caption>{html_text(title)}</caption><thead><tr>{heads}</tr></thead>"
        f"<tbody>{rows}</tbody></table>"
    )


def _cells(texts: list[str], styles: list[str]) -> str:
    return "".join(
        f'<td class="{style}">{html_text(text)}</td>'
        for text, style in zip(texts, styles, strict=True)
    )


def head_words(column: str) -> str:
    """Return the head of a column: its name in words, its unit in brackets.

    Examples
    --------
    >>> head_words("own_error_mm_per_m"), head_words("from"), head_words("board x_mm")
    ('own error [mm/m]', 'from', 'board x [mm]')
    """
    words, unit = head_and_unit(column)
    return f"{words} [{unit}]" if unit else words


def cell_words(cell: object) -> str:
    """Return what stands in a cell.

    Examples
    --------
    >>> cell_words(-0.0), cell_words(1234.5678), cell_words("B2"), cell_words(True)
    ('0', '1234.568', 'B2', 'yes')
    """
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, tuple | list):
        return " + ".join(cell_words(one) for one in cell) or "–"
    if isinstance(cell, float):
        return (
            f"{round(cell, 3) + 0.0:.3f}".rstrip("0").rstrip(".") if not math.isnan(cell) else "–"
        )
    return "–" if cell is None or cell is pd.NA else str(cell)
