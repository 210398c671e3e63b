"""A surveyor's booking sheet: reduced both ways, checked three ways, closed and distributed.

Height of collimation H(k) of set-up k, and height h of a point that is read from it:

    H(k) = h(backsight point) + backsight,  h = H(k) - intermediate or foresight        (1)

Rise and fall, from each reading to the next of the same set-up:

    h(next) - h(this) = reading at this - reading at next                               (2)

Both are textbook levelling (common practice, no source) and must give the same heights.
"""

from __future__ import annotations

import math

import numpy as np
import pandas as pd

from kit.job.refusal import refuse
from kit.readings.allowance import CONSTRUCTION, Allowance, Closure
from kit.readings.booking_lines import READINGS, WRITTEN, Lines, checked_lines
from kit.readings.booking_sheet import BookingSheet
from kit.readings.booking_slips import exact, written_slips
from kit.readings.equations import Floats


def reduce_booking(
    lines: Lines,
    start_mm: float,
    close_mm: float | None = None,
    sd_mm: float = 0.5,
    *,
    allowance: Allowance = CONSTRUCTION,
    length_km: float = float("nan"),
    name: str = "booking sheet",
) -> BookingSheet:
    """Reduce a booking sheet, check it, and distribute an allowed misclosure by set-up.

    Parameters
    ----------
    lines : DataFrame or sequence of BookingLine
        The sheet; see `BookingLine` for its columns.
    start_mm : float
        Known height of the first point [mm].
    close_mm : float, optional
        Known height of the last point [mm]. Without it the sheet is open, unless it ends on the
        point on which it began.
    sd_mm : float
        Standard deviation of one reading [mm].
    allowance : Allowance
        How much misclosure is distributed.
    length_km : float
        Length of the line [km], for allowances by length.
    name : str
        What the sheet is called in messages.

    Returns
    -------
    BookingSheet
        Height by Eq. (1) and (2); correction of each point read from set-up k of n:
        -misclosure·k/n, Eq. (3) (as in the worked sheet of civil.eng.usm.my, FYPGeomatik,
        JSSUAE1). A misclosure beyond the allowance is never distributed.

    Raises
    ------
    Refusal
        If the lines cannot be a booking sheet, each fault named by its row; or a height, sd or
        length cannot be.
    """
    sheet = checked_lines(lines, name)
    known = _known(sheet, start_mm, close_mm, name)
    if not (math.isfinite(sd_mm) and sd_mm > 0):
        raise refuse(f"{name}, sd_mm", f"{sd_mm:g}", "above 0 mm")
    reduced = _reduced(sheet, start_mm)
    setups = int(sheet["setup"].iloc[-1])
    found = float(reduced["height_mm"].iloc[-1])
    closure = Closure(found, known, setups, sd_mm, allowance, length_km)
    share = reduced["setup"].to_numpy(dtype=float) * _moves(len(reduced))
    correction = closure.per_setup_mm * share + 0.0  # Eq. (3)
    written = sheet[list(WRITTEN)]
    table = reduced.assign(
        correction_mm=correction,
        adjusted_mm=reduced["height_mm"] + correction,
        sd_mm=_height_sd(reduced, closure),
    )
    return BookingSheet(name, table, written, written_slips(table, written), closure)


def _known(sheet: pd.DataFrame, start_mm: float, close_mm: float | None, name: str) -> float:
    """Return the known height of the last point; nan where there is none."""
    if not math.isfinite(start_mm):
        raise refuse(f"{name}, start_mm", f"{start_mm:g}", "the known height of the first point")
    first, last = sheet["point"].iloc[[0, -1]]
    if close_mm is None:
        return start_mm if first == last else math.nan
    if not math.isfinite(close_mm):
        raise refuse(f"{name}, close_mm", f"{close_mm:g}", "a height [mm], or none at all")
    if first == last and close_mm != start_mm:
        found = f"{exact(close_mm)} mm for {last}, from which the sheet starts at"
        raise refuse(f"{name}, close_mm", f"{found} {exact(start_mm)} mm", "one height a point")
    return close_mm


