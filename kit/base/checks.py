"""The checks of a base, one row each: value, limit, verdict, and who says so.

What is not checked is listed too, so that nobody takes silence for approval.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import pandas as pd

from kit.base.cautions import NO_APPROVAL, REFER_LOAD_KN_PER_M2
from kit.base.datum import Datum
from kit.base.layout import Layout, footprint_loads, massless
from kit.base.plinth_room import least_room_mm
from kit.job import Base, Job
from kit.job.ways import way_of
from kit.readings import GLOBAL_TEST_LEVEL

COLUMNS = ["check", "subject", "value", "limit", "unit", "verdict", "source"]

#: Below this share of draws the place of the high point is not settled.
CERTAIN_ENOUGH = 0.9

#: Limits are closed; what round-off adds to a length is below this [mm].
CLOSED_MM = 1e-9


@dataclass(frozen=True)
class Check:
    """One row of the checks; ``verdict`` is ok, refer, fail or not_checked."""

    check: str
    subject: str
    value: float
    limit: float
    unit: str
    verdict: str
    source: str


def check_table(checks: Iterable[Check]) -> pd.DataFrame:
    """Return checks as a table with the columns of `COLUMNS`."""
    rows = [[getattr(check, column) for column in COLUMNS] for check in checks]
    return pd.DataFrame(rows, columns=COLUMNS)


def base_checks(
    job: Job, base: Base, layout: Layout, datum: Datum, screws: pd.DataFrame, plinth: pd.DataFrame
) -> Iterator[Check]:
    """Yield the checks of geometry: stacks, height, spans, screws, plinth."""
    yield stack_error_check(base, layout, datum)
    yield height_check(base, datum)
    yield from span_checks(base, layout)
    yield from screw_step_checks(screws)
    yield from plinth_checks(job, base, layout, plinth)


def stack_error_check(base: Base, layout: Layout, datum: Datum) -> Check:
    """Return whether every stack comes out within the tolerance."""
    names = list(layout.supports["support"])
    errors = [abs(float(error)) for error in datum.plan.error_mm]
    worst = max(range(len(errors)), key=errors.__getitem__)
    return at_most(
        "stack error", names[worst], errors[worst], base.tolerance_mm, "base.tolerance_mm"
    )


def height_check(base: Base, datum: Datum) -> Check:
    """Return whether the base is as high as was asked for."""
    check, height = "base top above high point", datum.base_height_mm
    low, high = base.height_range_mm
    if height < low - CLOSED_MM:
        return Check(check, base.name, height, low, "mm", "fail", "base.height_mm")
    return at_most(check, base.name, height, high, "base.height_mm")


def set_level_check(words: str, within_mm: float, base: Base) -> Check:
    """Return whether what is set by hand comes out within the tolerance.

    Parameters
    ----------
    words : str
        The key that says how exactly it is set: "feet.set_within_mm".
    within_mm : float
        Its figure [mm].
    base : Base
        The tolerance asked for.
    """
    limit = base.tolerance_mm
    verdict = "ok" if within_mm <= limit + CLOSED_MM else "refer"
    source = f"{words} against base.tolerance_mm; shim what stands unevenly"
    return Check("level set by hand", base.name, within_mm, limit, "mm", verdict, source)


def span_checks(base: Base, layout: Layout) -> Iterator[Check]:
    """Yield the longest span of each row."""
    for row, stands in zip(layout.rows, layout.stands, strict=True):
        places = [stand.x_mm for stand in stands]
        span = max((b - a for a, b in pairwise(places)), default=0.0)
        yield at_most("longest span", row.name, span, base.max_span_mm, "base.max_span_mm")


def plinth_checks(job: Job, base: Base, layout: Layout, plinth: pd.DataFrame) -> Iterator[Check]:
    """Yield whether a plinth board covers the base of each run, and finds its place before it."""
    for run, greatest, board in zip(
        plinth["run"], plinth["greatest_mm"], plinth["board_mm"], strict=True
    ):
        yield _plinth_check(job, base, str(run), float(greatest), float(board))
    for name, room in least_room_mm(base, layout).items():
        yield _plinth_room_check(base, name, room)


def clearance_checks(base: Base, clearance: pd.DataFrame, under: pd.DataFrame) -> Iterator[Check]:
    """Yield whether each row of the base clears the floor, as far as the floor was surveyed.

    Parameters
    ----------
    base : Base
        Least room asked for.
    clearance : DataFrame
        bearer, least_mm of what was surveyed.
    under : DataFrame
        The floor under the base: bearer, surveyed.
    """
    whole, check = under.groupby("bearer", sort=False)["surveyed"].all(), _room_under(base)
    for bearer, least in zip(clearance["bearer"], clearance["least_mm"], strict=True):
        source = "base.minimum_pack_mm, on the mean floor"
        verdict = "ok" if least >= base.minimum_pack_mm - CLOSED_MM else "fail"
        if verdict == "ok" and not whole[bearer]:
            verdict, source = "not_checked", "part of the floor under it was not surveyed"
        subject = str(bearer)
        limit = base.minimum_pack_mm
        yield Check(check, subject, float(least), limit, "mm", verdict, source)


def _room_under(base: Base) -> str:
    return f"least room under {way_of(base).along}"


def load_checks(layout: Layout) -> Iterator[Check]:
    """Yield whether the heaviest unit stays below the load at which the floor is referred.

    Units of which no mass is given weigh something too: they are not checked, by name.
    """
    loads = footprint_loads(layout)
    weightless = massless(layout.units, several_runs=len(layout.frames) > 1)
    unknown = [name for name in weightless if loads[name] <= REFER_LOAD_KN_PER_M2]
    if unknown:
        yield Check(
            "imposed load on the footprint",
            ", ".join(unknown),
            math.nan,
            REFER_LOAD_KN_PER_M2,
            "kN/m2",
            "not_checked",
            "no mass_kg given",
        )
    name, load = max(loads.items(), key=lambda item: item[1])
    if name in unknown:
        return
    above = load > REFER_LOAD_KN_PER_M2
    yield Check(
        "imposed load on the footprint",
        name,
        load,
        REFER_LOAD_KN_PER_M2,
        "kN/m2",
        "refer" if above else "ok",
        "EN 1991-1-1 category A, the lower value (from memory); ok approves no floor",
    )


def at_most(check: str, subject: str, value: float, limit: float, source: str) -> Check:
    """Return the check of a length that may be at most so much [mm]; more is a fail."""
    verdict = "ok" if value <= limit + CLOSED_MM else "fail"
    return Check(check, subject, value, limit, "mm", verdict, source)


def screw_step_checks(screws: pd.DataFrame) -> Iterator[Check]:
    """Yield for how many steps of the stacks no screw from stock serves."""
    for step, of_step in screws.groupby("step", sort=False):
        without = of_step[of_step["length_mm"].isna()]
        subject = f"{step} screws" + (
            f", first {without['support'].iloc[0]}" if len(without) else ""
        )
        yield Check(
            "steps without a screw from stock",
            subject,
            float(len(without)),
            0.0,
            "steps",
            "refer" if len(without) else "ok",
            "screws.csv gives the reason of each; bites are common practice, no source",
        )


def _plinth_check(job: Job, base: Base, run: str, greatest: float, board: float) -> Check:
    widest = max(base.plinth.board_mm) if base.plinth else math.nan
    if math.isnan(greatest):
        return Check(
            "plinth board",
            f"run {run}",
            math.nan,
            widest,
            "mm",
            "not_checked",
            "the floor along the plinth was not surveyed",
        )
    limit, verdict = (widest, "fail") if math.isnan(board) else (board, "ok")
    return Check(
        "plinth board",
        f"run {run}",
        greatest,
        limit,
        "mm",
        verdict,
        f"base.plinth.board_mm; finish of {job.floor.finish_mm:g} mm taken off",
    )


def _plinth_room_check(base: Base, run: str, room_mm: float) -> Check:
    return Check(
        f"plinth clear of the front {way_of(base).along}",
        f"run {run}",
        room_mm,
        0.0,
        "mm",
        "ok" if room_mm >= -CLOSED_MM else "refer",
        "set_back_mm and thickness_mm of base.plinth against base.front_mm; below 0 set the plinth"
        " back less or the front row back more, or rebate the board (common practice, no source)",
    )


def survey_checks(certainty: float, sd_mm: float, p: float, redundancy: int) -> Iterator[Check]:
    """Yield the checks of the readings: global test, and whether the high point is settled."""
    if redundancy:
        verdict = "ok" if p >= GLOBAL_TEST_LEVEL else "refer"
        source = "chi-square test of the adjustment, upper tail; 0.1 %, common practice"
    else:
        verdict, source = "not_checked", "no reading is checked by another"
    yield Check(
        "readings agree with their sd", "survey", p, GLOBAL_TEST_LEVEL, "p", verdict, source
    )
    yield Check(
        "high point settled",
        f"sd {sd_mm:.2f} mm",
        certainty,
        CERTAIN_ENOUGH,
        "share of draws",
        "ok" if certainty >= CERTAIN_ENOUGH else "refer",
        "share of random floors that fit the readings",
    )


def no_approval() -> Check:
    """Return the row that says what no figure here does."""
    return Check(
        "approval of floor and structure",
        "the whole",
        math.nan,
        math.nan,
        "",
        "not_checked",
        NO_APPROVAL,
    )
