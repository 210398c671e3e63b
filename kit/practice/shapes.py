"""What a floor's height is made of: each shape with its closed form."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np

from kit.practice.draws import Draws, Floats

#: Shortest and longest wave of the roughness [mm], and how its height grows with its length:
#: together they give the second differences of the published slab lines at 300, 600 and 900 mm.
SHORTEST_MM, LONGEST_MM, GROWTH = 500.0, 4000.0, 0.75
_WAVES = 40


class Shape(Protocol):
    """Something that adds to the height of a floor."""

    def heights_mm(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return what it adds [mm] at places of any one shape [mm]."""
        ...


@dataclass(frozen=True)
class Fall:
    """A plane: z = along·x + across·y, both in mm per metre."""

    along_mm_per_m: float
    across_mm_per_m: float

    def heights_mm(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return the plane's height, 0 at the origin."""
        return (self.along_mm_per_m * x_mm + self.across_mm_per_m * y_mm) / 1000


@dataclass(frozen=True)
class Bump:
    """A round hump, or a hollow where its height is negative: h·cos²(πr/2R) within R."""

    x_mm: float
    y_mm: float
    height_mm: float
    radius_mm: float

    def heights_mm(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return its height: 0 from its radius on."""
        away = np.hypot(x_mm - self.x_mm, y_mm - self.y_mm)
        bell = np.cos(np.pi / 2 * np.minimum(away / self.radius_mm, 1.0)) ** 2
        return np.asarray(self.height_mm * bell, dtype=float)


@dataclass(frozen=True)
class Crown:
    """A middle that stands over both ends: a parabola along x, 0 at half the span from it."""

    middle_mm: float
    half_mm: float
    height_mm: float

    def heights_mm(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return its height, negative beyond the ends."""
        share = (x_mm - self.middle_mm) / self.half_mm
        return self.height_mm * (1 - share**2) + 0.0 * y_mm


@dataclass(frozen=True)
class Step:
    """A step up towards +x over a short slope, where two floors meet."""

    at_mm: float
    height_mm: float
    over_mm: float = 40.0

    def heights_mm(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return 0 before it, its height behind it."""
        share = np.clip((x_mm - self.at_mm) / self.over_mm + 0.5, 0.0, 1.0)
        return self.height_mm * share + 0.0 * y_mm


@dataclass(frozen=True)
class Roughness:
    """What is left of a floor when all that has a name is taken away: waves of all lengths.

    Each of 40 plane waves has a direction, a phase and a length of its own (lengths spread evenly
    by logarithm), and a height that grows with its length as length^0.75.

    Parameters
    ----------
    draws : Draws
        Where directions, phases and lengths come from.
    bend_mm : float
        Standard deviation of the second difference h(s-300) - 2h(s) + h(s+300) [mm] along a line
        of any direction, over all floors.
    """

    draws: Draws
    bend_mm: float

    def heights_mm(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return the sum of the waves."""
        cos, sin, phase, length, height = self._made
        x, y = np.asarray(x_mm, dtype=float), np.asarray(y_mm, dtype=float)
        if x.ndim == y.ndim == 0:
            along = (x * cos + y * sin) / length
            return np.asarray(np.sum(height * np.cos(2 * np.pi * along + phase)), dtype=float)
        total = np.zeros(np.broadcast(x, y).shape)
        for c, s, p, long, high in zip(cos, sin, phase, length, height, strict=True):
            total += high * np.cos(2 * np.pi * ((x * c + y * s) / long) + p)
        return total

    @cached_property
    def _made(self) -> tuple[Floats, Floats, Floats, Floats, Floats]:
        """Directions (cosine, sine), phases, lengths and heights of the waves, made once."""
        turn = 2 * np.pi * self.draws.shares("direction", _WAVES)
        length = _lengths_mm(self.draws.shares("length", _WAVES))
        phase = 2 * np.pi * self.draws.shares("phase", _WAVES)
        return np.cos(turn), np.sin(turn), phase, length, self.bend_mm * _wave_mm(length)


def _lengths_mm(shares: Floats) -> Floats:
    """Return one wave length in each of as many equal steps of the logarithm."""
    steps = (np.arange(len(shares)) + shares) / len(shares)
    return np.asarray(SHORTEST_MM * (LONGEST_MM / SHORTEST_MM) ** steps, dtype=float)


def _wave_mm(length_mm: Floats) -> Floats:
    """Return heights of waves [mm] whose second differences at 300 mm have deviation 1 mm.

    A wave of height a and length l along a line at angle t has second differences of deviation
    a/√2 · 2(1 - cos(2π·300·cos t/l)); squares add up, t is spread evenly.
    """
    grown = (length_mm / LONGEST_MM) ** GROWTH
    turns = np.cos(np.pi * (np.arange(64) + 0.5) / 64)
    bend = 2 * (1 - np.cos(2 * np.pi * 300.0 * turns[None, :] / length_mm[:, None]))
    square = np.sum(grown**2 / 2 * np.mean(bend**2, axis=1))
    return np.asarray(grown / np.sqrt(square), dtype=float)
