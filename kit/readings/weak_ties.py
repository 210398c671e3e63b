"""How weak the ties of a survey are, and which one further reading would check each best."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from kit.readings.equations import Floats, Whole
from kit.readings.least_squares import Solution
from kit.readings.remark import Remark
from kit.readings.survey import names_in_words
from kit.readings.ties import Net, Tie, find_ties

#: Points on either side of a tie, and set-ups beside it, that a further reading is sought among.
MOST_NEAR, MOST_BESIDE = 12, 4

#: Of readings that are so nearly as good as the best one, the nearest to the tie is named.
NEARLY = 0.9

#: Weak ties that are told one by one; set-ups of a part that are named.
MOST_TOLD, MOST_NAMED = 6, 4

#: Kinds of stations that could read a further point.
_READS_POINTS = ("staff", "heights", "grid", "scan")


@dataclass(frozen=True)
class Candidate:
    """A reading across a tie: its words, its unknowns with their factors, its sd [mm]."""

    words: str
    columns: tuple[int, int]
    factors: tuple[float, float]
    sd_mm: float
    apart_mm: float


@dataclass(frozen=True)
class Advice:
    """How well a part is known against the rest, and with one further reading [mm]."""

    sd_mm: float
    read: str
    sd_then_mm: float


@dataclass(frozen=True, eq=False)
class WeakTies:
    """The weak ties of a survey.

    Parameters
    ----------
    rows, places : DataFrame
        ``Readings.rows`` and ``Readings.places``.
    solution : Solution
        The adjustment.
    benchmark : str or None
        The point whose height is known.
    """

    rows: pd.DataFrame
    places: pd.DataFrame
    solution: Solution
    benchmark: str | None

    @cached_property
    def net(self) -> Net:
        """Set-ups and points."""
        return Net.of(self.rows, self.places)

    @cached_property
    def ties(self) -> list[Tie]:
        """Points that alone tie a part to the rest; those that nothing checks first."""
        return sorted(find_ties(self.net, self.benchmark), key=lambda tie: not tie.unchecked)

    def table(self) -> pd.DataFrame:
        """Return the ties, those that nothing checks first, of these the largest part.

        ``part`` (its set-ups), ``setups`` and ``points`` (how many hang there), ``tie`` (the
        point), ``checked`` (whether both sides read the point more than once), ``sd_mm`` (of the
        part's mean height against that of the rest), ``read`` (the reading that would check it
        best; empty where none is known) and ``sd_then_mm`` (with it).
        """
        columns = ["part", "setups", "points", "tie", "checked", "sd_mm", "read", "sd_then_mm"]
        rows = []
        for tie in self.ties:
            advice = self.advice(tie)
            size = (len(tie.stations), len(tie.points))
            told = (self._name(tie.point), not tie.unchecked)
            rows.append(
                (self._part(tie), *size, *told, advice.sd_mm, advice.read, advice.sd_then_mm)
            )
        return pd.DataFrame(rows, columns=columns)

    def remarks(self) -> Iterator[Remark]:
        """Yield a sentence on each weak tie; of many, on the largest parts.

        Two set-ups of which no reading is checked are told so elsewhere, and what to read.
        """
        if len(self.net.names) < 3:
            return
        for tie in self.ties[:MOST_TOLD]:
            yield Remark(self._sentence(tie), caution=tie.unchecked)
        more = self.ties[MOST_TOLD:]
        if more:
            worst = sum(tie.unchecked for tie in more)
            tail = f", {worst} of them by readings that nothing checks" if worst else ""
            one = "part hangs" if len(more) == 1 else "parts hang"
            yield Remark(f"{len(more)} more {one} on one point each{tail}.", caution=worst > 0)

    def advice(self, tie: Tie) -> Advice:
        """Return how well a part is known, and the one reading that would check it best.

        Notes
        -----
        A candidate a of sd s closes a round over the tie, and a reading of the tie with sd t that
        nothing checks gets the redundancy t²/(s² + a'Qa) (Eq. (1) of `kit.readings.further`): the
        best is that of the least s² + a'Qa, and of those nearly as good the one nearest to the
        tie. With f the part's mean height less that of the rest, the variance f'Qf becomes
        f'Qf - (f'Qa)²/(s² + a'Qa).
        """
        found = list(self._candidates(tie))
        wanted = np.zeros((len(self.solution.values), 1 + len(found)))
        wanted[self._height(tie.points), 0] = 1 / len(tie.points)
        wanted[self._height(tie.beyond), 0] = -1 / len(tie.beyond)
        for number, candidate in enumerate(found, start=1):
            wanted[list(candidate.columns), number] = candidate.factors
        wanted = wanted[self.solution.sought]
        known = self.solution.elimination.solve(wanted)
        now = max(float(wanted[:, 0] @ known[:, 0]), 0.0)
        if not found:
            return Advice(now**0.5, "", float("nan"))
        sd = np.array([candidate.sd_mm for candidate in found])
        spread = sd**2 + np.sum(wanted[:, 1:] * known[:, 1:], axis=0)
        gain = (wanted[:, 0] @ known[:, 1:]) ** 2 / spread
        apart = np.array([candidate.apart_mm for candidate in found])
        best = int(np.argmin(np.where(NEARLY * spread <= spread.min(), apart, np.inf)))
        then = max(now - float(gain[best]), 0.0)
        return Advice(now**0.5, found[best].words, then**0.5)

    def _candidates(self, tie: Tie) -> Iterator[Candidate]:
        """Yield readings of points on one side from what reads the tie on the other."""
        for stations, points in ((tie.stations, tie.beyond), (tie.others, tie.points)):
            near, apart = self._nearest(tie.point, points)
            beside = np.unique(self.net.station[self.net.point == tie.point])
            for station in beside[np.isin(beside, stations)][:MOST_BESIDE].tolist():
                if self.net.kinds[station] in _READS_POINTS:
                    yield from self._from(station, near, apart)
        if {self.net.kinds[station] for station in tie.stations.tolist()} == {"level"}:
            yield from self._lines(tie)

    def _from(self, station: int, points: Whole, apart: Floats) -> Iterator[Candidate]:
        here = self._of_station[station]
        first, staff = self.rows.iloc[here[0]], self.net.kinds[station] == "staff"
        column = self._unknowns.get(("set-up" if staff else "offset", str(first["station"])))
        if column is None:
            return
        sd = float(np.median(self.rows["sd_mm"].to_numpy(dtype=float)[here]))
        where = f"from set-up {self.net.names[station]}" if staff else f"in {first['survey']}"
        ends = zip(points.tolist(), self._height(points).tolist(), apart.tolist(), strict=True)
        for point, height, far in ends:
            words = f"point {self._name(point)} {where} too"
            yield Candidate(words, (column, height), (1.0, -1.0 if staff else 1.0), sd, far)

    def _lines(self, tie: Tie) -> Iterator[Candidate]:
        level = (self.rows["kind"] == "level").to_numpy()
        sd = float(np.median(self.rows["sd_mm"].to_numpy(dtype=float)[level]))
        one, near = self._nearest(tie.point, tie.points)
        other, far = self._nearest(tie.point, tie.beyond)
        for a, apart in zip(one.tolist(), near.tolist(), strict=True):
            for b, further in zip(other.tolist(), far.tolist(), strict=True):
                words = f"the level from {self._name(a)} to {self._name(b)}"
                ends = self._height(np.array([a, b]))
                columns = (int(ends[0]), int(ends[1]))
                yield Candidate(words, columns, (-1.0, 1.0), sd, apart + further)

    def _nearest(self, point: int, points: Whole) -> tuple[Whole, Floats]:
        at = self.places[["x_mm", "y_mm"]].to_numpy(dtype=float)
        apart = np.hypot(*(at[points] - at[point]).T)
        order = np.argsort(apart, kind="stable")[:MOST_NEAR]
        return points[order], apart[order]

    @cached_property
    def _of_station(self) -> Sequence[Whole]:
        order = np.argsort(self.net.station, kind="stable")
        bounds = np.searchsorted(self.net.station[order], np.arange(1, len(self.net.names)))
        return np.split(self.net.row[order], bounds)

    @cached_property
    def _unknowns(self) -> dict[tuple[str, str], int]:
        model = self.solution.model
        keys = zip(model.kinds.tolist(), model.names.tolist(), strict=True)
        return {key: number for number, key in enumerate(keys)}

    def _height(self, points: Whole) -> Whole:
        return self.solution.model.columns("height")[points]

    def _name(self, point: int) -> str:
        return str(self.places["point"].iloc[point])

    def _part(self, tie: Tie) -> str:
        names = [self.net.names[station] for station in tie.stations.tolist()]
        return names_in_words(names, MOST_NAMED)

    def _sentence(self, tie: Tie) -> str:
        advice, name = self.advice(tie), self._name(tie.point)
        one = "hangs" if len(tie.stations) == 1 else "hang"
        points = "1 point" if len(tie.points) == 1 else f"{len(tie.points)} points"
        said = f"{self._part(tie)} with {points} {one} on {name} alone, "
        if tie.unchecked:
            said += "and no other reading checks that tie: a slip in it moves them all, unseen"
        else:
            said += "which both sides read more than once: if it was touched, nothing shows it"
        said += f" (sd {advice.sd_mm:.2f} mm to the rest)."
        return f"{said} Read {advice.read}." if advice.read else said
