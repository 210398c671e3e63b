"""A spirit level's own error: known, found from readings turned end for end, or not known."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from kit.readings.doubt import TWO_SIDED_999
from kit.readings.least_squares import Solution
from kit.readings.remark import Remark
from kit.readings.survey import Readings

#: A level with a larger own error goes to the workshop [mm/m] (common practice, no source).
LARGE_MM_PER_M = 1.0

#: An own error that is known less well than this is not known [mm/m] (common practice, no
#: source): it would be taken out of the heights with a doubt larger than any sound level's error.
WORST_SD_MM_PER_M = 1.0

#: The error of which the effect on the heights is told [mm/m].
EXAMPLE_MM_PER_M = 0.1


@dataclass(frozen=True)
class OwnErrors:
    """What is known of the own error of each table's spirit level.

    Parameters
    ----------
    known : mapping of str to float
        As the job says it [mm/m], by survey.
    unknown : tuple of str
        Surveys that hold readings both ways round: their level's error is sought.
    assumed_none : tuple of str
        Surveys of which nothing tells it: it is taken as 0.
    open : tuple of str
        Those of ``assumed_none`` that hold turned readings which do not tell it.
    """

    known: Mapping[str, float]
    unknown: tuple[str, ...]
    assumed_none: tuple[str, ...]
    open: tuple[str, ...] = ()

    def known_mm_per_m(self, survey: str) -> float:
        """Return the error that is taken off a survey's readings; nan where it is sought."""
        return float("nan") if survey in self.unknown else self.known.get(survey, 0.0)

    def without(self, surveys: Sequence[str]) -> OwnErrors:
        """Return the same, the errors of some surveys no longer sought: nothing tells them."""
        return replace(
            self,
            unknown=tuple(name for name in self.unknown if name not in surveys),
            assumed_none=(*self.assumed_none, *surveys),
            open=(*self.open, *surveys),
        )


def own_errors(readings: Readings) -> OwnErrors:
    """Return what is known of the spirit levels before any adjustment."""
    known: dict[str, float] = {}
    unknown, assumed_none = [], []
    for table in readings.tables:
        if table.kind != "level":
            continue
        if np.isfinite(table.own_error_mm_per_m):
            known[table.survey] = table.own_error_mm_per_m
        elif table.readings["turned"].nunique() > 1:
            unknown.append(table.survey)
        else:
            assumed_none.append(table.survey)
    return OwnErrors(known, tuple(unknown), tuple(assumed_none))


def own_error_remarks(
    solution: Solution, readings: Readings, errors: OwnErrors
) -> Iterator[Remark]:
    """Yield a sentence on the own error of each spirit level.

    Parameters
    ----------
    solution : Solution
        The adjustment.
    readings : Readings
        All tables.
    errors : OwnErrors
        What was known and sought.
    """
    sought = solution.model.columns("own error")
    sds = solution.sd_of(sought)
    for column, sd in zip(sought.tolist(), sds.tolist(), strict=True):
        value = solution.values[column]
        large = abs(value) > LARGE_MM_PER_M
        doubt = (
            f" That is more than {LARGE_MM_PER_M:g} mm/m: look whether the right end stands under"
            " 'under' in the turned readings, and have the level serviced if it does."
        )
        yield Remark(
            f"{solution.model.names[column]}: readings with the level turned end for end show its"
            f" own error, {value:.2f} mm/m (sd {sd:.2f}); it is taken out of the heights."
            f"{doubt if large else ''}",
            caution=large,
        )
    for survey, value in errors.known.items():
        yield from _contradicted(readings, survey, value)
        yield Remark(
            f"{survey}: the level's own error is {value:g} mm/m, as the job says; it is taken out"
            " of the heights."
        )
    for survey in errors.assumed_none:
        yield _not_known(solution, readings, survey, turned=survey in errors.open)


def _contradicted(readings: Readings, survey: str, known: float) -> Iterator[Remark]:
    """Yield a caution where lines read both ways round show another error than the job says."""
    rows = readings.rows[readings.rows["survey"] == survey]
    line = [tuple(sorted(pair)) for pair in zip(rows["start"], rows["point"], strict=True)]
    forward = np.where(rows["start"] < rows["point"], 1.0, -1.0)
    both = pd.DataFrame(
        {
            "line": line,
            "way": forward * rows["turned"],
            "rise": forward * rows["observed_mm"],
            "sd2": rows["sd_mm"] ** 2,
            "span": rows["span_m"],
        }
    )
    if both["way"].nunique() < 2:
        return
    mean = both.groupby(["line", "way"]).agg({"rise": "mean", "sd2": "mean", "span": "first"})
    mean["sd2"] /= both.groupby(["line", "way"]).size()
    pairs = mean.unstack("way").dropna()
    if pairs.empty or pairs["span"].min().min() <= 0:
        return
    span = pairs["span", 1.0].to_numpy()
    found = (pairs["rise", 1.0] - pairs["rise", -1.0]).to_numpy() / (2 * span)
    weight = 4 * span**2 / (pairs["sd2", 1.0] + pairs["sd2", -1.0]).to_numpy()
    error, sd = float(np.average(found, weights=weight)), float(weight.sum() ** -0.5)
    if abs(error - known) > TWO_SIDED_999 * sd:
        yield Remark(
            f"{survey}: lines read both ways round show an own error of {error:+.2f} mm/m (sd"
            f" {sd:.2f}), where the job says {known:+g}: look at its sign and at what was turned.",
            caution=True,
        )


def _not_known(solution: Solution, readings: Readings, survey: str, *, turned: bool) -> Remark:
    rows = readings.rows
    here = ((rows["survey"] == survey) & (rows["kind"] == "level")).to_numpy(dtype=bool)
    leaning = np.where(here, rows["turned"] * rows["span_m"], 0.0)
    names = readings.places["point"].tolist()
    moved = solution.response(leaning)[: len(names)] * EXAMPLE_MM_PER_M
    why = (
        "readings with the level turned end for end, but none that tells well what the error is:"
        if turned
        else "no reading with the level turned end for end:"
    )
    first, last = sorted((int(np.argmin(moved)), int(np.argmax(moved))))
    effect = (
        f"; each {EXAMPLE_MM_PER_M:g} mm/m of it sets {names[first]} and {names[last]} wrong to"
        f" each other by {abs(moved[first] - moved[last]):.2f} mm"
        if first != last
        else ""
    )
    return Remark(
        f"{survey}: {why} its own error is not known and stands in the heights{effect}. Read one"
        " line both ways round.",
        caution=True,
    )
