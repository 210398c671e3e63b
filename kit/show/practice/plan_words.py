"""What a practice plan shows, in words for those who do not see it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kit.practice.drill import Given
from kit.practice.floors import PracticeFloor
from kit.practice.moves import Done, OnPlan, Place
from kit.show.practice.floor_map import fall_words, floor_map


def plan_words(
    given: Given,
    done: Sequence[Done],
    revealed: Sequence[OnPlan],
    floor: Sequence[PracticeFloor],
    room_mm: Place,
) -> str:
    """Return the words of a plan: the room, what was given, what moves put down, the truth."""
    return " ".join(_sentences(given, done, revealed, floor, room_mm))


def _sentences(
    given: Given,
    done: Sequence[Done],
    revealed: Sequence[OnPlan],
    floor: Sequence[PracticeFloor],
    room_mm: Place,
) -> Iterator[str]:
    yield f"Plan of a room {room_mm[0]:g} mm wide and {room_mm[1]:g} mm deep, wall at the top."
    if given.on_plan:
        yield f"Given: {'; '.join(thing_words(one) for one in given.on_plan)}."
    laid = [(n, one.seen.on_plan) for n, one in enumerate(done, start=1) if one.seen.on_plan]
    for number, things in laid[-1:]:
        yield f"Newest, move {number}: {'; '.join(thing_words(one) for one in things)}."
    for number, things in laid[-2::-1]:
        yield f"Move {number}: {'; '.join(thing_words(one) for one in things)}."
    if revealed:
        yield f"The truth: {'; '.join(thing_words(one) for one in revealed)}."
    for one in floor:
        yield from floor_sentences(one)


def thing_words(thing: OnPlan) -> str:
    """Return what lies on a plan, and where [mm]."""
    where = [f"x {x:.0f}, y {y:.0f} mm" for x, y in thing.places_mm]
    name = f"{thing.label} " if thing.label else ""
    if thing.kind == "line":
        return f"{name}from {where[0]} to {where[1]}"
    if thing.kind == "outline":
        return f"{name}between {where[0]} and {where[1]}"
    return f"{name}at {', '.join(where)}"


def floor_sentences(floor: PracticeFloor) -> Iterator[str]:
    """Return what a floor is like: its fall, humps and hollows, what it hides."""
    one = floor_map(floor)
    yield (
        f"The floor {fall_words(one).replace('no fall', 'has no fall')}; against that its hollows"
        f" reach {one.residual_mm.min():+.1f} mm and its humps {one.residual_mm.max():+.1f} mm."
    )
    for board in floor.loose:
        left, wide = board.patch.left_mm, board.patch.width_mm
        yield f"Loose board {board.proud_mm:.1f} mm proud, x {left:.0f} to {left + wide:.0f} mm."
    for soft in floor.soft:
        at = f"x {soft.x_mm:.0f}, y {soft.y_mm:.0f} mm"
        yield f"Gives {soft.give_mm:.1f} mm underfoot at {at}."
    for zone in floor.heated:
        left, wide = zone.left_mm, zone.width_mm
        yield f"Heating under the boards, x {left:.0f} to {left + wide:.0f} mm."
