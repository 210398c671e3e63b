"""Tables of the base: supports, stacks, screws, cuts, what to buy, room, plinth, checks."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from kit.answer import Answer
from kit.ink.inch_words import in_units
from kit.ink.lengths import (
    NOTHING,
    Units,
    length,
    length_with_unit,
    measured_size,
    number,
    plan_length,
    printed_size,
    printed_sizes,
    printed_unit,
    run_length,
    signed_small,
    small,
)
from kit.ink.table import Head, Page, Table, records, sentences
from kit.ink.words import VERDICTS, on_bearers, on_packers, stacks_sentence
from kit.job.ways import way_of

_NEED = ("fail", "refer", "not_checked", "ok")
_REASON_WORDS = {"by_hand": "by hand"}


def support_table(answer: Answer) -> Table:
    """Return where each support stands, why, on which floor, and what comes down on it.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units, way = answer.job.units, way_of(answer.base)
    heads = (
        Head("support"),
        Head("along the run", units),
        Head("x in plan", units),
        Head("y in plan", units),
        Head("stands for"),
        Head("floor", units),
        Head("doubt, 1 sd", units),
        Head(f"{way.wanted} wanted", units),
        Head("load", "N"),
    )
    rows = tuple(
        (
            str(one["support"]),
            run_length(one["own_x_mm"], units),
            run_length(one["x_mm"], units),
            run_length(one["y_mm"], units),
            ", ".join(_REASON_WORDS.get(r, r) for r in str(one["reasons"]).split("+")),
            length(one["floor_mm"], units),
            small(one["floor_sd_mm"], units),
            length(one["target_mm"], units),
            number(one["load_N"], 0),
        )
        for one in records(answer.supports)
    )
    where = (
        "Places are of the {} middle: along the run from its left end, x and y in the room's own"
    )
    middle = "packers'" if on_packers(answer) else "supports'"
    note = f"{where.format(middle)} axes. A load of 0 stands where {_unloaded(answer)}."
    return Table("Supports", heads, rows, note)


def _unloaded(answer: Answer) -> str:
    """Return why nothing may come down on a support."""
    carried = "by the lever rule other rows carry the unit"
    if not on_bearers(answer.ground):
        return carried
    return (
        "a stack is there only to keep a span short, to hold a bearer's end or under a joint, or"
        f" where {carried}"
    )


def stack_lines(answer: Answer) -> Iterator[tuple[str, str, float, float, float]]:
    """Yield each support's name, its packers from the floor up, height, target and error [mm]."""
    packers, plan, units = answer.job.stock.packers, answer.datum.plan, answer.job.units
    for name, target, stack, error in zip(
        answer.supports["support"],
        answer.supports["target_mm"],
        plan.stacks,
        plan.error_mm,
        strict=True,
    ):
        height = sum(packers[kind].thickness_mm for kind in stack)
        pile = printed_sizes([packers[kind].mm for kind in stack], units)
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
        Head(f"packers from the floor up [{printed_unit(units)}]"),
        Head("height", units),
        Head("wanted", units),
        Head("error, + high", units),
    )
    if not on_packers(answer):
        return Table("Stacks", heads, (), stacks_sentence(answer))
    rows = tuple(
        (name, pile, length(height, units), length(target, units), signed_small(error, units))
        for name, pile, height, target, error in stack_lines(answer)
    )
    note = stacks_sentence(answer)
    if said := measured_words(answer):
        note += f" Packers are named by their printed size; heights count as measured: {said}."
    return Table("Stacks", heads, rows, note)


def measured_words(answer: Answer) -> str:
    """Return which packers are not as thick as they are printed: "18 measures 17.8 mm"."""
    units = answer.job.units
    return ", ".join(
        f"{printed_size(p.mm, units)} measures {measured_size(p.thickness_mm, units)}"
        for p in answer.job.stock.packers
        if p.measured_mm is not None
    )


def clearance_table(answer: Answer) -> Table:
    """Return the least room between the floor and what lies over it, and where it is.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units = answer.job.units
    bearers = on_bearers(answer.ground)
    heads = (
        Head("bearer" if bearers else "row"),
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
    asked = f"At least {least} are asked for."
    note = asked if on_packers(answer) else "" if rows else "The base lies on the floor all along."
    title = "Room under the bearers" if bearers else "Room under the units along each row"
    return Table(title, heads, rows, note)


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
    return checks_shown(answer.checks, answer.job.units)


def checks_shown(checks: pd.DataFrame, units: Units) -> Table:
    """Return rows of checks as a table, the ones that want a decision first."""
    heads = (
        Head("verdict"),
        Head("check"),
        Head("of"),
        Head("value", right=True),
        Head("limit", right=True),
        Head("unit"),
        Head("source", wide=True),
    )
    rows, bad = [], set()
    # What wants a decision stands first; the file keeps the order of the work.
    by_need = sorted(records(checks), key=lambda one: _NEED.index(str(one["verdict"])))
    for place, one in enumerate(by_need):
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
                in_units(str(one["source"]), units),
            )
        )
    counts = checks["verdict"].value_counts()
    note = ", ".join(f"{counts.get(v, 0)} {' '.join(VERDICTS[v])}" for v in VERDICTS)
    return Table(
        "Checks", heads, tuple(rows), f"{note}. Refer: ask who may decide.", frozenset(bad)
    )


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
    units = answer.job.units
    return sentences((f"⚠ {in_units(line, units)}" for line in answer.cautions), "Cautions")
