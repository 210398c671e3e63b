"""What the weighing drill is played on: a bench on a practice floor, and two bases for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from kit.answer import solve_on
from kit.floor import fit_plane, fit_plane_robust, fit_surface
from kit.job import Base, Job
from kit.parts import Survey
from kit.practice.draws import Draws, Floats
from kit.practice.floors import PracticeFloor, make_floor
from kit.practice.grades import Grade
from kit.practice.instruments import STAFF_MM
from kit.readings import Readings, Table, adjust
from kit.side_by_side import Comparison, compare

#: Floors that fit the readings on which both bases are worked out anew.
FLOORS = 10

#: What bases are called, by their method.
NAMES = {
    "packers": "bearers on packers",
    "feet": "screw feet",
    "ladder": "ladder frame",
    "compound": "levelling compound",
}

#: Share of tasks in which one of the two is poured, and of feet that bear too little.
POURED_SHARE, WEAK_SHARE = 0.65, 0.4

#: The choice of neither.
NO_DIFFERENCE = "no difference that counts"

_ROOM_MM = (2000.0, 1200.0)
_LEFT_MM, _DEPTH_MM, _HEIGHT_MM, _MASS_KG = 300.0, 450.0, 700.0, 35.0
_READ_Y_MM = (30.0, 430.0)
_GRAVITY = 9.81  # m/s2

#: Which of the two, ``"a"`` or ``"b"``; empty for neither.
Side = str
SIDES: tuple[Side, Side] = ("a", "b")


@dataclass(frozen=True, eq=False)
class Case:
    """Two bases for one bench.

    Parameters
    ----------
    floor : PracticeFloor
        Below it.
    job : Job
        The bench, both bases, stock, prices and rates.
    deadline_days : int
        In how many days it is to stand.
    where : str
        The room, in words.
    """

    floor: PracticeFloor
    job: Job
    deadline_days: int
    where: str

    @property
    def names(self) -> tuple[str, str]:
        """What both are called."""
        one, other = (base.name for base in self.job.bases)
        return one, other

    @cached_property
    def comparison(self) -> Comparison:
        """Both on the floor as it was read, and on floors that fit the readings."""
        survey = _survey(self.floor, self.job.runs[0].length_mm)
        one, other = (solve_on(self.job, survey, base) for base in self.job.bases)
        return compare(one, other, floors=FLOORS)

    def value(self, key: str, side: Side) -> float:
        """Return one measure of one base; see `kit.side_by_side.measures`."""
        row = self.comparison.row(key)
        return row.a.value if side == "a" else row.b.value

    @property
    def poured(self) -> bool:
        """Whether one of them has to dry."""
        return any(base.method == "compound" for base in self.job.bases)

    def beyond_limit(self, side: Side) -> bool:
        """Tell whether something that carries a base is beyond its limit, or a check fails."""
        return self.value("least_margin", side) < 0 or self.value("fail", side) > 0

    def late(self, side: Side) -> bool:
        """Tell whether units cannot stand on a base in time."""
        return self.value("days", side) > self.deadline_days

    def decided(
        self, *, margins: bool = True, waits: bool = True, work: bool = True, doubt: bool = True
    ) -> Side:
        """Decide which to build; empty where no difference counts.

        Parameters
        ----------
        margins, waits, work, doubt : bool
            Whether margins, waiting days, what work costs, and the doubt are heeded: all of them
            is what the client asks for.
        """
        left = [
            side
            for side in SIDES
            if not (margins and self.beyond_limit(side)) and not (waits and self.late(side))
        ]
        if len(left) == 1:
            return left[0]
        key = "cost_and_labour" if work else "cost"
        return self.comparison.row(key).winner if doubt else self.smaller(key)

    def smaller(self, key: str) -> Side:
        """Return which has the smaller figure, doubt or not; empty where they are alike."""
        difference = self.value(key, "b") - self.value(key, "a")
        return "" if difference == 0 else ("a" if difference > 0 else "b")

    def name_of(self, side: Side) -> str:
        """Return what a side is called; `NO_DIFFERENCE` where it is none."""
        return {**dict(zip(SIDES, self.names, strict=True)), "": NO_DIFFERENCE}[side]


def make_case(seed: int, grade: Grade) -> Case:
    """Make a bench, two bases for it and what a client has in mind, by seed and grade."""
    draws = Draws(f"weigh bases 1, seed {seed}, {grade.name}")
    methods = _methods(draws)
    load_kg = _MASS_KG + draws.whole("contents", 10, 18) * 10
    tables = {
        "packers": lambda: _packers(draws),
        "feet": lambda: _feet(draws, load_kg),
        "ladder": lambda: _ladder(draws),
        "compound": lambda: _compound(draws),
    }
    bases = tuple(
        Base.model_validate({"name": NAMES[one], "method": one, **tables[one]()}) for one in methods
    )
    # Both can then not be out: what dries longest stands in time where feet may be too weak.
    late = 12 if set(methods) == {"feet", "compound"} and _weak(draws) else 0
    return Case(
        make_floor(seed, grade, *_ROOM_MM),
        _job(draws, bases, load_kg - _MASS_KG),
        late or draws.whole("deadline", 1, 4),
        draws.one_of("where", ("the chapel reading room", "the boot room", "the market hall")),
    )


def _methods(draws: Draws) -> tuple[str, ...]:
    others = draws.shuffled("others", ("packers", "feet", "ladder"))
    pair = ("compound", others[0]) if draws.happens("poured", POURED_SHARE) else others[:2]
    return draws.shuffled("order", pair)


def _weak(draws: Draws) -> bool:
    return draws.happens("weak feet", WEAK_SHARE)


def _packers(draws: Draws) -> Mapping[str, Any]:
    price = round(draws.between("bearer", 1.2, 3.0), 1)
    return {"height_mm": (50.0, 75.0), "bearer": {"thickness_mm": 25.0, "price_per_m": price}}


def _feet(draws: Draws, load_kg: float) -> Mapping[str, Any]:
    """Return feet: should others hang idle, three quarters of all the load come on one at the most.

    Those that bear too little are cheap.
    """
    bears, price = ((0.3, 0.42), (1.0, 2.6)) if _weak(draws) else ((0.9, 1.4), (1.8, 5.0))
    share = draws.between("bears", *bears)
    foot = {
        "low_mm": 40.0,
        "high_mm": 90.0,
        "bears_n": round(share * load_kg * _GRAVITY, -1),
        "price": round(draws.between("foot", *price), 1),
    }
    return {"height_mm": (50.0, 80.0), "feet": (foot,)}


def _ladder(draws: Draws) -> Mapping[str, Any]:
    price = draws.between("board", 2.0, 5.0)
    boards = tuple({"mm": mm, "price_per_m": round(price * mm / 70, 1)} for mm in (70.0, 95.0))
    return {"height_mm": (50.0, 80.0), "ladder": {"boards": boards}}


def _compound(draws: Draws) -> Mapping[str, Any]:
    days = draws.one_of("drying", ((0.5, 1, 3, 10), (1, 2, 4, 10), (0.25, 0.5, 1, 3)))
    steps = tuple(
        {"to_mm": to, "days": float(day)}
        for to, day in zip((5.0, 10.0, 20.0, 60.0), days, strict=True)
    )
    made = {"least_mm": 3.0, "greatest_mm": 60.0, "powder_kg_per_l": 1.7, "set_kg_per_l": 2.0}
    price = round(draws.between("bag", 9.0, 24.0), 1)
    return {
        "height_mm": (3.0, 60.0),
        "compound": {**made, "bag_kg": 20.0, "price": price, "drying": steps},
    }


def _job(draws: Draws, bases: tuple[Base, ...], contents_kg: float) -> Job:
    width = draws.whole("width", 9, 12) * 100.0
    unit = {
        "name": "bench", "width_mm": width, "depth_mm": _DEPTH_MM, "height_mm": _HEIGHT_MM,
        "divisions_mm": (width / 2,), "mass_kg": _MASS_KG, "contents_kg": contents_kg,
    }  # fmt: skip
    packers = tuple(
        {"mm": mm, "price": round(price, 2)}
        for mm, price in zip((1.0, 3.0, 6.0, 18.0), (0.05, 0.07, 0.1, 0.22), strict=True)
    )
    return Job.model_validate(
        {
            "schema": 1,
            "title": "A bench",
            "units": "mm",
            "floor": {"kind": "boarded", "board_mm": 21.0, "services": "checked"},
            "survey": ({"kind": "heights", "file": "readings.csv", "sd_mm": STAFF_MM},),
            "run": ({"origin_mm": (_LEFT_MM, 0.0), "unit": (unit,)},),
            "base": bases,
            "stock": {
                "packers": packers,
                "screws_mm": (30.0, 40.0, 50.0, 60.0, 70.0),
                "screw_price": 0.05,
                "countersink_mm": 1.0,
            },
            "rates": {"hour_price": float(draws.whole("hour", 24, 58)), "money": "GBP"},
            "folder": Path(),
            "fingerprint": "",
        }
    )


def _survey(floor: PracticeFloor, length_mm: float) -> Survey:
    """Read the floor with a staff at eight places beneath the bench."""
    x, y = (one.ravel() for one in np.meshgrid(_read_x_mm(length_mm), np.array(_READ_Y_MM)))
    read = np.round(floor.carried_mm(x, y) / STAFF_MM) * STAFF_MM
    count = len(x)
    readings = pd.DataFrame(
        {
            "row": np.arange(2, count + 2),
            "point": [f"P{place + 1}" for place in range(count)],
            "x_mm": x,
            "y_mm": y,
            "observed_mm": read,
            "sd_mm": STAFF_MM,
            "setup": "",
        }
    )
    table = Table("readings.csv", "heights", "", readings, pd.DataFrame(index=readings.index))
    heights = adjust(Readings((table,)), None, 0.0)
    x, y, z = (heights.points[name].to_numpy() for name in ("x_mm", "y_mm", "height_mm"))
    surface = fit_surface(x, y, z, heights.covariance())
    return Survey(heights, fit_plane(x, y, z), fit_plane_robust(x, y, z), surface)


def _read_x_mm(length_mm: float) -> Floats:
    return np.round(_LEFT_MM + np.linspace(0.0, length_mm, 4))
