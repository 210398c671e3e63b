"""The checks of screw feet: their load, the boards under their plates, and the travel left."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kit.base.checks import CLOSED_MM, Check
from kit.base.layout import GRAVITY_N_PER_KG, Layout
from kit.job import Floor, Foot
from kit.strength.bearing_checks import design_loads
from kit.strength.on_boards import board_check, greatest_n
from kit.strength.pieces import Alone, Apart
from kit.strength.stiff import gravity_of, greatest_shares, props_of

#: Travel that should be left either way, for a floor that goes down and a unit that is set anew
#: [mm] (common practice, no source).
TRAVEL_LEFT_MM = 2.0

#: How the checks of the maker's load are called.
LOAD, LOAD_IDLE = "load on foot", "load on foot, others idle"

#: How those of the boards under the plates are called.
BOARD, BOARD_IDLE = "bearing on board", "bearing on board, others idle"

_ON_THREE = "stiff carcass on any three of its feet that hold it (sum of this kit)"


@dataclass(frozen=True)
class FootAt:
    """One foot at its place.

    Parameters
    ----------
    support, row : str
        Its name and that of its row.
    kind : Foot
        Which foot.
    set_mm : float
        Height that it is set to [mm].
    """

    support: str
    row: str
    kind: Foot
    set_mm: float

    @property
    def name(self) -> str:
        """Its kind in words: by its travel."""
        return foot_name(self.kind)

    @property
    def up_left_mm(self) -> float:
        """How far it can still go up [mm]; never below 0, which is round-off."""
        return max(self.kind.high_mm - self.set_mm, 0.0)

    @property
    def down_left_mm(self) -> float:
        """How far it can still go down [mm]; never below 0, which is round-off."""
        return max(self.set_mm - self.kind.low_mm, 0.0)

    @property
    def left_mm(self) -> float:
        """The lesser of both [mm]."""
        return min(self.up_left_mm, self.down_left_mm)


def foot_name(kind: Foot) -> str:
    """Return a kind of foot in words: "27-40 mm"."""
    return f"{kind.low_mm:g}-{kind.high_mm:g} mm"


def foot_checks(
    layout: Layout, apart: Apart, feet: Sequence[FootAt], floor: Floor, service_class: int
) -> Iterator[Check]:
    """Yield what feet and boards bear, row by row.

    Parameters
    ----------
    layout : Layout
        Units and feet.
    apart : Apart
        What each foot carries when all bear alike.
    feet : sequence of FootAt
        In the order of the layout's supports.
    floor : Floor
        Boards, where it has any.
    service_class : int
        Of the room.

    Yields
    ------
    Check
        Load on a foot against its maker's figure, when all feet bear and when the others of its
        unit are idle; bearing of its plate on boards, both ways too.

    Notes
    -----
    A round plate of diameter d is taken as a square of the same area, sides d sqrt(pi) / 2.
    """
    at = {foot.support: foot for foot in feet}
    rows = list(dict.fromkeys(foot.row for foot in feet))
    alone = {one.support: one for one in apart.alone}
    resting = {name: design_loads(one) for name, one in idle_alone(layout).items()}
    for row in rows:
        of_row = [foot.support for foot in feet if foot.row == row]
        design = {name: design_loads(alone[name]) for name in of_row}
        loads = {name: greatest_n(one) for name, one in design.items()}
        yield _load_check(LOAD, row, loads, at, "all feet bearing")
        yield _load_check(
            LOAD_IDLE,
            row,
            {name: greatest_n(resting[name]) for name in of_row},
            at,
            _ON_THREE,
        )
        if floor.kind == "boarded":
            squares = {name: square_mm(at[name].kind.plate_mm) for name in of_row}
            said = "round plate as a square of equal area"
            yield board_check(BOARD, row, design, squares, floor, service_class, said)
            said = f"{_ON_THREE}; {said}"
            worst = {name: resting[name] for name in of_row}
            yield board_check(BOARD_IDLE, row, worst, squares, floor, service_class, said)


def square_mm(plate_mm: float) -> tuple[float, float]:
    """Return the sides of the square that has the area of a round plate, pi d² / 4 [mm]."""
    side = plate_mm * math.sqrt(math.pi) / 2
    return side, side


def idle_alone(layout: Layout) -> dict[str, Alone]:
    """Return the most that can come on each foot with others idle, units full, by its name.

    Its unit rests on three feet as a stiff body, see `kit.strength.stiff.greatest_shares`.
    """
    found: dict[str, Alone] = {}
    for placed in layout.units:
        props = props_of(layout, placed, fixed=True)
        # Two panels on one foot press on it at one place.
        at = {prop.support: prop for prop in props}
        places = np.array([(prop.x_mm, prop.y_mm) for prop in at.values()])
        unit = placed.unit
        stored = unit.contents_kg if unit.contents_are == "stored" else 0.0
        masses = (unit.mass_kg, stored, unit.contents_kg - stored)
        shares = greatest_shares(places, gravity_of(placed)).tolist()
        for (name, prop), share in zip(at.items(), shares, strict=True):
            parts = (share * mass * GRAVITY_N_PER_KG for mass in masses)
            found[name] = Alone(prop.row, name, 0.0, *parts)
    return found


def idle_loads_n(
    layout: Layout, own_times: float = 1.0, contents_times: float = 1.0
) -> dict[str, float]:
    """Return the greatest load that can come on each foot with others idle, units full [N].

    Parameters
    ----------
    layout : Layout
        Units and feet.
    own_times, contents_times : float
        How many times the units' own mass and their contents weigh.
    """
    return {
        name: own_times * one.units_n + contents_times * (one.stored_n + one.people_n)
        for name, one in idle_alone(layout).items()
    }


def _load_check(
    check: str, row: str, loads_n: Mapping[str, float], at: Mapping[str, FootAt], said: str
) -> Check:
    """Judge the foot of a row that is loaded most for what its maker says that it bears."""
    rule = f"design load (EN 1990 Eq. 6.10), {said}"
    unknown = [name for name in loads_n if at[name].kind.bears_n is None]
    if unknown:
        name = max(unknown, key=loads_n.__getitem__)
        why = f"no bears_n given of the foot {at[name].name}: ask its maker; {rule}"
        where = f"{row}: {name}"
        return Check(check, where, loads_n[name], math.nan, "N", "not_checked", why)
    limits = {name: float(at[name].kind.bears_n or math.nan) for name in loads_n}
    name = max(loads_n, key=lambda one: loads_n[one] / limits[one])
    load, limit = loads_n[name], limits[name]
    verdict = "ok" if load <= limit + CLOSED_MM else "refer"
    source = f"base.feet.bears_n, the maker's figure, against {rule}"
    return Check(check, f"{row}: {name}", load, limit, "N", verdict, source)


def travel_checks(feet: Iterable[FootAt]) -> Iterator[Check]:
    """Yield how much travel the feet of each row have left, up and down."""
    by_row: dict[str, list[FootAt]] = {}
    for foot in feet:
        by_row.setdefault(foot.row, []).append(foot)
    ways: tuple[tuple[str, Callable[[FootAt], float]], ...] = (
        ("travel left of a foot, up", lambda foot: foot.up_left_mm),
        ("travel left of a foot, down", lambda foot: foot.down_left_mm),
    )
    for row, of_row in by_row.items():
        for check, left in ways:
            least = min(of_row, key=left)
            verdict = "ok" if left(least) >= TRAVEL_LEFT_MM - CLOSED_MM else "refer"
            said = f"foot {least.name} set to {least.set_mm:.1f} mm; common practice, no source"
            subject = f"{row}: {least.support}"
            yield Check(check, subject, left(least), TRAVEL_LEFT_MM, "mm", verdict, said)


def full_n(one: Alone) -> float:
    """Return what a support carries under the full units, no factors on it [N]."""
    return one.own_n + one.units_n + one.stored_n + one.people_n
