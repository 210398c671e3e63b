"""A ladder frame in plan: long members under the rows, rungs from row to row between them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np
import pandas as pd

from kit.base.ladder_member import Member, places_of
from kit.base.layout import GRID_MM, Layout
from kit.base.movement_joints import stretches_of
from kit.base.no_go import SAME_PLACE_MM, closed_stretches
from kit.base.runs import Frame, Row
from kit.base.supports import Stand
from kit.job import MovementJoint, NoGo

#: More places than this under a frame are not looked at: first one line along each member is kept
#: of three, then they stand further apart.
MOST_PLACES = 1500


@dataclass(frozen=True)
class LadderFrame:
    """A whole frame.

    Parameters
    ----------
    thickness_mm : float
        Of all members [mm].
    members : tuple of Member
        Long members in the order of the rows, then rungs, bay by bay from left to right.
    bays : tuple of (behind, before)
        Names of the rows between which rungs stand.
    """

    thickness_mm: float
    members: tuple[Member, ...]
    bays: tuple[tuple[str, str], ...]

    @property
    def long(self) -> tuple[Member, ...]:
        """The long members."""
        return tuple(one for one in self.members if not one.rung)

    @property
    def rungs(self) -> tuple[Member, ...]:
        """The rungs."""
        return tuple(one for one in self.members if one.rung)

    def rungs_between(self, bay: tuple[str, str]) -> tuple[Member, ...]:
        """Return the rungs of one bay, from left to right."""
        return tuple(one for one in self.rungs if one.rows == bay)

    def rung_places_mm(self, row: str) -> tuple[float, ...]:
        """Return where rungs meet a row, along the run [mm]."""
        return tuple(sorted({one.own_x_mm for one in self.rungs if row in one.rows}))

    def table(self) -> pd.DataFrame:
        """Return the members as they are marked out.

        Returns
        -------
        DataFrame
            member, rows ("B", "B to F"), at_x_mm (a rung's place along the run, nan of a long
            member), from_mm, to_mm (its ends along it).
        """
        rows = [
            (one.name, " to ".join(one.rows), one.own_x_mm, one.start_mm, one.end_mm)
            for one in self.members
        ]
        return pd.DataFrame(rows, columns=["member", "rows", "at_x_mm", "from_mm", "to_mm"])

    def footprint(self) -> pd.DataFrame:
        """Return the places under the frame that decide how high it must be.

        Returns
        -------
        DataFrame
            bearer (the member's name), own_x_mm (along the run), x_mm, y_mm, lift_share, over,
            lies ("member" or "rung").

        Notes
        -----
        At most `GRID_MM` apart along each member, on both its faces and its middle; where that
        makes more than `MOST_PLACES`, along the middle only (across 18 mm a floor of 5 mm/m
        falls 0.09 mm), and where that is too many too, further apart. Crossings, ends and edges
        of no-go areas are always among them.
        """
        steps = math.fsum(one.length_mm for one in self.members) / GRID_MM
        fixed = sum(len(one.crossings_mm) + 2 * len(one.closed) + 1 for one in self.members)
        room = max(MOST_PLACES - fixed, MOST_PLACES / 3)
        half = self.thickness_mm / 2
        across = (-half, 0.0, half) if 3 * (steps + fixed) <= MOST_PLACES else (0.0,)
        table = self.places(GRID_MM * max(1.0, steps / room), across)
        called = {one.name: "rung" if one.rung else "member" for one in self.members}
        table = table.assign(lies=table["member"].map(called))
        return table.drop(columns=["along_mm"]).rename(columns={"member": "bearer"})

    def places(
        self, pitch_mm: float = GRID_MM, across_mm: Sequence[float] = (0.0,)
    ) -> pd.DataFrame:
        """Return places along every member.

        Parameters
        ----------
        pitch_mm : float
            They are at most so far apart along it [mm].
        across_mm : sequence of float
            Lines along it, against its middle [mm].

        Returns
        -------
        DataFrame
            member, along_mm, own_x_mm, x_mm, y_mm, lift_share, over.
        """
        parts = [places_of(one, pitch_mm, across_mm) for one in self.members]
        return pd.concat(parts, ignore_index=True)


def lay_frame(
    layout: Layout,
    thickness_mm: float,
    no_go: Iterable[NoGo],
    joints: Iterable[MovementJoint] = (),
) -> LadderFrame:
    """Lay out the members of a frame.

    Parameters
    ----------
    layout : Layout
        Rows and supports; the supports are where rungs are wanted.
    thickness_mm : float
        Of the members [mm].
    no_go : iterable of NoGo
        Areas that the frame must not touch: members are bridged over them, no rung stands there.
    joints : iterable of MovementJoint
        Movement joints, which part the rows already; no rung crosses one either.

    Returns
    -------
    LadderFrame

    Notes
    -----
    A rung stands between neighbouring rows wherever one of them has a support, both if they can:
    two that would overlap are one, what both rows ask for before what one does. Where a no-go
    area is in the way of a rung, the members carry without it (common practice, no source).
    """
    areas, parting = tuple(no_go), tuple(joints)
    long = [
        _long(layout, row, stands, thickness_mm, areas)
        for row, stands in zip(layout.rows, layout.stands, strict=True)
    ]
    bays = tuple(_bays(layout.rows))
    numbers: dict[str, int] = {}
    rungs = [
        rung
        for behind, before in bays
        for rung in _rungs(layout, behind, before, (thickness_mm, areas, parting), numbers)
    ]
    names = tuple((behind.name, before.name) for behind, before in bays)
    return LadderFrame(thickness_mm, (*long, *rungs), names)


def _long(
    layout: Layout, row: Row, stands: Sequence[Stand], thickness_mm: float, areas: Sequence[NoGo]
) -> Member:
    frame = layout.frames[row.run]
    closed = _within(closed_stretches(row, frame, thickness_mm, areas), row.start_mm, row.end_mm)
    return Member(
        row.name,
        False,
        (row.name,),
        frame,
        row.y_mm,
        row.start_mm,
        row.end_mm,
        math.nan,
        tuple(stand.x_mm for stand in stands),
        closed,
        (layout.lift_share(row), 0.0),
    )


def _within(
    closed: Iterable[tuple[float, float, str]], low: float, high: float
) -> tuple[tuple[float, float, str], ...]:
    """Return the stretches that overlap a member, from its start on."""
    return tuple(
        sorted(
            one for one in closed if one[0] < high - SAME_PLACE_MM and one[1] > low + SAME_PLACE_MM
        )
    )


def _bays(rows: Sequence[Row]) -> Iterator[tuple[Row, Row]]:
    """Yield neighbouring rows: each with the nearest one behind it that it stands before."""
    for _, of_run in groupby(rows, key=lambda row: row.run):
        ordered = sorted(of_run, key=lambda row: row.y_mm)
        for number, before in enumerate(ordered):
            behind = [
                row
                for row in ordered[:number]
                if row.y_mm < before.y_mm - SAME_PLACE_MM
                and row.start_mm < before.end_mm
                and row.end_mm > before.start_mm
            ]
            # Of a row that a movement joint parts, each part that it stands before.
            yield from ((row, before) for row in behind if row.line == behind[-1].line)


def _rungs(
    layout: Layout,
    behind: Row,
    before: Row,
    made_of: tuple[float, Sequence[NoGo], Sequence[MovementJoint]],
    numbers: dict[str, int],
) -> Iterator[Member]:
    """Yield the rungs of one bay; ``numbers`` counts those of each run."""
    thickness, areas, joints = made_of
    several = len(layout.frames) > 1
    back = next(row for row in layout.rows if row.run == behind.run and row.label == "B").y_mm
    front = next(row for row in layout.rows if row.run == behind.run and row.label == "F").y_mm
    for x in _stations(layout, behind, before, thickness):
        frame = _across(layout.frames[behind.run], x, back)
        start, end = behind.y_mm - back + thickness / 2, before.y_mm - back - thickness / 2
        line = Row("", behind.run, "R", 0.0, start, end, ())
        closed = closed_stretches(line, frame, thickness, areas)
        closed += stretches_of(line, frame, thickness, joints)
        if _within(closed, start, end):
            continue
        number = numbers[behind.run] = numbers.get(behind.run, 0) + 1
        name = f"{behind.run}-" * several + f"R{number}"
        rows, lift = (behind.name, before.name), (0.0, 1 / (front - back))
        yield Member(name, True, rows, frame, 0.0, start, end, x, (), (), lift)


def _across(frame: Frame, x_mm: float, back_mm: float) -> Frame:
    """Return the frame of a rung: its x runs out into the room from the back row."""
    x, y = frame.to_site(x_mm, back_mm)
    return Frame((float(x), float(y)), frame.direction_deg + 90.0)


def _stations(layout: Layout, behind: Row, before: Row, thickness_mm: float) -> list[float]:
    """Return where rungs of a bay stand along the run [mm], from left to right."""
    low = max(behind.start_mm, before.start_mm) + thickness_mm / 2 - SAME_PLACE_MM
    high = min(behind.end_mm, before.end_mm) - thickness_mm / 2 + SAME_PLACE_MM
    one, other = (
        [stand.x_mm for stand in layout.stands[layout.rows.index(row)] if low <= stand.x_mm <= high]
        for row in (before, behind)
    )
    shared = [x for x in one if any(abs(x - y) < SAME_PLACE_MM for y in other)]
    placed: list[float] = []
    for x in (*shared, *one, *other):
        if all(abs(x - taken) >= thickness_mm - SAME_PLACE_MM for taken in placed):
            placed.append(x)
    return sorted(placed)


def own_weights(
    layout: Layout, frame: LadderFrame, n_per_mm: Mapping[str, float]
) -> dict[str, float]:
    """Share the frame's own weight out to the supports.

    Parameters
    ----------
    layout : Layout
        Rows and supports.
    frame : LadderFrame
        Its members.
    n_per_mm : mapping of str to float
        Weight of each member by its name [N/mm].

    Returns
    -------
    dict of str to float
        By the support's name [N]: a long member as far as half way to the neighbours, a rung
        half to each row, at the support nearest to it.
    """
    found: dict[str, float] = {}
    for row, stands in zip(layout.rows, layout.stands, strict=True):
        names = [str(name) for name in layout.on_bearer(row.name)["support"]]
        places = np.array([stand.x_mm for stand in stands])
        ends = (row.start_mm, *((a + b) / 2 for a, b in pairwise(places.tolist())), row.end_mm)
        weights = [n_per_mm[row.name] * (b - a) for a, b in pairwise(ends)]
        for rung in frame.rungs:
            if row.name in rung.rows:
                nearest = int(np.argmin(np.abs(places - rung.own_x_mm)))
                weights[nearest] += n_per_mm[rung.name] * rung.length_mm / 2
        found |= dict(zip(names, weights, strict=True))
    return found
