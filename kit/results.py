"""The files of an answer, as the headless command writes them.

Millimetres and newtons whatever the job's units, UTF-8, ``.`` as decimal point, numbers in their
shortest form that reads back the same, an unknown as an empty cell or null.
"""

from __future__ import annotations

import json
import math
from dataclasses import asdict
from pathlib import Path
from statistics import fmean
from typing import Any

import pandas as pd

from kit.answer import Answer
from kit.base.cautions import NO_APPROVAL
from kit.in_draws import idle_odds
from kit.readings.formulas import inert
from kit.results_files import refuse_readings, take_away, write_files
from kit.strength import as_tables
from kit.strength.bearers import IDLE_MM
from kit.strength.joists import NoJoists

__all__ = [
    "COLUMNS",
    "OF_ONE_METHOD",
    "csv_text",
    "refuse_readings",
    "result_texts",
    "summary",
    "tables",
    "take_away",
    "write_files",
    "write_results",
]  # fmt: skip

#: Tables that one way of building has and others have not.
OF_ONE_METHOD = ("feet.csv", "profile.csv", "members.csv", "zones.csv")

#: Name of each table and the columns that are written, in their order.
COLUMNS = {
    "heights.csv": ["point", "x_mm", "y_mm", "height_mm", "sd_mm"],
    "residuals.csv": [
        "survey", "row", "point", "residual_mm", "redundancy", "studentised", "suspect",
    ],
    "rounds.csv": ["round", "misclosure_mm", "expected_within_mm", "beyond", "readings"],
    "ties.csv": [
        "part", "setups", "points", "tie", "checked", "sd_mm", "read", "sd_then_mm",
    ],
    "supports.csv": [
        "support", "run", "row", "x_mm", "y_mm", "reasons", "floor_mm", "floor_sd_mm",
        "target_mm", "load_N",
    ],
    "stacks.csv": ["support", "position", "thickness_mm", "nominal_mm"],
    "screws.csv": ["support", "step", "length_mm", "point_below_floor_mm", "limit_mm", "reason"],
    "cuts.csv": ["bearer", "stock_mm", "piece", "length_mm", "from_x_mm", "to_x_mm", "bar"],
    "checks.csv": ["check", "subject", "value", "limit", "unit", "verdict", "source"],
    "reactions.csv": as_tables.REACTIONS,
    "spans.csv": as_tables.SPANS,
    "joists.csv": as_tables.JOISTS,
    "units.csv": as_tables.UNITS,
    "takeoff.csv": ["item", "size_mm", "count", "in_stock", "price", "cost"],
    "work.csv": ["operation", "count", "unit", "minutes_each", "minutes", "source"],
}  # fmt: skip


def tables(answer: Answer) -> dict[str, pd.DataFrame]:
    """Return the tables of an answer by the name of their file.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.

    Returns
    -------
    dict of str to DataFrame
        With the columns of `COLUMNS`, and what only this way of building has.
    """
    parts = {
        "heights.csv": answer.heights.points,
        "residuals.csv": answer.heights.residuals,
        "rounds.csv": answer.heights.loops,
        "ties.csv": answer.heights.ties,
        "supports.csv": answer.supports,
        "stacks.csv": answer.stacks,
        "screws.csv": answer.screws,
        "cuts.csv": answer.cuts.cuts,
        "checks.csv": answer.checks,
        "reactions.csv": as_tables.reaction_table(answer.strength, idle_odds(answer)),
        "spans.csv": as_tables.span_table(answer.strength),
        "joists.csv": as_tables.joist_table(answer.strength),
        "units.csv": as_tables.unit_table(answer.strength),
        "takeoff.csv": answer.take_off,
        "work.csv": answer.work,
    }
    shared = {name: part[COLUMNS[name]] for name, part in parts.items()}
    return {**shared, **answer.details}


def summary(answer: Answer) -> dict[str, Any]:
    """Return the figures of an answer that fit on one page, ready for JSON.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.

    Returns
    -------
    dict
        title, base, method, datum_mm, base_top_mm, high_point, plane, adjustment, supports,
        pieces, worst_error_mm, checks, cautions; the feasible base heights and what binds them;
        the front lift, stacks that are idle, bearers that rock, the settlement of the rows.
    """
    datum, verdicts = answer.datum, answer.checks["verdict"]
    figures = {
        "title": answer.job.title,
        "base": answer.base.name,
        "method": answer.base.method,
        "datum_mm": datum.datum_mm,
        "base_top_mm": datum.base_top_mm,
        **_of_the_floor(answer),
        "supports": len(answer.supports),
        "pieces": answer.pieces,
        "worst_error_mm": answer.worst_error_mm,
        "checks": {
            verdict: int((verdicts == verdict).sum())
            for verdict in ("ok", "refer", "fail", "not_checked")
        },
        "cautions": list(answer.cautions),
        "approval": NO_APPROVAL,
        **_of_the_strength(answer),
        **_of_the_method(answer),
        "feasible_heights_mm": [list(pair) for pair in datum.feasible_heights_mm],
        "feasible_ignores_stock": datum.plan.feasible_ignores_stock,
        "binding": {"low": datum.binding_low, "high": datum.binding_high},
        "proven": datum.plan.proven,
    }
    return {key: plain(value) for key, value in figures.items()}


