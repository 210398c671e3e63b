"""Whether a plinth's board finds its place before the front of what carries the units."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kit.base.layout import Layout
from kit.base.plinth import plinth_y_mm
from kit.base.runs import Row
from kit.job import Base

#: What round-off adds to a length is below this [mm].
_CLOSED_MM = 1e-9

#: Rows that a run has only under deeper units.
_FURTHER = "D"


@dataclass(frozen=True)
class RowAtPlinth:
    """One row, and the room that a plinth's board has before it.

    Parameters
    ----------
    row : Row
        Of the layout.
    back_mm, face_mm : float
        How far out from the units' backs the board's back and its face stand [mm].
    edge_mm : float
        How far out the front edge of the row reaches, its packers or plates included [mm].
    beyond : bool
        Whether it stands wholly in front of the board, under deeper units, whose plinth is
        another one.
    """

    row: Row
    back_mm: float
    face_mm: float
    edge_mm: float
    beyond: bool

    @property
    def room_mm(self) -> float:
        """Between the row's front edge and the board's back, below 0 where they clash [mm]."""
        return self.back_mm - self.edge_mm

    @property
    def clashes(self) -> bool:
        """Whether both cannot stand there."""
        return not self.beyond and self.room_mm < -_CLOSED_MM


def rows_at_plinth(base: Base, layout: Layout) -> Iterator[RowAtPlinth]:
    """Yield the rows of every run beside its plinth; none without a plinth.

    Parameters
    ----------
    base : Base
        With or without a plinth.
    layout : Layout
        Its rows; a row is as wide as the widest that stands along it.
    """
    half = max(layout.bearer_width_mm, layout.packer_size_mm[1]) / 2
    for row in layout.rows if base.plinth else ():
        face = plinth_y_mm(base, layout, row.run)
        back = face - (base.plinth.thickness_mm if base.plinth else 0.0)
        beyond = row.label == _FURTHER and row.y_mm - half >= face - _CLOSED_MM
        yield RowAtPlinth(row, back, face, row.y_mm + half, beyond)


def least_room_mm(base: Base, layout: Layout) -> dict[str, float]:
    """Return the least room of each run's plinth before what stands behind it [mm].

    Parameters
    ----------
    base, layout : Base, Layout
        As for `rows_at_plinth`.
    """
    found: dict[str, float] = {}
    for one in rows_at_plinth(base, layout):
        if not one.beyond:
            found[one.row.run] = min(one.room_mm, found.get(one.row.run, one.room_mm))
    return found
