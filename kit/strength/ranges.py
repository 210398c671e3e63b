"""Numbers refused where a formula does not hold."""

from __future__ import annotations

import math

from kit.job import refuse

#: Limits are closed: sums and products of decimals miss by less than this.
CLOSED = 1e-9


def refuse_not_positive(where: str, value: float, unit: str) -> None:
    """Refuse a figure that is no positive, finite number."""
    if not (value > 0.0 and math.isfinite(value)):
        raise refuse(where, f"{value:g} {unit}".strip(), "more than 0")


def refuse_beyond(where: str, value: float, limits: tuple[float, float], unit: str) -> None:
    """Refuse a figure outside a closed range."""
    low, high = limits
    if not low - CLOSED <= value <= high + CLOSED:
        raise refuse(where, f"{value:g}", f"{low:g} to {high:g} {unit}")