def _of_the_floor(answer: Answer) -> dict[str, Any]:
    """Return high point, plane and adjustment."""
    high, plane, heights = answer.high_point, answer.plane, answer.heights
    return {
        "high_point": {
            "x_mm": high.x_mm,
            "y_mm": high.y_mm,
            "height_mm": high.height_mm,
            "sd_mm": high.sd_mm,
            "certainty": high.certainty,
        },
        "plane": {
            "rise_x_mm_per_m": plane.rise_x_mm_per_m,
            "rise_y_mm_per_m": plane.rise_y_mm_per_m,
            "fall_mm_per_m": plane.fall_mm_per_m,
            "fall_towards_deg": plane.fall_towards_deg,
            "rms_mm": plane.rms_mm,
        },
        "adjustment": {
            "sigma0": heights.sigma0,
            "redundancy": heights.redundancy,
            "suspects": list(heights.suspects),
            "tables": list(heights.understood),
            "notes": list(heights.notes),
        },
    }


def _of_the_strength(answer: Answer) -> dict[str, Any]:
    """Return the front lift, what is idle, what rocks, and the settlement of the rows."""
    return {
        "front_lift_mm": answer.datum.front_lift_mm,
        "idle": [
            {
                "support": one.support,
                "shim_mm": one.gap_mm,
                "let_pass": one.gap_mm <= IDLE_MM,
            }
            for one in answer.strength.stacks
            if one.idle
        ],
        "rocking": [
            {"bearer": one.piece.bearer, "piece": one.piece.number, "support": rocking.support}
            for one in answer.strength.laid
            for rocking in one.rocking
        ],
        "settlement": _settlement(answer),
    }


def _of_the_method(answer: Answer) -> dict[str, Any]:
    """Return what this way of building is good for, and what it takes."""
    bill = answer.bill
    return {
        "traits": {
            **asdict(answer.traits),
            "greatest_reaction_N": answer.strength.greatest_n,
            "mass_added_kg": bill.mass_kg,
            "wait_days": bill.wait_days,
        },
        "cost": bill.cost,
        "unpriced": list(bill.unpriced),
        "minutes": bill.minutes,
    }


def _settlement(answer: Answer) -> dict[str, Any]:
    """Return how far back and front rows go down with the joists, null where it is not known.

    ``back_mm`` and ``front_mm`` are the means of the runs' means, ``runs`` has each of those.
    """
    joists = answer.strength.joists
    if isinstance(joists, NoJoists):
        return {"back_mm": None, "front_mm": None, "said": joists.said, "runs": []}
    runs: list[dict[str, Any]] = [
        {"run": one.run, "back_mm": one.back.mean_inst_mm, "front_mm": one.front.mean_inst_mm}
        for one in joists.settlements
    ]
    means = {key: fmean(one[key] for one in runs) for key in ("back_mm", "front_mm")}
    return {**means, "said": joists.said, "runs": runs}


def plain(value: Any) -> Any:
    """Return a value ready for JSON: numpy's numbers as plain ones, what is not finite as null."""
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    if isinstance(value, (bool, str)) or value is None:
        return value
    number = value.item() if hasattr(value, "item") else value
    return None if isinstance(number, float) and not math.isfinite(number) else number


def write_results(answer: Answer, folder: str | Path) -> list[Path]:
    """Write all files of an answer, all of them or none.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    folder : path
        Made where it does not exist. Files of the same names are replaced; of the tables that
        only other ways of building have, `OF_ONE_METHOD`, those that this answer has not are
        taken away, so that no table of another base lies beside this one; others are left alone.

    Returns
    -------
    list of Path
        What was written.

    Raises
    ------
    Refusal
        Where the folder cannot be written to, or a table of readings lies under one of the names.
    """
    out, texts = Path(folder), result_texts(answer)
    left_over = [out / name for name in OF_ONE_METHOD if name not in texts]
    refuse_readings(answer.job, (out / name for name in texts))
    written = write_files(texts, out)
    take_away(answer.job, left_over)
    return written


def result_texts(answer: Answer) -> dict[str, str]:
    """Return what each file of an answer holds, by its name."""
    texts = {"summary.json": json.dumps(summary(answer), ensure_ascii=False, indent=2) + "\n"}
    return texts | {name: csv_text(table) for name, table in tables(answer).items()}


def csv_text(table: pd.DataFrame) -> str:
    """Return a table as CSV; no text in it is a formula."""
    words = {
        str(column): table[column].map({True: "true", False: "false"})
        for column in table
        if table[column].dtype == bool
    }
    return _inert(table.assign(**words)).to_csv(index=False, lineterminator="\n")


def _inert(table: pd.DataFrame) -> pd.DataFrame:
    """Return a table in which no text is a formula: names come from whoever wrote the job file."""
    texts = table.select_dtypes(exclude="number")
    kept = {str(column): texts[column].map(_inert_cell) for column in texts}
    return table.assign(**kept).rename(columns=lambda title: inert(str(title)))


def _inert_cell(cell: object) -> object:
    return inert(cell) if isinstance(cell, str) else cell
