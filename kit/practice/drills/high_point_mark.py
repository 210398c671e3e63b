"""Marking of the drill with the high point."""

from __future__ import annotations

from kit.practice.mistakes import Kind

TOO_FAR_APART = Kind("too_far_apart", "readings too far apart",
    "reads the ends and the middle, and a hump slips between", 25)  # fmt: skip
OUTSIDE_BASE = Kind("outside_base", "highest of the room, not of the base",
    "takes a high place of the room that no bearer lies on", 25)  # fmt: skip
LOOSE_BOARD = Kind("loose_board", "took a loose board for the high point",
    "takes a board that stands proud for the high point, though it goes down under a foot",
    25)  # fmt: skip
