"""The check of a finished base as files: what a signed record needs.

As those of `kit.results`: millimetres whatever the job's units, never rounded, UTF-8, an unknown
as an empty cell or null.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from types import MappingProxyType
from typing import Any

import pandas as pd

from kit.as_built.check import Checked
from kit.as_built.tops import Tops
from kit.as_built.whole import Whole
from kit.base.cautions import NO_APPROVAL
from kit.results import csv_text, plain
from kit.results_files import refuse_readings, take_away, write_files

#: Names of the files; that of the changes is there only for a base on packers or on feet.
SUPPORTS, UNITS, CHANGES, RECORD = (
    "as-built.csv",
    "as-built-units.csv",
    "changes.csv",
    "as-built.json",
)


def as_built_texts(checked: Checked) -> dict[str, str]:
    """Return what each file of a check holds, by its name.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.

    Returns
    -------
    dict of str to str
        ``as-built.csv`` (supports), ``as-built-units.csv``, ``changes.csv`` where the base stands
        on packers or screw feet, and ``as-built.json``, the record.
    """
    tables = {SUPPORTS: checked.supports, UNITS: checked.units_table}
    if checked.changes.on_packers:
        tables[CHANGES] = checked.changes.table
    elif len(checked.changes.turns.table):
        tables[CHANGES] = checked.changes.turns.table
    texts = {name: csv_text(table) for name, table in tables.items()}
    return texts | {RECORD: json.dumps(record(checked), ensure_ascii=False, indent=2) + "\n"}


def write_as_built(
    checked: Checked, folder: str | Path, beside: Mapping[str, str | bytes] = MappingProxyType({})
) -> list[Path]:
    """Write all files of a check, all of them or none.

    Parameters
    ----------
    checked : Checked
        From `kit.as_built.check_base`.
    folder : path
        Made where it does not exist. Files of the same names are replaced; changes that an
        earlier check of another base left there are taken away.
    beside : mapping of str to str or bytes
        What else is written along with them, by the names of the files; these come first.

    Returns
    -------
    list of Path
        What was written.

    Raises
    ------
    Refusal
        Where the folder cannot be written to, or one of the job's own tables lies under one of
        the names.
    """
    out, contents = Path(folder), {**beside, **as_built_texts(checked)}
    job = checked.answer.job.model_copy(
        update={"as_built": checked.as_built, "folder": checked.folder}
    )
    refuse_readings(job, (out / name for name in (*contents, CHANGES)))
    written = write_files(contents, out)
    if CHANGES not in contents:
        take_away(job, [out / CHANGES])
    return written


def record(checked: Checked) -> dict[str, Any]:
    """Return everything that a signed record of a check needs, ready for JSON."""
    as_built, answer = checked.as_built, checked.answer
    figures = {
        "title": answer.job.title,
        "base": answer.base.name,
        "method": answer.base.method,
        "date": as_built.date.isoformat(),
        "by": as_built.by,
        "instrument": as_built.instrument,
        "tolerance_mm": checked.tolerance_mm,
        "verdict": checked.verdict,
        "units_verdict": checked.units_verdict,
        "not_read": list(checked.unread),
        "supports": dict(checked.supports["verdict"].value_counts(sort=False)),
        "level": asdict(checked.level),
        "front_lift_mm": answer.datum.front_lift_mm,
        "adjustment": _adjustment(checked.tops),
        "points": _rows(checked.tops.points),
        "whole": _whole(checked.whole),
        "changes": _changes(checked),
        "sentences": list(checked.sentences),
        "cautions": list(checked.cautions),
        "approval": NO_APPROVAL,
    }
    return {key: plain(value) for key, value in figures.items()}


def _adjustment(tops: Tops) -> dict[str, Any]:
    heights = tops.heights
    return {
        "benchmark": tops.benchmark or None,
        "sigma0": heights.sigma0,
        "redundancy": heights.redundancy,
        "global_test_p": heights.global_test_p,
        "suspects": list(heights.suspects),
        "contradicting": dict(tops.contradicting),
        "tables": list(heights.understood),
        "notes": list(heights.notes),
    }


def _whole(whole: Whole) -> dict[str, Any]:
    return {
        "steepest_mm_per_m": whole.steepest_mm_per_m,
        "falls": _rows(whole.falls),
        "departures": _rows(whole.departures),
        "front_to_back": _rows(whole.front_to_back),
    }


def _changes(checked: Checked) -> dict[str, Any]:
    changes = checked.changes
    return {
        "on_packers": changes.on_packers,
        "possible": changes.possible,
        "opened": changes.opened,
        "handled": changes.handled,
        "level_mm": changes.level_mm,
        "greatest_after_mm": changes.greatest_after_mm if changes.on_packers else None,
        "proven": changes.proven,
        "unproven": changes.unproven,
        "missing": [asdict(one) for one in changes.missing],
        "bag": _rows(changes.bag),
        "screws": _rows(changes.screws),
        "turns": _rows(changes.turns.table),
        "turns_level_mm": changes.turns.level_mm,
    }


def _rows(table: pd.DataFrame) -> list[dict[str, Any]]:
    return [{str(key): value for key, value in row.items()} for row in table.to_dict("records")]
