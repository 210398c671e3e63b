"""What must hold before a network can be solved: everything tied together, and to the datum."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np
import pandas as pd
from scipy import sparse
from scipy.spatial import cKDTree

from kit.job.refusal import Problem, Refusal, refuse
from kit.readings.along import beside_edge_mm
from kit.readings.equations import Floats, Model, Whole
from kit.readings.least_squares import grounded_rows
from kit.readings.survey import SAME_PLACE_MM, Readings, names_in_words

#: A plane needs three points.
LEAST_POINTS = 3

#: Below this many places a straight edge fits any floor.
LEAST_GAPS = 3

#: No straight edge is broader [mm] (common practice, no source).
BROADEST_EDGE_MM = 100.0


def check_readings(readings: Readings, benchmark: str | None) -> None:
    """Refuse readings that no adjustment can use.

    Parameters
    ----------
    readings : Readings
        All tables.
    benchmark : str or None
        The benchmark's name, if the job names one.

    Raises
    ------
    Refusal
        Fewer than 3 points; a benchmark that no table reads; a set-up that reads one point only;
        a straight edge with gaps at fewer than three places, or at places not in one line.
    """
    points = readings.places["point"].tolist()
    if len(points) < LEAST_POINTS:
        where = ", ".join(table.survey for table in readings.tables)
        found = f"{len(points)} points ({names_in_words(points)})"
        raise refuse(where, found, f"at least {LEAST_POINTS} points")
    if benchmark is not None and benchmark not in set(points):
        near = difflib.get_close_matches(benchmark, points, 1, 0.0)
        found = f"{benchmark!r}, which no table reads"
        raise refuse(
            "job.toml, floor.benchmark", found, f"a point that is read, such as {near[0]!r}"
        )
    problems = [*_one_point_only(readings.rows), *_no_edge(readings.rows)]
    if problems:
        raise Refusal(*problems)


def _one_point_only(rows: pd.DataFrame) -> list[Problem]:
    staff = rows[rows["kind"] == "staff"]
    points = staff.groupby("station", sort=False)["point"].transform("nunique")
    alone = staff[points == 1].drop_duplicates("station")
    allowed = "readings of two points or more from each set-up"
    return [
        Problem(
            f"{row['survey']}, row {row['row']}, set-up {row['setup']}",
            f"a reading of one point only ({row['point']})",
            allowed,
        )
        for row in alone.to_dict("records")
    ]


def _no_edge(rows: pd.DataFrame) -> Iterator[Problem]:
    """Yield the placements that say nothing of the floor, or that no one edge can lie along."""
    edges = rows.assign(beside_mm=beside_edge_mm(rows))[rows["kind"] == "straightedge"]
    for _, group in edges.groupby("station", sort=False):
        first = group.iloc[0]
        where = f"{first['survey']}, row {first['row']}, placement {first['setup']}"
        if len(_distinct(group["along_m"].to_numpy(dtype=float) * 1000)) < LEAST_GAPS:
            points = names_in_words(list(dict.fromkeys(group["point"])))
            allowed = "gaps at three places or more of each placement: two ends and one between"
            yield Problem(where, f"gaps at fewer than three places ({points})", allowed)
            continue
        worst = group.iloc[int(np.argmax(abs(group["beside_mm"].to_numpy(dtype=float))))]
        if abs(worst["beside_mm"]) > BROADEST_EDGE_MM / 2:
            yield Problem(
                f"{worst['survey']}, row {worst['row']}, placement {worst['setup']}, point"
                f" {worst['point']}",
                f"a place {abs(worst['beside_mm']):.0f} mm beside the line of the others",
                f"points of one placement within {BROADEST_EDGE_MM / 2:g} mm of one straight line",
            )


def _distinct(along_mm: Floats) -> Floats:
    """Return places along an edge that are more than a point's own tolerance apart."""
    ordered = np.sort(along_mm)
    apart = np.diff(ordered, prepend=-np.inf) > SAME_PLACE_MM
    return np.asarray(ordered[apart])


