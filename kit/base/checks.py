"""The checks of a base, one row each: value, limit, verdict, and who says so.

What this version does not compute is listed too, as not checked, so that nobody takes silence
for approval.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import pandas as pd

from kit.base.datum import Datum
from kit.base.layout import Layout
from kit.job import Base, Job

COLUMNS = ["check", "subject", "value", "limit", "unit", "verdict", "source"]

#: Below this share of draws the place of the high point is not settled.
CERTAIN_ENOUGH = 0.9

#: Level of the global test of the readings, two-sided 0.1 % as Baarda proposed.
GLOBAL_TEST_LEVEL = 0.001

_NO_STRENGTH = "not computed by this version; ask a structural engineer where in doubt"


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
    job: Job,
    base: Base,
    layout: Layout,
    datum: Datum,
    clearance: pd.DataFrame,
    screws: pd.DataFrame,
    plinth: pd.DataFrame,
) -> Iterator[Check]:
    """Yield the checks of geometry: stacks, height, spans, clearances, screws, plinth."""
    names = list(layout.supports["support"])
    errors = [abs(float(error)) for error in datum.plan.error_mm]
    worst = max(range(len(errors)), key=errors.__getitem__)
    yield _at_most(
        "stack error", names[worst], errors[worst], base.tolerance_mm, "base.tolerance_mm"
    )
    yield _at_most(
        "base top above high point",
        base.name,
        datum.base_height_mm,
        base.height_range_mm[1],
        "base.height_mm",
    )
    for row, stands in zip(layout.rows, layout.stands, strict=True):
        places = [stand.x_mm for stand in stands]
        span = max((b - a for a, b in pairwise(places)), default=0.0)
        yield _at_most("longest span", row.name, span, base.max_span_mm, "base.max_span_mm")
    for bearer, least in zip(clearance["bearer"], clearance["least_mm"], strict=True):
        verdict = "ok" if least >= base.minimum_pack_mm - 1e-9 else "fail"
        yield Check(
            "least room under bearer",
            str(bearer),
            float(least),
            base.minimum_pack_mm,
            "mm",
            verdict,
            "base.minimum_pack_mm, on the mean floor",
        )
    yield from _screw_checks(screws)
    for run, greatest, board in zip(
        plinth["run"], plinth["greatest_mm"], plinth["board_mm"], strict=True
    ):
        yield _plinth_check(job, base, str(run), float(greatest), float(board))


def _at_most(check: str, subject: str, value: float, limit: float, source: str) -> Check:
    verdict = "ok" if value <= limit + 1e-9 else "fail"
    return Check(check, subject, value, limit, "mm", verdict, source)


def _screw_checks(screws: pd.DataFrame) -> Iterator[Check]:
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


def survey_checks(certainty: float, sd_mm: float, p: float, redundancy: int) -> Iterator[Check]:
    """Yield the checks of the readings: global test, and whether the high point is settled."""
    if redundancy:
        verdict = "ok" if p >= GLOBAL_TEST_LEVEL else "refer"
        source = "chi-square test of the adjustment; Baarda, two-sided 0.1 % (from memory)"
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
        "4,000 draws of the floor that fit the readings",
    )


def strength_not_checked(job: Job, layout: Layout) -> Iterator[Check]:
    """Yield a row for everything about strength that this version leaves to others."""
    for row in layout.rows:
        for check in ("bearer bending, shear and bearing", "bearer lifting off a stack"):
            yield _not_checked(check, row.name)
    joists = "no [floor.joists] given" if job.floor.joists is None else _NO_STRENGTH
    yield Check("joists", "floor", math.nan, math.nan, "", "not_checked", joists)
    for placed in layout.units:
        yield _not_checked("lean, tilt-up, sliding and tipping", placed.unit.name)
    yield Check(
        "floor under the imposed load",
        "floor",
        math.nan,
        math.nan,
        "",
        "not_checked",
        "a load above 1.5 kN/m2 is said in the cautions; what the floor makes of it is not computed",
    )


def _not_checked(check: str, subject: str) -> Check:
    return Check(check, subject, math.nan, math.nan, "", "not_checked", _NO_STRENGTH)
