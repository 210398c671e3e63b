"""Verdicts on figures that are known with a doubt."""

from __future__ import annotations

import math
from typing import Literal

from kit.base.checks import CLOSED_MM

#: A figure so many standard deviations from its limit is told apart from it (common practice).
DOUBTS = 2.0

Verdict = Literal[
    "within", "outside", "too close to tell", "not read", "readings contradict"
]  # fmt: skip

WITHIN: Verdict = "within"
OUTSIDE: Verdict = "outside"
TOO_CLOSE: Verdict = "too close to tell"
NOT_READ: Verdict = "not read"

#: Not judged: of several readings one is a slip, and nothing tells which.
CONTRADICT: Verdict = "readings contradict"

#: From the best to the worst that can be said; of several the last one counts. What contradicts
#: itself comes before all else: it has to be read again before anything is done.
ORDER: tuple[Verdict, ...] = (WITHIN, NOT_READ, TOO_CLOSE, OUTSIDE, CONTRADICT)


def judge(value: float, limit: float, sd: float) -> Verdict:
    """Judge a magnitude against a limit, both in one unit.

    Parameters
    ----------
    value, limit : float
        The figure, either way, and how large it may be; nan where it is not known.
    sd : float
        Its standard deviation.

    Returns
    -------
    str
        ``"too close to tell"`` where the limit lies within `DOUBTS` standard deviations of the
        magnitude, both ends included (common practice, no source).

    Examples
    --------
    >>> judge(-0.9, 0.5, 0.15), judge(0.9, 0.5, 0.25), judge(0.1, 0.5, 0.15)
    ('outside', 'too close to tell', 'within')
    """
    if math.isnan(value) or math.isnan(sd):
        return NOT_READ
    over = abs(value) - limit
    if sd > 0 and abs(over) <= DOUBTS * sd + CLOSED_MM:
        return TOO_CLOSE
    return WITHIN if over <= CLOSED_MM else OUTSIDE


def tolerance_text(tolerance_mm: float) -> str:
    """Return a tolerance as given [mm]; what has more than three decimals came from inches.

    Examples
    --------
    >>> tolerance_text(1.25), tolerance_text(25.4 / 16)
    ('1.25', '1.59')
    """
    as_given = abs(tolerance_mm - round(tolerance_mm, 3)) < 1e-9  # decimals of a text
    return f"{tolerance_mm:.6g}" if as_given else f"{tolerance_mm:.2f}"


def worst(verdicts: list[Verdict]) -> Verdict:
    """Return the worst of some verdicts; that of none is ``"not read"``."""
    return max(verdicts, key=ORDER.index, default=NOT_READ)
