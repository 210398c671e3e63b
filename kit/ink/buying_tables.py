"""Tables of what is screwed, sawn and bought, and of the work."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from kit.answer import Answer
from kit.base.bill import Bill
from kit.ink.inch_words import in_units
from kit.ink.lengths import (
    NOTHING,
    Units,
    length,
    length_with_unit,
    nominal,
    number,
    plan_length,
    printed_size,
    printed_sizes,
    printed_unit,
    told_rounding,
)
from kit.ink.table import Head, Table, records
from kit.ink.words import on_bearers, on_packers

#: How the names of things begin that are told by the size printed on them.
_AS_MADE = ("packer", "screw")

_SCREW_STEPS = {"base": "packer to floor", "pack": "packer to packer", "bearer": "bearer to stack"}


def screw_table(answer: Answer) -> Table:
    """Return the screws of each stack in one line, the deepest point, and how deep it may go.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units = answer.job.units
    made = dict.fromkeys(str(step) for step in answer.screws["step"])
    steps = [*_SCREW_STEPS] if on_bearers(answer.ground) else [*made]
    heads = (
        Head("support"),
        *(Head(_SCREW_STEPS.get(step, step), printed_unit(units)) for step in steps),
        Head("deepest point", units),
        Head("may go", units),
        Head("what no screw in stock serves", wide=True),
    )
    of_support: dict[str, list[dict[str, Any]]] = {}
    for step in records(answer.screws):
        of_support.setdefault(str(step["support"]), []).append(step)
    rows = tuple(_screw_row(name, of, steps, units) for name, of in of_support.items())
    bad = frozenset(place for place, row in enumerate(rows) if row[-1])
    if not rows:
        return Table("Screws", heads, rows, "No screws belong to this base.")
    note = "Depths are below the floor's surface; a negative one stays above it."
    return Table("Screws", heads, rows, note, bad)


def _screw_row(
    support: str, screws: list[dict[str, Any]], steps: list[str], units: Units
) -> tuple[str, ...]:
    points = [p for one in screws if math.isfinite(p := float(one["point_below_floor_mm"]))]
    return (
        support,
        *(_screw_lengths([o for o in screws if o["step"] == step], units) for step in steps),
        length(max(points, default=math.nan), units),
        length(min(float(one["limit_mm"]) for one in screws), units),
        "; ".join(_without_screw(screws)),
    )


def _screw_lengths(steps: list[dict[str, Any]], units: Units) -> str:
    """Return the lengths of one step of a stack, a word where there is none."""
    return printed_sizes([float(one["length_mm"]) for one in steps], units) or NOTHING


def _without_screw(steps: list[dict[str, Any]]) -> Iterator[str]:
    for one in steps:
        if not math.isfinite(float(one["length_mm"])):
            yield f"{_SCREW_STEPS.get(str(one['step']), str(one['step']))}: {one['reason']}"


def cut_table(answer: Answer) -> Table:
    """Return which pieces come out of which bought length, and where each lies.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units, plan, bearers = answer.job.units, answer.cuts, on_bearers(answer.ground)
    heads = (
        Head("bought length"),
        Head("of", units),
        Head("bearer" if bearers else "member"),
        Head("piece from the left", "no."),
        Head("cut to", units),
        Head("lies from", units),
        Head("to", units),
    )
    cuts = plan.cuts.sort_values(["bar", "bearer", "piece"], kind="stable")
    rows = tuple(
        (
            f"{int(one['bar'])}",
            plan_length(one["stock_mm"], units),
            str(one["bearer"]),
            f"{int(one['piece'])}",
            length(one["length_mm"], units),
            length(one["from_x_mm"], units),
            length(one["to_x_mm"], units),
        )
        for one in records(cuts)
    )
    if not rows:
        return Table("Cutting list", heads, rows, "Nothing of this base is cut to length.")
    joints = ", ".join(f"{bearer} over {support}" for bearer, support in plan.joints) or "none"
    note = (
        f"Joints: {joints}. Bought and not built in: {length_with_unit(plan.waste_mm, units)},"
        " saw cuts included."
    )
    return Table("Cutting the bearers" if bearers else "Cutting list", heads, rows, note)


def take_off_table(answer: Answer) -> Table:
    """Return what has to be in the van.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units = answer.job.units
    heads = (
        Head("item"),
        Head("size", "mm" if units == "mm" else "as sold"),
        Head("count", "no."),
        Head("in stock", "no."),
        Head("price of one", "as priced"),
        Head("cost", "as priced"),
    )
    rows = tuple(
        (
            _item(str(one["item"]), units),
            _size(str(one["item"]), float(one["size_mm"]), units),
            f"{int(one['count'])}",
            "as wanted" if _missing(one["in_stock"]) else f"{int(one['in_stock'])}",
            number(float(one["price"]), 2),
            number(float(one["cost"]), 2),
        )
        for one in records(answer.take_off)
    )
    spare = "; take some spare packers along" if on_packers(answer) else ""
    note = f"For the floor as read{spare}. {cost_words(answer.bill, units)}"
    return Table("Take-off", heads, rows, note)


