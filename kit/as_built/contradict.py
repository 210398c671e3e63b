"""Points of a finished base whose readings contradict one another: of them nothing is judged."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import pandas as pd

from kit.readings import Heights

#: Rows of one table that are named.
_MOST_NAMED = 6


def contradicting(heights: Heights) -> Mapping[str, str]:
    """Return the points that a gross error may be in, each with the rows to look at.

    Parameters
    ----------
    heights : Heights
        The adjustment, with its findings.

    Returns
    -------
    mapping of str to str
        Of each point the rows of its readings, as in ``tops.csv, rows 6 and 30``: of a point that
        is read from two set-ups nothing but a further reading tells which of the two is the slip.
        A spirit level's reading hangs on both its ends. In order of the readings; empty where no
        reading is suspect.
    """
    residuals = heights.residuals
    suspect = residuals[residuals["suspect"].astype(bool)]
    points = dict.fromkeys(
        name for ends in zip(suspect["start"], suspect["point"], strict=True) for name in ends
    )
    return MappingProxyType(
        {
            str(name): _rows(residuals, str(name))
            for name in points
            if isinstance(name, str) and name
        }
    )


def set_aside(heights: Heights) -> list[int]:
    """Return one choice of rows for each gross error: without them all points stay determined."""
    return sorted({row for one in heights.findings for row in one.choices[0]})


def contradiction_sentence(contradicting: Mapping[str, str]) -> str:
    """Return what is said first, of one point that contradicts itself or several."""
    named = ", ".join(f"{name} ({rows})" for name, rows in contradicting.items())
    there = "that place" if len(contradicting) == 1 else "each of these places"
    return (
        f"The readings contradict one another at {named}: one of them is a slip. Read {there} again"
        " before anything is done: until then nothing is judged there, and nothing is changed."
    )


def _rows(residuals: pd.DataFrame, name: str) -> str:
    """Return the rows of a point, table by table."""
    of_point = residuals[(residuals["point"] == name) | (residuals["start"] == name)]
    told = []
    for survey, rows in of_point.groupby("survey", sort=False)["row"]:
        lines = [f"{row}" for row in dict.fromkeys(rows)]
        more = f" and {len(lines) - _MOST_NAMED} more" if len(lines) > _MOST_NAMED else ""
        shown = lines[:_MOST_NAMED]
        last = f"{', '.join(shown[:-1])} and {shown[-1]}" if len(shown) > 1 else shown[0]
        told.append(
            f"{survey}, row{'s' if len(lines) > 1 else ''}"
            f" {', '.join(shown) + more if more else last}"
        )
    return "; ".join(told)
