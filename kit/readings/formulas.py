"""Cells that a spreadsheet program would run: how they are known, and how they are written.

A text cell whose first character is one of these is taken for a formula by spreadsheet programs
when they open a table (OWASP, "CSV Injection"; the list of characters is from memory).
"""

from __future__ import annotations

import re

#: What a formula begins with; wide forms of the first four are read like them by some programs.
_ALWAYS = ("=", "@", "\uff1d", "\uff20")
_SIGNS = ("+", "-", "\uff0b", "\uff0d")
_CONTROLS = ("\t", "\n")

_NUMBER = re.compile(r"[+-]?(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3})?")

#: A length with a slip of the pen, such as ``-3 mm`` or ``-1 234``: no formula.
_SLIP = re.compile(r"[+-]\s*(?:[0-9][0-9\s.,/'\u2019-]*[^\W\d_]*\"?|inf|infinity|nan)", re.I)


def is_formula(text: str) -> bool:
    """Tell whether a spreadsheet program would run a cell.

    Parameters
    ----------
    text : str
        A cell without surrounding space.

    Returns
    -------
    bool
        True for ``=...`` and ``@...``, and for ``+...`` and ``-...`` unless a number follows.

    Examples
    --------
    >>> [is_formula(text) for text in ("=A1", "@SUM(A1)", "-P1", "-3.5", "-", "P1")]
    [True, True, True, False, False, False]
    """
    if text.startswith(_ALWAYS):
        return True
    return len(text) > 1 and text.startswith(_SIGNS) and not _NUMBER.fullmatch(text)


def is_formula_for_number(text: str) -> bool:
    """Tell whether a cell that should hold a number holds a formula, and no slip of the pen.

    Examples
    --------
    >>> [is_formula_for_number(text) for text in ("=A1", "-B2", "-3 mm", "-3 9/8", "-2+3")]
    [True, True, False, False, True]
    """
    return is_formula(text) and not _SLIP.fullmatch(text)


def inert(text: str) -> str:
    """Return a text cell so that no spreadsheet program runs it.

    Parameters
    ----------
    text : str
        What the cell holds.

    Returns
    -------
    str
        The same, with an apostrophe in front where it begins like a formula and is no number.
        A carriage return becomes a line feed: in CSV it would begin a row of its own.

    Examples
    --------
    >>> inert("=A1+B1"), inert("-3.5"), inert("low bookcase")
    ("'=A1+B1", '-3.5', 'low bookcase')
    """
    plain = re.sub(r"\r\n?", "\n", text)
    begins = plain.startswith(_ALWAYS + _SIGNS + _CONTROLS)
    return f"'{plain}" if begins and not _NUMBER.fullmatch(plain) else plain
