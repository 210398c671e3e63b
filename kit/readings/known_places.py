"""Places that a table need not give, because its points are known by name."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd

from kit.job.refusal import Problem, Refusal
from kit.readings.survey import Readings
from kit.readings.table import no_places


@dataclass(frozen=True, eq=False)
class KnownPlaces:
    """Places that a table need not give, for its points are known by name.

    Parameters
    ----------
    source : str
        What they are taken from, as a person calls it.
    points : DataFrame
        point, x_mm, y_mm.
    absent, allowed : str
        Of a name that is not among them, and in no table: what a refusal says of it, and what
        would place it.
    """

    source: str
    points: pd.DataFrame = field(repr=False)
    absent: str
    allowed: str


#: Every place stands in a table.
NOWHERE_ELSE = KnownPlaces(
    "",
    pd.DataFrame({"point": np.array([], dtype=object), "x_mm": [], "y_mm": []}),
    "no place for it in any table",
    "a row with its x_mm and y_mm in the table named by points_file, or in another survey",
)


def with_known_places(readings: Readings, known: KnownPlaces) -> Readings:
    """Return the readings with the known place of every name that no table places.

    Raises
    ------
    Refusal
        If a name has no place at all.
    """
    places = readings.places
    unplaced = places["point"][places["x_mm"].isna()]
    stray = unplaced[~unplaced.isin(known.points["point"])]
    if len(stray):
        raise Refusal(*_no_place(readings, stray.tolist(), known))
    if unplaced.empty:
        return readings
    rows = known.points[known.points["point"].isin(unplaced)]
    taken = rows.assign(row=0, file=known.source)[list(no_places().columns)]
    first, *others = readings.tables
    parts = [part for part in (first.places, taken) if len(part)]
    return Readings((replace(first, places=pd.concat(parts, ignore_index=True)), *others))


def _no_place(readings: Readings, names: Sequence[str], known: KnownPlaces) -> Iterator[Problem]:
    for name in names:
        survey, row = _first_reading(readings, name)
        yield Problem(f"{survey}, row {row}, point {name}", known.absent, known.allowed)


def _first_reading(readings: Readings, name: str) -> tuple[str, int]:
    for table in readings.tables:
        rows = table.readings
        here = rows["point"] == name
        if "start" in rows.columns:
            here |= rows["start"] == name
        if here.any():
            return table.survey, int(rows["row"][here].iloc[0])
    raise LookupError(name)
