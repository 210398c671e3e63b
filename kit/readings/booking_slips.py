"""What a person worked out on a booking sheet, held against what the readings give."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

#: What is written may differ from what the readings give by this much, for rounding [mm].
WRITTEN_WITHIN_MM = 0.05

#: Results agree where they differ by less: sums of thousands of readings round to less [mm].
ROUNDING_MM = 1e-6


@dataclass(frozen=True)
class Arithmetic:
    """The three-way check: three sums that must be one number.

    Sum of backsights - sum of foresights = sum of rises - sum of falls = last height - first.

    Parameters
    ----------
    backsights_mm, foresights_mm : float
        Sums of the readings [mm].
    rises_mm, falls_mm : float
        Sums of rises and falls [mm]; nan where none is written.
    first_mm, last_mm : float
        First and last height [mm]; ``last_mm`` is nan where it is not written.
    within_mm : float
        How far the three may differ [mm].

    Notes
    -----
    Common practice, no source.
    """

    backsights_mm: float
    foresights_mm: float
    rises_mm: float
    falls_mm: float
    first_mm: float
    last_mm: float
    within_mm: float = ROUNDING_MM

    @property
    def by_readings_mm(self) -> float:
        """Sum of backsights less sum of foresights [mm]."""
        return self.backsights_mm - self.foresights_mm

    @property
    def by_rises_mm(self) -> float:
        """Sum of rises less sum of falls [mm]; nan where none is written."""
        return self.rises_mm - self.falls_mm

    @property
    def by_heights_mm(self) -> float:
        """Last height less first [mm]; nan where the last is not written."""
        return self.last_mm - self.first_mm

    @property
    def complete(self) -> bool:
        """Whether all three numbers are there."""
        return math.isfinite(self.by_rises_mm + self.by_heights_mm)

    @property
    def ok(self) -> bool:
        """Whether those that are there agree."""
        others = (self.by_rises_mm, self.by_heights_mm)
        apart = [abs(v - self.by_readings_mm) for v in others if math.isfinite(v)]
        return all(gap <= self.within_mm for gap in apart)

    @property
    def words(self) -> str:
        """The three numbers and whether they agree."""
        parts = {
            "backsights less foresights": self.by_readings_mm,
            "rises less falls": self.by_rises_mm,
            "last height less first": self.by_heights_mm,
        }
        said = (
            f"{name} {exact(mm)} mm" if math.isfinite(mm) else f"{name} not written"
            for name, mm in parts.items()
        )
        return ", ".join(said)


def exact(mm: float) -> str:
    """Return a sum of readings as it was booked, without the last bits of a double."""
    return f"{round(mm, 6) + 0.0:.12g}"


def written_arithmetic(lines: pd.DataFrame, written: pd.DataFrame) -> Arithmetic:
    """Return the three-way check of what is written on a sheet.

    Parameters
    ----------
    lines : DataFrame
        What the readings give: ``backsight_mm, foresight_mm, rise_mm, fall_mm, height_mm``.
    written : DataFrame
        ``rise_mm, fall_mm, height_mm`` as written, line by line; nan where nothing is.

    Returns
    -------
    Arithmetic
        Rises and falls that are not written are those of the readings, and so is the first
        height; all of them nan where no rise or fall is written, and the last height where it is
        not.
    """
    step = written[["rise_mm", "fall_mm"]]
    stands = step.notna().any(axis=1)
    rises, falls = (
        float(step[side].where(stands, lines[side]).sum()) if stands.any() else math.nan
        for side in ("rise_mm", "fall_mm")
    )
    first = written["height_mm"].iloc[0]
    return Arithmetic(
        float(lines["backsight_mm"].sum()),
        float(lines["foresight_mm"].sum()),
        rises,
        falls,
        float(lines["height_mm"].iloc[0] if np.isnan(first) else first),
        float(written["height_mm"].iloc[-1]),
        WRITTEN_WITHIN_MM,
    )


def written_slips(lines: pd.DataFrame, written: pd.DataFrame) -> pd.DataFrame:
    """Return what is written on a sheet and is not what the readings give.

    Parameters
    ----------
    lines : DataFrame
        What the readings give: ``row, point, rise_mm, fall_mm, collimation_mm, height_mm``.
    written : DataFrame
        The last four as written, line by line; nan where nothing is.

    Returns
    -------
    DataFrame
        ``row``, ``point``, ``column``, ``written_mm``, ``readings_mm`` (negative for a rise where
        the readings give a fall, and the other way round), ``likely`` (the slip it looks like).
    """
    columns = ["row", "point", "column", "written_mm", "readings_mm", "likely"]
    rise = lines["rise_mm"].fillna(-lines["fall_mm"])
    found = pd.DataFrame(
        {"rise_mm": rise, "fall_mm": -rise, **lines[["height_mm", "collimation_mm"]]}
    )
    steps = _Steps(rise.tolist(), _written_step(lines["height_mm"], written["height_mm"]))
    carried: dict[float, int] = {}
    slips = []
    for i, column, stands, gives in _disagreeing(found, written):
        row = int(lines["row"].iloc[i])
        likely = steps.turned(i, column) or _likely(stands, gives, carried)
        if column in {"height_mm", "collimation_mm"}:
            carried.setdefault(round(stands - gives, 1), row)
        slips.append((row, lines["point"].iloc[i], column, stands, gives, likely))
    return pd.DataFrame(slips, columns=columns)


def _written_step(height: pd.Series[float], written: pd.Series[float]) -> list[float]:
    """Return by how much each written height is above the one before it."""
    before = written.fillna(height).shift(1)
    return (written - before).tolist()


@dataclass(frozen=True)
class _Steps:
    """By how much each line is above the one before it: by the readings, and as written."""

    by_readings_mm: list[float]
    written_mm: list[float]

    def turned(self, line: int, column: str) -> str:
        """Return the words for a rise booked as a fall, or the other way round; else nothing."""
        rise = self.by_readings_mm[line]
        named = {"rise_mm": rise < 0, "fall_mm": rise > 0}
        stands = self.written_mm[line] + rise
        height = column == "height_mm" and abs(stands) <= WRITTEN_WITHIN_MM and rise != 0
        if not named.get(column, height):
            return ""
        return "a rise booked as a fall" if rise > 0 else "a fall booked as a rise"


def _disagreeing(
    found: pd.DataFrame, written: pd.DataFrame
) -> Iterator[tuple[int, str, float, float]]:
    """Yield line, column, what is written and what the readings give, in the order of writing."""
    columns = list(found.columns)
    stands = written[columns].to_numpy(dtype=float)
    gives = found.to_numpy(dtype=float)
    # A nought under "rise" beside a fall, or on the first line, is an empty cell.
    nought = (stands == 0) & ~(gives > 0) & np.isin(columns, ["rise_mm", "fall_mm"])
    agree = np.abs(stands - gives) <= WRITTEN_WITHIN_MM
    wrong = ~(np.isnan(stands) | nought | agree)
    for i, j in np.argwhere(wrong).tolist():
        yield i, columns[j], float(stands[i, j]), float(gives[i, j])


def _likely(stands: float, gives: float, carried: dict[float, int]) -> str:
    if math.isnan(gives):
        return "nothing is read before the first line"
    off = stands - gives
    row = carried.get(round(off, 1))
    if row is not None:
        return f"off by {exact(off)} mm like row {row}, from which it may be carried on"
    if sorted(exact(stands)) == sorted(exact(gives)):
        return "two figures changed over"
    if _one_figure(abs(off)):
        return f"one figure wrong: off by {exact(off)} mm"
    return f"off by {exact(off)} mm"


def _one_figure(off_mm: float) -> bool:
    """Tell whether a number is one figure and noughts, as when one figure is miswritten."""
    return len(exact(off_mm).replace(".", "").strip("0")) == 1


def slip_words(slip: dict[str, object]) -> str:
    """Return a sentence for one row of `written_slips`."""
    stands, gives = float(str(slip["written_mm"])), float(str(slip["readings_mm"]))
    column = str(slip["column"]).removesuffix("_mm")
    given = "nothing" if math.isnan(gives) else f"{exact(gives)} mm"
    if column in {"rise", "fall"} and gives < 0:
        given = f"a {'fall' if column == 'rise' else 'rise'} of {exact(-gives)} mm"
    return (
        f"Row {slip['row']} ({slip['point']}), {column}: {exact(stands)} mm stands there, the"
        f" readings give {given}: {slip['likely']}."
    )
