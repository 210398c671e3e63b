"""How far a setting can be turned before a base passes a limit of what carries it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import pandas as pd

from kit.side_by_side.position import Setting
from kit.side_by_side.stop import Side, Stop

#: The measure that is positive while every limit that could be checked is kept.
MARGIN = "least_margin"


@dataclass(frozen=True, eq=False)
class Limit:
    """Where one base passes a limit of what carries it.

    Parameters
    ----------
    setting : Setting
        What is turned.
    name : str
        Of the base.
    within, beyond : tuple of float
        The two positions between which it passes it, and the least margin at each
        [% of limit]: 0 or more, and less than 0.
    """

    setting: Setting
    name: str
    within: tuple[float, float]
    beyond: tuple[float, float]


def limits_of(
    setting: Setting,
    names: tuple[str, str],
    places: Sequence[float],
    at: Callable[[float], Stop],
    close: float,
) -> tuple[Limit, ...]:
    """Find where either base passes a limit.

    Parameters
    ----------
    setting, names : Setting, tuple of str
        What is turned, and the bases' names.
    places : sequence of float
        Positions to look at, ascending.
    at : callable
        Solves both bases at a position.
    close : float
        How near the two positions of a limit are brought.

    Returns
    -------
    tuple of Limit
        None for a setting that decides no margin; of a base that cannot be built at a position,
        or of which nothing that carries could be checked, nothing is said there.
    """
    if MARGIN not in setting.criteria:
        return ()
    return tuple(
        limit
        for name, side in zip(names, ("a", "b"), strict=True)
        for limit in _of_side(setting, name, places, _margin_at(at, side), close)
    )


def _margin_at(at: Callable[[float], Stop], side: str) -> Callable[[float], float]:
    def margin(value: float) -> float:
        found: Side = getattr(at(value), side)
        return found.value(MARGIN)

    return margin


def _of_side(
    setting: Setting,
    name: str,
    places: Sequence[float],
    margin: Callable[[float], float],
    close: float,
) -> Iterator[Limit]:
    for low, high in pairwise(places):
        ends = margin(low), margin(high)
        if min(ends) < 0 <= max(ends):  # never where one is not known
            kept, passed = (low, high) if ends[0] >= 0 else (high, low)
            while abs(kept - passed) > close:
                middle = (kept + passed) / 2
                kept, passed = (middle, passed) if margin(middle) >= 0 else (kept, middle)
            yield Limit(setting, name, (kept, margin(kept)), (passed, margin(passed)))


def limit_table(limits: Iterable[Limit]) -> pd.DataFrame:
    """Return all limits: base, setting, unit, now, within, its margin, beyond, its margin."""
    rows = [
        (one.name, one.setting.words, one.setting.unit, one.setting.now, *one.within, *one.beyond)
        for one in limits
    ]
    columns = [
        "base", "setting", "unit", "now", "within", "margin_within_percent", "beyond",
        "margin_beyond_percent",
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=columns)
