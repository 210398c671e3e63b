"""Numbers typed for the check of an instrument, looked through before they are used."""

from __future__ import annotations

import math
from collections.abc import Sequence

from kit.job.refusal import Problem, Refusal, refuse
from kit.readings.metres import LONGEST_STAFF_M


def need_numbers(
    what: str,
    values: Sequence[float],
    low: float = -math.inf,
    high: float = math.inf,
    unit: str = "mm",
) -> None:
    """Refuse what is no number or outside a range."""
    wrong = [v for v in values if not (math.isfinite(v) and low <= v <= high)]
    if wrong:
        least = f"from {low:g} to {high:g} {unit}" if math.isfinite(high) else f"{low:g} or more"
        allowed = least if math.isfinite(low) else "a finite number"
        raise Refusal(*(Problem(what, f"{v:g} {unit}", allowed) for v in wrong))


def need_millimetres(what: str, values: Sequence[float]) -> None:
    """Refuse staff readings that look like metres."""
    if 0 < max(values) < LONGEST_STAFF_M:
        found = f"{min(values):g} to {max(values):g} mm, which looks like metres"
        raise refuse(what, found, "millimetres (metres times 1000)")


def need_limits(sd_mm: float, service_mm_per_m: float) -> None:
    """Refuse an sd or a limit for service that is not above 0."""
    for what, value in (("sd of a reading", sd_mm), ("limit for service", service_mm_per_m)):
        if not (math.isfinite(value) and value > 0):
            raise refuse(what, f"{value:g}", "above 0")
