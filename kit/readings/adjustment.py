"""Readings in, heights out: one network, one solution, and what can be said about its quality."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import pandas as pd
from scipy.special import chdtrc

from kit.job.refusal import refuse
from kit.readings.equations import Block, Floats, Mask, assemble, height_rows, staff_rows
from kit.readings.least_squares import Solution, solve
from kit.readings.misclosure import misclosure_remarks
from kit.readings.network import check_readings, check_tied
from kit.readings.remarks import GLOBAL_TEST_LEVEL, Remark, remarks
from kit.readings.slips import LIMIT, find_suspects, studentise
from kit.readings.survey import Readings


@dataclass(frozen=True, eq=False)
class Heights:
    """Adjusted heights, how far each is to be trusted, and what the readings say of each other.

    Parameters
    ----------
    points : DataFrame
        ``point, x_mm, y_mm, height_mm, sd_mm``, in order of first reading.
    residuals : DataFrame
        One line a reading: ``survey, row`` (line of the file, header = 1), ``point, residual_mm``
        (adjusted - observed), ``redundancy`` (0 to 1), ``studentised`` (nan where nothing checks
        the reading), ``suspect``, then ``observed_mm, sd_mm, setup``.
    sigma0 : float
        sqrt(v' P v / redundancy); nan if the redundancy is 0.
    redundancy : int
        Readings more than needed.
    global_test_p : float
        Probability of a v' P v this large or larger if every reading has its stated sd (upper
        tail of chi-square); nan if the redundancy is 0.
    suspects : tuple of str
        A sentence for each gross error that the residuals point to.
    notes : tuple of str
        Sentences on datum, shifted tables, checks and misclosures.
    cautions : tuple of str
        Those of the notes that a person must act on; the suspects come on top.
    """

    points: pd.DataFrame
    residuals: pd.DataFrame
    sigma0: float
    redundancy: int
    global_test_p: float
    suspects: tuple[str, ...]
    notes: tuple[str, ...]
    solution: Solution = field(repr=False)
    sd_factor: float = 1.0
    cautions: tuple[str, ...] = ()

    @cached_property
    def _covariance(self) -> Floats:
        full = self.solution.height_covariance() * self.sd_factor**2
        full.setflags(write=False)
        return full

    def covariance(self) -> Floats:
        """Return the covariance matrix of the heights [mm²], (n, n), points in order.

        Computed when first asked for, and kept; 8·n² bytes.
        """
        return self._covariance

    def scaled(self) -> Heights:
        """Return the same heights with every sd times sigma0.

        For a person who trusts the readings' scatter more than the sd stated for them.

        Raises
        ------
        Refusal
            Where the global test does not reject the stated sd, or nothing can be tested.
        """
        if not self.global_test_p < GLOBAL_TEST_LEVEL or self.sd_factor != 1.0:
            raise refuse(
                "scaling by sigma0",
                f"sigma0 {self.sigma0:.2f}, p {self.global_test_p:.2g}, factor {self.sd_factor:g}",
                f"once, where the global test rejects (p below {GLOBAL_TEST_LEVEL})",
            )
        points = self.points.assign(sd_mm=self.points["sd_mm"] * self.sigma0)
        note = f"Every sd is multiplied by sigma0 = {self.sigma0:.2f}, as asked."
        return replace(self, points=points, sd_factor=self.sigma0, notes=(*self.notes, note))


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
    model = assemble(list(_blocks(readings, own_datum)), readings.places["point"].tolist())
    fixed = {} if benchmark is None else {benchmark: benchmark_mm}
    check_tied(model, readings, fixed)
    try:
        solution = solve(model, fixed)
    except np.linalg.LinAlgError as error:
        names = ", ".join(table.survey for table in readings.tables)
        raise refuse(names, str(error), "readings that determine every height") from error
    return _heights(readings, solution, benchmark, moved)


def _blocks(readings: Readings, own_datum: frozenset[str]) -> Iterator[Block]:
    for _, rows in readings.rows.groupby("table", sort=True):
        if rows["kind"].iloc[0] == "staff":
            yield staff_rows(rows)
        else:
            yield height_rows(rows, rows["station"].iloc[0] in own_datum)


def _datums(
    rows: pd.DataFrame, benchmark: str | None, benchmark_mm: float
) -> tuple[frozenset[str], tuple[Remark, ...]]:
    """Return which stations of heights have an offset of their own, and remarks on moved ones.

    A table that holds the benchmark is above it already, unless it books the benchmark itself
    further from benchmark_mm than its sd allows: then it was booked above something else.
    """
    heights = rows[rows["kind"] != "staff"]
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
    suspect, suspects = find_suspects(solution, rows)
    p = float(chdtrc(dof, solution.weighted_square_sum)) if dof else float("nan")
    sigma0 = float(np.sqrt(solution.weighted_square_sum / dof)) if dof else float("nan")
    said = (
        *remarks(rows, readings.places, solution, benchmark, sigma0, p),
        *moved,
        *misclosure_remarks(rows),
    )
    notes = tuple(remark.text for remark in said)
    cautions = tuple(remark.text for remark in said if remark.caution)
    residuals = _residuals(rows, solution, suspect)
    return Heights(points, residuals, sigma0, dof, p, suspects, notes, solution, cautions=cautions)


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
        }
    )
