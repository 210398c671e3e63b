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

#: What gauges showed is written down to a tenth, or rounded to a half [mm].
_COPIED_MM, _HALF_MM = 0.05, 0.5

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
    OUT: "Load both rows with as many bags as may lie there, read both gauges, write all of it "
    "down, and work it out twice: a tenth on a gauge counts as many times over as the full load is "
    "heavier.",
}


@dataclass(frozen=True)
class _Way:
    """A way of working: the lift it gives, how near to it an answer must be [mm], the kinds."""

    lift_mm: float
    within_mm: float
    what: str
    kinds: tuple[Kind, ...]

    @property
    def with_wrong_sign(self) -> _Way:
        """The same with high taken for low."""
        what = "that sets the front low" + (f"; {self.what}" if self.what else "")
        return _Way(-self.lift_mm, self.within_mm, what, (*self.kinds, WRONG_SIGN))

    def explains(self, said_mm: float) -> bool:
        """Tell whether an answer was worked out this way."""
        return abs(said_mm - self.lift_mm) <= self.within_mm + _ROUND_OFF


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

    @property
    def all_kg(self) -> float:
        return sum(self.kg.values())


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
    reads = [one for one in _reads(done) if one.loaded]
    right = abs(said - lift) <= LIMIT_MM + _ROUND_OFF
    if right and _both_read(reads):
        return ()
    way = _why(joists, reads, said)
    sentence = f"answered {said:+g} mm, where {lift:.1f} mm are wanted: {way.what}"
    effect = _effect(joists, said - lift)
    if right:
        effect = Effect(f"this time it came right: {effect.words}", lean_mm=effect.lean_mm)
    return tuple(Mistake(kind, sentence, effect, _SOUND[kind]) for kind in way.kinds)


def _why(joists: Joists, reads: Sequence[_Read], said: float) -> _Way:
    """Return the way of working with the fewest mistakes that explains an answer that is out."""
    if abs(said) <= _NOTHING_MM:
        return _Way(0.0, _NOTHING_MM, "it was levelled as the empty floor lies", (NO_LIFT,))
    if not reads:
        what = "no gauge was read with bags on the floor, so it is a guess"
        return _Way(said, 0.0, what, (OUT,))
    ways = [one for way in _ways(joists, reads, said) for one in (way, way.with_wrong_sign)]
    found = [way for way in ways if way.kinds and way.explains(said)]
    if found:
        return min(found, key=lambda one: (len(one.kinds), abs(one.lift_mm - said)))
    for way in _near_ways(joists, reads):
        if way.explains(said):
            return way
    if not _both_read(reads):
        return _Way(said, 0.0, "one gauge alone was read, so it is a guess", (OUT,))
    return _Way(said, 0.0, "neither the load, the gauges nor the scale explains it", (OUT,))


def _ways(joists: Joists, reads: Sequence[_Read], said_mm: float) -> Iterator[_Way]:
    """Yield ways of working that give a wrong lift, or the right one with the wrong sign.

    Who read one gauge alone did not work with both.
    """
    alone, both = _alone(reads), _both_read(reads)
    one_row = list(_of_one_row(joists, alone)) if alone else []
    yield from (way for way in one_row if both or FRONT_ONLY in way.kinds)
    if both:
        yield _Way(joists.lift_mm(joists.full_kg), LIMIT_MM, "", ())
    yield from _of_front(joists, reads)
    yield from _not_scaled(reads, (ONE_ROW,) if alone else (), _written_mm(said_mm))


def _of_front(joists: Joists, reads: Sequence[_Read]) -> Iterator[_Way]:
    """Yield what comes out with the front gauge alone, scaled: in truth, and as it was read."""
    full = joists.sags_mm(joists.full_kg)
    said = f"the front goes down {full['front']:.1f} mm, but the back {full['back']:.1f} mm too"
    yield _Way(full["front"], LIMIT_MM, said, (FRONT_ONLY,))
    for one in reads:
        if "front" in one.sags_mm and len(one.loaded) == len(ROWS):
            value = one.sags_mm["front"] * sum(joists.full_kg.values()) / one.all_kg
            yield _Way(value, _COPIED_MM, said, (FRONT_ONLY,))


def _not_scaled(
    reads: Sequence[_Read], one_row: tuple[Kind, ...], within_mm: float
) -> Iterator[_Way]:
    """Yield what gauges showed under the bags, each time and all of them added up."""
    for value in _each_and_all([one.more_mm for one in reads if one.both]):
        said = f"the gauges differed by {value:.1f} mm under the bags"
        yield _Way(value, within_mm, said, (NOT_SCALED, *one_row))
    for value in _each_and_all([one.sags_mm["front"] for one in reads if "front" in one.sags_mm]):
        said = f"the front gauge showed {value:.1f} mm under the bags"
        yield _Way(value, within_mm, said, (FRONT_ONLY, NOT_SCALED, *one_row))


def _of_one_row(joists: Joists, row: str) -> Iterator[_Way]:
    """Yield what comes out where one row was loaded alone, with its load or with all of it."""
    loads = {
        "the other one pulls the joists down too": joists.full_kg[row],
        "not all of it stands there": sum(joists.full_kg.values()),
    }
    for why, load in loads.items():
        kg = {other: load if other == row else 0.0 for other in ROWS}
        said = f"the {row} row was loaded alone; full, {why}"
        yield _Way(joists.lift_mm(kg), LIMIT_MM, said, (ONE_ROW,))
        front, said = joists.sags_mm(kg)["front"], f"{said}, and the back goes down as well"
        yield _Way(front, LIMIT_MM, said, (FRONT_ONLY, ONE_ROW))


def _each_and_all(values: Sequence[float]) -> tuple[float, ...]:
    return tuple(dict.fromkeys((*values, sum(values)))) if values else ()


def _written_mm(said_mm: float) -> float:
    """Return how near to what gauges showed an answer is that was copied from them [mm]."""
    halves = abs(said_mm / _HALF_MM - round(said_mm / _HALF_MM)) < _ROUND_OFF
    return _HALF_MM / 2 if halves else _COPIED_MM


def _near_ways(joists: Joists, reads: Sequence[_Read]) -> Iterator[_Way]:
    """Yield what was worked out soundly under a load too light, or shared otherwise."""
    full = joists.full_kg
    for one in (one for one in reads if one.both and len(one.loaded) == len(ROWS)):
        times = sum(full.values()) / one.all_kg
        like_full = abs(one.kg["front"] * times - full["front"]) * 2 <= BAG_KG * times + _ROUND_OFF
        said = (
            f"the gauges differed by {one.more_mm:.1f} mm under {one.all_kg:g} kg; {times:.1f} "
            f"times that, read to a tenth, is no nearer than {times / 10:.1f} mm"
            if like_full
            else "the bags were shared between the rows otherwise than the full load is"
        )
        yield _Way(times * one.more_mm, _COPIED_MM, said, (OUT,))


def _both_read(reads: Sequence[_Read]) -> bool:
    return {row for one in reads for row in one.sags_mm} == set(ROWS)


def _alone(reads: Sequence[_Read]) -> str:
    """Return the row that was loaded alone, if gauges were read under no other load."""
    loaded = {row for one in reads for row in one.loaded}
    return loaded.pop() if len(loaded) == 1 else ""


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
