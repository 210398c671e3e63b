"""What an apprentice sees who looks at one side of two bases: figures, and tables of both."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import pandas as pd

from kit.parts import Answer
from kit.practice.drills.weigh_bases_job import FLOORS, SIDES, Case, Side
from kit.side_by_side import Row

#: What is asked beside the base: key of the measure, words of its field.
LISTED = {
    "cost": "less material to pay",
    "hours": "shorter working time",
    "things": "fewer pieces to place",
    "level_error_mm": "nearer to level",
}

#: Words of what is worked out on other floors too, by key of the measure.
DRAWN = {
    "cost": "material",
    "hours": "working time",
    "cost_and_labour": "material and work",
    "things": "pieces to place",
}

#: Moves with their words and the seconds that they take (common practice, no source).
MOVES = {
    "take_off": ("price what is bought", 120.0),
    "work": ("work out the hours", 120.0),
    "wait": ("read what has to dry", 60.0),
    "level": ("work out how level it will be", 60.0),
    "checks": ("look at what carries it", 90.0),
    "floors": (f"set both on {FLOORS} floors that fit the readings", 180.0),
}

#: A sentence, figures by key, tables with their headings.
Look = tuple[str, Mapping[str, float], tuple[tuple[str, pd.DataFrame], ...]]


@dataclass(frozen=True, eq=False)
class Looks:
    """Both bases of a case, side by side."""

    case: Case

    def at(self, kind: str) -> Look:
        """Look at one side of the matter: `MOVES` has them."""
        looks: Mapping[str, Callable[[], Look]] = {
            "take_off": self._take_off,
            "work": self._work,
            "wait": self._wait,
            "level": self._level,
            "checks": self._checks,
            "floors": self._floors,
        }
        return looks[kind]()

    def both(self, words: Callable[[Side], str]) -> str:
        """Return words on each."""
        return "; ".join(f"{self.case.name_of(side)} {words(side)}" for side in SIDES)

    def _take_off(self) -> Look:
        figures = {side: round(self.case.value("cost", side), 2) for side in SIDES}
        things = {f"{side}_things": self.case.value("things", side) for side in SIDES}
        rows = [
            (self.case.name_of(side), item.item, item.size_mm, item.count, item.price, item.cost)
            for side in SIDES
            for item in self._answer(side).bill.items
        ]
        money = self.case.job.rates.money
        columns = ["base", "item", "size_mm", "count", f"price_{money}", f"cost_{money}"]
        table = pd.DataFrame(rows, columns=columns).round(2)
        said = self.both(
            lambda s: f"{figures[s]:.2f} {money}, {things[f'{s}_things']:g} pieces to place"
        )
        return f"material: {said}", {**figures, **things}, (("What is bought", table),)

    def _work(self) -> Look:
        rows = [
            (self.case.name_of(side), one.operation, one.count, one.unit, one.minutes)
            for side in SIDES
            for one in self._answer(side).bill.work
        ]
        columns = ["base", "operation", "count", "unit", "minutes_min"]
        table = pd.DataFrame(rows, columns=columns).round(2)
        figures = {side: round(self.case.value("hours", side), 3) for side in SIDES}
        said = self.both(lambda s: f"{figures[s]:.2f} h")
        return f"working time: {said}", figures, (("The work", table),)

    def _wait(self) -> Look:
        figures = {side: self._answer(side).bill.wait_days for side in SIDES}
        words = {side: days_words(days) if days else "nothing" for side, days in figures.items()}
        said = self.both(lambda s: words[s])
        day = self.case.job.rates.day_hours
        return f"to dry: {said}; a working day has {day:g} h", {**figures, "day_h": day}, ()

    def _level(self) -> Look:
        figures = {side: round(self.case.value("level_error_mm", side), 3) for side in SIDES}
        said = self.both(lambda s: f"{figures[s]:.2f} mm")
        return f"out of level at the worst: {said}", figures, ()

    def _checks(self) -> Look:
        rows = [
            (row.a.measure, round(row.a.value, 1), round(row.b.value, 1))
            for row in self.case.comparison.rows
            if _carries(row)
        ]
        table = pd.DataFrame(rows, columns=["check", *(f"{n}, %" for n in self.case.names)])
        # What could not be checked has no figure.
        least = {
            side: round(self.case.value("least_margin", side), 1)
            for side in SIDES
            if not math.isnan(self.case.value("least_margin", side))
        }
        fails = {f"{side}_fails": self.case.value("fail", side) for side in SIDES}
        said = self.both(
            lambda s: (
                f"{_margin_words(least.get(s, math.nan))}, {fails[f'{s}_fails']:g} checks fail"
            )
        )
        return f"what carries: {said}", {**least, **fails}, (("Margins", table),)

    def _floors(self) -> Look:
        figures: dict[str, float] = {}
        for key in DRAWN:
            odds = self.case.comparison.row(key).odds
            figures[f"{key}_a_less"] = round(odds.a_less * odds.floors)
            figures[f"{key}_b_less"] = round(odds.b_less * odds.floors)
            figures[f"{key}_middle"] = round(odds.difference[1], 3)
        one, other = self.case.names
        rows = [
            (
                words if key == "things" else f"{words}, {self._unit(key)}",
                round(figures[f"{key}_a_less"]),
                round(figures[f"{key}_b_less"]),
                f"{figures[f'{key}_middle']:+.{0 if key == 'things' else 2}f}",
            )
            for key, words in DRAWN.items()
        ]
        second = f"{other} minus {one}, in the middle"
        table = pd.DataFrame(
            rows, columns=["measure", f"floors, {one} less", f"floors, {other} less", second]
        )
        built = self.case.comparison.row("cost").odds.floors
        figures["floors"] = float(built)
        said = f"both set on {built} of {FLOORS} floors that fit the readings"
        return said, figures, (("On other floors", table),)

    def _unit(self, key: str) -> str:
        return self.case.comparison.row(key).a.unit

    def _answer(self, side: Side) -> Answer:
        comparison = self.case.comparison
        return comparison.a if side == "a" else comparison.b


def days_words(days: float) -> str:
    """Return days in words."""
    return f"{days:g} day" if days == 1 else f"{days:g} days"


def _margin_words(percent: float) -> str:
    return "not checked" if math.isnan(percent) else f"least margin {percent:g} % of its limit"


def _carries(row: Row) -> bool:
    """Tell whether a row is a margin of what carries, known of one base at least."""
    if not row.key.startswith("margin ") or row.key.startswith("margin push "):
        return False
    return row.a.known or row.b.known
