"""Screws on the job sheet: which lengths each stack takes, and how far their points stay clear."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import groupby
from operator import itemgetter
from typing import Any

from kit.answer import Answer
from kit.base.screws import screw_limit
from kit.ink.inch_words import in_units
from kit.ink.lengths import Units, printed_size, printed_unit
from kit.ink.table import Head, Table, records
from kit.paper.document import Grid, Heading, Part, Points, Words
from kit.paper.work_order import work_order

#: Each support's screws, from the floor up.
Steps = dict[str, list[dict[str, Any]]]

_LETTERS_MM = 3.2

_STEPS = {
    "base": "lowest packer to the floor",
    "pack": "packer to those below it",
    "bearer": "bearer to its stack",
}


def screw_parts(answer: Answer) -> Iterator[Part]:
    """Yield the screws of a base; nothing where it has none.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    if not len(answer.screws):
        return
    yield Heading("Screws")
    yield Words(_rules(answer), leads=True)
    of_support = _of_supports(answer)
    screwed = _screwed_table(answer, of_support)
    if screwed.rows:
        yield Grid(screwed, _LETTERS_MM)
    unserved = tuple(_unserved(answer, of_support))
    if unserved:
        yield Heading("No screw from stock serves", 2)
        yield Points(unserved, "⚠")


def _rules(answer: Answer) -> str:
    """Return how the lengths are to be read."""
    floor, units = answer.job.floor, answer.job.units
    sink = answer.job.stock.countersink_mm
    drawn = f" Heads drawn in {sink:g} mm." if sink else ""
    board = ""
    if floor.board_mm is not None:
        inside = "inside: from the point to the underside of the board"
        board = f" Board {floor.board_mm:g} mm; {inside}."
    steps = "; ".join(
        f"{step}: {what}" for step, what in _STEPS.items() if step in set(answer.screws["step"])
    )
    printed = "in mm as printed" if units == "mm" else "as printed"
    said = (
        f"Lengths {printed}, from the floor up ({steps}).{drawn}{board} Set the drill's"
        " stop to the same depth."
    )
    return in_units(said, units)


def _of_supports(answer: Answer) -> Steps:
    """Return each support's steps from the floor up, supports in the order of the work."""
    found: Steps = {name: [] for name in work_order(answer)}
    for step in records(answer.screws):
        found[str(step["support"])].append(step)
    return {name: steps for name, steps in found.items() if steps}


def _screwed_table(answer: Answer, of_support: Steps) -> Table:
    """Return one line for all stacks whose screws are alike."""
    alike: dict[tuple[str, str, str], list[str]] = defaultdict(list)
    for name, steps in of_support.items():
        served = [step for step in steps if math.isfinite(float(step["length_mm"]))]
        if served:
            screws = " + ".join(_screw(step, answer.job.units) for step in served)
            clear = f"{_points_words(answer, served)}{_glue(served)}"
            alike[screws, clear, _limit_words(answer, name)].append(name)
    heads = (
        Head("stacks", wide=True),
        Head(f"screws [{printed_unit(answer.job.units)}]", wide=True),
        Head("points end, in the same order", wide=True),
        Head("a point may go", wide=True),
    )
    rows = tuple(
        (", ".join(names), screws, in_units(clear, answer.job.units), limit)
        for (screws, clear, limit), names in alike.items()
    )
    limits = {limit for _, _, limit in alike}
    if len(limits) > 1:
        return Table("Screws of each stack", heads, rows)
    note = "".join(f"A point may go: {limit}." for limit in limits)
    return Table("Screws of each stack", heads[:3], tuple(row[:3] for row in rows), note)


def _screw(step: dict[str, Any], units: Units) -> str:
    return f"{step['step']} {printed_size(float(step['length_mm']), units)}"


def _points_words(answer: Answer, steps: Sequence[dict[str, Any]]) -> str:
    """Return where the points of screws end, in millimetres; those of one kind share its words."""
    ends = [_point_end(answer, step) for step in steps]
    said = (
        f"{', '.join(figure for figure, _ in alike)} mm {where}"
        for where, alike in groupby(ends, key=itemgetter(1))
    )
    return "; ".join(said)


def _point_end(answer: Answer, step: dict[str, Any]) -> tuple[str, str]:
    """Return how far a point is from something [mm], and from what."""
    point, board = float(step["point_below_floor_mm"]), answer.job.floor.board_mm
    if point <= 0:
        return _mm(-point), "above the floor"
    if board is not None and point <= board:
        return _mm(board - point), "inside the board"
    short = float(step["limit_mm"]) - point
    return _mm(short), "short of the limit, below the board"


def _glue(steps: Sequence[dict[str, Any]]) -> str:
    thin = any(str(step["reason"]).endswith("glue those beneath it") for step in steps)
    return "; the bearer's point ends in the thin packers: glue those beneath it" if thin else ""


def _limit_words(answer: Answer, support: str) -> str:
    """Return how deep points may go at a support, and why."""
    job = answer.job
    at = next(one for one in records(answer.supports) if one["support"] == support)
    limit = screw_limit(job.floor, float(at["x_mm"]), float(at["y_mm"]), job.services, job.no_go)
    depth = f"{_mm(limit.depth_mm)} mm deep" if limit.depth_mm > 0 else "not below the floor"
    said = f"{depth} ({limit.why})"
    return in_units(said, job.units)


def _unserved(answer: Answer, of_support: Steps) -> Iterator[str]:
    """Yield each reason why no screw serves a step, with its stacks."""
    why: dict[tuple[str, str], list[str]] = defaultdict(list)
    for name, steps in of_support.items():
        for step in steps:
            if not math.isfinite(float(step["length_mm"])):
                why[str(step["step"]), str(step["reason"])].append(name)
    for (step_name, reason), names in why.items():
        said = in_units(reason, answer.job.units)
        yield f"{step_name} ({_STEPS[step_name]}), {', '.join(dict.fromkeys(names))}: {said}."


def _mm(length_mm: float) -> str:
    return f"{round(length_mm, 1) + 0.0:g}"
