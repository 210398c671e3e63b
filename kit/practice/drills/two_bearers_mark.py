"""Marking of the two bearers: by what was looked at, and by how they stand."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from kit.practice.drills.two_bearers_stand import ENDS, ROWS, Bearer, Left, Stand
from kit.practice.effects import UNIT_DEPTH_MM, Effect, lean_across, lean_along, rocks
from kit.practice.fields import number, words
from kit.practice.instruments import Level
from kit.practice.mistakes import (
    ALONG_ONLY,
    GUESSED,
    NEVER_TURNED,
    OUT,
    SHORT_LEVEL,
    Kind,
    Mistake,
)
from kit.practice.moves import Done

#: What is asked [mm/m], [mm/m], [mm].
ALONG_MM_PER_M, ACROSS_MM_PER_M, ROCK_MM = 0.5, 0.5, 0.5

#: Where a short level is turned on its place, its ends lie on the same marks within [mm].
_SAME_PLACE_MM = 10.0

#: What is left out is a level's own error where it is so near to it [mm/m]: what is shown level
#: within, and the eye's 0.2 mm.
_OWN_MM_PER_M = 0.3

_ROUND_OFF = 1e-9

NOT_PRESSED = Kind("not_pressed", "bearer not pressed at its ends",
    "levels a bearer as it lies and never finds, or leaves, that it rocks", 25)  # fmt: skip

KINDS = (GUESSED, NEVER_TURNED, ALONG_ONLY, SHORT_LEVEL, NOT_PRESSED, OUT)

_TURN = (
    "Read each level twice on one place, turned end for end between: half the sum of both "
    "bubbles, each counted towards the end without a mark, is its own error. Take it off."
)
_ACROSS = (
    "Lay the short level from bearer to bearer at both ends: units are shallow and tall, so that "
    "a little across is much at the top."
)
_LONG = (
    "Lay the long level: it reaches from one true place of the bearer to the next; the short one "
    "shows what lies between."
)
_PRESS = (
    "Press every end, before you read a level and when you are done. What goes down wants so much "
    "packed under it, and a little more."
)
_AGAIN = (
    "Work out mm per metre times metres for each packer, and look at everything once more when "
    "all packers are in."
)


@dataclass(frozen=True)
class _Reading:
    """A level that was laid: along or across, where, how marked, after how many changes."""

    kind: str
    where: str
    level: str
    marked: str
    at_mm: float
    changes: int

    def turned(self, other: _Reading) -> bool:
        """Tell whether both are one level on one place, turned, nothing changed between."""
        same = (self.kind, self.where, self.level, self.changes) == (
            other.kind, other.where, other.level, other.changes,
        )  # fmt: skip
        near = self.level == "long" or abs(self.at_mm - other.at_mm) <= _SAME_PLACE_MM
        return same and near and self.marked != other.marked


def mistakes(
    stand: Stand, done: Sequence[Done], packed_mm: Mapping[str, float]
) -> tuple[Mistake, ...]:
    """Tell never turned, along only, short level, not pressed; out where none explains it.

    Parameters
    ----------
    stand : Stand
        As found.
    done : sequence of Done
        Moves and what was seen.
    packed_mm : mapping of str to float
        Stacks as they were left [mm].
    """
    left, read = stand.left(packed_mm), tuple(_readings(done))
    found = (
        *_never_turned(stand, left, read),
        *_along_only(left, read),
        *_short_level(left, read),
        *_not_pressed(stand, left, done, packed_mm),
    )
    return (*found, *_out(stand, left, read, {one.kind for one in found}))


def _readings(done: Sequence[Done]) -> Iterator[_Reading]:
    changes = 0
    for one in done:
        values = one.move.values
        changes += one.move.kind == "pack"
        if one.move.kind == "along":
            level, at = words(values, "level"), number(values, "at")
            where = words(values, "row")
            yield _Reading("along", where, level, words(values, "marked"), at, changes)
        if one.move.kind == "across":
            where = words(values, "end")
            yield _Reading("across", where, "short", words(values, "marked"), 0.0, changes)


def _never_turned(stand: Stand, left: Left, read: Sequence[_Reading]) -> Iterator[Mistake]:
    turned = {one.level for one, other in combinations(read, 2) if one.turned(other)}
    never = [one for one in stand.bag.levels if one.name in {r.level for r in read} - turned]
    if not never:
        return
    said = "; ".join(
        f"the {one.name} level was laid {sum(r.level == one.name for r in read)} times and not "
        f"once turned on its place; it shows {one.own_error_mm_per_m:+.1f} mm/m by itself"
        for one in never
    )
    worst = max(never, key=lambda one: abs(one.own_error_mm_per_m))
    would = lean_along(worst.own_error_mm_per_m, 1000.0)
    laid = {one.kind for one in read if one.level in {level.name for level in never}}
    yield Mistake(NEVER_TURNED, said, _effect(left, laid, would), _TURN)


def _along_only(left: Left, read: Sequence[_Reading]) -> Iterator[Mistake]:
    if not read or any(one.kind == "across" for one in read):
        return
    end, across = max(left.across_mm_per_m.items(), key=lambda one: abs(one[1]))
    said = f"no level was laid from bearer to bearer; {_across_words(end, across)}"
    yield Mistake(ALONG_ONLY, said, _across(across), _ACROSS)


def _short_level(left: Left, read: Sequence[_Reading]) -> Iterator[Mistake]:
    along = [one for one in read if one.kind == "along"]
    long = {one.where for one in along if one.level == "long"}
    short = {one.where for one in along} - long
    out = {row for row in short if abs(left.along_mm_per_m[row]) > ALONG_MM_PER_M + _ROUND_OFF}
    if not short or (long and not out):
        return
    row = max((row for row in ROWS if row in short), key=lambda one: abs(left.along_mm_per_m[one]))
    worst = left.along_mm_per_m[row]
    said = (
        f"the {' and the '.join(row for row in ROWS if row in short)} bearer was read along with "
        f"the short level alone; {_along_words(row, worst)}"
    )
    yield Mistake(SHORT_LEVEL, said, lean_along(-worst, 1000.0), _LONG)


def _not_pressed(
    stand: Stand, left: Left, done: Sequence[Done], packed_mm: Mapping[str, float]
) -> Iterator[Mistake]:
    (row, end), drop = max(left.drop_mm.items(), key=lambda one: one[1])
    if drop > ROCK_MM + _ROUND_OFF:
        said = f"the {row} bearer goes down {drop:.1f} mm when its {end} end is pressed"
        yield Mistake(NOT_PRESSED, said, rocks(drop), _PRESS)
        return
    found = {stack: sum(packers) for stack, packers in stand.packers.items()}
    for bearer in (stand.back, stand.front):
        rocked = max(bearer.drop_mm(found, one) for one in ENDS)
        if rocked > ROCK_MM and not (
            _pressed(done, bearer.row) or _clear(bearer, found, packed_mm)
        ):
            said = (
                f"the {bearer.row} bearer was never pressed at both ends; as found it rocked "
                f"{rocked:.1f} mm, and that it does not now is luck"
            )
            yield Mistake(NOT_PRESSED, said, rocks(rocked), _PRESS)
            return


def _pressed(done: Sequence[Done], row: str) -> bool:
    """Tell whether both ends were pressed, or one that went down: then the rock was found."""
    presses = [one for one in done if one.move.kind == "press" and one.move.values["row"] == row]
    found = any(number(one.seen.figures, "drop_mm") for one in presses)
    return found or {one.move.values["end"] for one in presses} == set(ENDS)


def _clear(bearer: Bearer, found: Mapping[str, float], packed_mm: Mapping[str, float]) -> bool:
    """Tell whether all inner stacks were taken down, so that it stands on its outer two."""
    return all(packed_mm[stack] < found[stack] for stack in bearer.stacks[1:-1])


def _out(stand: Stand, left: Left, read: Sequence[_Reading], kinds: set[Kind]) -> Iterator[Mistake]:
    """Yield what is left out, where no kind that was found explains it."""
    said = {}
    if not kinds & {NEVER_TURNED, SHORT_LEVEL}:
        said["along"] = _along_out(stand.bag.level("long"), left, read)
    if not kinds & {NEVER_TURNED, ALONG_ONLY}:
        said["across"] = _across_out(stand.bag.level("short"), left, read)
    said = {kind: one for kind, one in said.items() if one}
    if said:
        yield Mistake(OUT, "; ".join(said.values()), _effect(left, said, Effect("")), _AGAIN)


def _along_out(level: Level, left: Left, read: Sequence[_Reading]) -> str:
    row, out = max(left.along_mm_per_m.items(), key=lambda one: abs(one[1]))
    if abs(out) <= ALONG_MM_PER_M + _ROUND_OFF:
        return ""
    there = [one for one in read if one.kind == "along"]
    limit = f" (limit {ALONG_MM_PER_M:g})"
    return f"{_along_words(row, out)}{limit}{_because(level, out, there)}"


def _across_out(level: Level, left: Left, read: Sequence[_Reading]) -> str:
    end, out = max(left.across_mm_per_m.items(), key=lambda one: abs(one[1]))
    if abs(out) <= ACROSS_MM_PER_M + _ROUND_OFF:
        return ""
    there = [one for one in read if one.kind == "across" and one.where == end]
    limit = f" (limit {ACROSS_MM_PER_M:g})"
    never = "" if there else ", where no level was laid across"
    return f"{_across_words(end, out)}{limit}{never}{_because(level, out, there)}"


def _because(level: Level, out_mm_per_m: float, read: Sequence[_Reading]) -> str:
    """Return why it is out, where it was read and is out by what the level shows by itself."""
    own = level.own_error_mm_per_m
    if not read or abs(out_mm_per_m + own) > _OWN_MM_PER_M:
        return ""
    return f", about what the {level.name} level shows wrongly by itself, {abs(own):.1f} mm/m"


def _along_words(row: str, mm_per_m: float) -> str:
    return (
        f"the {row} bearer {'rises' if mm_per_m > 0 else 'falls'} {abs(mm_per_m):.1f} mm/m to the "
        "right"
    )


def _across_words(end: str, mm_per_m: float) -> str:
    way = "higher" if mm_per_m > 0 else "lower"
    return f"at the {end} end the front lies {abs(mm_per_m):.1f} mm/m {way} than the back"


def _worst(figures: Mapping[str, float]) -> float:
    return max(figures.values(), key=abs)


def _across(mm_per_m: float) -> Effect:
    return lean_across(mm_per_m * UNIT_DEPTH_MM / 1000)


def _effect(left: Left, laid: Collection[str], would: Effect) -> Effect:
    """Return what stands out of level most, of what a level was laid for.

    What would have been where nothing does.
    """
    along, across = _worst(left.along_mm_per_m), _worst(left.across_mm_per_m)
    out = {"along": abs(along) / ALONG_MM_PER_M, "across": abs(across) / ACROSS_MM_PER_M}
    worst = max(sorted(laid), key=lambda kind: out[kind])
    if out[worst] <= 1:
        return replace(would, words=f"this time it came right; levelled by it, {would.words}")
    return _across(across) if worst == "across" else lean_along(-along, 1000.0)
