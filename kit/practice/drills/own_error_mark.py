"""Marking of the drill with the level's own error."""

from __future__ import annotations

from kit.practice.fields import number, words
from kit.practice.instruments import TRAVEL_MM
from kit.practice.mistakes import Kind
from kit.practice.moves import Done

#: Half the sum of two bubbles, each read to 0.2 mm, is right to 0.1 mm [mm/m].
LIMIT_MM_PER_M = 0.1

MOVED = Kind("turned_elsewhere", "turned it, but laid it down elsewhere",
    "turns the level, but on another piece of floor with a fall of its own", 25)  # fmt: skip
ROCKED = Kind("rocked", "read it where it rocked",
    "reads a level that rocks on its middle: turned, it goes down on the other side", 20)  # fmt: skip
OFF_THE_GLASS = Kind("off_the_glass", "read a bubble at the end of the glass",
    "books a bubble that stands at the end of its glass as if it had been read", 20)  # fmt: skip
NOT_HALVED = Kind("not_halved", "took the whole sum for the error",
    "books the sum of both bubbles, not its half", 25)  # fmt: skip


def bubble_mm(one: Done) -> float:
    """Return the bubble that was read [mm]."""
    return number(one.seen.figures, "bubble_mm")


def rocks(one: Done) -> bool:
    """Tell whether the level was seen to rock."""
    return words(one.seen.figures, "rocks") == "true"


def at_the_end(one: Done) -> bool:
    """Tell whether the bubble stood at the end of its glass."""
    return abs(bubble_mm(one)) >= TRAVEL_MM


def readable(one: Done) -> bool:
    """Tell whether a level lay firm with its bubble free of both ends of the glass."""
    return not rocks(one) and not at_the_end(one)