def _moves(count: int) -> Floats:
    """Return 1 for each line but the first, which keeps its known height."""
    return np.asarray(np.minimum(np.arange(count), 1), dtype=float)


def _reduced(sheet: pd.DataFrame, start_mm: float) -> pd.DataFrame:
    collimation, height = _by_collimation(sheet, start_mm)
    rise = _rises(sheet)
    return pd.DataFrame(
        {
            **sheet[["row", "point", "setup", *READINGS]],
            "rise_mm": rise.where(rise >= 0),
            "fall_mm": (-rise).where(rise < 0),
            "collimation_mm": collimation,
            "height_mm": height,
            "by_rise_and_fall_mm": start_mm + rise.fillna(0.0).cumsum(),
        }
    )


def _by_collimation(sheet: pd.DataFrame, start_mm: float) -> tuple[list[float], list[float]]:
    collimation, height = math.nan, start_mm
    collimations, heights = [], []
    for back, down in zip(sheet["backsight_mm"], sheet["down_mm"], strict=True):
        height = height if math.isnan(collimation) else collimation - down  # Eq. (1)
        collimation = collimation if math.isnan(back) else height + back  # Eq. (1)
        collimations.append(collimation)
        heights.append(height)
    return collimations, heights


def _rises(sheet: pd.DataFrame) -> pd.Series[float]:
    before = sheet["backsight_mm"].fillna(sheet["down_mm"]).shift(1)
    return before - sheet["down_mm"]  # Eq. (2)


def _height_sd(reduced: pd.DataFrame, closure: Closure) -> Floats:
    """Return the sd of each adjusted height, by propagation of one sd a reading.

    A point of set-up k of n has the errors of the readings that lead to it less k/n of those of
    the whole line: each of the 2 k - 1 readings up to the backsight of its set-up counts
    1 - k/n, each of the 2 (n - k) after its set-up counts k/n; its own foresight counts 1 - k/n,
    or its intermediate 1 and the set-up's foresight k/n. Where nothing is distributed the same
    with 0 in place of k/n.
    """
    k, n = reduced["setup"].to_numpy(dtype=float), closure.setups
    share = k / n if closure.within else np.zeros_like(k)
    between = reduced["intermediate_mm"].notna().to_numpy(dtype=bool)
    own = np.where(between, share**2 + 1, (1 - share) ** 2)
    variance = (2 * k - 1) * (1 - share) ** 2 + 2 * (n - k) * share**2 + own
    return np.asarray(closure.sd_mm * np.sqrt(variance) * _moves(len(k)), dtype=float)


def staff_readings(lines: Lines, name: str = "booking sheet") -> pd.DataFrame:
    """Return the readings of a booking sheet as staff readings, set-up by set-up.

    Parameters
    ----------
    lines : DataFrame or sequence of BookingLine
        The sheet.
    name : str
        What it is called in messages.

    Returns
    -------
    DataFrame
        ``row``, ``point``, ``setup`` ("1", "2", ...), ``observed_mm``, in the order of the
        sheet; a change point stands there twice, read from the old and from the new set-up.

    Raises
    ------
    Refusal
        If the lines cannot be a booking sheet, each fault named by its row.
    """
    sheet = checked_lines(lines, name)
    begun = sheet["backsight_mm"].notna().cumsum()
    parts = [
        pd.DataFrame(
            {
                "row": sheet["row"],
                "point": sheet["point"],
                "setup": setup.astype(str),
                "observed_mm": sheet[column],
            }
        )
        for column, setup in (("down_mm", sheet["setup"]), ("backsight_mm", begun))
    ]
    readings = pd.concat(parts).dropna(subset=["observed_mm"])
    return readings.sort_index(kind="stable").reset_index(drop=True)
