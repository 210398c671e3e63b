"""Which readings are suspect, and which slip of hand would explain them.

Data snooping [1], one reading at a time: the reading with the largest |w| above 3.29 is the
suspect; it is set aside, the effect of its error is taken out of all other residuals, and what is
still above 3.29 is the next suspect. So a gross error is named once and not again at every
reading that it drags along, while two errors far apart are both found. Where setting aside
another reading would explain it as well (in two set-ups that share two points, say), the readings
cannot be told apart: they are all marked, in one sentence that says so. The heights themselves
keep every reading.

References
----------
.. [1] Baarda, W., A testing procedure for use in geodetic networks, Netherlands Geodetic
   Commission, new series 2/5, Delft 1968.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from kit.job.refusal import Refusal
from kit.readings.doubt import TWO_SIDED_999
from kit.readings.equations import Floats, Mask, Whole
from kit.readings.further import Further
from kit.readings.least_squares import UNCHECKED, Solution
from kit.readings.leave_out import leave_out
from kit.readings.likely import likeliest, slips_of
from kit.readings.suspect import SWAPPED, Suspect, Words, error_sentence, swap_sentence

#: Two-sided 0.1 % of the normal distribution, Baarda's limit for w.
LIMIT = TWO_SIDED_999

#: Beyond this correlation two residuals show the same thing.
SAME = 0.999

#: Suspects after which it is the stated sd, not the single reading, that is doubted.
MOST_SUSPECTS = 20

#: What is said then.
TOO_MANY = f"More than {MOST_SUSPECTS} readings are suspect: the stated sd may be too small."

#: An error of this many sd/sqrt(r) is found 4 times in 5 at the limit: z(0.9995) + z(0.8) [1].
DETECTABLE = 4.13

#: Readings that are tried as the other half of a swap.
MOST_PARTNERS = 20


@dataclass
class Snooping:
    """Residuals and redundancy numbers while suspects are set aside one after another."""

    solution: Solution
    residual: Floats
    redundancy: Floats
    removed: list[Floats]
    rows: list[int] = field(default_factory=list)

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
        self.rows.append(row)


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


def detectable_mm(sd: Floats, redundancy: Floats) -> Floats:
    """Return the least error of each reading that the test finds 4 times in 5 [mm].

    Parameters
    ----------
    sd : (n,) array
        Standard deviations of the readings [mm].
    redundancy : (n,) array
        Redundancy numbers, 0 to 1.

    Returns
    -------
    (n,) array
        4.13·sd/sqrt(r) [1]; infinite where nothing checks the reading.
    """
    checked = redundancy > UNCHECKED
    share = np.where(checked, redundancy, 1.0)
    return np.where(checked, DETECTABLE * sd / np.sqrt(share), np.inf)  # Eq. of [1]


def find_suspects(
    solution: Solution, rows: pd.DataFrame, further: Further
) -> tuple[tuple[Suspect, ...], bool]:
    """Return the gross errors that the residuals point to.

    Parameters
    ----------
    solution : Solution
        The adjustment.
    rows : DataFrame
        ``Readings.rows``, one a row of the model.
    further : Further
        What a further reading would tell, for errors that nothing tells apart.

    Returns
    -------
    tuple of Suspect, bool
        At most 20 gross errors; whether there may be more.
    """
    state = Snooping.begin(solution)
    found: list[Suspect] = []
    while solution.degrees_of_freedom > len(state.removed):
        w = state.studentised()
        row = int(np.argmax(abs(w)))
        if abs(w[row]) <= LIMIT:
            break
        if len(found) == MOST_SUSPECTS:
            return tuple(found), True
        found.append(_explain(state, w, row, rows, further))
    return tuple(found), False


def marked(suspects: tuple[Suspect, ...], count: int) -> Mask:
    """Return which of all readings are suspect, (count,)."""
    mask = np.zeros(count, dtype=bool)
    for suspect in suspects:
        mask[list(suspect.rows)] = True
    return mask


def _explain(state: Snooping, w: Floats, row: int, rows: pd.DataFrame, further: Further) -> Suspect:
    """Name one gross error and set it aside."""
    group = _alternatives(state, w, row)
    swaps, far_better = _swaps(state, w, row, rows)
    errors = -state.residual[group] / state.redundancy[group]
    sd = state.solution.model.sd_mm[group] / np.sqrt(state.redundancy[group])
    tail = f" (|w| {abs(w[row]):.1f}, limit {LIMIT})"
    if far_better:
        for other in swaps[0]:
            state.remove(other)
        sentence = swap_sentence(swaps, rows, tail)
        j, k = swaps[0]
        observed = rows["observed_mm"].to_numpy(dtype=float)
        error, doubt = float(observed[j] - observed[k]), float(state.solution.model.sd_mm[k])
        return Suspect(tuple(swaps), error, doubt, w[row], (SWAPPED,), sentence)
    state.remove(row)
    slips = _slips(state, group, errors, sd, rows)
    tells = further.telling_apart(group) if len(group) > 1 else ""
    sentence = error_sentence(rows, group, errors, swaps, Words(slips, tail, tells))
    choices = (*((int(one),) for one in group), *swaps)
    return Suspect(choices, errors[0], sd[0], w[row], slips, sentence)


def _slips(
    state: Snooping, group: Whole, errors: Floats, sd: Floats, rows: pd.DataFrame
) -> tuple[str, ...]:
    """Return the likeliest slip of one reading, or of a few that nothing tells apart."""
    lines = _lines_of_sight(state, int(group[0]), rows) if len(group) == 1 else {}
    found: dict[str, None] = {}
    for error, doubt, (_, row) in zip(errors, sd, rows.iloc[group].iterrows(), strict=True):
        slips = slips_of(str(row["kind"]), float(row["observed_mm"]), lines)
        where = "" if len(group) == 1 else f" in row {row['row']}"
        for words in likeliest(slips, float(error), float(doubt)):
            # A slip that needs the booked value is one reading's own.
            own = not words.startswith("misread by")
            found.setdefault(words + (where if own else ""))
    return tuple(found)[:2]


def _lines_of_sight(state: Snooping, row: int, rows: pd.DataFrame) -> dict[str, float]:
    """Return how far other set-ups' lines of sight are above a reading's own, without it [mm]."""
    if rows["kind"].iloc[row] != "staff" or row not in state.rows:
        return {}
    model = state.solution.model
    try:
        values = leave_out(state.solution, state.rows).values
    except Refusal:  # of very unequal sd: then no line of sight is known well enough
        return {}
    columns = model.columns("set-up")
    height = dict(zip(model.names[columns].tolist(), values[columns].tolist(), strict=True))
    scope = rows["scope"].iloc[row]
    near = rows[(rows["scope"] == scope) & (rows["kind"] == "staff")].drop_duplicates("station")
    own = height[rows["station"].iloc[row]]
    others = near[near["station"] != rows["station"].iloc[row]]
    return {
        str(name): height[station] - own
        for station, name in zip(others["station"], others["station_name"], strict=True)
    }


def _alternatives(state: Snooping, w: Floats, row: int) -> Whole:
    """Return the readings that the error may be in, the one with the largest |w| first.

    Another reading i explains it as well if, with i set aside instead, the suspect j no longer
    stands out: w of j without i is (w_j - c·w_i) / sqrt(1 - c²), c the correlation of the two
    residuals; where |c| is 1 nothing tells them apart.
    """
    column = state.cofactors(row)
    variance = state.redundancy * state.solution.model.sd_mm**2
    checked = state.redundancy > UNCHECKED
    c = np.where(checked, column, 0.0) / np.sqrt(np.where(checked, variance, 1.0) * column[row])
    same = abs(c) > SAME
    free = np.sqrt(np.where(same, 1.0, 1 - c**2))
    without = np.where(same, 0.0, (w[row] - c * w) / free)
    found = np.flatnonzero(checked & (abs(w) > LIMIT) & (abs(without) <= LIMIT))
    found = found[np.argsort(-abs(w[found]), kind="stable")]
    return np.asarray(np.append(row, found[found != row]), dtype=np.int64)


def _swaps(
    state: Snooping, w: Floats, row: int, rows: pd.DataFrame
) -> tuple[list[tuple[int, int]], bool]:
    """Return pairs of readings whose exchange explains an error too, and whether far better.

    An exchange has the known errors s = l_j - l_k and -s. It takes -2 s g - s² n off v' P v, with
    g = p_j v_j - p_k v_k and n the variance of g; one free error takes off only its w². What takes
    off 3.29² more explains it far better, what takes off 3.29² less, or leaves the suspect beyond
    the limit, does not explain it.
    """
    observed = rows["observed_mm"].to_numpy(dtype=float)
    weight = state.solution.model.sd_mm**-2.0
    of_suspect = state.cofactors(row)
    largest = np.argsort(-abs(w), kind="stable")[:MOST_PARTNERS]
    taken_off: list[tuple[float, int, int]] = []
    for j in largest[abs(w[largest]) > LIMIT].tolist():
        partners = _partners(w, j, rows)
        column = state.cofactors(j)
        s = observed[j] - observed[partners]
        p = weight[partners]
        g = weight[j] * state.residual[j] - p * state.residual[partners]
        n = weight[j] ** 2 * column[j] - 2 * weight[j] * p * column[partners]
        gains = -2 * s * g - s**2 * (n + p * state.redundancy[partners])
        left = state.residual[row] + s * (weight[j] * of_suspect[j] - p * of_suspect[partners])
        explains = abs(left) <= LIMIT * np.sqrt(of_suspect[row])
        pairs = zip(gains[explains].tolist(), partners[explains].tolist(), strict=True)
        taken_off += [(gain, min(j, k), max(j, k)) for gain, k in pairs]
    best = max(taken_off, default=(0.0, 0, 0))[0]
    alone = float(w[row] ** 2)
    kept = sorted((t for t in taken_off if t[0] > max(best, alone) - LIMIT**2), reverse=True)
    return list(dict.fromkeys((j, k) for _, j, k in kept)), best > alone + LIMIT**2


def _partners(w: Floats, row: int, rows: pd.DataFrame) -> Whole:
    """Return the readings that one may have been exchanged with, the largest |w| first."""
    # What lay under a level and between which points is booked in one breath.
    if rows["kind"].iloc[row] == "level":
        return np.zeros(0, dtype=np.int64)
    candidates = np.flatnonzero(abs(w) > 2.0)
    station = rows["station"].to_numpy(dtype=object)
    point = rows["point"].to_numpy(dtype=object)
    beside = (station[candidates] == station[row]) & (point[candidates] != point[row])
    candidates = candidates[beside]
    order = np.argsort(-abs(w[candidates]), kind="stable")[:MOST_PARTNERS]
    return np.asarray(candidates[order], dtype=np.int64)
