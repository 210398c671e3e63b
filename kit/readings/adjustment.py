"""Readings in, heights out: one network, one solution, and what can be said about its quality."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
import pandas as pd
from scipy.special import chdtrc

from kit.job.refusal import Problem, Refusal
from kit.readings.equations import (
    Block,
    Mask,
    Model,
    assemble,
    edge_rows,
    height_rows,
    level_rows,
    staff_rows,
)
from kit.readings.further import Further
from kit.readings.heights import Heights
from kit.readings.least_squares import Solution, solve
from kit.readings.level_rounds import level_remarks
from kit.readings.misclosure import misclosure_remarks
from kit.readings.network import check_readings, check_tied
from kit.readings.open_heights import left_open
from kit.readings.own_error import (
    WORST_SD_MM_PER_M,
    OwnErrors,
    own_error_remarks,
    own_errors,
)
from kit.readings.remark import Remark
from kit.readings.remarks import remarks
from kit.readings.slips import (
    LIMIT,
    TOO_MANY,
    detectable_mm,
    find_suspects,
    marked,
    studentise,
)
from kit.readings.survey import Readings, names_in_words
from kit.readings.weak_ties import WeakTies


def adjust(readings: Readings, benchmark: str | None, benchmark_mm: float) -> Heights:
    """Return the heights that fit all readings best.

    Parameters
    ----------
    readings : Readings
        All tables of the job.
    benchmark : str or None
        The point whose height is known; without one the network is free.
    benchmark_mm : float
        Its height [mm].

    Returns
    -------
    Heights
        Above the benchmark's zero; in a free network the highest adjusted point is 0, and each
        sd is relative to the mean of all heights.

    Raises
    ------
    Refusal
        If the benchmark is not read, a set-up reads one point only, readings fall into parts that
        nothing ties together, or there are fewer than 3 points.
    """
    check_readings(readings, benchmark)
    own_datum, moved = _datums(readings.rows, benchmark, benchmark_mm)
    fixed = {} if benchmark is None else {benchmark: benchmark_mm}
    solution, levels = _with_own_errors(readings, own_datum, fixed)
    told = (*moved, *own_error_remarks(solution, readings, levels), *_of_tables(readings))
    return _heights(readings, solution, benchmark, told)


def _with_own_errors(
    readings: Readings, own_datum: frozenset[str], fixed: Mapping[str, float]
) -> tuple[Solution, OwnErrors]:
    """Return the solution with the own errors of those levels whose readings tell them well."""
    sought = own_errors(readings)
    plain = _solved(readings, own_datum, sought.without(sought.unknown), fixed)
    untold = []
    for name in sought.unknown:
        others = [other for other in sought.unknown if other != name]
        if not _tells_own_error(readings, own_datum, sought.without(others), fixed):
            untold.append(name)
    levels = sought.without(untold)
    if not levels.unknown:
        return plain, levels
    try:
        return _solved(readings, own_datum, levels, fixed), levels
    except Refusal:  # each alone is told, and all of them together are not
        return plain, sought.without(sought.unknown)


def _tells_own_error(
    readings: Readings, own_datum: frozenset[str], levels: OwnErrors, fixed: Mapping[str, float]
) -> bool:
    """Tell whether the readings determine the one own error that is sought, and well enough."""
    try:
        solution = solve(_model(readings, own_datum, levels), fixed)
    except np.linalg.LinAlgError:
        return False
    sd = solution.sd_of(solution.model.columns("own error"))
    return bool((sd <= WORST_SD_MM_PER_M).all())


def _solved(
    readings: Readings, own_datum: frozenset[str], levels: OwnErrors, fixed: Mapping[str, float]
) -> Solution:
    """Return the solution, or refuse readings that do not determine every height."""
    model = _model(readings, own_datum, levels)
    check_tied(model, readings, fixed)
    try:
        return solve(model, fixed)
    except np.linalg.LinAlgError as error:
        problem = left_open(model, readings, fixed)
        names = ", ".join(table.survey for table in readings.tables)
        unnamed = Problem(names, str(error), "readings that determine every height")
        raise Refusal(problem or unnamed) from error


def _of_tables(readings: Readings) -> Iterator[Remark]:
    """Yield what the tables themselves tell, and what of them is left out."""
    for table in readings.tables:
        yield from table.remarks
        if len(table.left_out):
            rows = [f"{row}" for row in dict.fromkeys(table.left_out["row"])]
            points = list(dict.fromkeys(table.left_out["point"]))
            yield Remark(
                f"{table.survey}: left out as the job says: row {names_in_words(rows)} (point"
                f" {names_in_words(points)}).",
                caution=True,
            )


def _model(readings: Readings, own_datum: frozenset[str], levels: OwnErrors) -> Model:
    blocks = _blocks(readings, own_datum, levels)
    return assemble(list(blocks), readings.places["point"].tolist())


def _blocks(readings: Readings, own_datum: frozenset[str], levels: OwnErrors) -> Iterator[Block]:
    for _, rows in readings.rows.groupby("table", sort=True):
        kind = rows["kind"].iloc[0]
        if kind == "staff":
            yield staff_rows(rows)
        elif kind == "level":
            yield level_rows(rows, levels.known_mm_per_m(rows["survey"].iloc[0]))
        elif kind == "straightedge":
            yield edge_rows(rows)
        else:
            yield height_rows(rows, rows["station"].iloc[0] in own_datum)


def _datums(
    rows: pd.DataFrame, benchmark: str | None, benchmark_mm: float
) -> tuple[frozenset[str], tuple[Remark, ...]]:
    """Return which stations of heights have an offset of their own, and remarks on moved ones.

    A table that holds the benchmark is above it already, unless it books the benchmark itself
    further from benchmark_mm than its sd allows: then it was booked above something else. A scan
    always has one.
    """
    heights = rows[rows["kind"].isin(["heights", "grid"])]
    # Where a scan's instrument stood is no datum, however near the benchmark it books.
    scans = rows["station"][rows["kind"] == "scan"]
    own, moved = {*heights["station"], *scans}, []
    for station, group in heights[heights["point"] == benchmark].groupby("station", sort=False):
        weight = group["sd_mm"].to_numpy(dtype=float) ** -2.0
        booked = float(np.average(group["observed_mm"], weights=weight))
        if abs(booked - benchmark_mm) <= LIMIT / np.sqrt(weight.sum()):
            own.discard(str(station))
            continue
        text = (
            f"{group['station_name'].iloc[0]} books the benchmark {benchmark} at {booked:g} mm,"
            f" not at {benchmark_mm:g} mm: its heights are moved as a whole."
        )
        moved.append(Remark(text, caution=True))
    return frozenset(own), tuple(moved)


def _heights(
    readings: Readings,
    solution: Solution,
    benchmark: str | None,
    moved: tuple[Remark, ...],
) -> Heights:
    rows, dof = readings.rows, solution.degrees_of_freedom
    height = solution.values[: len(readings.places)]
    if solution.free:
        height = height - height.max()
    points = readings.places.assign(height_mm=height, sd_mm=solution.height_sd_mm)
    further = Further(solution, rows, readings.places)
    weak = WeakTies(rows, readings.places, solution, benchmark)
    found, more = find_suspects(solution, rows, further)
    p = float(chdtrc(dof, solution.weighted_square_sum)) if dof else float("nan")
    sigma0 = float(np.sqrt(solution.weighted_square_sum / dof)) if dof else float("nan")
    said = (
        *remarks(rows, readings.places, solution, benchmark, (sigma0, p), further),
        *moved,
        *misclosure_remarks(rows),
        *level_remarks(rows, solution),
        *weak.remarks(),
    )
    notes = tuple(remark.text for remark in said)
    cautions = tuple(remark.text for remark in said if remark.caution)
    residuals = _residuals(rows, solution, marked(found, len(rows)))
    return Heights(
        points,
        residuals,
        sigma0,
        dof,
        p,
        (*(suspect.sentence for suspect in found), *([TOO_MANY] if more else [])),
        notes,
        solution,
        cautions=cautions,
        understood=tuple(table.understood for table in readings.tables if table.understood),
        findings=found,
        further=further,
        weak_ties=weak,
    )


def _residuals(rows: pd.DataFrame, solution: Solution, suspect: Mask) -> pd.DataFrame:
    redundancy = solution.redundancy_numbers
    w = studentise(solution.residual_mm, solution.model.sd_mm, redundancy)
    return pd.DataFrame(
        {
            "survey": rows["survey"],
            "row": rows["row"],
            "point": rows["point"],
            "residual_mm": solution.residual_mm,
            "redundancy": redundancy,
            "studentised": w,
            "suspect": suspect,
            "observed_mm": rows["observed_mm"],
            "sd_mm": rows["sd_mm"],
            "setup": rows["setup"],
            "start": rows["start"],
            "detectable_mm": detectable_mm(rows["sd_mm"].to_numpy(dtype=float), redundancy),
        }
    )
