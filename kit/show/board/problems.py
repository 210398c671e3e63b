"""What cannot be, as words with a place in the plan."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from kit.base.layout import Layout
from kit.ink.table import records
from kit.job import Job, PlacedProblem, Problem
from kit.show.board.plan_frame import PlanFrame

#: Words of a problem below the plan: how wide at most, and how tall [px].
CALLOUT_PX, LANE_PX = 300.0, 64.0


@dataclass(frozen=True)
class Placed:
    """A problem at a place: what it is about, its words, and where that is on the site [mm]."""

    name: str
    words: str
    at_mm: tuple[float, float]


def in_words(problem: Problem) -> str:
    """Say a problem; one of a support by the support's name alone, not its place in the file."""
    if isinstance(problem, PlacedProblem):
        return f"{problem.support} {problem.found}. Allowed: {problem.allowed}."
    return str(problem)


def place_of(problem: Problem, job: Job, layout: Layout) -> tuple[str, tuple[float, float]] | None:
    """Return what a problem is about and where that is in plan; None where it has no place.

    Parameters
    ----------
    problem : Problem
        Its own place is taken, else that of the support, area or unit that its words name.
    job, layout : Job, Layout
        What stands where.
    """
    if isinstance(problem, PlacedProblem):
        return problem.support, problem.at_mm
    said = f"{problem.where} {problem.found}"
    for one in records(layout.supports):
        if re.search(rf"\bsupports? {re.escape(str(one['support']))}\b", said):
            return str(one["support"]), (float(one["x_mm"]), float(one["y_mm"]))
    for area in job.no_go:
        if repr(area.name) in said:
            (x, y), (wide, deep) = area.corner_mm, area.size_mm
            return area.name, (x + wide / 2, y + deep / 2)
    for joint in job.movement_joints:
        if repr(joint.name) in said:
            (x, y), (x1, y1) = joint.from_mm, joint.to_mm
            return joint.name, ((x + x1) / 2, (y + y1) / 2)
    for placed in layout.units:
        if repr(placed.unit.name) in said:
            middle = (placed.left_mm + placed.right_mm) / 2
            x_mm, y_mm = layout.frames[placed.run].to_site(middle, placed.unit.depth_mm / 2)
            return placed.unit.name, (float(x_mm), float(y_mm))
    return None


def placed_problems(problems: Sequence[Problem], job: Job, layout: Layout) -> list[Placed]:
    """Return those problems that have a place.

    Parameters
    ----------
    problems : sequence of Problem
    job, layout : Job, Layout
        What stands where.
    """
    found = []
    for problem in problems:
        at = place_of(problem, job, layout)
        if at is not None:
            found.append(Placed(at[0], f"{at[0]}: {problem.found}", at[1]))
    return found


def callouts_below(
    placed: Sequence[Placed], frame: PlanFrame
) -> tuple[list[dict[str, Any]], float]:
    """Put the words of problems below the plan, none on another, each with a line to its place.

    Parameters
    ----------
    placed : sequence of Placed
        From `placed_problems`.
    frame : PlanFrame
        The plan.

    Returns
    -------
    callouts : list of dict
        id, words, x, y (left and top of the words), x1, y1, x2, y2 (the line) [px].
    room_px : float
        How much room they need below the plan [px].
    """
    ends: list[float] = []
    found: list[dict[str, Any]] = []
    for number, one in enumerate(sorted(placed, key=lambda one: one.at_mm)):
        x, y = frame.to_px(*one.at_mm)
        left = min(max(x - 14.0, 0.0), max(frame.width_px - CALLOUT_PX, 0.0))
        lane = next((n for n, end in enumerate(ends) if end <= left), len(ends))
        ends[lane : lane + 1] = [left + CALLOUT_PX + 8.0]
        top = frame.height_px + lane * LANE_PX
        line = {"x1": x, "y1": y, "x2": min(max(x, left + 10.0), left + CALLOUT_PX), "y2": top}
        px = {name: round(value, 1) for name, value in {"x": left, "y": top, **line}.items()}
        found.append({"id": number, "words": one.words, **px})
    return found, len(ends) * LANE_PX
