"""What is known of one stack: place, packers, floor, limit, screws and what it carries."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import accumulate
from typing import Any

from kit.answer import Answer
from kit.base.runs import Panel, PlacedUnit, Row
from kit.base.screws import Limit, StackAt, plan_distance_mm, screw_limit, steps_of
from kit.base.supports import Stand
from kit.ink.table import records
from kit.job import Service, refuse
from kit.job.model import Packer
from kit.show.section import BAND_SD

#: Panels whose centre lines are this near to a stack's line [mm] are that line's.
_SAME_LINE_MM = 1e-6


@dataclass(frozen=True)
class Laid:
    """One packer where it lies: its kind, and its underside above the floor [mm]."""

    packer: Packer
    kind: int
    bottom_mm: float

    @property
    def top_mm(self) -> float:
        """Its upper face above the floor [mm]."""
        return self.bottom_mm + self.packer.thickness_mm


@dataclass(frozen=True)
class Screw:
    """One step of a stack, and the screw that was chosen for it.

    Parameters
    ----------
    step : str
        ``"base"``, ``"pack"`` or ``"bearer"``.
    length_mm : float
        nan where no screw serves [mm].
    surface_mm, head_mm : float
        The surface that it enters from, and its head's upper face, drawn below that surface by
        the countersink; above the floor [mm].
    point_below_floor_mm, limit_mm : float
        Depth of its point, and how deep a point may reach [mm].
    reason : str
        As the answer gives it.
    """

    step: str
    length_mm: float
    surface_mm: float
    head_mm: float
    point_below_floor_mm: float
    limit_mm: float
    reason: str

    @property
    def serves(self) -> bool:
        """Whether there is a screw for this step."""
        return math.isfinite(self.length_mm)

    @property
    def spare_mm(self) -> float:
        """How far its point stays short of the limit [mm]."""
        return self.limit_mm - self.point_below_floor_mm

    @property
    def remark(self) -> str:
        """What the reason adds about this screw, empty where nothing."""
        return self.reason.rpartition("); ")[2] if "); " in self.reason else ""


@dataclass(frozen=True)
class StackFacts:
    """One stack of an answer; heights within it count from the floor's surface.

    Parameters
    ----------
    answer : Answer
    name : str
    row : Row
    stand : Stand
        Where it stands, and which panels stand on it.
    reasons : frozenset of str
        Why it stands there, a joint included.
    load_N, floor_mm, floor_sd_mm, target_mm : float
        As in ``answer.supports``.
    laid : tuple of Laid
        From the floor up.
    limit : Limit
        How deep a screw's point may reach here.
    screws : tuple of Screw
        From the floor up.
    near : tuple of Service
        Known pipes and cables that are nearer in plan than they allow.
    """

    answer: Answer
    name: str
    row: Row
    stand: Stand
    reasons: frozenset[str]
    load_N: float  # noqa: N815 - newtons are written N
    floor_mm: float
    floor_sd_mm: float
    target_mm: float
    laid: tuple[Laid, ...]
    limit: Limit
    screws: tuple[Screw, ...]
    near: tuple[Service, ...]

    @property
    def height_mm(self) -> float:
        """Height of the stack [mm]."""
        return self.laid[-1].top_mm

    @property
    def error_mm(self) -> float:
        """Stack less target, positive = high [mm]."""
        return self.height_mm - self.target_mm

    @property
    def bearer_mm(self) -> float:
        """Thickness of the bearer [mm]."""
        return self.answer.base.bearer.thickness_mm

    @property
    def base_top_mm(self) -> float:
        """Top of the bearer as it lies on this stack, above the floor here [mm]."""
        return self.height_mm + self.bearer_mm

    @property
    def doubt_mm(self) -> float:
        """Half width of the floor's doubt [mm]."""
        return BAND_SD * self.floor_sd_mm

    def panels(self) -> Iterator[tuple[PlacedUnit, Panel]]:
        """Yield the sides and divisions that stand on it, from left to right."""
        for placed in self.row.units:
            for panel in placed.panels:
                if any(abs(panel.x_mm - line) <= _SAME_LINE_MM for line in self.stand.lines):
                    yield placed, panel


def stack_facts(answer: Answer, support: str) -> StackFacts:
    """Gather what is known of one stack.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    support : str
        Name of the support.

    Returns
    -------
    StackFacts

    Raises
    ------
    Refusal
        If there is no such support.
    """
    names = answer.supports["support"].tolist()
    if support not in names:
        raise refuse("stack", repr(support), f"one of {', '.join(map(str, names))}")
    number = names.index(support)
    of = _row(answer, number)
    row, stand = _stands(answer)[number]
    laid = _laid(answer, answer.datum.plan.stacks[number])
    x, y, job = float(of["x_mm"]), float(of["y_mm"]), answer.job
    at = StackAt(support, x, y, tuple(one.packer.thickness_mm for one in laid))
    return StackFacts(
        answer=answer,
        name=support,
        row=row,
        stand=stand,
        reasons=frozenset(str(of["reasons"]).split("+")),
        load_N=float(of["load_N"]),
        floor_mm=float(of["floor_mm"]),
        floor_sd_mm=float(of["floor_sd_mm"]),
        target_mm=float(of["target_mm"]),
        laid=laid,
        limit=screw_limit(job.floor, x, y, job.services, job.no_go),
        screws=_screws(answer, at),
        near=tuple(s for s in job.services if plan_distance_mm(s, x, y) < s.clear_mm),
    )


def _row(answer: Answer, number: int) -> dict[str, Any]:
    """Return one row of the supports; much faster than all of them by name."""
    table = answer.supports
    return {str(name): table[name].iat[number] for name in table.columns}


def _stands(answer: Answer) -> list[tuple[Row, Stand]]:
    """Return where each stack stands and on which row, in the order of the supports."""
    rows = zip(answer.layout.rows, answer.layout.stands, strict=True)
    return [(row, stand) for row, of_row in rows for stand in of_row]


def _laid(answer: Answer, kinds: tuple[int, ...]) -> tuple[Laid, ...]:
    packers = [answer.job.stock.packers[kind] for kind in kinds]
    bottoms = accumulate((packer.thickness_mm for packer in packers), initial=0.0)
    return tuple(Laid(*one) for one in zip(packers, kinds, bottoms, strict=False))


def _screws(answer: Answer, at: StackAt) -> tuple[Screw, ...]:
    steps = steps_of(at, answer.base.bearer.thickness_mm)
    chosen = records(answer.screws[answer.screws["support"] == at.support])
    deep = answer.job.stock.countersink_mm
    return tuple(
        Screw(
            step=step.name,
            length_mm=float(one["length_mm"]),
            surface_mm=step.above_mm,
            head_mm=step.above_mm - deep,
            point_below_floor_mm=float(one["point_below_floor_mm"]),
            limit_mm=float(one["limit_mm"]),
            reason=str(one["reason"]),
        )
        for step, one in zip(steps, chosen, strict=True)
    )