def check_tied(model: Model, readings: Readings, fixed: Mapping[str, float]) -> None:
    """Refuse a network that falls into parts, naming the set-ups and points of each loose part.

    Parameters
    ----------
    model : Model
        The rows of the readings, in the order of ``readings.rows``.
    readings : Readings
        All tables.
    fixed : mapping of str to float
        Heights that are known, by point.

    Raises
    ------
    Refusal
        One problem for each part that nothing ties to the benchmark or, without one, to the
        largest part.
    """
    part = _parts(model, fixed)
    tied = model.lift != 0
    held = _held(model, fixed)
    main = part[held[0]] if len(held) else np.bincount(part[tied]).argmax()
    loose = [p for p in np.unique(part[tied]) if p != main]
    if not loose:
        return
    row, column = model.design.tocoo().coords
    row_part = np.empty(model.design.shape[0], dtype=np.int64)
    row_part[row[tied[column]]] = part[column[tied[column]]]
    to = f"the benchmark {next(iter(fixed))}" if fixed else "the other readings"
    rows = readings.rows
    untied = {table.survey: table.untied for table in readings.tables if table.untied}
    whole = untied if set(rows["survey"][row_part == main]) & set(untied) else {}
    problems = []
    for one in loose:
        here = rows[row_part == one]
        why = {name: untied[name] for name in dict.fromkeys(here["survey"]) if name in untied}
        problem = _loose(here, rows[row_part != one], to)
        problems.append(_with_scans(problem, why or whole))
    raise Refusal(*problems)


def _with_scans(problem: Problem, why: Mapping[str, str]) -> Problem:
    """Return a problem of a loose part in the words of scans that nothing ties, if any."""
    if not why:
        return problem
    said = "; ".join(f"{name}: {reason}" for name, reason in why.items())
    allowed = (
        "a point or more of another table on scanned floor, a cell and a half from its edges and"
        " holes; if there are some, see whether the scan's frame and file_unit are right"
    )
    return replace(problem, found=f"{problem.found} ({said})", allowed=allowed)


def _held(model: Model, fixed: Mapping[str, float]) -> Whole:
    return np.flatnonzero((model.kinds == "height") & np.isin(model.names, list(fixed)))


def _parts(model: Model, fixed: Mapping[str, float]) -> Whole:
    """Return the part that each unknown belongs to; fixed heights share the ground."""
    rows, columns = model.design.shape
    ties = model.lift != 0
    row, column = model.design.tocoo().coords
    kept = ties[column]
    ground = columns + rows
    held = _held(model, fixed)
    sole = np.flatnonzero(grounded_rows(model))
    one = np.concatenate([row[kept] + columns, held, sole + columns])
    other = np.concatenate([column[kept], np.full(len(held) + len(sole), ground)])
    graph = sparse.coo_array((np.ones(len(one)), (one, other)), shape=(ground + 1, ground + 1))
    _, part = sparse.csgraph.connected_components(graph.tocsr(), directed=False)
    return np.asarray(part[:columns], dtype=np.int64)


def _loose(rows: pd.DataFrame, others: pd.DataFrame, to: str) -> Problem:
    survey = ", ".join(dict.fromkeys(rows["survey"]))
    setups = [name for name in dict.fromkeys(rows["setup"]) if name]
    what = "placement" if (rows["kind"] == "straightedge").all() else "set-up"
    ends = rows[["start", "point"]].to_numpy().ravel()
    points = [name for name in dict.fromkeys(ends.tolist()) if name]
    where = f"{survey}, row {rows['row'].iloc[0]}"
    if setups:
        where += f", {what} {names_in_words(setups)}"
    found = f"points {names_in_words(points)}, tied to {to} by no common point"
    found += _same_place(rows, others)
    allowed = "a point under the same name in both parts, so that the one can be set to the other"
    return Problem(where, found, allowed)


def _same_place(rows: pd.DataFrame, others: pd.DataFrame) -> str:
    """Name two points that stand at one place, which may be what should have tied the parts."""
    place = ["x_mm", "y_mm"]
    distance, nearest = cKDTree(others[place].to_numpy(float)).query(rows[place].to_numpy(float))
    i = int(np.argmin(distance))
    if np.min(distance) > SAME_PLACE_MM:
        return ""
    there = others["point"].iloc[int(np.atleast_1d(nearest)[i])]
    return f" ({rows['point'].iloc[i]} stands where {there} does, under another name)"
