"""What two bases are compared by: all figures of one answer.

Rules without a source are common practice.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from kit.base.bill import Bill
from kit.base.datum import Datum
from kit.job import Base, Rates
from kit.parts import Answer
from kit.side_by_side.margins import margins
from kit.side_by_side.measure import Better, Measure, count
from kit.strength.bearers import IDLE_MM
from kit.strength.whole import Strength

#: Lengths that differ by less than this do not differ: a sheet of paper [mm] (common practice).
LEAST_MM = 0.1

#: Time by rates is no better than this part of itself (common practice, no source).
RATES_SHARE = 0.1

#: Forces that differ by less than this part of them do not differ (common practice, no source).
LEAST_SHARE = 0.01

#: Sums that differ by less than this are written alike.
LEAST_MONEY = 0.005

#: How the names of timber begin in a bill.
TIMBER = ("bearer length", "ladder board")

#: Units of the steps in which something is put in place, screws apart.
PLACED = ("packer", "foot", "piece", "bag")


def measures_of(answer: Answer) -> tuple[Measure, ...]:
    """Return all measures of one answer on the floor as it is expected.

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
        *drawn_measures(answer.datum, answer.bill, answer.job.rates, wish_of(answer.base)),
        *_consequences(answer),
        _reaction(answer.strength),
        *margins(answer.strength.checks, _carried_by(answer.strength)),
        *_traits(answer),
        *_verdicts(answer),
    )


def wish_of(base: Base) -> str:
    """Return the heights that were asked for, in words."""
    return "{:g} to {:g} mm".format(*base.height_range_mm)


def drawn_measures(datum: Datum, bill: Bill, rates: Rates, wish: str) -> Iterator[Measure]:
    """Yield the measures that are worked out anew for every floor that fits the readings.

    Parameters
    ----------
    datum, bill : Datum, Bill
        The level on that floor, and what the base takes there.
    rates : Rates
        Hours of a day, price of an hour.
    wish : str
        The heights that were asked for: only where they are alike can one base have more.
    """
    yield from _heights(datum, wish)
    yield count("things", "pieces to place", _placed(bill))
    yield _some("packers", "packers", "", bill.count_of("packer"))
    yield _some("feet", "screw feet", "", _starting(bill, "screw foot"))
    yield _some("timber_m", "timber bought", "m", _timber_m(bill))
    yield _some("bags", "bags of compound", "", bill.count_of("compound bag"))
    yield _some("compound_l", "compound poured", "l", bill.litres)
    yield from _money(bill, rates)
    hours = bill.minutes / 60
    yield Measure("hours", "working time", "h", hours, "less", RATES_SHARE * hours)
    # A day begun is a day: nobody stands units on a base at half past nine.
    days = math.ceil(hours / rates.day_hours + bill.wait_days - 1e-9)
    yield Measure("days", "days until the units can stand", "days", float(days), "less")
    words = "timber or compound added to the floor"
    yield Measure("mass_kg", words, "kg", bill.mass_kg, "less", LEAST_KG)


#: Masses that differ by less than this do not differ [kg] (common practice, no source).
LEAST_KG = 0.5


_ENDS = ("lowest", "highest")

_ZERO = "from the heights' zero"


def _heights(datum: Datum, wish: str) -> Iterator[Measure]:
    up = datum.high_point_mm
    tops = [(low + up, high + up) for low, high in datum.feasible_heights_mm]
    lowest, highest = (f"{which} base top that can be made, {_ZERO}" for which in _ENDS)
    yield Measure("lowest_top_mm", lowest, "mm", tops[0][0])
    yield Measure("highest_top_mm", highest, "mm", tops[-1][1])
    room = math.fsum(high - low for low, high in tops)
    words = "heights that can be made, together"
    yield Measure("heights_mm", words, "mm", room, "more", LEAST_MM, basis=wish)
    yield Measure("top_mm", f"base top, {_ZERO}", "mm", datum.base_top_mm)


def _placed(bill: Bill) -> int:
    return int(sum(step.count for step in bill.work if step.unit in PLACED))


def _starting(bill: Bill, words: str) -> int:
    return sum(item.count for item in bill.items if item.item.startswith(words))


def _timber_m(bill: Bill) -> float:
    return math.fsum(
        item.count * item.size_mm / 1000 for item in bill.items if item.item.startswith(TIMBER)
    )


