"""The room's results as tables, for files and for whoever reckons on."""

from __future__ import annotations

import math
from collections.abc import Mapping

import pandas as pd

from kit.strength.carry import Strength
from kit.strength.joists import NoJoists

REACTIONS = [
    "support", "bearer", "error_mm", "laid_N", "empty_N", "full_N", "idle", "gap_mm", "idle_share",
    "settlement_mm", "settlement_final_mm",
]  # fmt: skip
SPANS = ["bearer", "piece", "from_support", "to_support", "span_mm", "sag_mm"]
JOISTS = [
    "joist", "across_mm", "sag_final_mm", "sag_at_mm", "bending_ratio", "shear_ratio", "stacks",
]  # fmt: skip
UNITS = [
    "run", "unit", "lean_along_mm", "lean_out_mm", "lifted_lean_mm", "settled_lean_mm", "wind_mm",
    "door_taper_mm", "gap_after_mm", "diagonal_mm", "tips_empty_N", "tips_full_N",
    "slides_empty_N", "fixing_N", "settled_along_mm", "settled_wind_mm", "settled_door_taper_mm",
    "settled_gap_after_mm", "person_ratio",
]  # fmt: skip


def reaction_table(strength: Strength, idle_share: Mapping[str, float]) -> pd.DataFrame:
    """Return what each stack carries, one row a support, with the columns of `REACTIONS`.

    Parameters
    ----------
    strength : Strength
        From `kit.strength.carry.carry`.
    idle_share : mapping of str to float
        From `kit.strength.in_draws.idle_shares`.

    Returns
    -------
    DataFrame
        laid_N, empty_N, full_N: the bearer alone, the units on it, the units full; idle: whether
        a piece of bearer hangs over it though the units are full; gap_mm: the room over it then;
        idle_share: in which share of the floors that fit the readings it is so;
        settlement_mm: what its joists give at once, settlement_final_mm after creep, nan where
        that is not known.
    """
    joists = strength.joists
    settled = {} if isinstance(joists, NoJoists) else joists.stacks
    rows = []
    for one in strength.stacks:
        sag = settled.get(one.support)
        down = (sag.inst_mm, sag.final_mm) if sag else (math.nan, math.nan)
        forces = (one.laid_n, one.empty_n, one.full_n)
        idle = (one.idle, one.gap_mm, idle_share[one.support])
        rows.append((one.support, one.bearer, one.error_mm, *forces, *idle, *down))
    return pd.DataFrame(rows, columns=REACTIONS)


def span_table(strength: Strength) -> pd.DataFrame:
    """Return how far each bearer sags between the stacks that carry it, creep included."""
    rows = [
        (one.piece.bearer, one.piece.number, span.left, span.right, span.length_mm, span.sag_mm)
        for one in strength.laid
        for span in one.spans
    ]
    return pd.DataFrame(rows, columns=SPANS)


def joist_table(strength: Strength) -> pd.DataFrame:
    """Return what each joist does under the furniture, empty where there are none.

    Returns
    -------
    DataFrame
        sag_final_mm: the greatest, of the furniture and of compound under it; the ratios with the
        floor's own loads; stacks: what stands on it, joined by +. nan for a joist that is not
        computed.
    """
    joists = strength.joists
    if isinstance(joists, NoJoists):
        return pd.DataFrame([], columns=JOISTS)
    rows = [
        (
            one.number,
            one.across_mm,
            one.greatest_final_mm,
            one.greatest_at_mm,
            one.bending.ratio,
            one.shear.ratio,
            "+".join(carried.support for carried in one.carries),
        )
        for one in joists.joists
    ]
    return pd.DataFrame(rows, columns=JOISTS)


def unit_table(strength: Strength) -> pd.DataFrame:
    """Return how each unit leans, winds, stands and tips, with the columns of `UNITS`.

    Returns
    -------
    DataFrame
        lean_along_mm: its top to the right; lean_out_mm: its top into the room; gap_after_mm: to
        the next unit at the top, nan where there is none; settled_*: with the front lift and what
        the joists give, nan where that is not known; forces on it while nothing holds it;
        fixing_N: nan too where the sums ask for none, for it is fixed all the same.
    """
    after, settled_after = (
        {(gap.run, gap.left): gap.top_mm for gap in gaps}
        for gaps in (strength.gaps, strength.settled.gaps)
    )
    rows = [
        (
            one.run,
            one.unit,
            one.lean_along_mm,
            one.lean_out_mm,
            one.lifted_lean_mm,
            settled.lean_out_mm,
            one.wind_mm,
            one.door_taper_mm,
            after.get((one.run, one.unit), math.nan),
            tilt.diagonal_mm,
            tip.tips_empty_N,
            tip.tips_full_N,
            tip.slides_empty_N,
            tip.fixing_N or math.nan,
            settled.lean_along_mm,
            settled.wind_mm,
            settled.door_taper_mm,
            settled_after.get((one.run, one.unit), math.nan),
            tip.person_ratio,
        )
        for one, settled, tilt, tip in zip(
            strength.units,
            strength.settled.units,
            strength.tilts,
            strength.tippings,
            strict=True,
        )
    ]
    return pd.DataFrame(rows, columns=UNITS)
