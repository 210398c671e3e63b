"""Tables of the base: supports, stacks, screws, cuts, what to buy, room, plinth, checks."""

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
    signed_small,
    small,
)
from kit.show.table import Head, Page, Table, records, sentences
from kit.show.words import VERDICTS, stacks_sentence

_SCREW_STEPS = {"base": "packer to floor", "pack": "packer to packer", "bearer": "bearer to stack"}

_REASON_WORDS = {"by_hand": "by hand"}


def support_table(answer: Answer) -> Table:
    """Return where each support stands, why, on which floor, and what comes down on it.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units = answer.job.units
    heads = (
        Head("support"),
        Head("x along the wall", units),
        Head("y out from it", units),
        Head("stands for"),
        Head("floor", units),
        Head("doubt, 1 sd", units),
        Head("stack wanted", units),
        Head("load", "N"),
    )
    rows = tuple(
        (
            str(one["support"]),
            plan_length(one["x_mm"], units),
            plan_length(one["y_mm"], units),
            ", ".join(_REASON_WORDS.get(r, r) for r in str(one["reasons"]).split("+")),
            length(one["floor_mm"], units),
            small(one["floor_sd_mm"], units),
            length(one["target_mm"], units),
            number(one["load_N"], 0),
        )
        for one in records(answer.supports)
    )
    note = (
        "x and y are of the packers' middle, in the room's own axes. A load of 0 stands where a"
        " stack is there only to keep a span short, to hold a bearer's end or under a joint."
    )
    return Table("Supports", heads, rows, note)


def stack_lines(answer: Answer) -> Iterator[tuple[str, str, float, float, float]]:
    """Yield each support's name, its packers from the floor up, height, target and error [mm]."""
    packers, plan = answer.job.stock.packers, answer.datum.plan
    for name, target, stack, error in zip(
        answer.supports["support"],
        answer.supports["target_mm"],
        plan.stacks,
        plan.error_mm,
        strict=True,
    ):
        height = sum(packers[kind].thickness_mm for kind in stack)
        pile = " + ".join(nominal(packers[kind].mm) for kind in stack)
        yield str(name), pile, height, float(target), float(error)


def stack_table(answer: Answer) -> Table:
    """Return the stacks, one line a support: packers from the floor up, height, error.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units = answer.job.units
    heads = (
        Head("support"),
        Head("packers from the floor up [mm]"),
        Head("height", units),
        Head("wanted", units),
        Head("error, + high", units),
    )
    rows = tuple(
        (name, pile, length(height, units), length(target, units), signed_small(error, units))
        for name, pile, height, target, error in stack_lines(answer)
    )
    measured = [p for p in answer.job.stock.packers if p.measured_mm is not None]
    note = stacks_sentence(answer)
    if measured:
        said = ", ".join(f"{nominal(p.mm)} measures {p.thickness_mm:g} mm" for p in measured)
        note += f" Packers are named by their printed size; heights count as measured: {said}."
    return Table("Stacks", heads, rows, note)


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


def clearance_table(answer: Answer) -> Table:
    """Return the least room between floor and bearer, and where it is.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units = answer.job.units
    heads = (
        Head("bearer"),
        Head("least room", units),
        Head("doubt, 1 sd", units),
        Head("along the run", units),
    )
    rows = tuple(
        (
            str(one["bearer"]),
            length(one["least_mm"], units),
            small(one["sd_mm"], units),
            plan_length(one["own_x_mm"], units),
        )
        for one in records(answer.clearance)
    )
    least = length_with_unit(answer.base.minimum_pack_mm, units)
    return Table("Room under the bearers", heads, rows, f"At least {least} are asked for.")


def plinth_table(answer: Answer) -> Table:
    """Return how high the plinth of each run is, and the board that covers it.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units = answer.job.units
    heads = (
        Head("run"),
        Head("lowest", units),
        Head("highest", units),
        Head("board", units),
        Head("cut off at most", units),
    )
    rows = tuple(
        (
            str(one["run"]),
            length(one["least_mm"], units),
            length(one["greatest_mm"], units),
            length(one["board_mm"], units),
            length(one["board_mm"] - one["least_mm"], units),
        )
        for one in records(answer.plinth)
    )
    note = "From the finished floor to the base top. Cut the board's lower edge to the floor."
    return Table("Plinth", heads, rows, note)


def check_table(answer: Answer) -> Table:
    """Return the checks, each with its verdict as a sign and a word.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units = answer.job.units
    heads = (
        Head("verdict"),
        Head("check"),
        Head("of"),
        Head("value", "unit beside"),
        Head("limit", "unit beside"),
        Head("unit"),
        Head("source", wide=True),
    )
    rows, bad = [], set()
    for place, one in enumerate(records(answer.checks)):
        verdict = str(one["verdict"])
        bad |= {place} if verdict in {"fail", "refer"} else set()
        value, limit, unit = _as_shown(one["value"], one["limit"], str(one["unit"]), units)
        rows.append(
            (
                " ".join(VERDICTS[verdict]),
                str(one["check"]),
                str(one["subject"]),
                value,
                limit,
                unit,
                str(one["source"]),
            )
        )
    counts = answer.checks["verdict"].value_counts()
    note = ", ".join(f"{counts.get(v, 0)} {' '.join(VERDICTS[v])}" for v in VERDICTS)
    return Table("Checks", heads, tuple(rows), f"{note}. Refer: ask who may decide.", frozenset(bad))


def _as_shown(value: float, limit: float, unit: str, units: Units) -> tuple[str, str, str]:
    """Return value and limit for the eye, lengths in the job's units."""
    if unit != "mm":
        digits = 0 if unit == "steps" else 3
        return number(value, digits), number(limit, digits), unit or NOTHING
    show = small if abs(limit) < 5 else length
    return show(value, units), show(limit, units), units


def caution_list(answer: Answer) -> Page:
    """Return the cautions, one sentence each.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    return sentences((f"⚠ {line}" for line in answer.cautions), "Cautions")
