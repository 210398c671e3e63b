"""Which readings are suspect, and which slip of hand would explain them.

Data snooping [1], one reading at a time: the reading with the largest |w| above 3.29 is the
suspect; it is set aside, the effect of its error is taken out of all other residuals, and what is
still above 3.29 is the next suspect. So a gross error is named once and not again at every
reading that it drags along, while two errors far apart are both found. Readings whose residuals
are completely correlated (two set-ups that share two points, say) cannot be told apart: they are
all marked, in one sentence that says so. The heights themselves keep every reading.

References
----------
.. [1] Baarda, W., A testing procedure for use in geodetic networks, Netherlands Geodetic
   Commission, new series 2/5, Delft 1968.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from kit.readings.equations import Floats, Mask, Whole
from kit.readings.least_squares import UNCHECKED, Solution

#: Two-sided 0.1 % of the normal distribution, Baarda's limit for w.
LIMIT = 3.29

#: Beyond this correlation two residuals show the same thing.
SAME = 0.999

#: Suspects after which it is the stated sd, not the single reading, that is doubted.
MOST_SUSPECTS = 20

#: Readings of one error that are named.
MOST_NAMED = 6

#: Readings that are tried as the other half of a swap.
MOST_PARTNERS = 20


@dataclass
class Snooping:
    """Residuals and redundancy numbers while suspects are set aside one after another."""

    solution: Solution
    residual: Floats
    redundancy: Floats
    removed: list[Floats]

    @classmethod
    def begin(cls, solution: Solution) -> Snooping:
        """Return the state with every reading still in."""
        numbers = solution.redundancy_numbers.copy()
        return cls(solution, solution.residual_mm.copy(), numbers, [])

    def studentised(self) -> Floats:
        """Return w, with 0 where nothing checks a reading."""
        return np.nan_to_num(studentise(self.residual, self.solution.model.sd_mm, self.redundancy))

    def cofactors(self, row: int) -> Floats:
        """Return the covariances of a residual with all others, suspects set aside [mm²]."""
        column = self.solution.residual_cofactors(row)
        for direction in self.removed:
            column = column - direction * direction[row]
        return column

    def remove(self, row: int) -> None:
        """Set a reading aside, and take the effect of its error out of all others."""
        if self.redundancy[row] <= UNCHECKED:
            return
        column = self.cofactors(row)
        direction = column / np.sqrt(column[row])
        self.residual -= column * (self.residual[row] / column[row])
        self.redundancy -= (direction / self.solution.model.sd_mm) ** 2
        self.redundancy[row] = 0.0
        self.removed.append(direction)


def studentise(residual: Floats, sd: Floats, redundancy: Floats) -> Floats:
    """Return Baarda's w = v / (sd·sqrt r) with the a-priori sd; nan where r is 0.

    Parameters
    ----------
    residual, sd : (n,) arrays
        Residuals and standard deviations of the readings [mm].
    redundancy : (n,) array
        Redundancy numbers, 0 to 1.
    """
    checked = redundancy > UNCHECKED
    share = np.where(checked, redundancy, 1.0)
    return np.where(checked, residual / (sd * np.sqrt(share)), np.nan)  # Eq. of [1]


def find_suspects(solution: Solution, rows: pd.DataFrame) -> tuple[Mask, tuple[str, ...]]:
    """Return which readings are suspect, and a sentence for each gross error.

    Parameters
    ----------
    solution : Solution
        The adjustment.
    rows : DataFrame
        ``Readings.rows``, one a row of the model.

    Returns
    -------
    (rows,) array of bool, tuple of str
        At most 20 gross errors; a sentence says so where there may be more.
    """
    state = Snooping.begin(solution)
    marked = np.zeros(len(rows), dtype=bool)
    sentences: list[str] = []
    while solution.degrees_of_freedom > len(state.removed):
        w = state.studentised()
        row = int(np.argmax(abs(w)))
        if abs(w[row]) <= LIMIT:
            break
        if len(sentences) == MOST_SUSPECTS:
            sentences.append(
                f"More than {MOST_SUSPECTS} readings are suspect: the stated sd may be too small."
            )
            break
        group, sentence = _explain(state, w, row, rows)
        marked[group] = True
        sentences.append(sentence)
    return marked, tuple(sentences)


def _explain(state: Snooping, w: Floats, row: int, rows: pd.DataFrame) -> tuple[Whole, str]:
    """Name one gross error and set it aside."""
    group = _inseparable(state, row)
    swaps = _swaps(state, w, group, rows)
    if swaps:
        for other in swaps[0]:
            state.remove(other)
        return np.unique(np.array(swaps, dtype=np.int64)), _swap_sentence(swaps, rows, w[row])
    errors = -state.residual[group] / state.redundancy[group]
    sd = state.solution.model.sd_mm[group] / np.sqrt(state.redundancy[group])
    state.remove(row)
    return group, _error_sentence(rows.iloc[group], errors, sd, w[row])


def _inseparable(state: Snooping, row: int) -> Whole:
    column = state.cofactors(row)
    variance = state.redundancy * state.solution.model.sd_mm**2
    checked = state.redundancy > UNCHECKED
    spread = np.sqrt(np.where(checked, variance, 1.0) * column[row])
    return np.flatnonzero(checked & (abs(column) > SAME * spread))


def _swaps(state: Snooping, w: Floats, group: Whole, rows: pd.DataFrame) -> list[tuple[int, int]]:
    """Return pairs of readings whose exchange explains far more than one wrong reading does.

    An exchange has the known errors s = l_j - l_k and -s. It takes -2 s g - s² n off v' P v, with
    g = p_j v_j - p_k v_k and n the variance of g; one free error at j takes off only w_j².
    """
    observed = rows["observed_mm"].to_numpy(dtype=float)
    weight = state.solution.model.sd_mm**-2.0
    taken_off: list[tuple[float, int, int]] = []
    for j in group[:MOST_PARTNERS].tolist():
        partners = _partners(w, j, rows)
        column = state.cofactors(j)
        s = observed[j] - observed[partners]
        p = weight[partners]
        g = weight[j] * state.residual[j] - p * state.residual[partners]
        n = weight[j] ** 2 * column[j] - 2 * weight[j] * p * column[partners]
        n = n + p * state.redundancy[partners]
        gains = -2 * s * g - s**2 * n
        taken_off += [
            (gain, j, k) for gain, k in zip(gains.tolist(), partners.tolist(), strict=True)
        ]
    best = max(taken_off, default=(0.0, 0, 0))[0]
    if best <= np.max(w[group] ** 2) + LIMIT**2:
        return []
    kept = sorted((t for t in taken_off if t[0] > best - LIMIT**2), reverse=True)
    return list(dict.fromkeys((min(j, k), max(j, k)) for _, j, k in kept))


def _partners(w: Floats, row: int, rows: pd.DataFrame) -> Whole:
    station, point = rows["station"].iloc[row], rows["point"].iloc[row]
    beside = ((rows["station"] == station) & (rows["point"] != point)).to_numpy(dtype=bool)
    candidates = np.flatnonzero(beside & (abs(w) > 2.0))
    return candidates[np.argsort(-abs(w[candidates]), kind="stable")][:MOST_PARTNERS]


def _swap_sentence(swaps: Sequence[tuple[int, int]], rows: pd.DataFrame, w: float) -> str:
    pairs = []
    for j, k in swaps[:3]:
        one, other = rows.iloc[j], rows.iloc[k]
        pairs.append(
            f"{_name(one)} and row {other['row']}, point {other['point']}"
            if one["survey"] == other["survey"]
            else f"{_name(one)} and {_name(other)}"
        )
    return (
        f"{', or '.join(pairs)}: likeliest slip: the two points are swapped"
        f" (|w| {abs(w):.1f}, limit {LIMIT})."
    )


def _error_sentence(group: pd.DataFrame, errors: Floats, sd: Floats, w: float) -> str:
    names = [_name(row) for _, row in group.iterrows()]
    slip = _slip(group, errors, sd, names)
    tail = f" (|w| {abs(w):.1f}, limit {LIMIT})" + (f"; likeliest slip: {slip}." if slip else ".")
    size = f"{abs(errors[0]):.1f} mm"
    if len(names) == 1:
        side = "too much" if errors[0] > 0 else "too little"
        return f"{names[0]}: {group['observed_mm'].iloc[0]:g} mm is {size} {side}{tail}"
    more = f", or one of {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return (
        f"{', or '.join(names[:MOST_NAMED])}{more}: one of these is {size} off, and no further"
        f" reading tells which{tail}"
    )


def _name(row: pd.Series[Any]) -> str:
    setup = f", set-up {row['setup']}" if row["setup"] else ""
    return f"{row['survey']} row {row['row']}, point {row['point']}{setup}"


def _slip(group: pd.DataFrame, errors: Floats, sd: Floats, names: list[str]) -> str:
    """Return the slip that fits the estimated error of one of these readings best, or nothing.

    A slip fits within 3.29 sd of the estimate and within a quarter of itself (common practice,
    no source).
    """
    misfits = [(abs(abs(errors[0]) - mm), mm, 0, f"misread by {mm} mm") for mm in (10, 100, 1000)]
    for i, (booked, kind) in enumerate(zip(group["observed_mm"], group["kind"], strict=True)):
        # A staff reading has no sign: it is 0 or more.
        if kind == "staff":
            continue
        where = "" if len(names) == 1 else f" in {names[i]}"
        misfits.append((abs(errors[i] - 2 * booked), 2 * booked, i, f"wrong sign{where}"))
    fitting = [m for m in misfits if m[0] <= min(LIMIT * sd[m[2]], 0.25 * abs(m[1]))]
    return min(fitting)[3] if fitting else ""
