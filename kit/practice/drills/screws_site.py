"""What the screw drill is played on: stacks over boards of hidden thickness and hidden heating."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import pandas as pd

from kit.base.screws import SCREWED_FROM_MM, StackAt, choose_screws, steps_of
from kit.job import Floor, NoGo, Packer, Stock
from kit.practice.draws import Draws
from kit.practice.floors import Patch, PracticeFloor, make_floor
from kit.practice.grades import Grade

#: Lengths in the van [mm].
SCREWS_MM = (16.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0)

#: What boards are usually taken for [mm]; old ones are worn thinner, replaced ones thicker
#: (common practice, no source).
USUAL_BOARD_MM = 21.0
BOARDS_MM = (16.0, 17.5, 18.5, USUAL_BOARD_MM, 22.5, 25.0, 28.0)

#: Kept between a point and the underside of the boards [mm].
RESERVE_MM = 2.0

#: Share of floors with heating under one or two of the stacks.
HEATED_SHARE = 0.75

#: Share of those of which the owner knows.
OWNER_KNOWS = 0.7

#: Edges of a heated zone keep so far from the middle of any stack [mm]: a detector tells it.
_APART_MM = 150.0

_FIRST_MM, _BESIDE_MM, _BACK_MM = 500.0, 900.0, 60.0

Thicknesses = tuple[float, ...]


@dataclass(frozen=True)
class Site:
    """Stacks that are set and want screws.

    Parameters
    ----------
    floor : PracticeFloor
        Whose `heated` nobody sees from above.
    board_mm : float
        Thickness of its boards, which nobody sees either [mm].
    stacks : tuple of StackAt
        Where they stand, packers from the floor up.
    bearer_mm : float
        Thickness of the bearer on them [mm].
    countersink_mm : float
        How far a head is drawn below the surface [mm].
    owner_knows : bool
        Of heating, where there is any.
    """

    floor: PracticeFloor
    board_mm: float
    stacks: tuple[StackAt, ...]
    bearer_mm: float
    countersink_mm: float
    owner_knows: bool = True

    def heated_at(self, x_mm: float, y_mm: float) -> bool:
        """Tell whether heating runs under a place."""
        return any(area.holds(x_mm, y_mm) for area in self.no_go)

    @cached_property
    def no_go(self) -> tuple[NoGo, ...]:
        """Heated zones as areas without screws."""
        return tuple(
            NoGo(
                name=f"heating {place}",
                corner_mm=(patch.left_mm, patch.back_mm),
                size_mm=(patch.width_mm, patch.depth_mm),
                forbids="screws",
            )
            for place, patch in enumerate(self.floor.heated, start=1)
        )

    @property
    def steps(self) -> tuple[tuple[str, str], ...]:
        """Stack and step of every screw that is asked for."""
        return tuple(
            (stack.support, step.name)
            for stack in self.stacks
            for step in steps_of(stack, self.bearer_mm)
        )

    def screws(self) -> pd.DataFrame:
        """Choose every screw by the kit's rules: see `kit.base.screws.choose_screws`."""
        floor = Floor(
            kind="boarded", board_mm=self.board_mm, services="checked", reserve_mm=RESERVE_MM
        )
        kinds = sorted({thick for stack in self.stacks for thick in stack.thicknesses_mm})
        stock = Stock(
            packers=tuple(Packer(mm=thick) for thick in kinds),
            screws_mm=SCREWS_MM,
            countersink_mm=self.countersink_mm,
        )
        return choose_screws(floor, stock, self.bearer_mm, self.stacks, (), self.no_go)


def make_site(seed: int, grade: Grade) -> Site:
    """Make four stacks, of which one is low and one tall, on a floor of a seed and a grade."""
    draws = Draws(f"screws 1, seed {seed}, {grade.name}")
    packs = draws.shuffled("order", tuple(_pack(draws, kind) for kind in _kinds(draws)))
    stacks = tuple(
        StackAt(f"S{place + 1}", _x_mm(draws, place), _BACK_MM, pack)
        for place, pack in enumerate(packs)
    )
    floor = make_floor(seed, grade)
    return Site(
        replace(floor, heated=_heated(draws, stacks, floor.depth_mm)),
        draws.one_of("board", BOARDS_MM),
        stacks,
        draws.one_of("bearer", (18.0, 20.0, 22.0)),
        draws.one_of("countersink", (1.0, 3.0)),  # not the reserve: one is not the other forgotten
        draws.happens("owner knows", OWNER_KNOWS),
    )


def _kinds(draws: Draws) -> tuple[str, ...]:
    return "low", "middle", "tall", draws.one_of("fourth", ("thin", "middle", "tall"))


def _pack(draws: Draws, kind: str) -> Thicknesses:
    """Return packers: the thickest on the floor, the thinnest inside, the next thickest on top."""
    if kind == "thin":
        return draws.one_of(kind, ((3.0,), (5.0,), (3.0, 1.0)))
    if kind == "low":
        return (6.0, draws.one_of(kind, (1.0, 2.0, 3.0)))
    thick, thin, upper = {
        "middle": ((12.0, 15.0), (1.0, 2.0, 3.0), (6.0, 8.0)),
        "tall": ((18.0, 22.0), (1.0, 3.0, 5.0), (10.0, 12.0, 15.0)),
    }[kind]
    return (
        draws.one_of(f"{kind} first", thick),
        draws.one_of(f"{kind} thin", thin),
        draws.one_of(f"{kind} upper", upper),
    )


def _x_mm(draws: Draws, place: int) -> float:
    return _FIRST_MM + _BESIDE_MM * place + round(draws.between(f"stack {place}", -100, 100))


def _heated(draws: Draws, stacks: tuple[StackAt, ...], depth_mm: float) -> tuple[Patch, ...]:
    """Return a zone under one or two neighbours, one of them with a packer that is screwed."""
    if not draws.happens("heated", HEATED_SHARE):
        return ()
    screwed = [
        place for place, one in enumerate(stacks) if max(one.thicknesses_mm) >= SCREWED_FROM_MM
    ]
    first = draws.one_of("heated from", screwed)
    last = min(first + draws.whole("heated more", 0, 1), len(stacks) - 1)
    left = stacks[first].x_mm - draws.between("heated left", _APART_MM, 300)
    right = stacks[last].x_mm + draws.between("heated right", _APART_MM, 300)
    return (Patch(round(left), 0.0, round(right - left), round(0.7 * depth_mm)),)
