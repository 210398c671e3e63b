"""One figure by which two bases are compared, and in which order all of them are told."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

#: What is better of a measure: less of it, more of it, or neither by itself.
Better = Literal["less", "more", ""]

#: Figures that are sums of the same terms miss each other by less than this.
ROUND_OFF = 1e-9

#: Keys of the measures that are money.
COSTS = ("cost", "cost_and_labour")


@dataclass(frozen=True)
class Measure:
    """One figure of one base.

    Parameters
    ----------
    key : str
        What it is called in code; those of `kit.side_by_side.measures.drawn_measures` are worked
        out on drawn floors too.
    measure : str
        What it is called in words.
    unit : str
        Its unit; empty for a count.
    value : float
        nan where it is not known.
    better : {"less", "more", ""}
        Which way is better; empty where neither is by itself.
    least : float
        The smallest difference that counts, in its unit.
    why_unknown : str
        Why the value is nan; empty where it is not.
    basis : str
        On what it is reckoned, where that differs between bases: two figures on different bases
        are told, and neither is called better.
    open : tuple of str
        What could not be checked and might make it worse: it wins over none that has that closed.
    """

    key: str
    measure: str
    unit: str
    value: float
    better: Better = ""
    least: float = 0.0
    why_unknown: str = ""
    basis: str = ""
    open: tuple[str, ...] = ()

    @property
    def known(self) -> bool:
        """Whether there is a figure."""
        return not math.isnan(self.value)


def count(key: str, measure: str, value: int, better: Better = "less") -> Measure:
    """Return a count; less is better unless said otherwise."""
    return Measure(key, measure, "", float(value), better)


def missing(measure: Measure) -> Measure:
    """Return a measure that a base does not have, beside one that the other has."""
    why = "this base has nothing of the kind to check"
    return replace(measure, value=math.nan, why_unknown=why, open=())


#: All keys but those of single margins, which stand after the least of them.
KEYS = (
    "built", "lowest_top_mm", "highest_top_mm", "heights_mm", "top_mm", "things", "packers",
    "feet", "timber_m", "bags", "compound_l", "cost", "cost_and_labour", "hours", "days",
    "level_error_mm", "lean_mm", "wind_mm", "gap_mm", "idle", "reaction_N", "least_margin",
    "floor_screws", "room_mm", "fixing_m", "up_mm", "down_mm", "mass_kg", "refer", "fail",
    "not_checked",
)  # fmt: skip

_PLACE = {key: place for place, key in enumerate(KEYS)}


def in_order(keys: Iterable[str]) -> list[str]:
    """Return keys in the order in which measures are always told: margins by name."""
    return sorted(keys, key=lambda key: (_PLACE.get(key, _PLACE["least_margin"]), key))
