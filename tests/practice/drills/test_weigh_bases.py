"""Weigh two bases: apprentices, and what they are told."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from kit.practice.drills.weigh_bases import WeighBases
from kit.practice.fields import Values
from kit.practice.moves import Move

DRILL = WeighBases()

LOOKS = ("take_off", "work", "wait", "level", "checks", "floors")
NONE = ""


@dataclass(frozen=True)
class Notes:
    """What an apprentice has written down, by the move that showed it."""

    wish: str
    names: Mapping[str, str]
    seen: Mapping[str, Mapping[str, float]]

    @property
    def hour_price(self) -> float:
        return float(self.wish.split("work at ")[1].split()[0])

    @property
    def deadline(self) -> float:
        return float(self.wish.split("standing within ")[1].split()[0])

    def pay(self, side: str) -> float:
        """For the work."""
        return self.seen["work"][side] * self.hour_price

    def total(self, side: str) -> float:
        return self.seen["take_off"][side] + self.pay(side)


def look(hands, *moves: str) -> Notes:
    """Look, and write down; who knows that nothing is poured has nothing to wait for."""
    given = hands.attempt.task.given
    _, one, other = hands.attempt.task.asked[0].choices
    seen = {
        move: hands.do(Move(move)).figures
        for move in moves
        if move != "wait" or "levelling compound" in (one, other)
    }
    return Notes(
        given.sentences[1], {NONE: "no difference that counts", "a": one, "b": other}, seen
    )


def smaller(a: float, b: float) -> str:
    return NONE if a == b else ("a" if a < b else "b")


def real(notes: Notes, key: str, a: float, b: float, least: float) -> str:
    """Tell which has less, if it counts: large enough, and on 9 of 10 floors the same way."""
    floors = notes.seen["floors"]
    side = smaller(a, b)
    if side == NONE or abs(b - a) <= least or abs(floors[f"{key}_middle"]) <= least:
        return NONE
    return side if floors[f"{key}_{side}_less"] >= 0.9 * floors["floors"] else NONE


def listed(notes: Notes) -> dict[str, str]:
    """Answer the listed differences, work worked out."""
    take_off, work, level = (notes.seen[one] for one in ("take_off", "work", "level"))
    return {
        "cost": real(notes, "cost", take_off["a"], take_off["b"], 0.005),
        "hours": real(notes, "hours", work["a"], work["b"], 0.1 * max(work["a"], work["b"])),
        "things": real(notes, "things", take_off["a_things"], take_off["b_things"], 0.0),
        "level_error_mm": NONE
        if abs(level["a"] - level["b"]) <= 0.1
        else smaller(level["a"], level["b"]),
    }


def in_time(notes: Notes, side: str) -> bool:
    """Hours of work in days of eight, and what dries after them."""
    dries = notes.seen["wait"] if "wait" in notes.seen else {"a": 0.0, "b": 0.0, "day_h": 8.0}
    return math.ceil(notes.seen["work"][side] / dries["day_h"] + dries[side]) <= notes.deadline


def carries(notes: Notes, side: str) -> bool:
    checks = notes.seen["checks"]
    return checks.get(side, 0.0) >= 0 and checks[f"{side}_fails"] == 0


def cheaper(notes: Notes) -> str:
    """Material and work, beyond a tenth of what the dearer work costs."""
    least = 0.1 * max(notes.pay("a"), notes.pay("b"))
    return real(notes, "cost_and_labour", notes.total("a"), notes.total("b"), least)


def choose(left: list[str], cheap: str) -> str:
    """Take the one that is left, or the cheaper of both."""
    return left[0] if len(left) == 1 else cheap


def written(notes: Notes, base: str, rows: Mapping[str, str]) -> Values:
    return {key: notes.names[side] for key, side in {"base": base, **rows}.items()}


def sound(hands) -> Values:
    notes = look(hands, *LOOKS)
    left = [side for side in "ab" if in_time(notes, side) and carries(notes, side)]
    return written(notes, choose(left, cheaper(notes)), listed(notes))


def material_only(hands) -> Values:
    """Price what is bought; hours nobody writes down. Of the hours only what the floors show."""
    notes = look(hands, *(one for one in LOOKS if one != "work"))
    dries = notes.seen.get("wait", {"a": 0.0, "b": 0.0})
    left = [side for side in "ab" if math.ceil(dries[side] + 0.1) <= notes.deadline]
    left = [side for side in left if carries(notes, side)]
    take_off, floors = notes.seen["take_off"], notes.seen["floors"]
    cheap = real(notes, "cost", take_off["a"], take_off["b"], 0.005)
    more = [s for s in "ab" if floors[f"hours_{s}_less"] >= 0.9 * floors["floors"]]
    guess = Notes(notes.wish, notes.names, {**notes.seen, "work": {"a": 0.0, "b": 0.0}})
    rows = {**listed(guess), "hours": more[0] if more else NONE}
    return written(notes, choose(left, cheap), rows)


def wait_forgotten(hands) -> Values:
    """An hour's work stands within the day."""
    notes = look(hands, *(one for one in LOOKS if one != "wait"))
    left = [side for side in "ab" if in_time(notes, side) and carries(notes, side)]
    return written(notes, choose(left, cheaper(notes)), listed(notes))


def check_overlooked(hands) -> Values:
    """It will carry."""
    notes = look(hands, *(one for one in LOOKS if one != "checks"))
    left = [side for side in "ab" if in_time(notes, side)]
    return written(notes, choose(left, cheaper(notes)), listed(notes))


def within_doubt(hands) -> Values:
    """The smaller figure is the smaller figure."""
    notes = look(hands, *(one for one in LOOKS if one != "floors"))
    left = [side for side in "ab" if in_time(notes, side) and carries(notes, side)]
    take_off, work, level = (notes.seen[one] for one in ("take_off", "work", "level"))
    rows = {
        "cost": smaller(take_off["a"], take_off["b"]),
        "hours": smaller(work["a"], work["b"]),
        "things": smaller(take_off["a_things"], take_off["b_things"]),
        "level_error_mm": smaller(level["a"], level["b"]),
    }
    return written(notes, choose(left, smaller(notes.total("a"), notes.total("b"))), rows)


def out(hands) -> Values:
    """Everything looked at, and the two columns exchanged in writing the differences down."""
    notes = look(hands, *LOOKS)
    left = [side for side in "ab" if in_time(notes, side) and carries(notes, side)]
    rows = {key: {"a": "b", "b": "a", NONE: NONE}[side] for key, side in listed(notes).items()}
    return written(notes, choose(left, cheaper(notes)), rows)


CARELESS = [material_only, wait_forgotten, check_overlooked, within_doubt, out]