def cost_words(bill: Bill, units: Units) -> str:
    """Return what the things of a base cost, and which of them have no price."""
    priced = math.fsum(item.cost for item in bill.items if math.isfinite(item.cost))
    beside = ", ".join(dict.fromkeys(_item(item.item, units) for item in bill.beside))
    left_out = f" {beside[0].upper()}{beside[1:]}: beside the base, not counted." if beside else ""
    if not bill.unpriced:
        return f"The base costs {priced:.2f} in all, as priced.{left_out}"
    return (
        "What the base costs cannot be told: no price is given of"
        f" {'; '.join(_unpriced(bill, units))}. The rest comes to {priced:.2f}.{left_out}"
    )


def _unpriced(bill: Bill, units: Units) -> Iterator[str]:
    """Yield each thing without a price, with its sizes where its name does not say them."""
    sizes: dict[str, list[float]] = {}
    for item in bill.items:
        if math.isnan(item.price):
            told = math.isfinite(item.size_mm) and "mm" not in item.item
            sizes.setdefault(item.item, []).extend([item.size_mm] * told)
    for name, of in sizes.items():
        unit = " mm" if units == "mm" else ""
        said = f"{name} of {printed_sizes(of, units, ', ')}{unit}" if of else name
        yield _item(said, units)


def _item(item: str, units: Units) -> str:
    """Return what a thing is; what its maker gives sizes in keeps them, timber has inches too."""
    return item if item.startswith(_AS_MADE) else in_units(item, units)


def _size(item: str, mm: float, units: Units) -> str:
    """Return the size of a thing; in inch jobs timber as it is cut, with its rounding."""
    if not math.isfinite(mm):
        return NOTHING
    if units == "mm" or item.startswith(_AS_MADE):
        return printed_size(mm, units)
    off = told_rounding(mm, units)
    return f"{length_with_unit(mm, units)} ({off})" if off else length_with_unit(mm, units)


def work_table(answer: Answer) -> Table:
    """Return the steps of the work, how long each takes and where that is from.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    heads = (
        Head("operation"),
        Head("count", right=True),
        Head("of"),
        Head("one takes", "min"),
        Head("all take", "min"),
        Head("rate from"),
    )
    rows = tuple(
        (
            str(one["operation"]),
            _count(float(one["count"])),
            str(one["unit"]),
            nominal(float(one["minutes_each"])),
            number(float(one["minutes"]), 0),
            str(one["source"]),
        )
        for one in records(answer.work)
    )
    return Table("Work", heads, rows, f"{work_words(answer)} Put your own minutes under [rates].")


def work_words(answer: Answer) -> str:
    """Return how long the work takes, what it costs where that is known, and the wait."""
    rates, bill, wait = answer.job.rates, answer.bill, answer.bill.wait_days
    hours = bill.minutes / 60
    said = f"In all {hours:.1f} hours, {hours / rates.day_hours:.1f} days of {rates.day_hours:g}"
    if rates.hour_price is not None:
        said += f"; at {rates.hour_price:.2f} an hour {hours * rates.hour_price:.2f}"
    if wait:
        said += f"; and {wait:g} days of waiting before the units may stand"
    return f"{said}."


def _count(count: float) -> str:
    return f"{count:.0f}" if count.is_integer() else f"{count:.1f}"


def _missing(value: object) -> bool:
    return value is None or not isinstance(value, int | float) or math.isnan(value)
