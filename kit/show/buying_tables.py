"""Tables of what is screwed, sawn and bought."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from kit.answer import Answer
from kit.show.lengths import (
    NOTHING,
    Units,
    length,
    length_with_unit,
    nominal,
    number,
    plan_length,
)
from kit.show.table import Head, Table, records

_SCREW_STEPS = {"base": "packer to floor", "pack": "packer to packer", "bearer": "bearer to stack"}


def screw_table(answer: Answer) -> Table:
    """Return the screws of each stack in one line, the deepest point, and how deep it may go.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units = answer.job.units
    heads = (
        Head("support"),
        *(Head(words, "mm") for words in _SCREW_STEPS.values()),
        Head("deepest point", units),
        Head("may go", units),
        Head("what no screw in stock serves", wide=True),
    )
    of_support: dict[str, list[dict[str, Any]]] = {}
    for step in records(answer.screws):
        of_support.setdefault(str(step["support"]), []).append(step)
    rows = tuple(_screw_row(name, steps, units) for name, steps in of_support.items())
    bad = frozenset(place for place, row in enumerate(rows) if row[-1])
    note = "Depths are below the floor's surface; a negative one stays above it."
    return Table("Screws", heads, rows, note, bad)


def _screw_row(support: str, steps: list[dict[str, Any]], units: Units) -> tuple[str, ...]:
    points = [p for step in steps if math.isfinite(p := float(step["point_below_floor_mm"]))]
    return (
        support,
        *(_screw_lengths([one for one in steps if one["step"] == step]) for step in _SCREW_STEPS),
        length(max(points, default=math.nan), units),
        length(min(float(step["limit_mm"]) for step in steps), units),
        "; ".join(_without_screw(steps)),
    )


def _screw_lengths(steps: list[dict[str, Any]]) -> str:
    """Return the lengths of one step of a stack, a word where there is none."""
    sizes = [float(one["length_mm"]) for one in steps]
    return " + ".join(nominal(s) if math.isfinite(s) else "none" for s in sizes) or NOTHING


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
    units, plan = answer.job.units, answer.cuts
    heads = (
        Head("bought length"),
        Head("of", units),
        Head("bearer"),
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
    joints = ", ".join(f"{bearer} over {support}" for bearer, support in plan.joints) or "none"
    note = (
        f"Joints: {joints}. Bought and not built in: {length_with_unit(plan.waste_mm, units)},"
        " saw cuts included."
    )
    return Table("Cutting the bearers", heads, rows, note)


def take_off_table(answer: Answer) -> Table:
    """Return what has to be in the van.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    heads = (
        Head("item"),
        Head("size", "mm"),
        Head("count", "no."),
        Head("in stock", "no."),
        Head("cost", "as priced"),
    )
    rows = tuple(
        (
            str(one["item"]),
            nominal(float(one["size_mm"])),
            f"{int(one['count'])}",
            "as wanted" if _missing(one["in_stock"]) else f"{int(one['in_stock'])}",
            number(float(one["cost"]), 2),
        )
        for one in records(answer.take_off)
    )
    return Table("Take-off", heads, rows, "For the floor as read; take some spare packers along.")


def _missing(value: object) -> bool:
    return value is None or not isinstance(value, int | float) or math.isnan(value)
