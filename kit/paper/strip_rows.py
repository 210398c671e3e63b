"""What is marked along each row of a base: its supports, bearers' ends, joints, bays, units."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from kit.answer import Answer
from kit.base.runs import PlacedUnit, Row

#: Bays shorter than this have no middle that is worth a mark (common practice, no source) [mm].
_SHORTEST_BAY_MM = 150.0

#: A strip begins at the run's left end, unless its first unit lies further along than this [mm].
_FAR_MM = 250.0

#: What a mark stands for.
Kind = Literal["support", "side", "end", "joint", "mid"]


@dataclass(frozen=True)
class RowMark:
    """One place along a row.

    Parameters
    ----------
    at_mm : float
        From the run's left end [mm].
    kind : {"support", "side", "end", "joint", "mid"}
        What is there: a support, a side of a unit on a pour, a bearer's end, a joint, the middle
        of a bay.
    name : str
        The support's name; empty for others.
    """

    at_mm: float
    kind: Kind
    name: str = ""


@dataclass(frozen=True)
class StripRow:
    """All that a strip of one row shows.

    Parameters
    ----------
    name, run : str
        Of the row and of its run; of a pour, which has no rows, the run's alone.
    out_mm : float
        How far its middle line lies out from the plane that the units' backs touch [mm].
    from_mm, to_mm : float
        Ends of the strip along the run [mm].
    marks : tuple of RowMark
        Ascending.
    pad_mm : float
        Width of a packer, or of what else stands at a support, along the row [mm].
    along : str
        What lies along the row: "bearer", "member"; empty where nothing does.
    units : tuple of PlacedUnit
        That stand on it.
    """

    name: str
    run: str
    out_mm: float
    from_mm: float
    to_mm: float
    marks: tuple[RowMark, ...]
    pad_mm: float
    along: str
    units: tuple[PlacedUnit, ...]

    @property
    def sides_mm(self) -> tuple[float, ...]:
        """Sides of its units along the run, each once [mm]."""
        return tuple(sorted({x for one in self.units for x in (one.left_mm, one.right_mm)}))

    @property
    def control_mm(self) -> tuple[float, float]:
        """First and last place by which the joined strip is measured [mm].

        Supports where there are two; else sides of units.
        """
        known = [mark.at_mm for mark in self.marks if mark.kind in ("support", "side")]
        places = known if len(known) > 1 else self.sides_mm
        return places[0], places[-1]


def strip_rows(answer: Answer) -> tuple[StripRow, ...]:
    """Return what is marked along each row of a base.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.

    Returns
    -------
    tuple of StripRow
        One a row, run by run, from the wall into the room. A pour has no rows: one a run, with
        the sides of the units that will stand on it.
    """
    rows = answer.layout.rows
    if answer.base.method == "compound":
        return tuple(_of_pour(answer, row) for row in rows if row.label == "B")
    return tuple(_of_row(answer, row) for row in rows)


def _of_pour(answer: Answer, row: Row) -> StripRow:
    """Return the sides of a run's units, from its back row."""
    units = tuple(one for one in answer.layout.units if one.run == row.run)
    start, end = _ends(units, row)
    sides = sorted({x for one in units for x in (one.left_mm, one.right_mm)})
    marks = tuple(RowMark(x, "side") for x in sides)
    return StripRow(row.run, row.run, 0.0, start, end, marks, 0.0, "", units)


def _of_row(answer: Answer, row: Row) -> StripRow:
    along = {"packers": "bearer", "ladder": "member"}.get(answer.base.method, "")
    marks = sorted(_marks(answer, row, joined=bool(along)), key=lambda mark: mark.at_mm)
    start, end = _ends(row.units, row)
    pad = answer.layout.packer_size_mm[0]
    return StripRow(row.name, row.run, row.y_mm, start, end, tuple(marks), pad, along, row.units)


def _ends(units: tuple[PlacedUnit, ...], row: Row) -> tuple[float, float]:
    start = min(units[0].left_mm, row.start_mm)
    end = max(units[-1].right_mm, row.end_mm)
    return (start if start > _FAR_MM else 0.0), end


def _marks(answer: Answer, row: Row, *, joined: bool) -> Iterator[RowMark]:
    supports = answer.layout.on_bearer(row.name)
    places = [float(x) for x in supports["own_x_mm"]]
    for name, at in zip(supports["support"], places, strict=True):
        yield RowMark(at, "support", str(name))
    if not joined:
        return
    yield from (RowMark(at, "end") for at in (row.start_mm, row.end_mm))
    yield from (RowMark(at, "joint") for at in _joints_mm(answer, row))
    for left, right in pairwise(places):
        if right - left >= _SHORTEST_BAY_MM:
            yield RowMark((left + right) / 2, "mid")


def _joints_mm(answer: Answer, row: Row) -> Iterator[float]:
    """Yield where two pieces along a row butt [mm]."""
    cuts = answer.cuts.cuts
    for bearer, at in zip(cuts["bearer"], cuts["from_x_mm"], strict=True):
        if bearer == row.name and at > row.start_mm + 1e-6:
            yield float(at)
