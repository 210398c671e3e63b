"""Stacks that a person has moved: where they stand then, and why they cannot stand there.

The rules place every stack first; a move takes one of them along its bearer. What the rules hold
for their own places holds for these: the side or division stays on its packer, packers lie whole
under the bearer, keep off no-go areas and off each other, and no span becomes too long. Rules
without a source are common practice.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from kit.base.no_go import SAME_PLACE_MM, ClosedArea
from kit.base.runs import Row
from kit.base.supports import Stand, with_levers
from kit.job.model import SAME_STACK_MM, Moved


@dataclass(frozen=True)
class Wrong:
    """Why a stack cannot stand where it was moved to.

    Parameters
    ----------
    number : int
        Which stack of the row, from 0.
    found, allowed : str
        As in `kit.job.Problem`.
    """

    number: int
    found: str
    allowed: str


@dataclass(frozen=True)
class Rules:
    """What a row's stacks must keep to.

    Parameters
    ----------
    packer_mm, max_span_mm : float
        Length of a packer along the bearer; longest distance of neighbouring stacks [mm].
    areas : sequence of ClosedArea
        Where no packer's centre may be.
    """

    packer_mm: float
    max_span_mm: float
    areas: Sequence[ClosedArea]


def moved_stands(stands: Sequence[Stand], moves: Sequence[Moved]) -> tuple[Stand, ...]:
    """Return the stacks of a row with those moved that a move names.

    Parameters
    ----------
    stands : sequence of Stand
        Where the rules place them, from left to right.
    moves : sequence of Moved
        The moves of this bearer; those that name no stack are left to `orphans`.

    Returns
    -------
    tuple of Stand
        In the same order; a moved one has the further reason "by_hand".
    """
    if not moves:
        return tuple(stands)
    return with_levers([_moved(stand, moves) for stand in stands])


def _moved(stand: Stand, moves: Sequence[Moved]) -> Stand:
    move = next((move for move in moves if _is_of(move, stand)), None)
    if move is None:
        return stand
    return replace(
        stand,
        x_mm=move.to_mm,
        shift_mm=move.to_mm - stand.x_mm,
        reasons=stand.reasons | {"by_hand"},
    )


def _is_of(move: Moved, stand: Stand) -> bool:
    return abs(move.from_mm - stand.rules_mm) <= SAME_STACK_MM


def orphans(stands: Sequence[Stand], moves: Sequence[Moved]) -> list[Moved]:
    """Return the moves of a bearer that are of no stack that the rules place there."""
    return [move for move in moves if not any(_is_of(move, stand) for stand in stands)]


def what_is_wrong(row: Row, stands: Sequence[Stand], rules: Rules) -> Iterator[Wrong]:
    """Yield why moved stacks of a row cannot stand where they are.

    Parameters
    ----------
    row : Row
        The bearer.
    stands : sequence of Stand
        From `moved_stands`.
    rules : Rules
        What they must keep to.

    Yields
    ------
    Wrong
        One for each thing, at the moved stack; of two the one that was moved further.
    """
    moved = [(number, stand) for number, stand in enumerate(stands) if "by_hand" in stand.reasons]
    for number, stand in moved:
        for found, allowed in _alone(row, stand, rules):
            yield Wrong(number, found, allowed)
    if moved:
        yield from _between(stands, rules)


def _alone(row: Row, stand: Stand, rules: Rules) -> Iterator[tuple[str, str]]:
    half, x = rules.packer_mm / 2, stand.x_mm
    low, high = row.start_mm + half, row.end_mm - half
    missed = [line for line in stand.lines if abs(x - line) > _reach(stand, line, half)]
    if missed:
        side = ", ".join(f"{line:g}" for line in missed)
        yield (
            f"at {x:g} mm, so that the side or division at {side} mm is left without a stack",
            f"within {half:g} mm of it, half a packer",
        )
    if not low - SAME_PLACE_MM <= x <= high + SAME_PLACE_MM:
        yield (
            f"at {x:g} mm, so that its packers do not lie whole under bearer {row.name}",
            f"from {low:g} to {high:g} mm",
        )
    elif "end" in stand.reasons and not stand.lines and abs(stand.shift_mm) > rules.packer_mm:
        yield (
            f"{abs(stand.shift_mm):g} mm in from the end of bearer {row.name}, which it carries",
            f"at most {rules.packer_mm:g} mm, a packer's length",
        )
    for area in rules.areas:
        if area.holds(x):
            yield (
                f"at {x:g} mm, {area.words}",
                f"up to {area.left:g} mm or from {area.right:g} mm",
            )


def _reach(stand: Stand, line: float, half_mm: float) -> float:
    """Return how far a panel may be from its stack: where the rules had it further, so far."""
    return max(half_mm, abs(stand.rules_mm - line)) + SAME_PLACE_MM


def _between(stands: Sequence[Stand], rules: Rules) -> Iterator[Wrong]:
    for number, (left, right) in enumerate(pairwise(stands)):
        blamed = number if abs(left.shift_mm) > abs(right.shift_mm) else number + 1
        if "by_hand" not in stands[blamed].reasons:
            continue
        apart = right.x_mm - left.x_mm
        if apart < rules.packer_mm - SAME_PLACE_MM:
            yield Wrong(
                blamed,
                f"packers that overlap: {apart:g} mm between its centre and its neighbour's",
                f"at least {rules.packer_mm:g} mm, a packer's length",
            )
        elif apart > rules.max_span_mm + SAME_PLACE_MM:
            yield Wrong(
                blamed,
                f"a span of {apart:g} mm from {left.x_mm:g} to {right.x_mm:g} mm",
                f"at most max_span_mm = {rules.max_span_mm:g} mm",
            )
