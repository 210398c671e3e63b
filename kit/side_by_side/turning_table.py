"""All turning points as one table."""

from __future__ import annotations

import math
from collections.abc import Iterable

import pandas as pd

from kit.side_by_side.turning import Sweep, Turning


def turning_table(sweeps: Iterable[Sweep]) -> pd.DataFrame:
    """Return all turning points, one row a setting and measure.

    Returns
    -------
    DataFrame
        first_base, second_base, setting, unit, now, measure, measure_unit, better_now, last
        (value), last_first_base, last_second_base, turned (value), turned_first_base,
        turned_second_base, supports_first_base, supports_second_base (there), until (value, the
        last position looked at where it still is so), better_then, searched_from, searched_to,
        why. Empty from ``last`` on where it turns nowhere.
    """
    return pd.DataFrame([_row(one) for sweep in sweeps for one in sweep.turnings], columns=_TABLE)


_TABLE = [
    "first_base", "second_base", "setting", "unit", "now", "measure", "measure_unit",
    "better_now", "last", "last_first_base", "last_second_base", "turned", "turned_first_base",
    "turned_second_base", "supports_first_base", "supports_second_base", "until", "better_then",
    "searched_from", "searched_to", "why",
]  # fmt: skip


def _row(one: Turning) -> tuple[object, ...]:
    setting = one.setting
    found: tuple[object, ...] = (math.nan,) * 9
    if one.turns:
        figures = [
            figure
            for stop in (one.last, one.first)
            for figure in (stop.value, stop.a.value(one.key), stop.b.value(one.key))
        ]
        supports = one.first.a.supports, one.first.b.supports
        found = (*figures, *supports, one.until.value)
    return (
        *one.names,
        setting.words, setting.unit, setting.now, one.measure, one.unit, one.winner_now, *found,
        one.winner_beyond, setting.low, setting.high, one.why,
    )  # fmt: skip
