"""The moves with instruments on a floor, which several drills share.

Times are common practice, no source: a fitter's who knows the tool.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kit.job import refuse
from kit.practice.draws import Floats
from kit.practice.fields import Field, Value, number, numbers, words
from kit.practice.floors import PracticeFloor
from kit.practice.instruments import (
    GAUGE_MM,
    LEVEL_LENGTHS_MM,
    STAFF_MM,
    Bag,
    to_step,
)
from kit.practice.moves import Done, Move, MoveForm, OnPlan, Place, Seen, UnderEdge, Vial
from kit.practice.rest import Rest, rest
from kit.practice.tool_words import bubble_words, touch_words, touching

#: Steps in which a floor under an edge is looked at [mm].
FINE_MM = 5.0

#: Seconds that moves take.
LAY_S = {"short": 20.0, "long": 35.0}
PACKER_S, EDGE_S, GAP_S, SET_UP_S, STAFF_S, TREAD_S = 10.0, 40.0, 8.0, 180.0, 15.0, 5.0

#: What there is to choose from, with lengths.
LEVEL_WORDS = "level: " + ", ".join(f"{one} {mm:g} mm" for one, mm in LEVEL_LENGTHS_MM.items())

_MARKED = Field("from", "marked end at", "place", "mm")
_TOWARDS = Field("towards", "other end towards", "place", "mm")
_UNDER_FROM = Field(
    "under_from", "packers under the marked end", "packers", "mm", least=0, most=100
)
_UNDER_TO = Field("under_to", "packers under the other end", "packers", "mm", least=0, most=100)

#: Forms of the moves; a drill takes those that it allows.
LAY = MoveForm(
    "lay",
    "lay the level",
    (
        Field("level", LEVEL_WORDS, "choice", choices=tuple(LEVEL_LENGTHS_MM)),
        _MARKED,
        _TOWARDS,
        _UNDER_FROM,
        _UNDER_TO,
    ),
    drag=("from", "towards"),
    turn="turn it end for end",
)
EDGE = MoveForm("edge", "lay the straight edge", (_MARKED, _TOWARDS), drag=("from", "towards"))
GAP = MoveForm(
    "gap", "push the gauge under it",
    (Field("at", "place along the edge", "number", "mm", least=0),),
)  # fmt: skip
SET_UP = MoveForm("set_up", "set the laser up anew")
READ = MoveForm("read", "hold the staff", (Field("at", "staff at", "place", "mm"),), drag=("at",))
TREAD = MoveForm(
    "tread", "press with a foot", (Field("at", "foot at", "place", "mm"),), drag=("at",)
)


@dataclass(frozen=True)
class Tools:
    """An apprentice's bag on a floor.

    Parameters
    ----------
    floor : PracticeFloor
        What lies under everything.
    bag : Bag
        The instruments.
    """

    floor: PracticeFloor
    bag: Bag

    def do(self, done: Sequence[Done], move: Move) -> Seen:
        """Make a move with an instrument.

        Raises
        ------
        Refusal
            Where it cannot be made: outside the room, a gauge without an edge, a staff without
            a laser.
        """
        acts = {
            "lay": lambda: self._lay(move),
            "edge": lambda: self._edge(move),
            "gap": lambda: self._gap(done, move),
            "set_up": lambda: self._set_up(done),
            "read": lambda: self._read(done, move),
            "tread": lambda: self._tread(move),
        }
        return acts[move.kind]()

    def _lay(self, move: Move) -> Seen:
        level = self.bag.level(words(move.values, "level"))
        ends = _ends(move, level.length_mm)
        under = (sum(numbers(move.values, "under_from")), sum(numbers(move.values, "under_to")))
        lies = self.lie(*ends, under)
        bubble = level.bubble_mm(lies.slope_mm_per_m)
        seen = touching(lies, level.length_mm)
        packed = tuple(
            (at, high) for at, high in zip((0.0, level.length_mm), under, strict=True) if high
        )
        said = f"{level.name} level: bubble {bubble_words(bubble)}; {touch_words(seen, lies)}"
        return Seen(
            said,
            LAY_S[level.name] + PACKER_S * len(packed),
            figures={"bubble_mm": bubble, "touches_mm": seen, "rocks": str(lies.rocks).lower()},
            vial=(Vial(bubble),),
            under=(UnderEdge(level.length_mm, seen, packed),),
            on_plan=(OnPlan("line", ends, level.name),),
        )

    def _edge(self, move: Move) -> Seen:
        ends = _ends(move, self.bag.edge_mm)
        lies = self.lie(*ends, (0.0, 0.0))
        seen = touching(lies, self.bag.edge_mm)
        return Seen(
            f"straight edge: {touch_words(seen, lies)}",
            EDGE_S,
            figures={"touches_mm": seen, "rocks": str(lies.rocks).lower()},
            under=(UnderEdge(self.bag.edge_mm, seen),),
            on_plan=(OnPlan("line", ends, "edge"),),
        )

    def _gap(self, done: Sequence[Done], move: Move) -> Seen:
        laid = [place for place, one in enumerate(done) if one.move.kind == "edge"]
        at = number(move.values, "at")
        if not laid:
            raise refuse("gauge", "no straight edge laid", "lay the straight edge first")
        if not 0 <= at <= self.bag.edge_mm:
            raise refuse("gauge", f"{at:g} mm along the edge", f"0 to {self.bag.edge_mm:g} mm")
        ends = _ends(done[laid[-1]].move, self.bag.edge_mm)
        lies = self.lie(*ends, (0.0, 0.0))
        x, y = along(*ends, np.array([at]), self.bag.edge_mm)
        gap = float(lies.height_mm(at)) - float(self.floor.heights_mm(x, y)[0])
        read = to_step(max(gap, 0.0), GAUGE_MM)
        under = [one for one in done[laid[-1] :] if one.move.kind in ("edge", "gap")]
        earlier = under[-1].seen.under[0].gaps
        return Seen(
            f"gap {read:g} mm at {at:g} mm along the edge",
            GAP_S,
            placement=False,
            figures={"gap_mm": read},
            under=(
                UnderEdge(
                    self.bag.edge_mm, touching(lies, self.bag.edge_mm), gaps=(*earlier, (at, read))
                ),
            ),
            on_plan=(OnPlan("place", ((float(x[0]), float(y[0])),), f"{read:g}"),),
        )

    def _set_up(self, done: Sequence[Done]) -> Seen:
        before = sum(one.move.kind == "set_up" for one in done)
        if before >= len(self.bag.laser_mm):
            found = f"{before} set-ups already"
            raise refuse("laser", found, f"{len(self.bag.laser_mm)} at most")
        return Seen(f"laser stands: set-up {before + 1}", SET_UP_S)

    def _read(self, done: Sequence[Done], move: Move) -> Seen:
        before = sum(one.move.kind == "set_up" for one in done)
        if not before:
            raise refuse("staff", "no laser line", "set the laser up first")
        place = _place(numbers(move.values, "at"))
        read = to_step(self.bag.laser_mm[before - 1] - self.stands_mm(place), STAFF_MM)
        return Seen(
            f"staff at {place_words(place)}: {read:g} mm (set-up {before})",
            STAFF_S,
            figures={"reading_mm": read, "set_up": float(before)},
            on_plan=(OnPlan("place", (place,), f"{read:g}"),),
        )

    def _tread(self, move: Move) -> Seen:
        place = _place(numbers(move.values, "at"))
        read = to_step(self.gives_mm(place), GAUGE_MM)
        said = f"it goes down {read:g} mm" if read else "it is firm"
        return Seen(
            f"foot at {place_words(place)}: {said}",
            TREAD_S,
            placement=False,
            figures={"gives_mm": read},
            on_plan=(OnPlan("place", (place,), "moves" if read else "firm"),),
        )

    def lie(self, start: Place, end: Place, under_mm: tuple[float, float]) -> Rest:
        """Return how an edge lies from one place to another, with packers under its ends [mm].

        A packer touches at the very end: the edge lies on its corner there. What is under it is
        looked at from the end of lesser x, of lesser y where x is one, so that it comes to lie on
        the same contacts whichever way round it is put down.
        """
        ends = (_on_grid(start), _on_grid(end))
        back = ends[1] < ends[0]
        first, last = ends[::-1] if back else ends
        long = float(np.hypot(last[0] - first[0], last[1] - first[1]))
        at = np.linspace(0.0, long, round(long / FINE_MM) + 1)
        heights = self.line_mm(first, last, at).copy()
        heights[[-1, 0] if back else [0, -1]] += under_mm
        lies = rest(at, heights)
        return lies.mirrored if back else lies

    def line_mm(self, first: Place, last: Place, at_mm: Floats) -> Floats:
        """Return heights [mm] along a line, at places counted from its first end [mm]."""
        return self.floor.heights_mm(*along(first, last, at_mm, float(at_mm[-1])))

    def stands_mm(self, place: Place) -> float:
        """Return the height at a place [mm] as the floor lies."""
        return float(self.floor.heights_mm(np.array(place[0]), np.array(place[1])))

    def gives_mm(self, place: Place) -> float:
        """Return how far the floor goes down under a foot at a place [mm]."""
        return float(self.floor.gives_mm(np.array(place[0]), np.array(place[1])))


def along(start: Place, end: Place, at_mm: Floats, long_mm: float) -> tuple[Floats, Floats]:
    """Return plan places x, y [mm] at places along a line of such a length."""
    share = np.asarray(at_mm, dtype=float) / long_mm
    return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])


def laid_ends(move: Move) -> tuple[Place, Place]:
    """Return where the marked end and the other end of a laid level lie in plan [mm]."""
    return _ends(move, LEVEL_LENGTHS_MM[words(move.values, "level")])


def lay(level: str, start: Place, towards: Place, under: tuple[float, float] = (0.0, 0.0)) -> Move:
    """Return the move that lays a level down, its marked end first; packers under its ends."""
    packed = [(thick,) if thick else () for thick in under]
    values: Mapping[str, Value] = {
        "level": level,
        "from": start,
        "towards": towards,
        "under_from": packed[0],
        "under_to": packed[1],
    }
    return Move("lay", values)


def read_at(place: Place) -> Move:
    """Return the move that holds the staff at a place."""
    return Move("read", {"at": place})


def tread_at(place: Place) -> Move:
    """Return the move that presses with a foot."""
    return Move("tread", {"at": place})


def place_words(place: Place) -> str:
    """Return a place as it is read out."""
    return f"x {place[0]:g}, y {place[1]:g}"


def _on_grid(place: Place) -> Place:
    """Return a place to a thousandth of a millimetre: a lie and the turned one share their ends."""
    return round(place[0], 3), round(place[1], 3)


def _place(pair: Sequence[float]) -> Place:
    return float(pair[0]), float(pair[1])


def _ends(move: Move, long_mm: float) -> tuple[Place, Place]:
    """Return the ends of an instrument: the first as given, the other as far as it is long."""
    start, towards = _place(numbers(move.values, "from")), _place(numbers(move.values, "towards"))
    away = float(np.hypot(towards[0] - start[0], towards[1] - start[1]))
    if away < 1.0:
        raise refuse("instrument", "both ends at one place", "two places that differ")
    share = long_mm / away
    return start, (
        round(start[0] + share * (towards[0] - start[0]), 6),
        round(start[1] + share * (towards[1] - start[1]), 6),
    )


def turned(move: Move) -> Move:
    """Return the move that lays the same level at the same place, turned end for end.

    Packers stay where they are on the floor.
    """
    start, end = laid_ends(move)
    swapped = {
        **move.values,
        "from": end,
        "towards": start,
        "under_from": move.values["under_to"],
        "under_to": move.values["under_from"],
    }
    return Move("lay", swapped)
