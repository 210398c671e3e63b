"""The lines of a surveyor's booking sheet, looked through before anything is reduced."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import astuple, dataclass, fields

import numpy as np
import pandas as pd

from kit.job.refusal import refuse
from kit.readings.faults import Faults
from kit.readings.metres import LONGEST_STAFF_M

READINGS = ("backsight_mm", "intermediate_mm", "foresight_mm")
WRITTEN = ("rise_mm", "fall_mm", "collimation_mm", "height_mm")

_NAN = float("nan")

#: What a line may hold, by which of backsight, intermediate and foresight stand on it.
_KINDS = {
    (True, False, False): "backsight",
    (False, True, False): "intermediate",
    (False, False, True): "foresight",
    (True, False, True): "change",
}


@dataclass(frozen=True)
class BookingLine:
    """One line of a booking sheet; nan where nothing stands.

    Parameters
    ----------
    point : str
        Where the staff stood.
    backsight_mm : float
        First reading of a set-up, to a point whose height is known by then [mm].
    intermediate_mm : float
        Reading between the first and the last of a set-up [mm].
    foresight_mm : float
        Last reading of a set-up [mm]; a line with a backsight as well is a change point.
    row : int
        Row of the file; 0 if it comes from none, then lines are counted from 1.
    rise_mm, fall_mm, collimation_mm, height_mm : float
        What the person worked out on the sheet: rise or fall from the reading before, height of
        collimation of the set-up (the new one at a change point), reduced height [mm].
    """

    point: str
    backsight_mm: float = _NAN
    intermediate_mm: float = _NAN
    foresight_mm: float = _NAN
    row: int = 0
    rise_mm: float = _NAN
    fall_mm: float = _NAN
    collimation_mm: float = _NAN
    height_mm: float = _NAN


Lines = pd.DataFrame | Sequence[BookingLine]


def checked_lines(lines: Lines, name: str) -> pd.DataFrame:
    """Return the lines as a table, once they can be reduced.

    Parameters
    ----------
    lines : DataFrame or sequence of BookingLine
        Columns or fields as in `BookingLine`; a DataFrame may lack all but ``point``,
        ``backsight_mm`` and ``foresight_mm``.
    name : str
        What the sheet is called in messages.

    Returns
    -------
    DataFrame
        ``row``, ``point``, the three readings, the four written columns (nan where nothing
        stands), ``down_mm`` (the intermediate or foresight) and ``setup`` (1, 2, ...: the set-up
        from which the line's height is read; the first line's is 1).

    Raises
    ------
    Refusal
        With every fault, each named by its row.
    """
    frame = _frame(lines, name)
    faults = Faults(name)
    if len(frame) < 2:
        faults.add(name, f"{len(frame)} lines" if len(frame) != 1 else "1 line", "two or more")
    faults.stop()
    _cells(frame, faults)
    faults.stop()
    _order(frame, faults)
    faults.stop()
    _metres(frame, name)
    backs = frame["backsight_mm"].notna().to_numpy(dtype=np.int64)
    return frame.assign(
        down_mm=frame["intermediate_mm"].fillna(frame["foresight_mm"]),
        setup=np.maximum(np.cumsum(backs) - backs, 1),
    )


def _frame(lines: Lines, name: str) -> pd.DataFrame:
    columns = [field.name for field in fields(BookingLine)]
    if not isinstance(lines, pd.DataFrame):
        return _numbered(pd.DataFrame([astuple(line) for line in lines], columns=columns))
    for column in ("point", "backsight_mm", "foresight_mm"):
        if column not in lines.columns:
            found = "the columns " + ", ".join(map(str, lines.columns))
            raise refuse(f"{name}, column {column}", found, "that column as well")
    return _numbered(lines.reindex(columns=columns).reset_index(drop=True))


def _numbered(frame: pd.DataFrame) -> pd.DataFrame:
    """Return the lines with a row each: counted from 1 where no file gives it."""
    rows = pd.to_numeric(frame["row"], errors="coerce").fillna(0).to_numpy(dtype=np.int64)
    counted = np.arange(1, len(rows) + 1)
    return frame.assign(row=np.where(rows > 0, rows, counted))


def _cells(frame: pd.DataFrame, faults: Faults) -> None:
    """Put numbers into the columns of a table of lines, and note what is none."""
    frame["point"] = ["" if pd.isna(p) else str(p).strip() for p in frame["point"]]
    for row, point in zip(frame["row"], frame["point"], strict=True):
        if not point:
            faults.add_cell(int(row), "point", "no name", "the name of the point")
    for column in (*READINGS, *WRITTEN):
        values = pd.to_numeric(frame[column], errors="coerce").astype(float)
        low = -np.inf if column in {"collimation_mm", "height_mm"} else 0.0
        wrong = (frame[column].notna() & values.isna()) | np.isinf(values) | (values < low)
        for i in np.flatnonzero(wrong.to_numpy(dtype=bool)):
            _wrong_cell(faults, int(frame["row"].iloc[i]), column, frame[column].iloc[i])
        frame[column] = values


def _wrong_cell(faults: Faults, row: int, column: str, found: object) -> None:
    allowed = {
        "rise_mm": "0 or more; what goes down stands under fall_mm",
        "fall_mm": "0 or more; what goes up stands under rise_mm",
        "collimation_mm": "a height [mm]",
        "height_mm": "a height [mm]",
    }.get(column, "0 or more; a staff held upside down is not booked here")
    text = f"{found:g} mm" if isinstance(found, int | float) else repr(found)
    faults.add_cell(row, column, text, allowed)


def _order(frame: pd.DataFrame, faults: Faults) -> None:
    """Note lines whose readings cannot follow each other."""
    last = len(frame) - 1
    held = frame[list(READINGS)].notna().to_numpy(dtype=bool)
    for i, stands in enumerate(held.tolist()):
        row = int(frame["row"].iloc[i])
        for found, allowed in _amiss(_KINDS.get(tuple(stands), ""), stands, i == 0, i == last):
            faults.add_cell(row, "", found, allowed)


def _amiss(kind: str, stands: list[bool], first: bool, last: bool) -> Iterator[tuple[str, str]]:
    if not any(stands):
        yield "no reading", "a line with a reading, or no line"
    elif not kind:
        on = " and ".join(_words(c) for c, yes in zip(READINGS, stands, strict=True) if yes)
        yield f"{on} on one line", "an intermediate sight on a line of its own"
    elif first and kind != "backsight":
        what = "no backsight" if kind != "change" else "a foresight with the first backsight"
        yield f"{what} on the first line", "a backsight alone, to the known height"
    elif last and not first and kind != "foresight":
        what = "a backsight after which nothing is read" if stands[0] else "no foresight"
        yield f"{what} on the last line", "a foresight, which closes the last set-up"
    elif not first and kind == "backsight":
        yield (
            "a backsight without a foresight",
            "both on one line: a change point is read from the old and from the new set-up",
        )
    elif not last and kind == "foresight":
        yield (
            "a foresight without a backsight before the last line",
            "both on one line: a change point is read from the old and from the new set-up",
        )


def _words(column: str) -> str:
    return f"{'an' if column[0] in 'aeiou' else 'a'} {column.removesuffix('_mm')}"


def _metres(frame: pd.DataFrame, name: str) -> None:
    readings = frame[list(READINGS)].to_numpy(dtype=float)
    high = float(np.nanmax(readings))
    if 0 < high < LONGEST_STAFF_M:
        found = f"readings from {np.nanmin(readings):g} to {high:g} mm, which look like metres"
        raise refuse(name, found, "readings in millimetres (metres times 1000)")
