"""Cutting a ladder frame: long members and rungs out of the same stock lengths."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import pandas as pd

from kit.base.cut_patterns import next_total_mm
from kit.base.cuts import BearerLine, CutPlan, cut_bearers
from kit.base.effort import STEPS_A_SECOND
from kit.base.ladder_frame import LadderFrame
from kit.base.ladder_member import Member
from kit.base.layout import Layout
from kit.base.no_go import SAME_PLACE_MM
from kit.job import Bearer, Ladder, Refusal, refuse

#: More members than this are not cut by the exact programme, which would take long.
MOST_AT_ONCE = 24

#: Steps of its integer programmes; what they leave open is said.
MOST_STEPS = 0.5 * STEPS_A_SECOND


def cut_frame(layout: Layout, frame: LadderFrame, ladder: Ladder, base: str) -> CutPlan:
    """Cut a frame out of stock lengths, long members joined only where a rung meets them.

    Parameters
    ----------
    layout : Layout
        Rows and supports.
    frame : LadderFrame
        Its members.
    ladder : Ladder
        Stock lengths and kerf [mm].
    base : str
        Name of the base, for messages.

    Returns
    -------
    CutPlan
        The column bearer holds the member's name, from_x_mm and to_x_mm are along it. With more
        than `MOST_AT_ONCE` members it is proven least only where no whole lengths could add up
        to less.

    Raises
    ------
    Refusal
        Where a rung, or a stretch between two rungs that may carry a joint, is longer than every
        stock length; where joints of neighbouring members cannot be kept apart.

    Notes
    -----
    Joints of neighbouring members stand at least three thicknesses apart, so that they never
    meet at one rung nor at two beside each other (common practice, no source). Few members:
    `kit.base.cuts.cut_bearers`. Many: each long member by itself with the least length bought,
    then all pieces, longest first, each into the first length with room for it; where a member
    has to be joined, that may buy more than is needed, and the plan says by how much at most.
    """
    long, rungs = _long_lines(layout, frame), [_rung_line(one) for one in frame.rungs]
    _refuse_too_long((*long, *rungs), max(ladder.stock_mm), base)
    apart = 3 * frame.thickness_mm
    if len(long) + len(rungs) > MOST_AT_ONCE:
        return _member_by_member(long, rungs, ladder, apart, base)
    timber = Bearer(stock_mm=ladder.stock_mm, kerf_mm=ladder.kerf_mm)
    try:
        plan = cut_bearers((*long, *rungs), timber, apart, steps=MOST_STEPS)
    except Refusal:  # it may only have run out of steps
        return _member_by_member(long, rungs, ladder, apart, base)
    if plan.proven:
        return plan
    return min(
        plan, _member_by_member(long, rungs, ladder, apart, base), key=lambda one: one.waste_mm
    )


def _long_lines(layout: Layout, frame: LadderFrame) -> list[BearerLine]:
    lines = []
    for row, stands in zip(layout.rows, layout.stands, strict=True):
        rungs = frame.rung_places_mm(row.name)
        names = [str(name) for name in layout.on_bearer(row.name)["support"]]
        last = len(stands) - 1
        joints = [
            (stand.x_mm, name)
            for number, (stand, name) in enumerate(zip(stands, names, strict=True))
            if number in (0, last) or any(abs(stand.x_mm - x) < SAME_PLACE_MM for x in rungs)
        ]
        neighbours = {other for bay in frame.bays if row.name in bay for other in bay}
        lines.append(
            BearerLine(
                row.name,
                row.run,
                row.label,
                row.start_mm,
                row.end_mm,
                tuple(x for x, _ in joints),
                tuple(name for _, name in joints),
                tuple(sorted(neighbours - {row.name})),
            )
        )
    return lines


def _rung_line(rung: Member) -> BearerLine:
    return BearerLine(rung.name, "", "R", rung.start_mm, rung.end_mm, (), ())


def _refuse_too_long(lines: Sequence[BearerLine], longest_mm: float, base: str) -> None:
    for line in lines:
        for start, end in pairwise(line.cuts_mm):
            if end - start > longest_mm + SAME_PLACE_MM:
                raise refuse(
                    f"job.toml, base {base!r}, ladder.stock_mm",
                    f"{end - start:g} mm of {line.name} from {start:g} to {end:g} mm without a rung"
                    " to join it over",
                    f"at most the longest stock length, {longest_mm:g} mm",
                )


@dataclass
class _Bar:
    """A length while it is being filled; ``pieces`` are (member, from, to)."""

    stock_mm: float
    pieces: list[tuple[str, float, float]] = field(default_factory=list)

    def used_mm(self, kerf_mm: float) -> float:
        lengths = math.fsum(end - start for _, start, end in self.pieces)
        return lengths + kerf_mm * max(len(self.pieces) - 1, 0)

    def takes(self, length_mm: float, kerf_mm: float) -> bool:
        saw = kerf_mm if self.pieces else 0.0
        return self.used_mm(kerf_mm) + saw + length_mm <= self.stock_mm + SAME_PLACE_MM


def _member_by_member(
    long: Sequence[BearerLine],
    rungs: Sequence[BearerLine],
    ladder: Ladder,
    apart_mm: float,
    base: str,
) -> CutPlan:
    stock, kerf = sorted(ladder.stock_mm), ladder.kerf_mm
    joints: dict[str, tuple[float, ...]] = {}
    for line in long:
        near = [x for name in line.neighbours for x in joints.get(name, ())]
        found = _joints(line, stock, near, apart_mm)
        if found is None:
            raise refuse(
                f"job.toml, base {base!r}, ladder.stock_mm",
                f"joints of {line.name} less than {apart_mm:g} mm from those of its neighbours",
                f"a stock length longer than {stock[-1]:g} mm, or more rungs to join over",
            )
        joints[line.name] = found
    pieces = [
        (line.name, start, end)
        for line in long
        for start, end in pairwise((line.start_mm, *joints[line.name], line.end_mm))
    ]
    pieces += [(one.name, one.start_mm, one.end_mm) for one in rungs]
    fillings = [_fill(pieces, stock, opening, kerf) for opening in stock]
    bars = min(fillings, key=lambda one: (math.fsum(bar.stock_mm for bar in one), len(one)))
    over = {
        (line.name, x): name
        for line in long
        for x, name in zip(line.supports_mm, line.support_names, strict=True)
    }
    named = tuple((line.name, over[line.name, x]) for line in long for x in joints[line.name])
    return _plan(pieces, bars, named, stock)


def _joints(
    line: BearerLine, stock_mm: Sequence[float], near_mm: Sequence[float], apart_mm: float
) -> tuple[float, ...] | None:
    """Return where a long member is joined so that it takes least length, then fewest pieces.

    From the right: the best way from each place on is the best of all first pieces with the best
    way from their ends on. None where joints of neighbours leave no way.
    """
    cuts = [
        x
        for number, x in enumerate(line.cuts_mm)
        if number in (0, len(line.cuts_mm) - 1) or all(abs(x - y) >= apart_mm for y in near_mm)
    ]
    best: list[tuple[float, int, tuple[float, ...]] | None] = [None] * len(cuts)
    best[-1] = (0.0, 0, ())
    for left in range(len(cuts) - 2, -1, -1):
        ways = []
        for right in range(left + 1, len(cuts)):
            onward, length = best[right], cuts[right] - cuts[left]
            if length > stock_mm[-1] + SAME_PLACE_MM:
                break
            if onward is not None:
                bought = next(mm for mm in stock_mm if mm >= length - SAME_PLACE_MM)
                ways.append((onward[0] + bought, onward[1] + 1, (cuts[right], *onward[2])))
        best[left] = min(ways, default=None)
    return None if best[0] is None else best[0][2][:-1]


def _fill(
    pieces: Sequence[tuple[str, float, float]],
    stock: Sequence[float],
    opening_mm: float,
    kerf: float,
) -> list[_Bar]:
    """Put pieces into lengths, longest first, each into the first that takes it.

    A new length is ``opening_mm`` long, or as much longer as the piece needs.
    """
    bars: list[_Bar] = []
    for piece in sorted(pieces, key=lambda one: one[1] - one[2]):
        length = piece[2] - piece[1]
        bar = next((one for one in bars if one.takes(length, kerf)), None)
        if bar is None:
            least = max(length - SAME_PLACE_MM, opening_mm)
            bar = _Bar(next(mm for mm in stock if mm >= least))
            bars.append(bar)
        bar.pieces.append(piece)
    for bar in bars:
        bar.stock_mm = next(mm for mm in stock if mm >= bar.used_mm(kerf) - SAME_PLACE_MM)
    return bars


def _plan(
    pieces: Sequence[tuple[str, float, float]],
    bars: Sequence[_Bar],
    joints: tuple[tuple[str, str], ...],
    stock_mm: Sequence[float],
) -> CutPlan:
    bar_of = {piece: number for number, bar in enumerate(bars, 1) for piece in bar.pieces}
    counts: dict[str, int] = {}
    rows = []
    for piece in pieces:
        name, start, end = piece
        counts[name] = counts.get(name, 0) + 1
        stock = bars[bar_of[piece] - 1].stock_mm
        rows.append((name, stock, counts[name], end - start, start, end, bar_of[piece]))
    columns = ["bearer", "stock_mm", "piece", "length_mm", "from_x_mm", "to_x_mm", "bar"]
    bought = sorted(Counter(bar.stock_mm for bar in bars).items())
    total = math.fsum(bar.stock_mm for bar in bars)
    length = math.fsum(end - start for _, start, end in pieces)
    gap = total - next_total_mm(tuple(stock_mm), length - SAME_PLACE_MM)
    return CutPlan(
        pd.DataFrame(rows, columns=columns),
        joints,
        pd.DataFrame(bought, columns=["stock_mm", "count"]),
        total - length,
        gap <= SAME_PLACE_MM,
        gap if gap > SAME_PLACE_MM else 0.0,
        False,
    )
