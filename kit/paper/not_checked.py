"""The checks on paper: what fails or is referred, what was not checked and why, and the rest."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator

import pandas as pd

from kit.answer import Answer
from kit.base.cautions import NO_APPROVAL
from kit.ink.base_tables import checks_shown
from kit.ink.inch_words import in_units
from kit.ink.lengths import NOTHING, Units, length, number, small
from kit.ink.table import Head, Table, records
from kit.ink.words import VERDICTS
from kit.paper.document import Grid, Heading, Part, Words

#: Lengths with a limit below this are told in hundredths of a millimetre [mm].
_SMALL_MM = 5.0

#: Units that are no word for a reader.
_UNIT_WORDS = {"ratio": "times"}


def check_parts(answer: Answer) -> Iterator[Part]:
    """Yield the checks, those that want a decision first.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    yield Heading("Checks")
    yield Words(_counts(answer.checks), leads=True)
    for table in (decisions_table(answer), not_checked_table(answer)):
        if table.rows:
            yield Grid(table)
    passed = passed_words(answer)
    if passed:
        yield Words(passed)
    yield Words(NO_APPROVAL, strong=True)


def _counts(checks: pd.DataFrame) -> str:
    counts = checks["verdict"].value_counts()
    said = ", ".join(f"{counts.get(v, 0)} {' '.join(VERDICTS[v])}" for v in VERDICTS)
    return f"{said}. Refer: ask who may decide."


def decisions_table(answer: Answer) -> Table:
    """Return the checks that fail or are to be referred; those for one reason share a line.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units = answer.job.units
    chosen = answer.checks[answer.checks["verdict"].isin(("fail", "refer"))]
    alike: dict[tuple[str, str, str], list[str]] = defaultdict(list)
    for one in sorted(records(chosen), key=lambda one: str(one["verdict"]) != "fail"):
        verdict = " ".join(VERDICTS[str(one["verdict"])])
        figure = _figure(float(one["value"]), float(one["limit"]), str(one["unit"]), units)
        why = in_units(str(one["source"]), units)
        said = f"{in_units(str(one['subject']), units)}, {figure}"
        alike[verdict, str(one["check"]), why].append(said)
    heads = (Head("verdict"), Head("check", wide=True), Head("why", wide=True))
    rows = tuple(
        (verdict, f"{check}: {'; '.join(of)}", why) for (verdict, check, why), of in alike.items()
    )
    return Table("Fails, or is to be referred", heads, rows)


def _figure(value: float, limit: float, unit: str, units: Units) -> str:
    """Return a value that is beyond its limit, and the limit, in one text."""
    if unit == "mm":
        show = small if abs(limit) < _SMALL_MM else length
        said, most = f"{show(value, units)} {units}", f"{show(limit, units)} {units}"
    else:
        said, most = _told_both(value, limit, unit)
    if not math.isfinite(limit):
        return said
    return f"{said} ({'at least' if value < limit else 'at most'} {most})"


def _told_both(value: float, limit: float, unit: str) -> tuple[str, str]:
    """Return a figure and its limit with their unit."""
    # Two decimals, unless they would hide that the limit is passed.
    digits = 2 if value == limit or f"{value:.2f}" != f"{limit:.2f}" else 4
    most = f"{limit:g} N" if unit == "N" else _told(limit, unit, digits)
    return _told(value, unit, digits), most


def _told(value: float, unit: str, digits: int) -> str:
    """Return a figure with its unit: forces whole, small shares of chance as they are."""
    if not math.isfinite(value):
        return NOTHING
    if unit in {"N", "steps"}:
        return f"{number(value, 0)} {unit}"
    if unit == "p":
        return f"p {value:.2g}"
    return f"{number(value, digits)} {_UNIT_WORDS.get(unit, unit)}".strip()


def _with_unit(value: str, unit: str) -> str:
    return value if NOTHING in (unit, value) else f"{value} {unit}"


def not_checked_table(answer: Answer) -> Table:
    """Return what was not checked, and why; what was not for one reason stands in one line.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units = answer.job.units
    chosen = answer.checks[answer.checks["verdict"] == "not_checked"]
    alike: dict[tuple[str, str], list[str]] = defaultdict(list)
    for _, check, subject, value, _, unit, why in checks_shown(chosen, units).rows:
        figure = "" if value == NOTHING else f" ({_with_unit(value, unit)})"
        alike[check, why].append(f"{in_units(subject, units)}{figure}")
    heads = (Head("not checked", wide=True), Head("of", wide=True), Head("why", wide=True))
    rows = tuple((check, "; ".join(of), why) for (check, why), of in alike.items())
    return Table("Not checked", heads, rows)


def passed_words(answer: Answer) -> str:
    """Return which checks are passed, and at how many places; empty where none is."""
    counts = answer.checks.loc[answer.checks["verdict"] == "ok", "check"].value_counts(sort=False)
    said = ", ".join(f"{check} ({count})" for check, count in counts.items())
    sign = " ".join(VERDICTS["ok"])
    return f"{sign}, with the number of places looked at: {said}." if said else ""
