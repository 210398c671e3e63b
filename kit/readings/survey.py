"""What was measured: all tables together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import pandas as pd

from kit.readings.along import along_edge_m, span_m
from kit.readings.table import Table

#: Two places of one name may differ by this much [mm].
SAME_PLACE_MM = 1.0


@dataclass(frozen=True, eq=False)
class Readings:
    """What was measured: every table of the job, checked, in millimetres."""

    tables: tuple[Table, ...]

    @cached_property
    def places(self) -> pd.DataFrame:
        """Every point that is read, once, in order of first reading: ``point``, ``x_mm``, ``y_mm``.

        Where a name is booked at places up to 1 mm apart, the first place counts; nan where no
        table gives one.
        """
        read = list(dict.fromkeys(name for t in self.tables for name in _points(t.readings)))
        first = self.said_places.drop_duplicates("point").set_index("point")[["x_mm", "y_mm"]]
        placed = first.reindex(read)
        return placed.rename_axis("point").reset_index()

    @cached_property
    def said_places(self) -> pd.DataFrame:
        """Every place that any table gives: ``survey``, ``row``, ``point``, ``x_mm``, ``y_mm``."""
        columns = ["survey", "row", "point", "x_mm", "y_mm"]
        rows = [(t, rows) for t in self.tables for rows in (t.readings, t.left_out) if len(rows)]
        booked = [rows.assign(survey=t.survey)[columns] for t, rows in rows]
        listed = [t.places.rename(columns={"file": "survey"})[columns] for t in self.tables]
        parts = [part.dropna(subset=["x_mm", "y_mm"]) for part in (*booked, *listed)]
        said = [part for part in parts if len(part)]
        return pd.concat(said, ignore_index=True) if said else booked[0].iloc[:0]

    @cached_property
    def rows(self) -> pd.DataFrame:
        """All readings in one table, in the order of the tables.

        Beside the columns of `Table.readings`: ``table`` (its number), ``survey``, ``kind`` (a
        booking sheet's readings are staff readings), ``station`` (what the reading was taken
        from: the set-up, the placement, or the survey as a whole; unique) and ``station_name``
        (the same for people), ``span_m`` (length of a spirit level's reading) and ``along_m``
        (how far along the straight edge a gap lies, from the middle of its placement). Set-ups
        of two tables are two set-ups even under one name, unless the tables share a datum.
        """
        rows = pd.concat([_labelled(i, t) for i, t in enumerate(self.tables)], ignore_index=True)
        rows["station"] = rows["scope"] + "\n" + rows["setup"]
        short = rows["setup"].where(rows["setup"] != "", rows["scope"])
        shared = rows["station"].groupby(short).transform("nunique") > 1
        rows["station_name"] = short.where(~shared, short + " (" + rows["scope"] + ")")
        at = self.places.set_index("point")
        rows[["x_mm", "y_mm"]] = at.loc[rows["point"], ["x_mm", "y_mm"]].to_numpy()
        rows["span_m"] = span_m(rows, at)
        rows["along_m"] = along_edge_m(rows)
        return rows

    def without(self, numbers: Sequence[int]) -> Readings:
        """Return the readings without some of ``rows``, given by their place in it."""
        kept = np.setdiff1d(np.arange(len(self.rows)), np.asarray(numbers, dtype=np.int64))
        tables, start = [], 0
        for one in self.tables:
            count = len(one.readings)
            inside = kept[(kept >= start) & (kept < start + count)] - start
            some = one.readings.iloc[inside].reset_index(drop=True)
            extra = one.extra.iloc[inside].reset_index(drop=True)
            tables += [replace(one, readings=some, extra=extra)] if len(inside) else []
            start += count
        return Readings(tuple(tables))


def _labelled(number: int, one: Table) -> pd.DataFrame:
    kind = "staff" if one.kind == "booking" else one.kind
    scope = one.datum or one.survey
    rows = one.readings.assign(table=number, survey=one.survey, kind=kind, scope=scope)
    return rows if "start" in rows.columns else rows.assign(start="", turned=0.0)


def _points(readings: pd.DataFrame) -> list[str]:
    """Return the points of a table as they come; of a spirit level both ends."""
    if "start" not in readings.columns:
        return readings["point"].tolist()
    return readings[["start", "point"]].to_numpy().ravel().tolist()


def names_in_words(names: Sequence[str], most: int = 8) -> str:
    """Return names joined for a sentence, the first few only where there are many."""
    shown = ", ".join(names[:most])
    return f"{shown} and {len(names) - most} more" if len(names) > most else shown
