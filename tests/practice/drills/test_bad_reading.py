"""Find the bad reading: scripted apprentices, the sheet and its worked answer by other means."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from kit.practice.drills.bad_reading import BadReading
from kit.practice.fields import Values
from kit.practice.moves import Move

DRILL = BadReading()

MORNING, AFTERNOON = "morning", "afternoon"


# What an apprentice can do with paper and staff.


def sheets(hands) -> dict[str, dict[str, float]]:
    """Copy the two booked tables: set-up to point to reading."""
    tables = [table for _, table in hands.attempt.task.given.tables]
    return {
        name: dict(zip(table["point"], table["staff_mm"], strict=True))
        for name, table in zip((MORNING, AFTERNOON), tables, strict=True)
    }


def hold(hands, point: str) -> float:
    """Hold the staff and read it."""
    return float(hands.do(Move("hold", {"point": point})).figures["reading_mm"])


def disagreeing(booked) -> tuple[list[str], list[str]]:
    """Compare what was read twice: those that do not fit the most, and those that do."""
    differ = {p: booked[AFTERNOON][p] - r for p, r in booked[MORNING].items()
              if p in booked[AFTERNOON]}  # fmt: skip
    usual = float(np.median(list(differ.values())))
    odd = [p for p, d in differ.items() if abs(d - usual) > 2]
    return odd, [p for p in differ if p not in odd]


def named(booked_mm: float, should_mm: float, two: bool) -> str:
    """Name a slip by its size, as one would on site."""
    out = abs(booked_mm - should_mm)
    if two:
        return "two points' readings exchanged"
    if abs(out - 10) < 2:
        return "10 mm out"
    return "100 mm out" if abs(out - 100) < 2 else "two neighbouring digits exchanged"


def answer(point: str, set_up: str, booked, should_mm: float, odd: list[str]) -> Values:
    """Write the answer down."""
    slip = named(booked[set_up][point], should_mm, len(odd) > 1)
    return {"point": point, "set_up": set_up, "slip": slip, "right": should_mm}


def expected(held, booked, set_up: str, point: str, good: list[str]) -> float:
    """Bring a new reading to an old line by points that are good there."""
    here = [p for p in good if p in held and p in booked[set_up]]
    return held[point] - float(np.mean([held[p] - booked[set_up][p] for p in here]))


def wrong_one(held, booked, point: str, good: list[str]) -> str:
    """Tell the set-up that disagrees with the new reading."""
    off = {s: abs(booked[s][point] - expected(held, booked, s, point, good)) for s in booked}
    return max(off, key=lambda s: off[s])


# The apprentices.


def sound(hands) -> Values:
    """Compare what was read twice, hold the staff on the odd points and two good ones."""
    booked = sheets(hands)
    odd, good = disagreeing(booked)
    hands.do(Move("set_up"))
    held = {p: hold(hands, p) for p in (good[0], good[-1], *odd)}
    bad = wrong_one(held, booked, odd[0], good)
    return answer(odd[0], bad, booked, expected(held, booked, bad, odd[0], good), odd)


def out_of_plane(booked) -> tuple[str, str, float]:
    """Find the reading that lies furthest off the floor around it: set-up, point, how far."""

    def miss(places, readings):
        design = np.column_stack([np.ones(len(readings)), places])
        return readings - design @ np.linalg.lstsq(design, readings, rcond=None)[0]

    found = []
    for set_up, table in booked.items():
        off = miss(table[["x_mm", "y_mm"]].to_numpy(), table["staff_mm"].to_numpy())
        k = int(np.argmax(abs(off)))
        found.append((abs(off[k]), set_up, str(table["point"][k]), float(off[k])))
    _, set_up, point, off = max(found)
    return set_up, point, off


def tables_of(hands) -> dict[str, object]:
    """Return the booked tables with their places."""
    return dict(zip((MORNING, AFTERNOON), (t for _, t in hands.attempt.task.given.tables),
                    strict=True))  # fmt: skip


def blames_the_floor(hands) -> Values:
    """Draw the heights, see one that stands up or lies low, and call that reading bad."""
    set_up, point, off = out_of_plane(tables_of(hands))
    booked = sheets(hands)
    should = round(2 * (booked[set_up][point] - off)) / 2
    return {"point": point, "set_up": set_up, "slip": "10 mm out", "right": should}


def does_not_confirm(hands) -> Values:
    """Find the point by comparing, choose the set-up by the look of the floor, strike it out."""
    booked, tables = sheets(hands), tables_of(hands)
    odd, good = disagreeing(booked)
    point = odd[0]

    def looks(set_up: str) -> float:
        table = tables[set_up]
        x, y = table.set_index("point").loc[point, ["x_mm", "y_mm"]]
        near = table[(abs(table["y_mm"] - y) < 200) & (table["point"] != point)]
        order = (near["x_mm"] - x).abs().argsort()[:2]
        return abs(booked[set_up][point] - float(near["staff_mm"].iloc[order].mean()))

    bad = max(booked, key=looks)
    other = AFTERNOON if bad == MORNING else MORNING
    apart = float(np.mean([booked[bad][p] - booked[other][p] for p in good]))
    return answer(point, bad, booked, booked[other][point] + apart, odd)


def takes_the_wrong_set_up(hands) -> Values:
    """Do all of it, and change the good reading to fit the bad one: columns mixed up."""
    booked = sheets(hands)
    odd, good = disagreeing(booked)
    hands.do(Move("set_up"))
    held = {p: hold(hands, p) for p in (good[0], good[1], *odd)}
    bad = wrong_one(held, booked, odd[0], good)
    other = AFTERNOON if bad == MORNING else MORNING
    apart = float(np.mean([booked[other][p] - booked[bad][p] for p in good]))
    return answer(odd[0], other, booked, booked[bad][odd[0]] + apart, odd)


def reads_all_again(hands) -> Values:
    """Hold the staff on every point again, then compare."""
    booked = sheets(hands)
    odd, good = disagreeing(booked)
    hands.do(Move("set_up"))
    held = {p: hold(hands, p) for p in dict.fromkeys((*booked[MORNING], *booked[AFTERNOON]))}
    bad = wrong_one(held, booked, odd[0], good)
    return answer(odd[0], bad, booked, expected(held, booked, bad, odd[0], good), odd)


def keeps_the_new_line(hands) -> Values:
    """Do all of it, and write down the new reading itself, though it is of another line."""
    booked = sheets(hands)
    odd, good = disagreeing(booked)
    hands.do(Move("set_up"))
    held = {p: hold(hands, p) for p in (good[0], good[1], *odd)}
    bad = wrong_one(held, booked, odd[0], good)
    slip = named(booked[bad][odd[0]], expected(held, booked, bad, odd[0], good), len(odd) > 1)
    return {"point": odd[0], "set_up": bad, "slip": slip, "right": held[odd[0]]}


Script = Callable[..., Values]
CARELESS: dict[str, Script] = {
    "blamed_the_floor": blames_the_floor,
    "not_confirmed": does_not_confirm,
    "wrong_set_up": takes_the_wrong_set_up,
    "read_all_again": reads_all_again,
    "out": keeps_the_new_line,
}
