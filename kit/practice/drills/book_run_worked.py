"""A sound run: on packers, turned on every leg, there and back, the misclosure spread."""

from __future__ import annotations

import numpy as np
import pandas as pd

from kit.practice.drill import Worked
from kit.practice.drills.book_run_line import (
    LEGS,
    LONG_MM,
    POINTS,
    THERE,
    Leg,
    book,
    booked,
    carried,
    leg_words,
    misclosure,
    places,
    spread,
    write_down,
)
from kit.practice.fields import number
from kit.practice.instruments import TRAVEL_MM
from kit.practice.moves import Done
from kit.practice.tools import Tools, lay, turned

#: Packers under both ends that lift a level clear, and by how much the low end is lifted more
#: where the bubble goes to the end of its glass [mm].
_CLEAR_MM, _MORE_MM = 20.0, 8.0


def worked(tools: Tools) -> Worked:
    """Work the drill."""
    done: tuple[Done, ...] = ()
    for leg in LEGS:
        done, rise = _read(tools, done, leg)
        move = book(leg, rise)
        done = (*done, Done(move, write_down(done, move)))
    rises = booked(done)
    heights = {point: round(height, 2) for point, height in spread(rises).items()}
    missed = round(misclosure(rises), 2)
    return Worked(
        {**heights, "misclosure": missed},
        done,
        _why(rises, missed),
        (("Heights above A", _table(tools, rises)),),
        floor=(tools.floor,),
    )


def _read(tools: Tools, done: tuple[Done, ...], leg: Leg) -> tuple[tuple[Done, ...], float]:
    """Lay the level along a leg on packers, turn it, and return the mean rise, to 0.01 mm."""
    under = (_CLEAR_MM, _CLEAR_MM)
    first, second = (places()[point] for point in leg)
    while True:
        move = lay("long", first, second, under)
        bubbles = []
        for way in (move, turned(move)):
            done = (*done, Done(way, tools.do(done, way)))
            bubbles.append(number(done[-1].seen.figures, "bubble_mm"))
            if abs(bubbles[-1]) >= TRAVEL_MM:
                break
        else:
            slope = (bubbles[0] - bubbles[1]) / 2
            return done, round(slope * LONG_MM / 1000 + under[0] - under[1], 2)
        low = bubbles[-1] * (1 if len(bubbles) == 1 else -1) > 0  # the first point is the low one
        under = (under[0] + _MORE_MM * low, under[1] + _MORE_MM * (not low))


def _why(rises: dict[Leg, float], missed: float) -> tuple[str, ...]:
    there = ", ".join(f"{leg_words(leg)} {rises[leg]:+g}" for leg in THERE)
    back = ", ".join(f"{leg_words(leg)} {rises[leg]:+g}" for leg in LEGS[len(THERE) :])
    return (
        "Packers under both ends lift the level clear of the floor between the points; each leg "
        "is read with the level both ways round, and the mean is booked.",
        f"There: {there} mm. Back: {back} mm.",
        _shared(missed),
    )


def _shared(missed: float) -> str:
    if missed == 0:
        return "All eight add up to 0: the run closes, and there is no misclosure to share out."
    return (
        f"All eight add up to {missed:+g} mm, the misclosure: an eighth of it, "
        f"{missed / len(LEGS):+.2f} mm, is taken off every leg."
    )


def true_heights(tools: Tools) -> dict[str, float]:
    """Return how high B to E are above A [mm]."""
    x, y = (np.array([place[axis] for place in places().values()]) for axis in (0, 1))
    z = tools.floor.heights_mm(x, y)
    return {point: float(height - z[0]) for point, height in zip(POINTS[1:], z[1:], strict=True)}


def _table(tools: Tools, rises: dict[Leg, float]) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "point": POINTS[1:],
            "as_carried_mm": np.round(list(carried(rises).values()), 2),
            "spread_mm": np.round(list(spread(rises).values()), 2),
            "true_mm": np.round(list(true_heights(tools).values()), 2),
        }
    )
