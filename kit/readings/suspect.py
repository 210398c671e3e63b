"""A gross error that the residuals point to: which readings it may be in, and in what words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from kit.readings.equations import Floats, Whole

#: The slip of two readings exchanged.
SWAPPED = "the two points are swapped"

#: Readings of one error that are named.
MOST_NAMED = 6


@dataclass(frozen=True)
class Suspect:
    """One gross error.

    Parameters
    ----------
    choices : tuple of tuple of int
        Which rows of the readings it may be in: one choice where the others tell it, several
        where they do not; a choice of two rows is a swap.
    error_mm, error_sd_mm : float
        Error of the first choice's first reading and its standard deviation [mm]: as the others
        have it, in a swap by what the other reading books.
    studentised : float
        w of that reading.
    slips : tuple of str
        The likeliest slip, and one as likely if there is one; empty where none fits.
    sentence : str
        All of it in words.
    """

    choices: tuple[tuple[int, ...], ...]
    error_mm: float
    error_sd_mm: float
    studentised: float
    slips: tuple[str, ...]
    sentence: str

    @property
    def rows(self) -> tuple[int, ...]:
        """Every row that it may be in."""
        return tuple(sorted({row for choice in self.choices for row in choice}))

    @property
    def decided(self) -> bool:
        """Whether the other readings tell where the error is."""
        return len(self.choices) == 1


def reading_name(row: pd.Series[Any]) -> str:
    """Return the words that name a reading: table, row, point, and where it was taken from."""
    if row["kind"] == "level":
        return f"{row['survey']} row {row['row']}, {row['start']} to {row['point']}"
    what = "placement" if row["kind"] == "straightedge" else "set-up"
    setup = f", {what} {row['setup']}" if row["setup"] else ""
    return f"{row['survey']} row {row['row']}, point {row['point']}{setup}"


@dataclass(frozen=True)
class Words:
    """What is said beside the readings: likely slips, the figures, what would tell them apart."""

    slips: Sequence[str]
    figures: str
    further: str


def swap_sentence(swaps: Sequence[tuple[int, int]], rows: pd.DataFrame, figures: str) -> str:
    """Return the words for two readings exchanged, or one of several such exchanges."""
    pairs = [_pair(rows, *swap) for swap in swaps[:3]]
    return f"{', or '.join(pairs)}: likeliest slip: {SWAPPED}{figures}."


def _pair(rows: pd.DataFrame, j: int, k: int) -> str:
    one, other = rows.iloc[j], rows.iloc[k]
    if one["survey"] == other["survey"]:
        return f"{reading_name(one)} and row {other['row']}, point {other['point']}"
    return f"{reading_name(one)} and {reading_name(other)}"


def error_sentence(
    rows: pd.DataFrame,
    group: Whole,
    errors_mm: Floats,
    swaps: Sequence[tuple[int, int]],
    words: Words,
) -> str:
    """Return the words for one wrong reading, or for one of several that nothing tells apart."""
    wrong = rows.iloc[group]
    names = [reading_name(row) for _, row in wrong.iterrows()]
    slips = f"; likeliest slip: {', or '.join(words.slips)}." if words.slips else "."
    ends = words.figures + slips
    if len(names) == 1 and not swaps:
        return f"{names[0]}: {_booked(wrong.iloc[0])} is {_size(errors_mm[0])}{ends}"
    each = [f"{n} ({_size(e)})" for n, e in zip(names, errors_mm.tolist(), strict=True)]
    each += [f"{_pair(rows, *swap)} (swapped)" for swap in swaps]
    more = f", or one of {len(each) - MOST_NAMED} more" if len(each) > MOST_NAMED else ""
    return (
        f"{', or '.join(each[:MOST_NAMED])}{more}: one of these is wrong, and the other readings do"
        f" not tell which{ends}{words.further}"
    )


def _size(error_mm: float) -> str:
    return f"{abs(error_mm):.1f} mm too {'much' if error_mm > 0 else 'little'}"


def _booked(row: pd.Series[Any]) -> str:
    """Return what stands in the table: a packer has no sign, but an end that was lifted."""
    if row["kind"] != "level":
        return f"{row['observed_mm']:g} mm"
    lifted = row["start"] if row["observed_mm"] > 0 else row["point"]
    rise = row["observed_mm"]
    return f"{abs(rise):g} mm under {lifted}, a difference of {rise:+g} mm,"
