"""Whether a pour is right in depth though the floor is not known exactly, and what to do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import pandas as pd

from kit.base.checks import CLOSED_MM, Check
from kit.base.datum import Datum
from kit.base.sure import Sure, greatest_sure, least_sure
from kit.job import Compound

SURE_DEPTH = "least depth of compound, 95 of 100 floors"
SURE_DEEPEST = "greatest depth of compound, 95 of 100 floors"

_ELSE = "Read that place again, or take another compound or another way of building."


@dataclass(frozen=True)
class SurePour:
    """Both ends of a pour's depth by 95 of 100 floors.

    Parameters
    ----------
    least, greatest : Sure
        At the places where they are worst.
    zones : tuple of str
        In which zone those lie.
    missing_mm, too_deep_mm : float
        By how much they pass what the maker allows; up to 0 where they do not [mm].
    room_mm : float
        How much higher may be poured: within what is asked for, the ceiling, and the greatest
        depth of 95 of 100 floors; below 0 where that is passed already [mm].
    """

    least: Sure
    greatest: Sure
    zones: tuple[str, str]
    missing_mm: float
    too_deep_mm: float
    room_mm: float

    @property
    def too_thin(self) -> bool:
        """Whether the least depth may be missed."""
        return self.missing_mm > CLOSED_MM

    @property
    def too_deep(self) -> bool:
        """Whether the greatest depth may be passed."""
        return self.too_deep_mm > CLOSED_MM

    @property
    def higher_helps(self) -> bool:
        """Whether a higher pour is deep enough and nowhere too deep."""
        return self.too_thin and self.missing_mm <= self.room_mm + CLOSED_MM


def sure_pour(compound: Compound, known: pd.DataFrame, datum: Datum) -> SurePour:
    """Find both ends of a pour's depth.

    Parameters
    ----------
    compound : Compound
        The least and greatest depth that its maker allows.
    known : DataFrame
        The floor under the pour: bearer (the zone), height_mm, sd_mm.
    datum : Datum
        Its surface, and how high that may lie.
    """
    depth = datum.datum_mm - known["height_mm"].to_numpy(dtype=float)
    sd = known["sd_mm"].to_numpy(dtype=float)
    least, greatest = least_sure(depth, sd), greatest_sure(depth, sd)
    zones = known["bearer"].iloc[[least.at, greatest.at]]
    too_deep = greatest.value_mm - compound.greatest_mm
    return SurePour(
        least,
        greatest,
        (str(zones.iloc[0]), str(zones.iloc[1])),
        compound.least_mm - least.value_mm,
        too_deep,
        min(datum.window.high.datum_mm - datum.datum_mm, -too_deep),
    )


def doubt_checks(compound: Compound, sure: SurePour) -> Iterator[Check]:
    """Yield whether 95 of 100 floors keep the least depth, and the greatest."""
    thin = "compound.least_mm, at the place where the floor may stand highest"
    if sure.higher_helps:
        thin += f"; {sure.missing_mm:.1f} mm more of height_mm make it as sure"
    deep = "compound.greatest_mm, at the place where the floor may lie lowest"
    (high, low), limits = sure.zones, (compound.least_mm, compound.greatest_mm)
    verdicts = ["refer" if bad else "ok" for bad in (sure.too_thin, sure.too_deep)]
    yield Check(SURE_DEPTH, high, sure.least.value_mm, limits[0], "mm", verdicts[0], thin)
    yield Check(SURE_DEEPEST, low, sure.greatest.value_mm, limits[1], "mm", verdicts[1], deep)


def doubt_cautions(compound: Compound, sure: SurePour) -> Iterator[str]:
    """Say that the pour may be too thin or too deep somewhere, and what can be done."""
    if sure.too_thin:
        higher = f"Pour {sure.missing_mm:.1f} mm higher, or read that place again."
        yield (
            f"The floor is not known exactly: where it may stand highest ({sure.zones[0]}) 5 of 100"
            f" floors that fit the readings leave {sure.least.value_mm:.1f} mm of compound or less,"
            f" and its maker wants {compound.least_mm:g} mm."
            f" {higher if sure.higher_helps else _ELSE}"
        )
    if sure.too_deep:
        yield (
            f"The floor is not known exactly: where it may lie lowest ({sure.zones[1]}) 5 of 100"
            f" floors that fit the readings take {sure.greatest.value_mm:.1f} mm of compound or"
            f" more, and its maker allows {compound.greatest_mm:g} mm. {_ELSE}"
        )
