"""Which one further reading would check most, or tell apart what nothing tells apart.

A further reading a with standard deviation s changes the covariance of the residuals to

    C' = C + (A Q a)(A Q a)' / (s² + a'Q a),                                    (1)

so each reading's redundancy grows by its share of that, and two residuals that moved together
may part. Every candidate is tried; nothing need be read for it.

References
----------
.. [1] Förstner, W., Reliability analysis of parameter estimation, 1987 (from memory); the update
   is Sherman and Morrison's.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from types import MappingProxyType

import numpy as np
import pandas as pd

from kit.readings.equations import Floats, Whole
from kit.readings.least_squares import UNCHECKED, Solution

#: From this redundancy on a reading counts as checked: a slip of 13 sd is found 4 times in 5.
CHECKED = 0.1

#: Two residuals less alike than this can be told apart (common practice, no source).
APART = 0.95

#: What readings of a kind are taken from; the others have no station that could read more.
_STATION_OF = MappingProxyType(
    {"staff": "set-up", "heights": "offset", "grid": "offset", "scan": "offset"}
)

#: Larger networks are not searched, to bound time and memory: unknowns, candidates.
MOST_UNKNOWNS, MOST_CANDIDATES = 600, 4000

#: Nobody carries a straight edge under a spirit level that is longer [m] (common practice).
LONGEST_LEVEL_M = 3.0


@dataclass(frozen=True)
class Candidate:
    """A reading that could be taken: its words, its unknowns with their factors, its sd."""

    words: str
    columns: tuple[int, ...]
    factors: tuple[float, ...]
    sd_mm: float


@dataclass(frozen=True, eq=False)
class Further:
    """All single readings that could be taken after an adjustment.

    Parameters
    ----------
    solution : Solution
        The adjustment.
    rows, places : DataFrame
        ``Readings.rows`` and ``Readings.places``.
    """

    solution: Solution
    rows: pd.DataFrame
    places: pd.DataFrame

    @cached_property
    def candidates(self) -> tuple[Candidate, ...]:
        """Every point from every set-up, in every table of heights, and level from every point.

        Empty where the network is too large to search.
        """
        if len(self.solution.sought) > MOST_UNKNOWNS:
            return ()
        found = [*self._from_stations(), *self._between_points()]
        return tuple(found) if len(found) <= MOST_CANDIDATES else ()

    @cached_property
    def _unknowns(self) -> dict[tuple[str, str], int]:
        model = self.solution.model
        keys = zip(model.kinds.tolist(), model.names.tolist(), strict=True)
        return {key: number for number, key in enumerate(keys)}

    def _from_stations(self) -> Iterator[Candidate]:
        rows, unknowns = self.rows, self._unknowns
        names = self.places["point"].tolist()
        for station, group in rows.groupby("station", sort=False):
            first = group.iloc[0]
            kind = _STATION_OF.get(first["kind"], "")
            column = unknowns.get((kind, str(station)))
            if column is None:
                continue
            sign = -1.0 if kind == "set-up" else 1.0
            still = f"from set-up {first['setup']}, if it still stands"
            where = still if first["setup"] else f"for {first['survey']}"
            sd, read = float(group["sd_mm"].median()), set(group["point"])
            for name in names:
                again = "again " if name in read else ""
                words = f"point {name} {again}{where}"
                ends = (column, unknowns["height", name])
                yield Candidate(words, ends, (1.0, sign), sd)

    def _between_points(self) -> Iterator[Candidate]:
        levels = self.rows[self.rows["kind"] == "level"]
        for survey, group in levels.groupby("survey", sort=False):
            yield from self._with_level(str(survey), group)

    def _with_level(self, survey: str, group: pd.DataFrame) -> Iterator[Candidate]:
        sd, unknowns = float(group["sd_mm"].median()), self._unknowns
        own = unknowns.get(("own error", survey))
        read = {frozenset(pair) for pair in group[["start", "point"]].to_numpy().tolist()}
        names = self.places["point"].tolist()
        at = self.places[["x_mm", "y_mm"]].to_numpy(dtype=float) / 1000
        longest = max(LONGEST_LEVEL_M, float(group["span_m"].max()))
        for i, j in combinations(range(len(names)), 2):
            span = float(np.hypot(*(at[i] - at[j])))
            if span > longest:
                continue
            again = " again" if frozenset((names[i], names[j])) in read else ""
            words = f"the level{again} from {names[i]} to {names[j]}"
            ends = (unknowns["height", names[i]], unknowns["height", names[j]])
            if own is None:
                yield Candidate(words, ends, (-1.0, 1.0), sd)
                continue
            for turned, way in ((1.0, ""), (-1.0, ", turned end for end")):
                yield Candidate(words + way, (*ends, own), (-1.0, 1.0, turned * span), sd)

    @cached_property
    def _cofactors(self) -> Floats:
        """Q over all unknowns; 0 where one is held."""
        count, sought = len(self.solution.values), self.solution.sought
        full = np.zeros((count, count))
        full[np.ix_(sought, sought)] = self.solution.elimination.solve(np.eye(len(sought)))
        return full

    def _reach(self, rows: Whole) -> tuple[Floats, Floats]:
        """Return A Q a of some rows and s² + a'Q a, each for every candidate [mm²]."""
        q, wanted = self._cofactors, np.zeros((len(self.solution.values), len(self.candidates)))
        for number, candidate in enumerate(self.candidates):
            wanted[list(candidate.columns), number] = candidate.factors
        known = q @ wanted
        sd = np.array([c.sd_mm for c in self.candidates])
        reach = self.solution.model.design[rows] @ known
        return np.asarray(reach), sd**2 + np.sum(wanted * known, axis=0)

    @cached_property
    def checks(self) -> pd.DataFrame:
        """What each candidate would do for the readings that nothing checks now, best first.

        ``reading``, ``checked`` (readings that it would check), ``redundancy`` (that it would
        bring them in all).
        """
        unchecked = np.flatnonzero(self.solution.redundancy_numbers <= UNCHECKED)
        if not len(unchecked) or not self.candidates:
            return pd.DataFrame({"reading": [], "checked": [], "redundancy": []})
        reach, spread = self._reach(unchecked)
        sd = self.solution.model.sd_mm[unchecked]
        grown = reach**2 / spread / sd[:, None] ** 2  # Eq. (1), the diagonal
        table = pd.DataFrame(
            {
                "reading": [candidate.words for candidate in self.candidates],
                "checked": (grown >= CHECKED).sum(axis=0),
                "redundancy": grown.sum(axis=0),
            }
        )
        order = ["checked", "redundancy"]
        return table.sort_values(order, ascending=False, kind="stable", ignore_index=True)

    def checks_most(self) -> str:
        """Return a sentence on the one reading that would check most; empty if none is known."""
        if self.checks.empty or self.checks["checked"].iloc[0] == 0:
            return ""
        best = self.checks.iloc[0]
        unchecked = int((self.solution.redundancy_numbers <= UNCHECKED).sum())
        if best["checked"] == unchecked:
            them = "it" if unchecked == 1 else "them all"
            return f" One further reading would check {them}: {best['reading']}."
        if best["checked"] > 1:
            return f" One further reading would check {best['checked']} of them: {best['reading']}."
        return (
            f" A single further reading checks one of them at most ({best['reading']}, say): read"
            " several of the points again in one go, from a set-up of their own."
        )

    def telling_apart(self, group: Whole) -> str:
        """Return a sentence on the one reading that best parts readings that nothing parts now.

        Parameters
        ----------
        group : (k,) array of int
            Rows whose residuals are completely correlated.
        """
        if not self.candidates:
            return ""
        reach, spread = self._reach(group)
        now = np.column_stack([self.solution.residual_cofactors(int(j))[group] for j in group])
        one, other = np.triu_indices(len(group), 1)
        product = reach[one] * reach[other] / spread
        own = np.diag(now)[:, None] + reach**2 / spread
        alike = abs(now[one, other][:, None] + product) / np.sqrt(own[one] * own[other])
        parted = (alike < APART).sum(axis=0)
        # Of those that part as many pairs, the one that parts them furthest.
        best = int(np.lexsort((alike.mean(axis=0), -parted))[0])
        if not parted[best]:
            return ""
        words = self.candidates[best].words
        new = ", otherwise from a new one with a second shared point" if "set-up" in words else ""
        return f" Read {words}{new}: it tells most."
