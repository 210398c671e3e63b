"""The stacks of a zone: where each stands, which packers it takes, what it weighs and takes."""

from __future__ import annotations

from collections import Counter

import pandas as pd

from kit.answer import Answer
from kit.job import refuse

#: Ways of building that have stacks of packers.
STACKED = ("packers", "stacks")
#: What is off by less comes of inches typed with four decimals: half a ten-thousandth [mm].
CLEAN_MM = 1.28e-3


def stacks_to_build(answer: Answer) -> pd.DataFrame:
    """Return one row a stack, as they are numbered.

    Parameters
    ----------
    answer : Answer
        A base on stacks of packers.

    Returns
    -------
    DataFrame
        ``support``, ``x_mm``, ``y_mm``, ``packers`` (printed sizes [mm] from the floor up, as in
        ``"18 6 1"``), ``pieces``, ``packing_mm`` (height of the stack), ``mass_kg``, ``minutes``
        (marking, laying, screwing, at the job's rates).

    Raises
    ------
    Refusal
        Where the base has no stacks.
    """
    if answer.base.method not in STACKED:
        found = f'method = "{answer.base.method}"'
        raise refuse(f'base "{answer.base.name}"', found, 'a base with stacks: "packers", "stacks"')
    laid = answer.stacks.sort_values(["support", "position"], kind="stable").groupby("support")
    out = answer.supports[["support", "x_mm", "y_mm"]].copy()
    out["packers"] = out["support"].map(laid["nominal_mm"].agg(sizes_text))
    out["pieces"] = out["support"].map(laid.size()).astype(int)
    out["packing_mm"] = out["support"].map(laid["thickness_mm"].sum())
    out["mass_kg"] = out["packing_mm"] * _kg_per_mm(answer)
    out["minutes"] = _minutes(answer, out)
    return out.reset_index(drop=True)


def sizes_text(sizes_mm: pd.Series[float]) -> str:
    """Return printed sizes in their order: ``"18 6 1"``."""
    return " ".join(f"{clean_mm(size)!r}".removesuffix(".0") for size in sizes_mm)


def clean_mm(size_mm: float) -> float:
    """Return a printed size to four digits after the point at most [mm].

    A twentieth of a millimetre where four decimals of an inch cannot tell it from what was typed:
    0.1969 in, which is 5.00126 mm, is 5 mm. No 64th of an inch is so near to one: 1/16 in stays
    1.5875 mm.
    """
    twentieths = round(round(size_mm * 20) / 20, 2)
    return twentieths if abs(twentieths - size_mm) <= CLEAN_MM else round(size_mm, 4)


def sizes_count(packers: pd.Series[str]) -> Counter[float]:
    """Return how many packers of each printed size [mm] some stacks take."""
    return Counter(float(size) for text in packers for size in text.split())


def _kg_per_mm(answer: Answer) -> float:
    """Return what a millimetre of packing weighs [kg]."""
    along, across = answer.job.stock.packer_size_mm
    return along * across / 1e6 * answer.job.stock.packer_kg_per_l


def _minutes(answer: Answer, stacks: pd.DataFrame) -> pd.Series[float]:
    rates = answer.job.rates
    driven = answer.screws.loc[answer.screws["length_mm"].notna(), "support"].value_counts()
    screws = stacks["support"].map(driven).fillna(0.0)
    return (
        rates.mark_support_min + stacks["pieces"] * rates.packer_min + screws * rates.screw_min
    ).astype(float)
