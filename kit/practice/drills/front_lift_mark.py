"""Marking of the front lift: which way of working explains the answer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from kit.practice.drills.front_lift_joists import BAG_KG, ROWS, Joists
from kit.practice.effects import UNIT_DEPTH_MM, Effect, lean_across
from kit.practice.fields import Values, number, words
from kit.practice.mistakes import OUT, WRONG_SIGN, Kind, Mistake
from kit.practice.moves import Done

LIMIT_MM = 0.3

#: An answer copied from gauges is theirs to the last figure [mm].
_COPIED_MM = 0.005

#: A lift that is none: nobody packs less [mm].
_NOTHING_MM = 0.1

_ROUND_OFF = 1e-9

NO_LIFT = Kind("no_lift", "levelled it empty",
    "sets the base level on the empty floor and leaves out what full units do", 25)  # fmt: skip
FRONT_ONLY = Kind("front_only", "took the front's settlement alone",
    "lifts the front by all that it goes down, as if the back stayed where it is", 25)  # fmt: skip
NOT_SCALED = Kind("not_scaled", "took the bags for the full load",
    "lifts by what the gauges show under the bags, however heavy the full load is", 25)  # fmt: skip
ONE_ROW = Kind("one_row_loaded", "loaded one row and forgot the other",
    "works with one row's load alone, as if the other row stood empty", 20)  # fmt: skip

KINDS = (NO_LIFT, FRONT_ONLY, NOT_SCALED, ONE_ROW, WRONG_SIGN, OUT)

_SOUND = {
    NO_LIFT: "Load the floor before you set the base, and set the front high by what it goes down "
    "more than the back.",
    FRONT_ONLY: "Read both gauges under the same bags: the back row goes down too, and only the "
    "difference tilts the base.",
    NOT_SCALED: "Multiply by the full load over the load of the bags that lay there.",
    ONE_ROW: "Load both rows, shared as the full load is; or one after the other, and add up what "
    "both do.",
    WRONG_SIGN: "What goes down more is set high: the load brings it down to level.",
    OUT: "Write down bags and both gauges for each load, and work it out twice.",
}


@dataclass(frozen=True)
class _Read:
    """Gauges read under one load: masses on rows [kg], what the gauges showed [mm]."""

    kg: dict[str, float]
    sags_mm: dict[str, float]

    @property
    def loaded(self) -> frozenset[str]:
        return frozenset(row for row in ROWS if self.kg[row])

    @property
    def both(self) -> bool:
        return len(self.sags_mm) == len(ROWS)

    @property
    def more_mm(self) -> float:
        return self.sags_mm["front"] - self.sags_mm["back"]


def mistakes(joists: Joists, done: Sequence[Done], answer: Values) -> tuple[Mistake, ...]:
    """Tell what explains an answer that is out.

    Parameters
    ----------
    joists : Joists
        The truth.
    done : sequence of Done
        Moves and what was seen.
    answer : mapping
        ``lift`` [mm].
    """
    said, lift = number(answer, "lift"), joists.lift_mm(joists.full_kg)
    if abs(said - lift) <= LIMIT_MM + _ROUND_OFF:
        return ()
    words_said, kinds = _why(joists, [one for one in _reads(done) if one.loaded], said)
    sentence = f"answered {said:+g} mm, where {lift:.1f} mm are wanted: {words_said}"
    effect = _effect(joists, said - lift)
    return tuple(Mistake(kind, sentence, effect, _SOUND[kind]) for kind in kinds)


def _why(joists: Joists, reads: Sequence[_Read], said: float) -> tuple[str, tuple[Kind, ...]]:
    if abs(said) <= _NOTHING_MM:
        return "it was levelled as the empty floor lies", (NO_LIFT,)
    for value, within, what, kinds in _ways(joists, reads):
        if abs(said - value) <= within + _ROUND_OFF:
            return what, kinds
    return "neither the load, the gauges nor the scale explains it", (OUT,)


def _ways(
    joists: Joists, reads: Sequence[_Read]
) -> Iterator[tuple[float, float, str, tuple[Kind, ...]]]:
    """Yield what ways of working give [mm], how near an answer must be, the kinds; plain first."""
    lift, full = joists.lift_mm(joists.full_kg), joists.sags_mm(joists.full_kg)
    yield -lift, LIMIT_MM, "that sets the front low by it", (WRONG_SIGN,)
    alone = _alone(reads)
    for row in alone:
        one_row = {other: joists.full_kg[row] if other == row else 0.0 for other in ROWS}
        said = f"the {row} row was loaded alone; full, the other one pulls the joists down too"
        yield joists.lift_mm(one_row), LIMIT_MM, said, (ONE_ROW,)
        front = joists.sags_mm(one_row)["front"]
        yield front, LIMIT_MM, f"{said}, and the back goes down as well", (FRONT_ONLY, ONE_ROW)
    both = [one.more_mm for one in reads if one.both]
    for value in dict.fromkeys((*both, sum(both))):
        said = f"the gauges differed by {value:.1f} mm under the bags"
        yield value, _COPIED_MM, said, (NOT_SCALED, ONE_ROW) if alone else (NOT_SCALED,)
    said = f"the front goes down {full['front']:.1f} mm, but the back {full['back']:.1f} mm too"
    yield full["front"], LIMIT_MM, said, (FRONT_ONLY,)
    for one in reads:
        if "front" in one.sags_mm:
            said = f"the front gauge showed {one.sags_mm['front']:.1f} mm under the bags"
            yield one.sags_mm["front"], _COPIED_MM, said, (FRONT_ONLY, NOT_SCALED)


def _alone(reads: Sequence[_Read]) -> tuple[str, ...]:
    """Return the row that was loaded alone, if gauges were read under no other load."""
    loaded = {row for one in reads for row in one.loaded}
    return tuple(loaded) if len(loaded) == 1 else ()


def _reads(done: Sequence[Done]) -> Iterator[_Read]:
    """Yield what was read under each load, in order."""
    lying, steps = dict.fromkeys(ROWS, 0.0), []
    for one in done:
        row = words(one.move.values, "row") if one.move.kind in ("load", "gauge") else ""
        if one.move.kind == "load":
            lying = {**lying, row: BAG_KG * number(one.move.values, "bags")}
        if one.move.kind == "gauge":
            steps.append((lying, row, number(one.seen.figures, "sag_mm")))
    for kg, group in groupby(steps, key=lambda step: step[0]):
        yield _Read(kg, {row: sag for _, row, sag in group})


def _effect(joists: Joists, out_mm: float) -> Effect:
    """Return how a full unit leans whose front is out by so much over the depth of the base."""
    return lean_across(out_mm * UNIT_DEPTH_MM / joists.depth_mm)
