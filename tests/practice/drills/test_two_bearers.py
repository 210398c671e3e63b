"""Two bearers: scripted apprentices, the lie of bearers and levels against brute force."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from kit.practice.drills.two_bearers import TwoBearers
from kit.practice.fields import Value, Values
from kit.practice.moves import Move, Seen

DRILL = TwoBearers()
DONE: Values = {"done": "are done"}

Do = Callable[[Move], Seen]

#: What thin packers make of tenths of a millimetre.
THIN = {0: [], 2: [0.2], 3: [0.3], 4: [0.2, 0.2], 5: [0.5], 6: [0.3, 0.3], 7: [0.5, 0.2],
        8: [0.5, 0.3], 9: [0.3, 0.3, 0.3], 11: [0.5, 0.3, 0.3]}  # fmt: skip


def packers_of(tenths: int) -> tuple[float, ...]:
    thin = 11 if tenths % 10 == 1 else tenths % 10
    whole, packers = (tenths - thin) // 10, []
    for thick in (10, 5, 3, 2, 1):
        packers += [float(thick)] * (whole // thick)
        whole %= thick
    return (*packers, *THIN[thin])


@dataclass
class Fitter:
    """A person at two bearers, with habits.

    Works bearer by bearer: the higher one firm and level, then the other firm and up to it at both
    ends. Sees only what is given and what moves show.
    """

    do: Do
    given: object
    level: str = "long"
    turns: bool = True
    presses: bool = True
    over: float = field(init=False)
    across: float = field(init=False)
    length: float = field(init=False)
    heights: dict[str, int] = field(init=False)
    own: dict[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        table = self.given.tables[0][1].set_index("stack")
        self.heights = {stack: round(10 * high) for stack, high in table["height_mm"].items()}
        self.over = float(table.at["B4", "from_left_end_mm"] - table.at["B1", "from_left_end_mm"])
        marks = {mark.label: mark.places_mm for mark in self.given.on_plan}
        self.across = marks["F1"][0][1] - marks["B1"][0][1]
        self.length = marks["back"][1][0] - marks["back"][0][0]

    def raise_mm(self, stack: str, by: float) -> None:
        self.change_mm(stack, max(by, 0.0))

    def change_mm(self, stack: str, by: float) -> None:
        if tenths := round(10 * by):
            self.heights[stack] += tenths
            packers = packers_of(self.heights[stack])
            self.do(Move("pack", {"stack": stack, "packers": packers}))

    def firm(self, row: str) -> None:
        """Press both ends and pack what goes down, a little tighter than it went."""
        if not self.presses:
            return
        for end, stack in (("left", "1"), ("right", "4")):
            while drop := self.do(Move("press", {"row": row, "end": end})).figures["drop_mm"]:
                self.raise_mm(row[0].upper() + stack, float(drop) + 0.3)

    def read(self, level: str, kind: str, ends: tuple[str, str], values: Values) -> float:
        """A bubble with the level's own error taken off, found at its first use by turning it."""

        def bubble(marked: str) -> float:
            return float(self.do(Move(kind, {**values, "marked": marked})).figures["bubble_mm"])

        first = bubble(ends[0])
        if level not in self.own:
            self.own[level] = (first + bubble(ends[1])) / 2 if self.turns else 0.0
        return first - self.own[level]

    def along_mm_per_m(self, row: str) -> float:
        at = (self.length - {"long": 1800.0, "short": 600.0}[self.level]) / 2
        values: dict[str, Value] = {"row": row, "level": self.level, "at": at}
        return self.read(self.level, "along", ("left", "right"), values)

    def across_of(self, end: str) -> float:
        rise = self.read("short", "across", ("back", "front"), {"end": end})
        return rise * self.across / 1000

    def level_along(self, row: str) -> None:
        """Pack the low end till the level shows level; what was too much is taken out again."""
        self.firm(row)
        packed = ""
        for _ in range(6):
            rise = self.along_mm_per_m(row)
            if abs(rise) <= 0.25:
                return
            low, by = ("1" if rise > 0 else "4"), abs(rise) * self.over / 1000
            if packed not in ("", low):
                low, by = packed, -by
            packed = low
            self.change_mm(row[0].upper() + low, by)
            self.firm(row)

    def bring_up(self, row: str, other: str) -> None:
        """Bring both ends of a bearer up to a level one.

        Where it is higher at first, the other comes up; later, too much is taken out again.
        """
        self.firm(row)
        sign = 1 if row == "front" else -1
        for tries in range(6):
            left, right = sign * self.across_of("left"), sign * self.across_of("right")
            if max(abs(left), abs(right)) <= 0.25 * self.across / 1000:
                return
            up = max(left, right, 0.0) if tries == 0 else 0.0
            for stack, by in (("1", up - left), ("4", up - right)):
                self.raise_mm(other[0].upper() + stack, up)
                self.change_mm(row[0].upper() + stack, by)
            self.firm(row)
            if up >= 0.05:
                self.level_along(other)


def fitter(hands: object, **habits: object) -> Fitter:
    return Fitter(hands.do, hands.attempt.task.given, **habits)


def work(hands: object, **habits: object) -> Values:
    """Begin with the higher bearer, then bring the other up to it."""
    one = fitter(hands, **habits)
    for row in ("back", "front"):
        one.firm(row)
    rows = ("back", "front") if one.across_of("left") < 0 else ("front", "back")
    one.level_along(rows[0])
    one.bring_up(rows[1], rows[0])
    return DONE


def sound(hands: object) -> Values:
    return work(hands)


def along_only(hands: object) -> Values:
    """Both bearers firm and level along; nobody looks from one to the other."""
    one = fitter(hands)
    one.level_along("back")
    one.level_along("front")
    return DONE


def short_level(hands: object) -> Values:
    """Sound but for the short level on the long bearer."""
    return work(hands, level="short")


def never_turned(hands: object) -> Values:
    """Sound but that every bubble is taken at its word."""
    return work(hands, turns=False)


def not_pressed(hands: object) -> Values:
    """Sound but that no end is ever pressed."""
    return work(hands, presses=False)


def wrong_sums(hands: object) -> Values:
    """Firm, turned, along and across; but packs as many mm as the bubble is off. No second look."""
    one = fitter(hands)
    one.firm("back")
    rise = one.along_mm_per_m("back")
    one.raise_mm("B1" if rise > 0 else "B4", abs(rise))
    one.firm("back")
    one.firm("front")
    for end, place in (("left", "1"), ("right", "4")):
        off = one.across_of(end) / one.across * 1000
        one.raise_mm(("F" if off < 0 else "B") + place, abs(off))
    one.firm("back")
    one.firm("front")
    return DONE
