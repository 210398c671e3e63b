"""Where levels were tested before: two pencil lines on a floor, and a level that tips by hand."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from kit.practice.draws import Draws
from kit.practice.drills.kept_tools import KeptTools, Lying
from kit.practice.floors import PracticeFloor
from kit.practice.instruments import LEVEL_LENGTHS_MM, TRAVEL_MM, Bag, Level
from kit.practice.moves import Place
from kit.practice.rest import ROCKS_WITHIN, Rest
from kit.practice.shapes import Bump
from kit.practice.tools import FINE_MM, Tools, along

#: Where a level lies: its first end and its other.
Lie = tuple[Place, Place]

_LONG_MM = LEVEL_LENGTHS_MM["long"]

#: How often a line runs over a hump, and the other up a slope that takes the bubble to the end.
_HUMPED, _STEEP = 0.75, 0.75

#: A hump that a level rocks on tips it by so much or more, else nobody would see it [mm/m].
_TIPS_MM_PER_M = 0.8


@dataclass(frozen=True)
class HandTools(KeptTools):
    """Tools in a hand: what rocks goes down on the side of the marked end, which it holds.

    A level that lies firm lies as it does without a hand.
    """

    def _lie(self, key: Lying) -> Rest:
        lies = Tools.lie(self, *key)
        return self._tipped(*key) if lies.rocks else lies

    def _tipped(self, start: Place, end: Place, under_mm: tuple[float, float]) -> Rest:
        """Return the lie on the marked end's side of all that rock.

        Of all chords between places of the floor the highest over a point carries an edge whose
        weight acts there.
        """
        long = float(np.hypot(end[0] - start[0], end[1] - start[1]))
        at = np.linspace(0.0, long, round(long / FINE_MM) + 1)
        z = self.floor.heights_mm(*along(start, end, at, long)).copy()
        z[[0, -1]] += under_mm
        pressed = (0.5 - ROCKS_WITHIN) * long
        left, right = at[at <= pressed], at[at > pressed]
        z_left, z_right = z[at <= pressed], z[at > pressed]
        share = (pressed - left[:, None]) / (right[None, :] - left[:, None])
        chords = z_left[:, None] + share * (z_right[None, :] - z_left[:, None])
        a, b = np.unravel_index(int(np.argmax(chords)), chords.shape)
        return Rest(
            float(left[a]), float(right[b]), float(z_left[a]), float(z_right[b]), long / 2, True
        )


def pencilled(floor: PracticeFloor, bag: Bag, draws: Draws) -> tuple[HandTools, tuple[Lie, Lie]]:
    """Return tools on a floor with a hump and a run-up, and the two lines across them.

    Parameters
    ----------
    floor : PracticeFloor
        What the floor is but for them.
    bag : Bag
        The instruments.
    draws : Draws
        Whether there are a hump and a run-up, and where.
    """
    hump, steep = draws.happens("humped", _HUMPED), draws.happens("steep", _STEEP)
    tools = HandTools(floor, bag)
    over, up = _plain(draws, floor, "hump"), _plain(draws, floor, "run-up")
    if steep:
        tools, up = _run_up(tools, draws, up)
    if hump:
        tools, over = _over_a_hump(tools, draws, over)
    return tools, (over, up) if draws.happens("hump first", 0.5) else (up, over)


def _plain(draws: Draws, floor: PracticeFloor, name: str) -> Lie:
    """Return a line along the wall: towards the middle for the hump, the far rim for the other."""
    left = round(draws.between(f"{name} line", 0.05, 0.95) * (floor.width_mm - _LONG_MM), 0)
    near, far = {"hump": (0.15, 0.4), "run-up": (0.8, 0.95)}[name]
    y = round(draws.between(f"{name} row", near, far) * floor.depth_mm, 0)
    return (left, y), (left + _LONG_MM, y)


def _over_a_hump(tools: HandTools, draws: Draws, line: Lie) -> tuple[HandTools, Lie]:
    """Put a hump under a line and slide the line until the level rocks; as it was where it won't.

    Only where the bubble stays on the glass both ways: there nothing but the rocking is wrong.
    """
    middle = (line[0][0] + _LONG_MM / 2, line[0][1])
    radius = draws.between("hump radius", 380.0, 520.0)
    for height in (3.0, 4.5):
        humped = _with(tools, Bump(*middle, height + draws.between("hump", 0.0, 0.8), radius))
        lie, rocks = _slid(humped, line)
        if rocks and _tells(humped, lie):
            return humped, lie
    return tools, line


def _slid(tools: HandTools, line: Lie) -> tuple[Lie, bool]:
    """Return the line, slid along until a level rocks on it, and whether it does."""
    (left, y), _ = line
    for _ in range(5):
        lie = ((left, y), (left + _LONG_MM, y))
        rests = tools.lie(*lie, (0.0, 0.0))
        if rests.rocks:
            return lie, True
        nearest = min((rests.left_mm, rests.right_mm), key=lambda at: abs(at - _LONG_MM / 2))
        room = tools.floor.width_mm - _LONG_MM
        left = min(max(round(left + nearest - _LONG_MM / 2), 0.0), room)
    return line, False


def _tells(tools: HandTools, lie: Lie) -> bool:
    """Tell whether a level that rocks there tips enough, and stays on the glass both ways."""
    ways = [tools.lie(*ends, (0.0, 0.0)).slope_mm_per_m for ends in (lie, lie[::-1])]
    level = tools.bag.level("long")
    return sum(ways) >= _TIPS_MM_PER_M and not any(_off(level, slope) for slope in ways)


def _run_up(tools: HandTools, draws: Draws, line: Lie) -> tuple[HandTools, Lie]:
    """Let a far corner run up until the bubble on the line beside it goes to the end of its glass.

    As it was where it will not.
    """
    floor = tools.floor
    corner = draws.one_of("corner", (0.0, floor.width_mm))
    left = 0.0 if corner == 0.0 else floor.width_mm - _LONG_MM
    lie = ((left, line[0][1]), (left + _LONG_MM, line[0][1]))
    for height in (14.0, 17.0, 20.0, 24.0):
        steep = _with(tools, Bump(corner, floor.depth_mm, height, _LONG_MM))
        rests = [steep.lie(*ends, (0.0, 0.0)) for ends in (lie, lie[::-1])]
        level = steep.bag.level("long")
        if not rests[0].rocks and any(_off(level, one.slope_mm_per_m) for one in rests):
            return steep, lie
    return tools, line


def _off(level: Level, slope_mm_per_m: float) -> bool:
    return abs(level.bubble_mm(slope_mm_per_m)) >= TRAVEL_MM


def _with(tools: HandTools, bump: Bump) -> HandTools:
    floor = tools.floor
    return HandTools(replace(floor, shapes=(*floor.shapes, bump)), tools.bag)