def _some(key: str, measure: str, unit: str, value: float) -> Measure:
    """Return how much of a thing there is; a base without any is no better for that alone."""
    return Measure(key, measure, unit, float(value), "less" if value else "")


def _money(bill: Bill, rates: Rates) -> Iterator[Measure]:
    why = f"no price of {', '.join(bill.unpriced)}" if bill.unpriced else ""
    yield Measure("cost", "material", rates.money, bill.cost, "less", LEAST_MONEY, why)
    if rates.hour_price is not None:
        labour = bill.minutes / 60 * rates.hour_price
        both, least = bill.cost + labour, RATES_SHARE * labour
        words = "material and labour"
        yield Measure("cost_and_labour", words, rates.money, both, "less", least, why)


def _consequences(answer: Answer) -> Iterator[Measure]:
    """Yield the error of level, and the most that it does to any unit."""
    strength = answer.strength
    units, gaps = strength.units, strength.gaps
    by_hand, basis = strength.within_mm > 0, _basis(strength)
    lean = max(max(abs(one.lean_along_mm), abs(one.lean_out_mm)) for one in units)
    wind = max(abs(one.wind_mm) for one in units)
    yield _mm("level_error_mm", "worst planned error of level", answer.worst_error_mm, "less")
    yield _mm("lean_mm", "greatest lean of a unit at its top", lean, "less", basis)
    yield _mm("wind_mm", "greatest wind of a unit", wind, "less", basis)
    if gaps:
        change = max(abs(gap.change_mm) for gap in gaps)
        yield _mm("gap_mm", "greatest change of a gap between units", change, "less", basis)
    idle = sum(one.idle and one.gap_mm > IDLE_MM for one in strength.stacks)
    words = "supports that carry nothing"
    if by_hand:
        yield Measure("idle", words, "", math.nan, "less", why_unknown="set by hand until it bears")
    else:
        yield count("idle", words, idle)


def _basis(strength: Strength) -> str:
    """Return on what lean, wind and gaps are reckoned."""
    if strength.one_surface:
        return "the most of one surface that is off level"
    if strength.within_mm > 0:
        return "95 of 100 units, within what it is set or made to"
    return "stacks of known errors"


def _mm(key: str, measure: str, value: float, better: Better, basis: str = "") -> Measure:
    return Measure(key, measure, "mm", value, better, LEAST_MM, basis=basis)


def _carried_by(strength: Strength) -> str:
    """Return how the loads come down, as they are reckoned for this way of building."""
    if strength.laid:
        return "bearers on all stacks that they touch"
    if strength.within_mm == 0:
        return "stiff units on the stacks that they touch"
    shared = max((one.full_n for one in strength.stacks), default=math.nan)
    if strength.greatest_n > shared:
        return "stiff units on any three feet"
    return "each side and division by its share"


def _reaction(strength: Strength) -> Measure:
    most, words = strength.greatest_n, "largest reaction at a support"
    if math.isnan(most):
        why = "the units bear along their sides, not at supports"
        return Measure("reaction_N", words, "N", most, "less", why_unknown=why)
    least, basis = LEAST_SHARE * most, _carried_by(strength)
    return Measure("reaction_N", words, "N", most, "less", least, basis=basis)


def _traits(answer: Answer) -> Iterator[Measure]:
    traits = answer.traits
    yield count("floor_screws", "screws into the floor", traits.floor_screws)
    yield Measure("room_mm", "room under the base", "mm", traits.room_under_mm, "more", 1.0)
    line = traits.fixing_line_mm / 1000
    yield Measure("fixing_m", "timber to screw the units down to", "m", line, "more", 0.01)
    yield _mm("up_mm", "later adjustment upwards", traits.adjust_up_mm, "more")
    yield _mm("down_mm", "later adjustment downwards", traits.adjust_down_mm, "more")


def _verdicts(answer: Answer) -> Iterator[Measure]:
    """Yield how many rows of the checks say what; of failures fewer are better.

    How many rows there are of a kind hangs on how many units and bearers a base has, so that the
    other two tell nothing of which base is better. The row that approves nothing is no check.
    """
    verdicts = Counter(answer.checks["verdict"].tolist())
    yield count("refer", "checks to refer", verdicts["refer"], "")
    yield count("fail", "checks that fail", verdicts["fail"])
    yield count("not_checked", "things not checked", verdicts["not_checked"] - 1, "")
