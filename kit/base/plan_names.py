"""Places of a reading plan, and the names that are chalked beside them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from kit.base.layout import Layout

#: What a place is read for, in the order in which the reasons are written.
REASONS = ("support", "end of row", "between", "plinth", "doorway")


@dataclass(frozen=True)
class Spot:
    """A place to be read, on a line of its run or in a doorway."""

    run: str
    line: str
    along_mm: float
    out_mm: float
    x_mm: float
    y_mm: float
    reasons: frozenset[str]


def named(spots: Sequence[Spot], layout: Layout) -> pd.DataFrame:
    """Return the places as a table, each with a name to be chalked beside it.

    The name says the stack that will stand there, or the last one before it: chalk that said
    another stack's name would have somebody build on the wrong place.

    Parameters
    ----------
    spots : sequence of Spot
        In the order of walking.
    layout : Layout
        The stacks.

    Returns
    -------
    DataFrame
        point, run, line, along_mm, out_mm, x_mm, y_mm, why.
    """
    names: dict[Spot, str] = {}
    for line in dict.fromkeys(spot.line for spot in spots):
        before, count = _plain(line) + "-", 0
        for spot in sorted((s for s in spots if s.line == line), key=lambda s: s.along_mm):
            stack = _stack_at(spot, layout)
            before, count = (f"at-{stack}", 0) if stack else (before, count + 1)
            joined = "+" if before.startswith("at-") and not stack else ""
            names[spot] = before if stack else f"{before}{joined}{count}"
    rows = []
    for spot in spots:
        why = " + ".join(reason for reason in REASONS if reason in spot.reasons)
        place = (spot.run, spot.line, spot.along_mm, spot.out_mm, spot.x_mm, spot.y_mm)
        rows.append((names[spot], *place, why))
    columns = ["point", "run", "line", "along_mm", "out_mm", "x_mm", "y_mm", "why"]
    return pd.DataFrame(rows, columns=columns)


def _stack_at(spot: Spot, layout: Layout) -> str:
    """Return the support that stands exactly at a place, empty where none does."""
    if "support" not in spot.reasons:
        return ""
    own = layout.on_bearer(spot.line)
    nearest = np.argmin(abs(own["own_x_mm"].to_numpy(dtype=float) - spot.along_mm))
    return str(own["support"].iloc[int(nearest)])


def _plain(line: str) -> str:
    """Return a line's name as it may begin a point's name: no sign that a spreadsheet would run."""
    return re.sub(r"^[^0-9a-z]+", "", line.replace(" ", "-").lower()) or "line"
