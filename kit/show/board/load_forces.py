"""What presses on one bearer and what its stacks carry, in one case of loads; numbers only."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from kit.strength.beam import Floats
from kit.strength.bearers import PieceAtRest

#: What each case of loads is called, and how many of a panel's loads count in it: permanent,
#: stored, people.
CASE_WORDS = {"laid": "bearer alone", "empty": "units empty", "full": "units full"}
_COUNTED = {"laid": 0, "empty": 1, "full": 3}

#: Places between two stacks through which a bearer's line is drawn.
PER_SPAN = 12


@dataclass(frozen=True)
class Bearing:
    """How one piece of bearer lies on one stack: number of the piece, gap [mm], carried or not."""

    piece: int
    gap_mm: float
    carries: bool


@dataclass(frozen=True)
class StackAt:
    """One stack as this picture shows it.

    Parameters
    ----------
    name : str
    x_mm, top_mm : float
        Place along the run, and how much too high its top is [mm].
    carried_n : float
        What it carries, of all pieces on it [N].
    bearings : tuple of Bearing
        One, or two under a joint.
    rocks : str
        What is to be said of a piece that rocks on it; empty where none does.
    """

    name: str
    x_mm: float
    top_mm: float
    carried_n: float
    bearings: tuple[Bearing, ...]
    rocks: str

    @property
    def carries(self) -> bool:
        """Whether any piece bears on it."""
        return any(one.carries for one in self.bearings)

    @property
    def idle(self) -> tuple[Bearing, ...]:
        """Where a piece does not bear on it."""
        return tuple(one for one in self.bearings if not one.carries)

    @property
    def newtons(self) -> str:
        """What it carries, as it is written [N]; less than 10 with its tenths."""
        if not self.carries:
            return "0"
        few = f"{self.carried_n:.1f}" if self.carried_n >= 0.05 else "<0.1"
        return f"{self.carried_n:.0f}" if self.carried_n >= 9.95 else few


@dataclass(frozen=True)
class Pressing:
    """One arrow of loads: its place and force, and the places of the panels that it stands for.

    Places along the run [mm], force [N].
    """

    x_mm: float
    force_n: float
    of_mm: tuple[float, ...]


@dataclass(frozen=True)
class Forces:
    """One bearer under one case of loads.

    Parameters
    ----------
    laid : tuple of PieceAtRest
        Its pieces from left to right.
    case : str
        One of `CASE_WORDS`.
    """

    laid: tuple[PieceAtRest, ...]
    case: str

    @cached_property
    def stacks(self) -> tuple[StackAt, ...]:
        """From left to right; one under a joint is one stack with two bearings."""
        found: dict[str, StackAt] = {}
        for one in self.laid:
            for stack in _stacks_of(one, self.case):
                before = found.get(stack.name)
                found[stack.name] = stack if before is None else _both(before, stack)
        return tuple(found.values())

    @cached_property
    def total_n(self) -> float:
        """All loads on the bearer, its own weight among them [N]."""
        return math.fsum(one.cases[self.case].line.loads.total_n for one in self.laid)

    @cached_property
    def panels(self) -> tuple[tuple[float, float, float], ...]:
        """Sides and divisions that press: place, thickness [mm], force [N]; from left to right."""
        counted = _COUNTED[self.case]
        every = (panel for one in self.laid for panel in one.piece.panels)
        found = ((x, thick, sum(n[:counted])) for x, thick, *n in every)
        return tuple(sorted(one for one in found if one[2] > 0))

    def pressing(self, near_mm: float) -> tuple[Pressing, ...]:
        """Return the loads; panels nearer than this share one, in the middle of their loads."""
        groups: list[list[tuple[float, float]]] = []
        for x, _, force in self.panels:
            if not groups or x - groups[-1][0][0] >= near_mm:
                groups.append([])
            groups[-1].append((x, force))
        return tuple(_pressing(group) for group in groups)

    @cached_property
    def lines(self) -> tuple[tuple[Floats, Floats], ...]:
        """Of each piece: places along the run and heights of its underside [mm]."""
        return tuple(
            (places, one.line_mm(places, self.case))
            for one in self.laid
            for places in (_places(one),)
        )

    @cached_property
    def range_mm(self) -> tuple[float, float]:
        """Lowest and highest of bearer, stacks and the level that was meant [mm]."""
        heights = np.concatenate([*(z for _, z in self.lines), *(one.tops_mm for one in self.laid)])
        return min(float(heights.min()), 0.0), max(float(heights.max()), 0.0)


def _stacks_of(one: PieceAtRest, case: str) -> list[StackAt]:
    rest, piece = one.cases[case], one.piece
    pivots = {rocking.support for rocking in one.rocking}
    rocks = rocking_words(one, case)
    return [
        StackAt(
            name,
            x,
            top,
            carried,
            (Bearing(piece.number, gap, carries),),
            rocks if name in pivots else "",
        )
        for name, x, top, carried, gap, carries in zip(
            piece.supports,
            piece.beam.supports_mm,
            one.tops_mm.tolist(),
            rest.line.reactions_n.tolist(),
            rest.gaps_mm.tolist(),
            rest.carries,
            strict=True,
        )
    ]


def _both(left: StackAt, right: StackAt) -> StackAt:
    """Return one stack under the ends of two pieces."""
    return StackAt(
        left.name,
        left.x_mm,
        left.top_mm,
        left.carried_n + right.carried_n,
        left.bearings + right.bearings,
        left.rocks or right.rocks,
    )


def rocking_words(one: PieceAtRest, case: str) -> str:
    """Say that a piece rocks: its ends are in the air only where nothing holds them down."""
    carries = one.cases[case].carries
    ends = carries[0], carries[-1]
    if not any(ends):
        return "rocks here, ends in the air"
    if all(ends):
        return "rocks here when loaded" if case == "laid" else "rocks here until loaded"
    return "rocks here"


def _pressing(group: Sequence[tuple[float, float]]) -> Pressing:
    whole = math.fsum(force for _, force in group)
    middle = math.fsum(x * force for x, force in group) / whole
    return Pressing(middle, whole, tuple(x for x, _ in group))


def _places(one: PieceAtRest) -> Floats:
    beam = one.piece.beam
    marks = sorted({beam.start_mm, *beam.supports_mm, beam.end_mm})
    inner = [a + (b - a) * n / PER_SPAN for a, b in pairwise(marks) for n in range(PER_SPAN)]
    return np.array([*inner, marks[-1]])
