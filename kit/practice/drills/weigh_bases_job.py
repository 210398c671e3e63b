"""What the weighing drill is played on: a bench on a practice floor, and two bases for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from kit.answer import solve_on
from kit.job import Base, Job
from kit.practice.draws import Draws
from kit.practice.drills.weigh_bases_survey import LEFT_MM, read_off, survey_of
from kit.practice.floors import PracticeFloor, make_floor
from kit.practice.grades import Grade
from kit.practice.instruments import STAFF_MM
from kit.practice.moves import Place
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

#: All figures but pieces are shown to this; what work costs is worked out from hours so shown.
_LAST_DIGIT = 0.01

#: How long compounds dry, to which depth: from a rapid one to a slow one (common practice, no
#: source).
_DRY_TO_MM = (5.0, 10.0, 20.0, 60.0)
_DRYINGS_DAYS = ((0.25, 0.25, 0.5, 0.5), (0.25, 0.5, 1.0, 3.0), (0.5, 1.0, 3.0, 10.0),
    (1.0, 2.0, 4.0, 10.0))  # fmt: skip
_LONG_DAYS = 365.0

_ROOM_MM = (2000.0, 1200.0)
_DEPTH_MM, _HEIGHT_MM, _MASS_KG = 450.0, 700.0, 35.0
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
        survey = survey_of(self.floor, self.job.runs[0].length_mm)
        one, other = (solve_on(self.job, survey, base) for base in self.job.bases)
        return compare(one, other, floors=FLOORS)

    @property
    def readings(self) -> tuple[tuple[Place, float], ...]:
        """Where the floor was read, and how far it lies there against the highest [mm]."""
        return read_off(self.floor, self.job.runs[0].length_mm)

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
        left = self.left(margins=margins, waits=waits)
        if len(left) == 1:
            return left[0]
        key = "cost_and_labour" if work else "cost"
        return self.comparison.row(key).winner if doubt else self.smaller(key)

    def left(self, *, margins: bool = True, waits: bool = True) -> list[Side]:
        """Return the sides that neither a margin nor their waiting days rule out."""
        return [
            side
            for side in SIDES
            if not (margins and self.beyond_limit(side)) and not (waits and self.late(side))
        ]

    def may_be(self, key: str) -> set[Side]:
        """Return which may be called better by a measure, worked out from what is shown.

        More than one only where figures lie so near to what counts that their last shown digit
        decides.
        """
        row = self.comparison.row(key)
        digit = 0.0 if key == "things" else _LAST_DIGIT
        step = digit * (1 + (self.job.rates.hour_price or 0.0) * (key == "cost_and_labour"))
        told = [row.difference, *row.odds.difference[1:2]]
        close = any(0 < abs(abs(one) - row.least) <= step for one in told)
        return {row.winner, "", self.smaller(key)} if close else {row.winner}

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
    methods, deadline_days = _methods(draws), draws.whole("deadline", 1, 4)
    # Both can then not be out: what dries stands in time where feet may be too weak.
    in_time = set(methods) == {"feet", "compound"} and _weak(draws)
    load_kg = _MASS_KG + draws.whole("contents", 10, 18) * 10
    tables = {
        "packers": lambda: _packers(draws),
        "feet": lambda: _feet(draws, load_kg),
        "ladder": lambda: _ladder(draws),
        "compound": lambda: _compound(draws, _dryings(deadline_days if in_time else _LONG_DAYS)),
    }
    bases = tuple(
        Base.model_validate({"name": NAMES[one], "method": one, **tables[one]()}) for one in methods
    )
    return Case(
        make_floor(seed, grade, *_ROOM_MM),
        _job(draws, bases, load_kg - _MASS_KG),
        deadline_days,
        draws.one_of("where", ("the chapel reading room", "the boot room", "the market hall")),
    )


def _methods(draws: Draws) -> tuple[str, ...]:
    others = draws.shuffled("others", ("packers", "feet", "ladder"))
    pair = ("compound", others[0]) if draws.happens("poured", POURED_SHARE) else others[:2]
    return draws.shuffled("order", pair)


def _weak(draws: Draws) -> bool:
    return draws.happens("weak feet", WEAK_SHARE)


def _packers(draws: Draws) -> Mapping[str, Any]:
    price = round(draws.between("bearer", 1.2, 5.0), 1)
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


def _dryings(within_days: float) -> list[tuple[float, ...]]:
    """Return the compounds that are dry so early at any depth that half a day is left for work."""
    return [days for days in _DRYINGS_DAYS if days[-1] <= within_days - 0.5]


def _compound(draws: Draws, dryings: Sequence[tuple[float, ...]]) -> Mapping[str, Any]:
    days = draws.one_of("drying", dryings)
    steps = tuple(
        {"to_mm": to, "days": float(day)} for to, day in zip(_DRY_TO_MM, days, strict=True)
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
            "run": ({"origin_mm": (LEFT_MM, 0.0), "unit": (unit,)},),
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
