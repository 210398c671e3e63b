"""The person's own weights: what they make of the differences, and where the ranking turns.

There are no weights until someone gives them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd

from kit.job import refuse
from kit.side_by_side.comparison import Comparison, Row


@dataclass(frozen=True)
class Weighed:
    """One measure with its weight.

    Parameters
    ----------
    row : Row
        The measure.
    weight : float
        0 or more.
    share : float
        By how much of the larger figure the better one is better, of margins by how much of the
        limit; positive where a is, negative where b is; 0 where they do not differ; nan where
        that is not known.
    turns_at : float
        The weight at which the ranking turns, all others as they are; nan where none does.
    """

    row: Row
    weight: float
    share: float
    turns_at: float

    @property
    def part(self) -> float:
        """What it adds to the score; 0 where it is not known."""
        return 0.0 if math.isnan(self.share) else self.weight * self.share


@dataclass(frozen=True)
class Weighing:
    """What a person's weights make of two bases.

    Parameters
    ----------
    names : tuple of str
        Of both bases.
    weighed : tuple of Weighed
        Every measure that has a weight.
    """

    names: tuple[str, str]
    weighed: tuple[Weighed, ...]

    @property
    def score(self) -> float:
        """Sum of weight times share, positive where the first base is the better."""
        return math.fsum(one.part for one in self.weighed)

    @property
    def winner(self) -> str:
        """Name of the better base by these weights; empty where they come out alike.

        Empty too where nothing that is weighed can be compared.
        """
        if abs(self.score) <= _SAME:
            return ""
        return self.names[0] if self.score > 0 else self.names[1]

    @property
    def left_out(self) -> tuple[str, ...]:
        """Weighed measures by which the two cannot be compared."""
        return tuple(w.row.a.measure for w in self.weighed if math.isnan(w.share))

    def table(self) -> pd.DataFrame:
        """Return measure, weight, share, part, turns_at: one row a weighed measure."""
        rows = [(w.row.a.measure, w.weight, w.share, w.part, w.turns_at) for w in self.weighed]
        return pd.DataFrame(rows, columns=["measure", "weight", "share", "part", "turns_at"])


_SAME = 1e-12

#: Weights are compared with each other: none needs to be more than this.
MOST = 1e6


def weigh(comparison: Comparison, weights: Mapping[str, float]) -> Weighing:
    """Rank two bases by a person's own weights.

    Parameters
    ----------
    comparison : Comparison
        From `kit.compare`.
    weights : mapping of str to float
        By the key of a measure, 0 or more; what is not named does not count.

    Returns
    -------
    Weighing

    Raises
    ------
    Refusal
        An unknown measure, one of which neither way is better, a negative weight.

    Notes
    -----
    Eq. (1): share = (worse - better) / larger of the two, without signs; of percentages of a
    limit (worse - better) / 100; 0 where the difference is within its doubt. Eq. (2): score = sum
    of weight · share, + for the first base. It is linear in each weight, so that the ranking turns
    where w_i = -(score - w_i · s_i) / s_i, Eq. (3).
    """
    shares = {key: _share(_weighable(comparison, key, weight)) for key, weight in weights.items()}
    known = {key: 0.0 if math.isnan(share) else share for key, share in shares.items()}
    score = math.fsum(weights[key] * known[key] for key in weights)
    weighed = tuple(
        Weighed(
            comparison.row(key), float(weight), shares[key], _turns_at(score, weight, known[key])
        )
        for key, weight in weights.items()
    )
    return Weighing(comparison.names, weighed)


def _weighable(comparison: Comparison, key: str, weight: float) -> Row:
    row = comparison.row(key)
    if not 0 <= weight <= MOST:  # never where it is nan
        raise refuse(f"weight of {key!r}", f"{weight:g}", f"0 to {MOST:g}")
    if not (row.a.better or row.b.better):
        raise refuse(
            f"weight of {key!r}", f"{row.a.measure}, of which neither more nor less is better",
            "a measure with a better way",
        )  # fmt: skip
    return row


def _share(row: Row) -> float:
    """Return Eq. (1), positive where a is the better; nan where that cannot be said."""
    if not row.comparable or row.why_not:
        return math.nan
    if not row.winner:
        return 0.0
    size = abs(row.difference) / row.whole
    return size if row.winner == "a" else -size


def _turns_at(score: float, weight: float, share: float) -> float:
    """Return Eq. (3), nan where no weight of 0 or more turns the ranking."""
    if share == 0:
        return math.nan
    others = score - weight * share
    # Where nothing else weighs, both come out alike at 0 and no other base wins beyond.
    turns = -others / share if abs(others) > _SAME else -1.0
    return turns if turns >= 0 else math.nan
