"""Readings in, heights out: one network, one solution, and what can be said about its quality."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
import pandas as pd
from scipy.special import chdtrc

from kit.job.refusal import Refusal, refuse
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
from kit.readings.own_error import OwnErrors, own_error_remarks, own_errors
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
    levels = own_errors(readings)
    try:
        solution = _solve(readings, own_datum, levels, fixed)
    except np.linalg.LinAlgError as error:
        # Turned readings need not determine the own error: then it stays in the heights.
        if not levels.unknown:
            raise _undetermined(readings, own_datum, levels, fixed, error) from error
        levels = levels.given_up()
        try:
            solution = _solve(readings, own_datum, levels, fixed)
        except np.linalg.LinAlgError as second:
            raise _undetermined(readings, own_datum, levels, fixed, second) from second
    told = (*moved, *own_error_remarks(solution, readings, levels), *_of_tables(readings))
    return _heights(readings, solution, benchmark, told)


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


def _solve(
    readings: Readings, own_datum: frozenset[str], levels: OwnErrors, fixed: Mapping[str, float]
) -> Solution:
    model = _model(readings, own_datum, levels)
    check_tied(model, readings, fixed)
    return solve(model, fixed)


def _undetermined(
    readings: Readings,
    own_datum: frozenset[str],
    levels: OwnErrors,
    fixed: Mapping[str, float],
    error: np.linalg.LinAlgError,
) -> Refusal:
    problem = left_open(_model(readings, own_datum, levels), readings, fixed)
    if problem is not None:
        return Refusal(problem)
    names = ", ".join(table.survey for table in readings.tables)
    return refuse(names, str(error), "readings that determine every height")


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
    further from benchmark_mm than its sd allows: then it was booked above something else.
    """
    heights = rows[rows["kind"].isin(["heights", "grid"])]
    own, moved = set(heights["station"]), []
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
    found, more = find_suspects(solution, rows, further)
    p = float(chdtrc(dof, solution.weighted_square_sum)) if dof else float("nan")
    sigma0 = float(np.sqrt(solution.weighted_square_sum / dof)) if dof else float("nan")
    said = (
        *remarks(rows, readings.places, solution, benchmark, (sigma0, p), further),
        *moved,
        *misclosure_remarks(rows),
        *level_remarks(rows, solution),
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
