"""Numbers under ``_mm`` that look like metres: a floor a thousand times smaller."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from kit.job.refusal import refuse
from kit.readings.equations import Floats

#: A whole survey within this square was booked in metres [mm].
LEAST_EXTENT_MM = 100.0

#: Places this far apart are not level to `LEAST_SPREAD_MM` (common practice, no source) [mm].
LEAST_SPAN_MM = 500.0

#: No floor is level to this, nor are its readings booked finer (common practice, no source) [mm].
LEAST_SPREAD_MM = 0.1

#: A staff reading in metres stays below this number.
LONGEST_STAFF_M = 10.0


def refuse_metre_places(survey: str, readings: pd.DataFrame) -> None:
    """Refuse a whole survey within 100 mm; all readings at one place may be a repeated one.

    Parameters
    ----------
    survey : str
        The file, for the message.
    readings : DataFrame
        ``x_mm, y_mm``, from columns in millimetres.
    """
    extent = _extent(readings)
    if (extent == 0).all() or (extent > LEAST_EXTENT_MM).any():
        return
    raise refuse(
        f"{survey}, columns x_mm and y_mm",
        f"a whole survey within {extent[0]:g} by {extent[1]:g} mm, which looks like metres",
        "places in millimetres (metres times 1000), or titles that say metres: x_m and y_m",
    )


def refuse_metre_staff(survey: str, readings: pd.DataFrame) -> None:
    """Refuse staff readings in metres, set-up by set-up: set-ups stand at different heights.

    Parameters
    ----------
    survey : str
        The file, for the message.
    readings : DataFrame
        ``setup, x_mm, y_mm, observed_mm``, from a column in millimetres.
    """
    for setup, group in readings.groupby("setup", sort=False):
        observed = group["observed_mm"].to_numpy(dtype=float)
        if observed.max() < LONGEST_STAFF_M and _level_beyond_belief(group):
            raise _metres(survey, f"reading_mm, set-up {setup}", "readings", observed)


def refuse_metre_heights(survey: str, column: str, readings: pd.DataFrame) -> None:
    """Refuse heights in metres; a floor whose heights are all the same number is let pass.

    Parameters
    ----------
    survey, column : str
        File and column, for the message.
    readings : DataFrame
        ``x_mm, y_mm, observed_mm``, from a column in millimetres.
    """
    observed = readings["observed_mm"].to_numpy(dtype=float)
    if np.ptp(observed) > 0 and _level_beyond_belief(readings):
        raise _metres(survey, column, "heights", observed)


def refuse_metre_packers(survey: str, column: str, packer_mm: Sequence[float]) -> None:
    """Refuse packers in metres: no packer is thinner than 0.1 mm (common practice, no source).

    Parameters
    ----------
    survey, column : str
        File and column, for the message.
    packer_mm : (n,) sequence of float
        What lay under the level, from a column in millimetres.
    """
    _refuse_all_thin(survey, column, "packers", packer_mm)


def refuse_metre_gaps(survey: str, column: str, gap_mm: Sequence[float]) -> None:
    """Refuse gaps in metres: no gauge reads less than 0.1 mm under a straight edge.

    Parameters
    ----------
    survey, column : str
        File and column, for the message.
    gap_mm : (n,) sequence of float
        Gaps below the edge, from a column in millimetres.

    Notes
    -----
    Common practice, no source.
    """
    _refuse_all_thin(survey, column, "gaps", gap_mm)


def _refuse_all_thin(survey: str, column: str, what: str, values: Sequence[float]) -> None:
    observed = np.asarray(values, dtype=float)
    if 0 < observed.max() < LEAST_SPREAD_MM:
        low, high = observed.min(), observed.max()
        raise refuse(
            f"{survey}, column {column}",
            f"{what} from {low:g} to {high:g} mm, which look like metres",
            f"{what} in millimetres (metres times 1000)",
        )


def _level_beyond_belief(readings: pd.DataFrame) -> bool:
    """Tell whether readings over a wide floor agree to 0.1 mm and are booked finer than that."""
    observed = readings["observed_mm"].to_numpy(dtype=float)
    tenths = np.round(observed * 10)
    # Metres to a tenth of a unit would be no levelling: these are millimetres.
    if np.allclose(observed * 10, tenths, rtol=0, atol=1e-6):
        return False
    return bool(np.ptp(observed) < LEAST_SPREAD_MM and np.hypot(*_extent(readings)) > LEAST_SPAN_MM)


def _extent(readings: pd.DataFrame) -> Floats:
    places = readings[["x_mm", "y_mm"]].to_numpy(dtype=float)
    return np.asarray(places.max(axis=0) - places.min(axis=0))


def _metres(survey: str, column: str, what: str, observed: Floats) -> Exception:
    low, high = observed.min(), observed.max()
    found = f"{what} from {low:g} to {high:g} mm on a wide floor, which look like metres"
    allowed = f"{what} in millimetres (metres times 1000), or a title that says metres"
    return refuse(f"{survey}, column {column}", found, allowed)
