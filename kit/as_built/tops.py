"""The top of the finished base: where it was read, how high it is there, and what lies between."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from types import MappingProxyType

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.as_built.contradict import contradicting, set_aside
from kit.as_built.judged import CONTRADICT
from kit.as_built.on_base import BESIDE_MM, CONTINUOUS, placed_on_base
from kit.as_built.read import read_tops
from kit.base.runs import Floats
from kit.job.model import AsBuilt
from kit.parts import Answer
from kit.readings import Heights, adjust
from kit.readings.survey import Readings

Weights = Mapping[int, float]


@dataclass(frozen=True, eq=False)
class Tops:
    """Heights of the top of the base where it was read.

    Parameters
    ----------
    heights : Heights
        The adjustment, with all that the readings say of each other; the benchmark is among its
        points where it was read.
    points : DataFrame
        Each point on the base: point, x_mm, y_mm, run, bearer (the row that it lies on, empty
        under a unit between rows), own_x_mm, own_y_mm, support (at which it was read, empty
        between supports), height_mm (as read), sd_mm, lift_mm (of the front lift that was
        planned), top_mm (height less lift).
    covariance : (n, n) array
        Of the heights of ``points`` [mm²].
    benchmark : str
        The benchmark that was read; empty where none was: heights are then their own.
    pieces : mapping of str to tuple
        From where to where along its run each piece of a row goes [mm].
    max_span_mm : float
        Between two readings further apart than this nothing is told [mm].
    reach_mm : float
        Beyond the last reading of a piece nothing is told further than this [mm].
    between : bool
        Whether the top between two supports can be told from both.
    contradicting : mapping of str to str
        Points whose readings contradict one another, the benchmark among them where its do, each
        with its rows: nothing is told of the top that hangs on them.
    """

    heights: Heights = field(repr=False)
    points: pd.DataFrame
    covariance: Floats = field(repr=False)
    benchmark: str
    pieces: Mapping[str, tuple[tuple[float, float], ...]] = field(repr=False)
    max_span_mm: float
    reach_mm: float
    between: bool
    contradicting: Mapping[str, str] = field(default_factory=dict)

    @property
    def absolute(self) -> bool:
        """Whether heights are in the frame of the job."""
        return bool(self.benchmark) and self.benchmark not in self.contradicting

    @cached_property
    def sound(self) -> NDArray[np.bool_]:
        """Of which of ``points`` the readings do not contradict one another, (n,)."""
        return ~self.points["point"].isin(list(self.contradicting)).to_numpy()

    @property
    def at_fault(self) -> dict[str, str]:
        """Supports whose readings contradict one another, each with the rows to look at."""
        named = zip(self.points["support"], self.points["point"], self.sound, strict=True)
        return {
            str(support): self.contradicting[str(point)]
            for support, point, sound in named
            if support and not sound
        }

    @cached_property
    def top_mm(self) -> Floats:
        """Heights less the planned front lift, (n,) [mm]."""
        return self.points["top_mm"].to_numpy(dtype=float)

    @cached_property
    def _on_rows(self) -> dict[str, list[tuple[float, int]]]:
        rows: dict[str, list[tuple[float, int]]] = {}
        for i, (bearer, x) in enumerate(
            zip(self.points["bearer"], self.points["own_x_mm"], strict=True)
        ):
            rows.setdefault(str(bearer), []).append((float(x), i))
        return {bearer: sorted(at) for bearer, at in rows.items()}

    def at(self, bearer: str, own_x_mm: float) -> Weights:
        """Return how the top at a place on a row hangs on the points that were read.

        Parameters
        ----------
        bearer : str
            Name of the row.
        own_x_mm : float
            Place along its run [mm].

        Returns
        -------
        mapping of int to float
            Weight of each point of ``points`` by its number, 1 in all; empty where it is not
            known, or hangs on a point whose readings contradict one another. Between two readings
            of one piece no more than ``max_span_mm`` apart it lies on
            the straight line; up to ``reach_mm`` beyond the last it lies on the line of the last
            two, or level with the last where there is no other near enough. Where every support
            stands alone, it is that of the nearest within ``reach_mm``.
        """
        rows = self._on_rows.get(bearer, [])
        found = [
            self._along(
                [(x, i) for x, i in rows if start - BESIDE_MM <= x <= end + BESIDE_MM], own_x_mm
            )
            for start, end in self.pieces.get(bearer, ())
            if start - 1e-6 <= own_x_mm <= end + 1e-6
        ]
        # Over a joint two pieces tell of it; a reading at the joint lies on both.
        weights = max(found, key=len, default={}) if self.between else self._nearest(rows, own_x_mm)
        return weights if all(self.sound[i] for i in weights) else {}

    def _nearest(self, rows: Sequence[tuple[float, int]], x: float) -> Weights:
        near = [(abs(at - x), i) for at, i in rows if abs(at - x) <= self.reach_mm]
        return {min(near)[1]: 1.0} if near else {}

    def _along(self, rows: Sequence[tuple[float, int]], x: float) -> Weights:
        exact = [i for at, i in rows if abs(at - x) <= 1e-6]
        if exact:
            return {exact[0]: 1.0}
        left = [one for one in rows if one[0] < x]
        right = [one for one in rows if one[0] > x]
        if left and right:
            return self._line(left[-1], right[0], x)
        beside = left[::-1] or right
        if not beside or abs(beside[0][0] - x) > self.reach_mm:
            return {}
        apart = [one for one in beside[1:] if abs(one[0] - beside[0][0]) > self.reach_mm]
        return (self._line(beside[0], apart[0], x) if apart else {}) or {beside[0][1]: 1.0}

    def _line(self, one: tuple[float, int], other: tuple[float, int], x: float) -> Weights:
        length = other[0] - one[0]
        if abs(length) > self.max_span_mm + 1e-6:
            return {}
        share = (x - one[0]) / length
        return {one[1]: 1 - share, other[1]: share}

    def value_mm(self, weights: Weights) -> float:
        """Return the top that some weights of points give [mm]; nan for none."""
        if not weights:
            return float("nan")
        return float(sum(self.top_mm[i] * share for i, share in weights.items()))

    def matrix(self, rows: Sequence[Weights]) -> Floats:
        """Return weights as rows of a matrix (m, n), 0 where a point does not count."""
        out = np.zeros((len(rows), len(self.points)))
        for row, weights in enumerate(rows):
            for i, share in weights.items():
                out[row, i] = share
        return out

    def at_support(self, support: str, bearer: str, own_x_mm: float) -> tuple[Weights, str]:
        """Return the top at a support and how it is known.

        ``read``, ``between``, ``not read``, or ``readings contradict`` where nothing tells which.
        Between supports only straight between readings on both sides of it on the same piece.
        """
        at = np.flatnonzero((self.points["support"] == support).to_numpy())
        if len(at):
            sound = bool(self.sound[at[0]])
            return ({int(at[0]): 1.0}, "read") if sound else ({}, CONTRADICT)
        rows = [x for x, _ in self._on_rows.get(bearer, [])]
        if self.between and any(x < own_x_mm for x in rows) and any(x > own_x_mm for x in rows):
            weights = self.at(bearer, own_x_mm)
            if len(weights) == 2 and all(-1e-9 <= share <= 1 + 1e-9 for share in weights.values()):
                return weights, "between"
        return {}, "not read"


def look_at_tops(folder: Path, answer: Answer, as_built: AsBuilt) -> Tops:
    """Turn the readings on the finished base into heights of its top.

    Parameters
    ----------
    folder : Path
        Where the tables lie.
    answer : Answer
        The base as planned.
    as_built : AsBuilt
        What was read on it.

    Returns
    -------
    Tops

    Raises
    ------
    Refusal
        Where the readings cannot be used; where a point lies on no bearer or support of the
        base; where one that is named like a support stands elsewhere. All by name.
    """
    job, layout = answer.job, answer.layout
    readings = read_tops(folder, as_built, _known_places(answer))
    read = set(readings.places["point"])
    benchmark = job.floor.benchmark if job.floor.benchmark in read else None
    heights = _adjusted(readings, benchmark, answer)
    trusted, place = _without_slips(readings, heights, benchmark, answer)
    on_base = (heights.points["point"] != benchmark).to_numpy()
    points = trusted.points.iloc[place[on_base]].reset_index(drop=True)
    placed = placed_on_base(points, answer)
    lift = answer.datum.front_lift_mm * placed.pop("lift_share")
    points = points[["point", "x_mm", "y_mm"]].join(placed).assign(
        height_mm=points["height_mm"], sd_mm=points["sd_mm"], lift_mm=lift
    )  # fmt: skip
    kept = place[on_base]
    return Tops(
        heights=heights,
        points=points.assign(top_mm=points["height_mm"] - points["lift_mm"]),
        covariance=trusted.covariance()[np.ix_(kept, kept)],
        benchmark=benchmark or "",
        pieces=MappingProxyType(_pieces(answer)),
        max_span_mm=answer.base.max_span_mm,
        reach_mm=layout.packer_size_mm[0],
        between=answer.base.method in CONTINUOUS,
        contradicting=contradicting(heights),
    )


def _adjusted(readings: Readings, benchmark: str | None, answer: Answer) -> Heights:
    floor = answer.job.floor
    heights = adjust(readings, benchmark, floor.benchmark_mm)
    return heights.scaled_if_rejected() if floor.doubt == "scaled" else heights


def _without_slips(
    readings: Readings, heights: Heights, benchmark: str | None, answer: Answer
) -> tuple[Heights, NDArray[np.int64]]:
    """Return heights that no slip pulls along, and where each point of the first lies in them.

    A slip in one reading moves its whole set-up, and with it all that was read from there alone.
    """
    aside = set_aside(heights)
    trusted = _adjusted(readings.without(aside), benchmark, answer) if aside else heights
    order = pd.Index(trusted.points["point"]).get_indexer(heights.points["point"].tolist())
    return trusted, np.asarray(order, dtype=np.int64)


def _known_places(answer: Answer) -> pd.DataFrame:
    """Return the places that need no table: supports, and the benchmark where the floor has it."""
    supports = answer.supports.rename(columns={"support": "point"})[["point", "x_mm", "y_mm"]]
    floor = answer.heights.points
    mark = floor[floor["point"] == answer.job.floor.benchmark][["point", "x_mm", "y_mm"]]
    return pd.concat([part for part in (supports, mark) if len(part)], ignore_index=True)


def _pieces(answer: Answer) -> dict[str, tuple[tuple[float, float], ...]]:
    whole = {row.name: ((row.start_mm, row.end_mm),) for row in answer.layout.rows}
    cut: dict[str, tuple[tuple[float, float], ...]] = {}
    cuts = answer.cuts.cuts
    for bearer, start, end in zip(cuts["bearer"], cuts["from_x_mm"], cuts["to_x_mm"], strict=True):
        cut[str(bearer)] = (*cut.get(str(bearer), ()), (float(start), float(end)))
    return whole | {name: pieces for name, pieces in cut.items() if name in whole}
