"""How far each check of strength keeps from its limit, and the least of all."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace

from kit.base.checks import Check
from kit.side_by_side.measure import Measure

#: Margins that differ by less than so many percent of their limit do not differ (common practice,
#: no source).
LEAST_PERCENT = 1.0

PERCENT = "% of limit"

#: Checks of what tips and slides a unit, which no base carries.
_PUSHED = ("push ", "person ")

#: Checks that do not hang on how the base brings the loads down.
_OF_NO_BASE = (*_PUSHED, "joist ", "first and last joist", "front row ", "settlement ")

#: Names of checks that say how units stand, which measures of their own tell, and of those that
#: hang on the room and not on the base.
_TOLD_ELSEWHERE = (
    "lean ", "wind ", "taper ", "gap ", "unit hanging", "tilting up", "bearer lifting",
    "bearer rocking", "stack idle",
)  # fmt: skip


def margins(checks: Iterable[Check], basis: str = "") -> Iterator[Measure]:
    """Yield the least margin of all that carries, then that of each check.

    Parameters
    ----------
    checks : iterable of Check
        ``answer.strength.checks``.
    basis : str
        How the loads come down that the checks of the base itself are reckoned with; joists, and
        what tips a unit, hang on none of that.

    Yields
    ------
    Measure
        In percent of the limit. A check of which one row could not be checked has no least
        margin; the least of all is that of what could be checked, and names what is open.
    """
    least: dict[str, float] = {}
    unknown: dict[str, str] = {}
    for check in checks:
        if check.check.startswith(_TOLD_ELSEWHERE):
            continue
        margin = margin_percent(check.value, check.limit, check.verdict)
        if math.isnan(margin) or check.verdict == "not_checked":
            unknown.setdefault(check.check, check.source)
        else:
            least[check.check] = min(margin, least.get(check.check, math.inf))
    yield replace(_least_of_all(least, unknown), basis=basis)
    for name in dict.fromkeys((*least, *unknown)):
        value = math.nan if name in unknown else least[name]
        one = _margin(f"margin {name}", f"least margin: {name}", value, unknown.get(name, ""))
        yield one if name.startswith(_OF_NO_BASE) else replace(one, basis=basis)


def _least_of_all(least: dict[str, float], unknown: dict[str, str]) -> Measure:
    carrying = [margin for name, margin in least.items() if not name.startswith(_PUSHED)]
    still_open = tuple(sorted(name for name in unknown if not name.startswith(_PUSHED)))
    why = "" if carrying else "nothing that carries could be checked"
    value = min(carrying, default=math.nan)
    return _margin("least_margin", "least margin of all that carries", value, why, still_open)


def _margin(
    key: str, measure: str, value: float, why: str, still_open: tuple[str, ...] = ()
) -> Measure:
    return Measure(
        key, measure, PERCENT, value, "more", LEAST_PERCENT, why_unknown=why, open=still_open
    )


def margin_percent(value: float, limit: float, verdict: str) -> float:
    """Return how far a value keeps from its limit, in percent of that; negative beyond it.

    Parameters
    ----------
    value, limit : float
        Of a check; nan where it is not known.
    verdict : str
        ok, refer, fail or not_checked. Whether the limit is a greatest or a least value shows in
        it: what is ok above its limit has a least one.

    Returns
    -------
    float
        nan where value or limit is not known, or the limit is 0.

    Examples
    --------
    >>> margin_percent(0.6, 1.0, "ok"), margin_percent(34.0, 40.0, "refer")
    (40.0, -15.0)
    """
    if math.isnan(value) or math.isnan(limit) or limit == 0:
        return math.nan
    beyond = (value - limit) / abs(limit) * 100
    at_least = (beyond > 0) == (verdict == "ok")
    return beyond if at_least else -beyond
