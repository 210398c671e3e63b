"""Front lift: scripted apprentices, the joists' sag against a general frame library."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Protocol

from kit.practice.attempt import Attempt
from kit.practice.drill import Drill
from kit.practice.drills.front_lift import FrontLift
from kit.practice.fields import Values
from kit.practice.marking import Marked
from kit.practice.moves import Move, Seen

DRILL = FrontLift()


class Hands(Protocol):
    """What a script has: the attempt as shown, and moves."""

    attempt: Attempt

    def do(self, move: Move) -> Seen: ...


Script = Callable[[Hands], Values]
Begun = Callable[[Drill], Sequence[Attempt]]
Play = Callable[[Attempt, Script], Marked]


def full_kg(hands: Hands) -> dict[str, float]:
    table = hands.attempt.task.given.tables[0][1].set_index("row")
    return {str(row): float(kg) for row, kg in table["full_load_kg"].items()}


def bags_there(hands: Hands) -> int:
    """As many as the form of the move takes."""
    return int(hands.attempt.task.forms[0].fields[1].most)


def load(hands: Hands, row: str, bags: int) -> None:
    hands.do(Move("load", {"row": row, "bags": float(bags)}))


def down(hands: Hands, row: str) -> float:
    return float(hands.do(Move("gauge", {"row": row})).figures["sag_mm"])


def all_on(hands: Hands, row: str) -> float:
    """As many bags on one row as may lie there; return how many times its full load is that."""
    full = full_kg(hands)[row]
    bags = min(bags_there(hands), int(full // 25))
    load(hands, row, bags)
    return full / (25 * bags)


def sound(hands: Hands) -> Values:
    """One row after the other with all that may lie on it, both gauges each time, added up."""
    lift = 0.0
    for row in ("front", "back"):
        times = all_on(hands, row)
        lift += times * (down(hands, "front") - down(hands, "back"))
        load(hands, row, 0)
    return {"lift": round(lift, 2)}


def shared(hands: Hands) -> float:
    """All bags on both rows, shared as the full load is; return how many times heavier it is."""
    full = full_kg(hands)
    front = round(bags_there(hands) * full["front"] / sum(full.values()))
    load(hands, "front", front)
    load(hands, "back", bags_there(hands) - front)
    return sum(full.values()) / (25 * bags_there(hands))


def no_lift(hands: Hands) -> Values:  # noqa: ARG001 - puts nothing on the floor
    """Levels it empty."""
    return {"lift": 0.0}


def front_only(hands: Hands) -> Values:
    """Shared and scaled, but looks at the front gauge alone."""
    times = shared(hands)
    return {"lift": round(times * down(hands, "front"), 1)}


def not_scaled(hands: Hands) -> Values:
    """Shared, both gauges; what they show is taken as it is."""
    shared(hands)
    return {"lift": round(down(hands, "front") - down(hands, "back"), 1)}


def wrong_sign(hands: Hands) -> Values:
    """The front goes down, so it is set down."""
    times = shared(hands)
    return {"lift": round(times * (down(hands, "back") - down(hands, "front")), 1)}


def one_row(hands: Hands) -> Values:
    """Loads the front row, both gauges, scaled; that the back row is loaded too is forgotten."""
    times = all_on(hands, "front")
    return {"lift": round(times * (down(hands, "front") - down(hands, "back")), 1)}


def booked_wrong(hands: Hands) -> Values:
    """Sound work; 1.0 too much is written down."""
    return {"lift": round(float(sound(hands)["lift"]) + 1.0, 2)}
