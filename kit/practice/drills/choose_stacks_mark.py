"""Marking of stacks that were chosen from a bag."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from kit.base.stacks import StackPlan
from kit.practice.drills.choose_stacks_bag import LIMIT_MM, Supports
from kit.practice.effects import Effect, gap_between, rocks
from kit.practice.mistakes import BAG_OVERDRAWN, OUT, Kind, Mistake
from kit.practice.packers import (
    Stack,
    Stock,
    count_words,
    laid,
    short_of,
    stack_words,
    taken,
)

BY_THE_PRINT = Kind("printed_thickness", "went by the thickness printed on the packers",
    "reckons with what packers say and not with what the calliper says", 25)  # fmt: skip
THIN_OUTSIDE = Kind("thin_outside", "a thin packer on the floor or on top",
    "lays a thin packer where it can creep out or split, not between thick ones", 15)  # fmt: skip
TOO_MANY = Kind("too_many_pieces", "more pieces than needed",
    "makes the heights of more packers than the bag allows at the fewest", 15)  # fmt: skip
ALL_LOW = Kind("all_low", "rounded every stack down",
    "takes for every support what comes next below, and some are too low", 20)  # fmt: skip

KINDS = (BY_THE_PRINT, BAG_OVERDRAWN, THIN_OUTSIDE, TOO_MANY, ALL_LOW, OUT)

#: So many pieces over the fewest are let pass: with paper and pencil nobody can prove the fewest.
LET_PASS = 1

#: A packer is thin up to this [mm]; a thin one lies neither on the floor under a thicker one nor
#: on top of one that lies inside.
_THIN_MM = 6.0

#: Whoever rounds down stays within the thinnest packer of the height [mm].
_THINNEST_MM = 1.0

#: A joint between two packers closes by so much under load [mm] (common practice, no source).
JOINT_MM = 0.1

_ROUND_OFF_MM = 1e-6


@dataclass(frozen=True)
class Chosen:
    """What was chosen, and what it is judged by.

    Parameters
    ----------
    supports : Supports
        Heights needed.
    stacks : tuple of Stack
        In site order.
    stock : mapping
        Printed thickness to how many are in the bag.
    thick_mm : mapping
        Printed thickness to what the calliper shows.
    measured : frozenset of float
        Printed thicknesses of the kinds that the calliper was put to.
    plan : StackPlan
        The fewest pieces.
    """

    supports: Supports
    stacks: tuple[Stack, ...]
    stock: Stock
    thick_mm: Mapping[float, float]
    measured: frozenset[float]
    plan: StackPlan

    @property
    def errors_mm(self) -> list[float]:
        """Stack less height needed, as they are."""
        return self.supports.errors_mm(self.stacks, self.thick_mm)

    @property
    def thought_mm(self) -> list[float]:
        """Stack less height needed, as the apprentice knew the packers."""
        knew = {each: mm if each in self.measured else each for each, mm in self.thick_mm.items()}
        return self.supports.errors_mm(self.stacks, knew)

    @property
    def printed_mm(self) -> list[float]:
        """Stack less height needed, as if all packers were what they say."""
        return self.supports.errors_mm(self.stacks, {each: each for each in self.thick_mm})

    @property
    def unmeasured(self) -> list[float]:
        """Kinds that were used and are not what they say, but no calliper was put to them."""
        used = taken(self.stacks)
        return [
            each
            for each, mm in self.thick_mm.items()
            if used[each] and mm != each and each not in self.measured
        ]

    @property
    def worst(self) -> tuple[str, float]:
        """The support that is most out, and by how much [mm]."""
        pairs = zip(self.supports.names, self.errors_mm, strict=True)
        return max(pairs, key=lambda pair: abs(pair[1]))


def mistakes(chosen: Chosen) -> tuple[Mistake, ...]:
    """Tell the mistakes of what was chosen.

    Pieces are counted only where the heights are right: who makes other heights needs another
    number of pieces for them.
    """
    heights = tuple(_of_heights(chosen))
    pieces = () if heights else tuple(_of_pieces(chosen))
    return (*heights, *_of_the_bag(chosen), *_of_order(chosen), *pieces)


def _of_heights(chosen: Chosen) -> Iterator[Mistake]:
    if chosen.unmeasured:
        yield _by_the_print(chosen)
    thought, printed = chosen.thought_mm, chosen.printed_mm
    if _right(thought) or _right(chosen.errors_mm):
        return
    if _rounded_down(thought):
        yield _all_low(chosen, thought)
    elif not chosen.unmeasured and _right(printed):
        yield _by_the_print(chosen)
    elif not chosen.unmeasured and _rounded_down(printed):
        yield from (_by_the_print(chosen), _all_low(chosen, printed))
    else:
        yield _out(chosen)


def _right(errors_mm: Sequence[float]) -> bool:
    return all(abs(error) <= LIMIT_MM + _ROUND_OFF_MM for error in errors_mm)


def _rounded_down(errors_mm: Sequence[float]) -> bool:
    return all(-_THINNEST_MM - _ROUND_OFF_MM <= error <= _ROUND_OFF_MM for error in errors_mm)


def _by_the_print(chosen: Chosen) -> Mistake:
    used = taken(chosen.stacks)
    off = chosen.unmeasured or [
        each for each, mm in chosen.thick_mm.items() if used[each] and mm != each
    ]
    told = ", ".join(f"a packer that says {p:g} is {chosen.thick_mm[p]:.1f} mm" for p in off)
    return Mistake(
        BY_THE_PRINT,
        *_other_than_reckoned(chosen, told),
        "Put the calliper to one packer of each kind, and make the heights of what it shows.",
    )


def _other_than_reckoned(chosen: Chosen, told: str) -> tuple[str, Effect]:
    """Tell what comes of the print: where all else is right, how far the worst stack is out."""
    knew = chosen.thought_mm if chosen.unmeasured else chosen.printed_mm
    if _right(knew):
        name, error = chosen.worst
        lucky = "" if abs(error) > LIMIT_MM + _ROUND_OFF_MM else ", within the limit by luck alone"
        return f"{told}; so the stack at {name} is {_way(error)}{lucky}", gap_between(error)
    more = [error - thought for error, thought in zip(chosen.errors_mm, knew, strict=True)]
    name, other = max(zip(chosen.supports.names, more, strict=True), key=lambda one: abs(one[1]))
    way = "higher" if other > 0 else "lower"
    said = f"{told}; so the stack at {name} is {abs(other):.1f} mm {way} than reckoned"
    return said, gap_between(other)


def _all_low(chosen: Chosen, reckoned_mm: Sequence[float]) -> Mistake:
    pairs = zip(chosen.supports.names, reckoned_mm, strict=True)
    name, error = min(pairs, key=lambda pair: pair[1])
    return Mistake(
        ALL_LOW,
        f"no stack was reckoned higher than needed, and {name} was {_way(error)}",
        gap_between(error - sum(reckoned_mm) / len(reckoned_mm)),
        "Take the nearest height, above or below: half a millimetre either way is right.",
    )


def _out(chosen: Chosen) -> Mistake:
    name, error = chosen.worst
    place = chosen.supports.names.index(name)
    needed, stack = chosen.supports.needed_mm[place], chosen.stacks[place]
    return Mistake(
        OUT,
        f"{name} needs {needed:g} mm; {stack_words(stack)} makes {needed + error:.1f}: "
        f"{_way(error)}",
        gap_between(error),
        f"Add up each stack by the calliper and hold it against its height: within {LIMIT_MM:g} "
        "mm is right.",
    )


def _of_the_bag(chosen: Chosen) -> Iterator[Mistake]:
    short = short_of(taken(chosen.stacks), chosen.stock)
    if not short:
        return
    name, packer = _first_without(chosen)
    missing = chosen.thick_mm[packer]
    yield Mistake(
        BAG_OVERDRAWN,
        f"more than the bag holds: {count_words(short)} mm too many; it is empty at {name}",
        Effect(
            f"{name} stays {missing:g} mm short until one is fetched, and the corner above it "
            "hangs",
            rock_mm=missing,
        ),
        "Add up what all stacks take and hold it against the bag; where a kind runs out, the "
        "support that loses least by it does without.",
    )


def _first_without(chosen: Chosen) -> tuple[str, float]:
    """Return the first support in site order that the bag is empty for, and of which packer."""
    for place, name in enumerate(chosen.supports.names):
        short = short_of(taken(chosen.stacks[: place + 1]), chosen.stock)
        if short:
            return name, next(iter(short))
    raise ValueError("the bag suffices")  # asked only where it does not


def _of_order(chosen: Chosen) -> Iterator[Mistake]:
    wrong = [
        (name, stack)
        for name, stack in zip(chosen.supports.names, chosen.stacks, strict=True)
        if _thin_outside(stack)
    ]
    if not wrong:
        return
    name, stack = wrong[0]
    on_floor = stack[0] < max(stack) and stack[0] <= _THIN_MM
    thin, where = (stack[0], "the floor") if on_floor else (stack[-1], "top")
    yield Mistake(
        THIN_OUTSIDE,
        f"at {len(wrong)} of {len(chosen.stacks)} supports, so at {name}: {stack_words(stack)} "
        f"has the {thin:g} on {where}",
        _creeps(thin, chosen.thick_mm[thin]),
        f"Thickest on the floor, next thickest on top, the others between: "
        f"{stack_words(laid(stack))}.",
    )


def _thin_outside(stack: Stack) -> bool:
    """Tell whether a thin packer lies on the floor, or on top of a thicker one inside.

    Which of the two thickest lies on the floor is no fault where both are thick.
    """
    inside = max(stack[1:-1], default=0.0)
    thin_below = stack[0] <= _THIN_MM and stack[0] < max(stack)
    return thin_below or min(stack[0], stack[-1]) < inside


def _creeps(printed: float, thick_mm: float) -> Effect:
    hangs = rocks(thick_mm)
    return Effect(f"once the {printed:g} creeps out, {hangs.words}", rock_mm=hangs.rock_mm)


def _of_pieces(chosen: Chosen) -> Iterator[Mistake]:
    pieces = sum(len(stack) for stack in chosen.stacks)
    if pieces <= chosen.plan.pieces + LET_PASS:
        return
    pairs = zip(chosen.stacks, chosen.plan.stacks, strict=True)
    more = max(len(stack) - len(best) for stack, best in pairs)
    yield Mistake(
        TOO_MANY,
        f"{pieces} pieces; with this bag {chosen.plan.pieces} make all heights",
        _closes(more),
        "Try for each support whether two or three thick ones make it before thin ones fill up, "
        "and give the scarce kind to the supports that save most by it.",
    )


def _closes(more: int) -> Effect:
    low = JOINT_MM * more
    gap = gap_between(-low)
    joints = "1 more joint closes" if more == 1 else f"{more} more joints close"
    return Effect(
        f"{joints} in one stack by about {low:.1f} mm under load; {gap.words}",
        gap_mm=gap.gap_mm,
    )


def _way(error_mm: float) -> str:
    return f"{abs(error_mm):.1f} mm too {'high' if error_mm > 0 else 'low'}"
