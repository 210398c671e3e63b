"""One row of one base, as an elevation shows it: what stands between floor and base top."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from kit.answer import Answer
from kit.base.runs import Floats
from kit.ink.table import records
from kit.show.section import Section, profile, section


@dataclass(frozen=True)
class Foot:
    """One screw foot: its support, place along the run, floor and set height [mm]."""

    support: str
    x_mm: float
    floor_mm: float
    set_mm: float


@dataclass(frozen=True, eq=False)
class Body:
    """A body that lies on the floor: its lower edge along the row.

    Parameters
    ----------
    x_mm, edge_mm : array of shape (places,)
        Along the run, ascending, and the height of its lower edge there [mm]; nan where the
        floor was not surveyed.
    """

    x_mm: Floats
    edge_mm: Floats

    def stretches(self) -> list[tuple[Floats, Floats]]:
        """Return the stretches that are known, each without a gap."""
        known = np.concatenate([[False], np.isfinite(self.edge_mm), [False]])
        edges = np.flatnonzero(known[1:] != known[:-1])
        pairs = zip(edges[::2], edges[1::2], strict=True)
        return [(self.x_mm[a:b], self.edge_mm[a:b]) for a, b in pairs if b - a > 1]


@dataclass(frozen=True, eq=False)
class RowView:
    """One row of one base.

    Parameters
    ----------
    answer : Answer
    part : Section
        The row cut open.
    """

    answer: Answer
    part: Section

    @property
    def top_mm(self) -> float:
        """Base top in this row [mm]."""
        return self.part.top_mm

    @property
    def has_bearer(self) -> bool:
        """Whether a bar lies on the supports."""
        return self.answer.datum.bearer_mm > 0

    @property
    def has_slabs(self) -> bool:
        """Whether packers are piled here."""
        return any(stack.slabs for stack in self.part.stacks)

    @cached_property
    def window_mm(self) -> tuple[float, float]:
        """Between which heights the base top may lie here [mm]."""
        window, up = self.answer.datum.window, self.part.top_mm - self.answer.datum.datum_mm
        return window.low.datum_mm + up, window.high.datum_mm + up

    @cached_property
    def plate_mm(self) -> float:
        """Length along the row of what stands at a support [mm]."""
        return self.answer.layout.packer_size_mm[0]

    @cached_property
    def feet(self) -> tuple[Foot, ...]:
        """The screw feet of this row, where the answer has any."""
        table = self.answer.details.get("feet.csv")
        if table is None:
            return ()
        heights = dict(zip(table["support"], table["set_mm"], strict=True))
        return tuple(
            Foot(stack.support, stack.x_mm, stack.floor_mm, float(heights[stack.support]))
            for stack in self.part.stacks
        )

    @cached_property
    def body(self) -> Body | None:
        """What lies on the floor along the row; nothing where pipes could pass below."""
        if self.answer.traits.room_under_mm > 0 or self.has_slabs or self.feet:
            return None
        return _cut_body(self.answer, self.part) or _floor_body(self.part)

    @cached_property
    def lowest_mm(self) -> float:
        """Lowest floor that is drawn, its doubt included [mm]."""
        return min(self.part.profile.lowest_mm, *(s.floor_mm for s in self.part.stacks))

    @property
    def heights_mm(self) -> tuple[float, ...]:
        """What reaches from the floor up at each support: a stack, or all that is wanted [mm]."""
        return tuple(stack.height_mm or stack.target_mm for stack in self.part.stacks)


def row_view(answer: Answer, run: str, label: str) -> RowView | None:
    """Return a row by its run and letter; the first of several; nothing where there is none.

    Of a row that movement joints part, all parts.
    """
    rows = [row for row in answer.layout.rows if (row.run, row.label) == (run, label)]
    if not rows:
        return None
    floor = profile(answer, rows[0])
    parts = [section(answer, row, floor) for row in rows if row.line == rows[0].line]
    return RowView(answer, _as_one(parts) if len(parts) > 1 else parts[0])


def _as_one(parts: Sequence[Section]) -> Section:
    """Return the parts of one row, from left to right, as the row that they are of."""
    first, rows = parts[0], [part.row for part in parts]
    whole = replace(
        first.row,
        name=first.row.line,
        end_mm=rows[-1].end_mm,
        units=tuple(dict.fromkeys(placed for row in rows for placed in row.units)),
        reach_mm=(rows[0].reach_mm[0], rows[-1].reach_mm[1]),
        joints=(rows[0].joints[0], rows[-1].joints[1]),
    )
    return replace(
        first,
        row=whole,
        stacks=tuple(stack for part in parts for stack in part.stacks),
        pieces=tuple(piece for part in parts for piece in part.pieces),
        high_point=next((part.high_point for part in parts if part.high_point), ()),
    )


def labels_of(answer: Answer, run: str) -> tuple[str, ...]:
    """Return the letters of the rows that a base has in a run."""
    return tuple(dict.fromkeys(row.label for row in answer.layout.rows if row.run == run))


def _cut_body(answer: Answer, part: Section) -> Body | None:
    """Return the edge to which a member was cut, where the answer has its profile."""
    table = answer.details.get("profile.csv")
    if table is None:
        return None
    found = [one for one in records(table) if one["member"] == part.row.name]
    if not found:
        return None
    frame = answer.layout.frames[part.row.run]
    along, _ = frame.to_own([one["x_mm"] for one in found], [one["y_mm"] for one in found])
    edge = part.top_mm - np.array([one["depth_mm"] for one in found], dtype=float)
    order = np.argsort(along)
    return Body(along[order], edge[order])


def _floor_body(part: Section) -> Body:
    """Return the floor between the ends of a row: what lies on it follows it."""
    floor, low, high = part.profile, part.row.start_mm, part.row.end_mm
    inner = floor.x_mm[(floor.x_mm > low) & (floor.x_mm < high)]
    x = np.concatenate([[low], inner, [high]])
    # A neighbour that was not surveyed leaves the end unknown too.
    return Body(x, np.interp(x, floor.x_mm, floor.height_mm))
