"""The floor of the drill with the high point: what tempts, put where it tempts."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from kit.practice.draws import Draws, Floats
from kit.practice.floors import LooseBoard, Patch, PracticeFloor
from kit.practice.moves import Place
from kit.practice.shapes import Bump

#: The floor at the place that is answered may be so much lower than the highest [mm].
LIMIT_MM = 1.0

#: Width of a bearer [mm], and the steps in which the floor under it is looked at.
BEARER_MM = 45.0
_ALONG_MM, _LINES = 10.0, 3

#: How often there is a hump between the ends and the middle, and in front; and a loose board.
_HUMPED, _IN_FRONT, _LOOSE = 0.85, 0.55, 0.85

#: Its top is so far from the ends and from the middle of the bearer, or farther [mm].
_CLEAR_MM = 340.0

#: The highest hump and the proudest board that are put there [mm]; beyond, there is none.
_MOST_HUMP_MM, _MOST_PROUD_MM = 8.0, 6.0


@dataclass(frozen=True)
class Bearers:
    """Outlines of the back and the front bearer in plan."""

    back: Patch
    front: Patch

    @property
    def both(self) -> tuple[Patch, Patch]:
        """Back, front."""
        return self.back, self.front

    def under(self, place: Place, near_mm: float = 0.0) -> tuple[str, ...]:
        """Return which bearers lie over a place, or nearer to it than so much [mm]."""
        named = zip(("back", "front"), self.both, strict=True)
        return tuple(name for name, patch in named if _away_mm(patch, place) <= near_mm)


def _away_mm(patch: Patch, place: Place) -> float:
    """Return how far a place lies outside a rectangle [mm]."""
    x = max(patch.left_mm - place[0], place[0] - patch.left_mm - patch.width_mm, 0.0)
    y = max(patch.back_mm - place[1], place[1] - patch.back_mm - patch.depth_mm, 0.0)
    return float(np.hypot(x, y))


def under_patch(patch: Patch) -> tuple[Floats, Floats]:
    """Return places x, y under a bearer, shape (n,) each [mm]: lines along it, both edges too."""
    count = round(patch.width_mm / _ALONG_MM) + 1
    x = np.linspace(patch.left_mm, patch.left_mm + patch.width_mm, count)
    y = np.linspace(patch.back_mm, patch.back_mm + patch.depth_mm, _LINES)
    grid = np.meshgrid(x, y)
    return grid[0].ravel(), grid[1].ravel()


@dataclass(frozen=True)
class Top:
    """The high point: its place, its height [mm] and the places within the limit of it."""

    place: Place
    height_mm: float


def top_under(floor: PracticeFloor, patches: tuple[Patch, ...]) -> Top:
    """Return the highest carried floor under some bearers."""
    pairs = [under_patch(patch) for patch in patches]
    x, y = np.concatenate([a for a, _ in pairs]), np.concatenate([b for _, b in pairs])
    z = floor.carried_mm(x, y)
    best = int(np.argmax(z))
    return Top((float(x[best]), float(y[best])), float(z[best]))


def lay_out(draws: Draws, floor: PracticeFloor) -> Bearers:
    """Return where two bearers lie along the wall."""
    long = round(draws.between("length", 240, 330)) * 10.0
    left = round(draws.between("left", 10, (floor.width_mm - long) / 10 - 10)) * 10.0
    front = round(draws.between("front", 28, 42)) * 10.0
    back = round(draws.between("back", 20, 60))
    return Bearers(Patch(left, float(back), long, BEARER_MM), Patch(left, front, long, BEARER_MM))


def tempting(floor: PracticeFloor, bearers: Bearers, draws: Draws) -> PracticeFloor:
    """Return the floor with nothing soft, a hump where few readings miss it, a board that moves."""
    firm = replace(floor, loose=(), soft=())
    if draws.happens("humped", _HUMPED):
        firm = _humped(firm, bearers, draws)
    return _with_board(firm, bearers, draws) if draws.happens("loose", _LOOSE) else firm


def _humped(floor: PracticeFloor, bearers: Bearers, draws: Draws) -> PracticeFloor:
    """Put the high point on a hump between an end and the middle, where that is no hill.

    Anywhere between: who knows the last floor knows nothing of this one.
    """
    patch = bearers.front if draws.happens("in front", _IN_FRONT) else bearers.back
    half = patch.width_mm / 2
    x = patch.left_mm + np.array(
        [
            draws.between("in the left half", _CLEAR_MM, half - _CLEAR_MM),
            half + draws.between("in the right half", _CLEAR_MM, half - _CLEAR_MM),
        ]
    )
    y = np.full(2, patch.back_mm + BEARER_MM / 2)
    z = floor.heights_mm(x, y)
    best = int(np.argmax(z))
    top = top_under(floor, bearers.both).height_mm
    height = top - float(z[best]) + draws.between("over all", 1.8, 2.8)
    if height > _MOST_HUMP_MM:
        return floor
    radius = draws.between("hump radius", 380.0, 480.0)
    bump = Bump(round(float(x[best])), float(y[best]), round(height, 2), radius)
    return replace(floor, shapes=(*floor.shapes, bump))


def _with_board(floor: PracticeFloor, bearers: Bearers, draws: Draws) -> PracticeFloor:
    """Put a loose board across both bearers that stands over the high point, but is not it."""
    wide, long = draws.between("board", 180.0, 220.0), draws.between("board long", 700.0, 1500.0)
    top = top_under(floor, bearers.both).height_mm
    found: list[tuple[float, Patch]] = []
    for share in draws.shares("board at", 6):
        left = bearers.back.left_mm + float(share) * (bearers.back.width_mm - wide)
        patch = Patch(round(left, 1), 0.0, round(wide, 1), round(long, 1))
        covered = tuple(_crossing(patch, bearer) for bearer in bearers.both)
        lower = top - top_under(floor, covered).height_mm
        if lower > LIMIT_MM + 0.6:  # what is taken for the high point there is wrong
            found.append((lower, patch))
    if not found:
        return floor
    lower, patch = min(found, key=lambda one: one[0])
    proud = round(lower + draws.between("proud", 1.2, 2.0), 2)
    return replace(floor, loose=(LooseBoard(patch, proud),)) if proud <= _MOST_PROUD_MM else floor


def _crossing(board: Patch, bearer: Patch) -> Patch:
    return Patch(board.left_mm, bearer.back_mm, board.width_mm, bearer.depth_mm)
