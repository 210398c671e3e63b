"""What two bases are compared by: figures of one answer, each with its unit and what is better.

Rules without a source are common practice.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Literal

from kit.base.bill import Bill, Item
from kit.base.datum import Datum
from kit.job import Rates
from kit.parts import Answer, Traits
from kit.strength.bearers import IDLE_MM

#: What is better of a measure: less of it, more of it, or neither by itself.
Better = Literal["less", "more", ""]

#: Lengths that differ by less than this do not differ: a sheet of paper [mm] (common practice).
LEAST_MM = 0.1

#: Time by rates is no better than this part of itself (common practice, no source).
RATES_SHARE = 0.1

#: Forces that differ by less than this part do not differ, nor do margins that differ by less
#: than so many percent of their limit (common practice, no source).
LEAST_SHARE, LEAST_PERCENT = 0.01, 1.0

#: How the names of timber begin in a bill.
TIMBER = ("bearer length", "ladder board")

#: Keys of the measures that are money.
COSTS = ("cost", "cost_and_labour")

#: Checks of what tips and slides a unit, which no base carries.
_PUSHED = ("push ", "person ")

#: Names of checks that say how units stand, which measures of their own tell, and of those that
#: hang on the room and not on the base.
_TOLD_ELSEWHERE = (
    "lean ", "wind ", "taper ", "gap ", "unit hanging", "tilting up", "bearer lifting",
    "bearer rocking", "stack idle",
)  # fmt: skip


@dataclass(frozen=True)
class Measure:
    """One figure of one base.

    Parameters
    ----------
    key : str
        What it is called in code; those of `drawn_measures` are worked out on drawn floors too.
    measure : str
        What it is called in words.
    unit : str
        Its unit; empty for a count.
    value : float
        nan where it is not known.
    better : {"less", "more", ""}
        Which way is better; empty where neither is by itself.
    least : float
        The smallest difference that counts, in its unit.
    why_unknown : str
        Why the value is nan; empty where it is not.
    """

    key: str
    measure: str
    unit: str
    value: float
    better: Better = ""
    least: float = 0.0
    why_unknown: str = ""

    @property
    def known(self) -> bool:
        """Whether there is a figure."""
        return not math.isnan(self.value)


def measures_of(answer: Answer) -> tuple[Measure, ...]:
    """Return all measures of one answer.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.

    Returns
    -------
    tuple of Measure
        Heights; what it takes; what its errors do; what carries it; what it is good for. A
        margin stands for each check of strength that the answer has.
    """
    return (
        *_heights(answer),
        *drawn_measures(answer.datum, answer.bill, answer.traits, answer.job.rates),
        _poured(answer),
        *_consequences(answer),
        *_strength(answer),
        *_traits(answer),
        *_verdicts(answer),
    )


def _heights(answer: Answer) -> Iterator[Measure]:
    up, feasible = answer.datum.high_point_mm, answer.datum.feasible_heights_mm
    tops = [(low + up, high + up) for low, high in feasible]
    yield Measure("lowest_top_mm", "lowest base top that can be made", "mm", tops[0][0])
    yield Measure("highest_top_mm", "highest base top that can be made", "mm", tops[-1][1])
    room = math.fsum(high - low for low, high in tops)
    yield Measure("heights_mm", "heights that can be made, together", "mm", room, "more", LEAST_MM)


def drawn_measures(datum: Datum, bill: Bill, traits: Traits, rates: Rates) -> Iterator[Measure]:
    """Yield the measures that are worked out anew for every floor that fits the readings.

    Parameters
    ----------
    datum, bill : Datum, Bill
        The level on that floor, and what the base takes there.
    traits : Traits
        Of the base on the floor as it is expected.
    rates : Rates
        Hours of a day, price of an hour.
    """
    hours = bill.minutes / 60
    days = hours / rates.day_hours
    yield Measure("top_mm", "base top", "mm", datum.base_top_mm)
    yield _count("things", "things to place, screws apart", sum(i.count for i in _placed(bill)))
    yield _some("packers", "packers", "", bill.count_of("packer"))
    yield _some("feet", "screw feet", "", _starting(bill, "screw foot"))
    yield _some("timber_m", "timber bought", "m", _timber_m(bill))
    yield _some("bags", "bags of compound", "", bill.count_of("compound bag"))
    yield _cost("cost", "material", bill.cost, bill, rates)
    if rates.hour_price is not None:
        labour = hours * rates.hour_price
        yield _cost("cost_and_labour", "material and labour", bill.cost + labour, bill, rates)
    yield Measure("hours", "working time", "h", hours, "less", RATES_SHARE * hours)
    waiting = days + traits.wait_days
    yield Measure(
        "days", "days until the units can stand", "days", waiting, "less", RATES_SHARE * days
    )


def _placed(bill: Bill) -> Iterator[Item]:
    return (item for item in bill.items if item.item != "screw")


def _starting(bill: Bill, words: str) -> int:
    return sum(item.count for item in bill.items if item.item.startswith(words))


def _timber_m(bill: Bill) -> float:
    return math.fsum(
        item.count * item.size_mm / 1000 for item in bill.items if item.item.startswith(TIMBER)
    )


def _count(key: str, measure: str, value: int) -> Measure:
    return Measure(key, measure, "", float(value), "less")


def _some(key: str, measure: str, unit: str, value: float) -> Measure:
    """Return how much of a thing there is; a base without any is no better for that alone."""
    return Measure(key, measure, unit, float(value), "less" if value else "")


def _cost(key: str, measure: str, value: float, bill: Bill, rates: Rates) -> Measure:
    why = f"no price of {', '.join(bill.unpriced)}" if bill.unpriced else ""
    return Measure(key, measure, rates.money, value, "less", why_unknown=why)


def _poured(answer: Answer) -> Measure:
    zones = answer.details.get("zones.csv")
    litres = 0.0 if zones is None else float(zones["volume_l"].sum())
    return _some("compound_l", "compound poured", "l", litres)


def _consequences(answer: Answer) -> Iterator[Measure]:
    """Yield the error of level, and the worst that it does to any unit."""
    strength, worst = answer.strength, answer.worst_error_mm
    units, gaps = strength.units, strength.gaps
    lean = max(max(abs(one.lean_along_mm), abs(one.lean_out_mm)) for one in units)
    yield _mm("level_error_mm", "worst error of level", worst, "less")
    yield _mm("lean_mm", "greatest lean of a unit at its top", lean, "less")
    yield _mm("wind_mm", "greatest wind of a unit", max(abs(one.wind_mm) for one in units), "less")
    if gaps:
        change = max(abs(gap.change_mm) for gap in gaps)
        yield _mm("gap_mm", "greatest change of a gap between units", change, "less")
    idle = sum(one.idle and one.gap_mm > IDLE_MM for one in strength.stacks)
    yield _count("idle", "supports that carry nothing", idle)


def _mm(key: str, measure: str, value: float, better: Better) -> Measure:
    return Measure(key, measure, "mm", value, better, LEAST_MM)


def _strength(answer: Answer) -> Iterator[Measure]:
    """Yield the largest reaction, and the least margin of each check of strength."""
    most = max((one.full_n for one in answer.strength.stacks), default=math.nan)
    least = LEAST_SHARE * most
    yield Measure("reaction_N", "largest reaction at a support", "N", most, "less", least)
    margins: dict[str, float] = {}
    unknown: dict[str, str] = {}
    for check in answer.strength.checks:
        if check.check.startswith(_TOLD_ELSEWHERE):
            continue
        margin = margin_percent(check.value, check.limit, check.verdict)
        if math.isnan(margin):
            unknown.setdefault(check.check, check.source)
        else:
            margins[check.check] = min(margin, margins.get(check.check, math.inf))
    carrying = [margin for name, margin in margins.items() if not name.startswith(_PUSHED)]
    yield Measure(
        "least_margin",
        "least margin of all that carries",
        "% of limit",
        min(carrying, default=math.nan),
        "more",
        LEAST_PERCENT,
        "" if carrying else "nothing that carries could be checked",
    )
    for name in dict.fromkeys((*margins, *unknown)):
        # One row that could not be checked leaves the least margin open.
        value = math.nan if name in unknown else margins[name]
        yield Measure(
            f"margin {name}",
            f"least margin: {name}",
            "% of limit",
            value,
            "more",
            LEAST_PERCENT,
            unknown.get(name, ""),
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


def _traits(answer: Answer) -> Iterator[Measure]:
    traits = answer.traits
    yield _count("floor_screws", "screws into the floor", traits.floor_screws)
    yield Measure("room_mm", "room under the base", "mm", traits.room_under_mm, "more", 1.0)
    line = traits.fixing_line_mm / 1000
    yield Measure("fixing_m", "timber to screw the units down to", "m", line, "more", 0.01)
    yield _mm("up_mm", "later adjustment upwards", traits.adjust_up_mm, "more")
    yield _mm("down_mm", "later adjustment downwards", traits.adjust_down_mm, "more")
    yield Measure("mass_kg", "mass added to the floor", "kg", traits.mass_added_kg, "less", 0.5)


def _verdicts(answer: Answer) -> Iterator[Measure]:
    counts = Counter(answer.checks["verdict"].tolist())
    yield _count("refer", "checks to refer", counts["refer"])
    yield _count("fail", "checks that fail", counts["fail"])
    yield Measure("not_checked", "things not checked", "", float(counts["not_checked"]))


def in_order(keys: Iterable[str]) -> list[str]:
    """Return keys in the order in which measures are always told: margins by name."""
    return sorted(keys, key=lambda key: (_PLACE.get(key, _PLACE["least_margin"]), key))


#: All keys but those of single margins, which stand after the least of them.
KEYS = (
    "lowest_top_mm", "highest_top_mm", "heights_mm", "top_mm", "things", "packers", "feet",
    "timber_m", "bags", "compound_l", "cost", "cost_and_labour", "hours", "days",
    "level_error_mm", "lean_mm", "wind_mm", "gap_mm", "idle", "reaction_N", "least_margin",
    "floor_screws", "room_mm", "fixing_m", "up_mm", "down_mm", "mass_kg", "refer", "fail",
    "not_checked",
)  # fmt: skip

_PLACE = {key: place for place, key in enumerate(KEYS)}


def missing(measure: Measure) -> Measure:
    """Return a measure that a base does not have, beside one that the other has."""
    return replace(
        measure, value=math.nan, why_unknown="this base has nothing of the kind to check"
    )
