"""Readings on the finished base: the tables that ``[as_built]`` names, with places from the plan.

They are tables of the same kinds as the floor's. A point that is named like a support stands where
the plan has that support, so that a table without places will do.
"""

from __future__ import annotations

from pathlib import Path

import pandas as pd

from kit.job.model import AsBuilt
from kit.readings import KnownPlaces, Readings, read_tables


def read_tops(folder: Path, as_built: AsBuilt, known: pd.DataFrame) -> Readings:
    """Return what was read on the finished base.

    Parameters
    ----------
    folder : Path
        The job's, which holds the tables.
    as_built : AsBuilt
        Names the tables.
    known : DataFrame
        Places that a table need not give: point, x_mm, y_mm.

    Returns
    -------
    Readings
        As of `kit.readings.read_tables`, one table a survey. Heights that agree to a tenth of a
        millimetre are let pass where the plan places them: a finished base may be so level.

    Raises
    ------
    Refusal
        As `kit.readings.read_tables`; problems of a key are told under ``as_built.survey``.
    """
    plan = KnownPlaces(
        "the plan",
        known,
        "no place for it in any table, and no support of that name in the plan",
        "the name of a support, or x_mm and y_mm",
    )
    return read_tables(folder, as_built.surveys, "as_built.", plan)
