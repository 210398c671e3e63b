"""Few readings: scripted apprentices, what is known and the worked answer by other means."""

from __future__ import annotations

from collections.abc import Callable

from kit.practice.drills.few_readings import FewReadings
from kit.practice.fields import Values
from kit.practice.moves import Move

DRILL = FewReadings()

ENOUGH: Values = {"said": "enough"}

#: Numbers of stacks in a row, as they are given.
ROW = 9


def stacks(hands) -> dict[str, tuple[float, float]]:
    """Copy the table of stacks."""
    ((_, table),) = hands.attempt.task.given.tables
    return {s: (float(x), float(y)) for s, x, y in table.itertuples(index=False)}


def read(hands, place) -> None:
    """Hold the staff."""
    hands.do(Move("read", {"at": place}))


def read_stacks(hands, numbers, rows="BF") -> None:
    """Hold the staff at some stacks, counted along the row."""
    places = stacks(hands)
    for row in rows:
        for number in numbers:
            read(hands, places[f"{row}{number}"])


def sound(hands) -> Values:
    """Frame the base, ask, read the least known stack, ask again."""
    read_stacks(hands, (1, 5, 9))
    places = stacks(hands)
    while True:
        ((_, table),) = hands.do(Move("ask")).tables
        open_ = table[table["known"] != "yes"]
        if not len(open_):
            return ENOUGH
        worst = open_.sort_values("sd_mm", ascending=False, na_position="first")["stack"].iloc[0]
        read(hands, places[worst])


def reads_along_the_wall(hands) -> Values:
    """Read every second stack along the back; the front will be the same."""
    read_stacks(hands, (1, 3, 5, 7, 9), "B")
    return ENOUGH


def leaves_a_stretch(hands) -> Values:
    """Read at both ends of both rows, two stacks each, nothing over the long middle."""
    read_stacks(hands, (1, 2, 8, 9))
    return ENOUGH


def leaves_the_ends(hands) -> Values:
    """Read where there is room to stand, from the third stack to the last but two."""
    read_stacks(hands, (3, 5, 7))
    return ENOUGH


def reads_the_room(hands) -> Values:
    """Read the whole room on a neat grid, wherever the base will stand."""
    wide, deep = hands.attempt.task.given.room_mm
    for y in (0.2, 0.5, 0.8):
        for x in (0.1, 0.37, 0.63, 0.9):
            read(hands, (round(x * wide), round(y * deep)))
    return ENOUGH


def reads_everything(hands) -> Values:
    """Read every stack and halfway between, to be safe: whoever has all need not ask."""
    places = stacks(hands)
    read_stacks(hands, range(1, ROW + 1))
    for row in "BF":
        for number in range(1, ROW):
            (x, y), (z, _) = places[f"{row}{number}"], places[f"{row}{number + 1}"]
            read(hands, ((x + z) / 2, y))
    return ENOUGH


Script = Callable[..., Values]
CARELESS: dict[str, Script] = {
    "along_only": reads_along_the_wall,
    "stretch_unread": leaves_a_stretch,
    "ends_unread": leaves_the_ends,
    "off_the_base": reads_the_room,
    "too_many": reads_everything,
}
