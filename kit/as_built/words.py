"""A finished base in sentences: what was found, and what goes with it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import pandas as pd

from kit.as_built.changes import RULE, Changes
from kit.as_built.changes_exact import CHANGES
from kit.as_built.contradict import contradiction_sentence
from kit.as_built.feet_turns import turn_sentences
from kit.as_built.judged import (
    CONTRADICT,
    DOUBTS,
    NOT_READ,
    OUTSIDE,
    TOO_CLOSE,
    WITHIN,
    tolerance_text,
)
from kit.as_built.tops import Tops
from kit.as_built.units import UnitStands
from kit.as_built.whole import Whole
from kit.base.cautions import NO_APPROVAL
from kit.parts import Answer

#: Names told one by one in a sentence.
_MOST_NAMED = 12

_HOW_TO_TURN = {
    "ladder": "This base stands on no packers: plane a board that is high, shim one that is low.",
    "compound": "This base stands on no packers: grind what is high, fill what is low.",
}


def sentences_of(
    answer: Answer,
    tolerance_mm: float,
    tops: Tops,
    supports: pd.DataFrame,
    whole: Whole,
    units: Sequence[UnitStands],
    changes: Changes,
) -> Iterator[str]:
    """Yield what was found, in mm; parameters as of `kit.as_built.check.Checked`."""
    if tops.contradicting:
        yield contradiction_sentence(tops.contradicting)
    yield _level(supports, tolerance_mm)
    yield _against_plan(answer, tops, supports)
    if answer.datum.front_lift_mm:
        yield (
            f"The planned front lift of {answer.datum.front_lift_mm:.1f} mm is taken off: every"
            " figure says how the base lies against what was planned."
        )
    yield from _of_whole(whole)
    yield from _of_units(units, contradicting=bool(tops.contradicting))
    yield from change_sentences(answer, changes)
    yield (
        f"A verdict within {DOUBTS:g} sd of its limit is too close to tell (common practice). The"
        " level is the one that suits most supports as read: their doubt is told against it, and it"
        " has none of its own."
    )
    yield NO_APPROVAL


def _level(supports: pd.DataFrame, tolerance_mm: float) -> str:
    verdict = supports["verdict"]
    parts = [
        f"{int((verdict == WITHIN).sum())} of {len(supports)} supports lie within"
        f" {tolerance_text(tolerance_mm)} mm of one level"
    ]
    for word in (OUTSIDE, TOO_CLOSE):
        of_it = supports[verdict == word]
        if len(of_it):
            named = [
                f"{name} {_signed(off)}"
                for name, off in zip(of_it["support"], of_it["off_mm"], strict=True)
            ]
            parts.append(f"{len(of_it)} {word} (in mm: {_listed(named)})")
    for word, short in (
        (CONTRADICT, "not judged, for readings contradict"),
        (NOT_READ, NOT_READ),
    ):
        unknown = supports["support"][verdict == word].tolist()
        if unknown:
            parts.append(f"{len(unknown)} {short} ({_listed(unknown)})")
    return "; ".join(parts) + "."


def _listed(names: Sequence[str]) -> str:
    more = len(names) - _MOST_NAMED
    shown = ", ".join(names[:_MOST_NAMED])
    return f"{shown} and {more} more" if more > 0 else shown


def _against_plan(answer: Answer, tops: Tops, supports: pd.DataFrame) -> str:
    if not tops.absolute:
        mark = answer.job.floor.benchmark
        why = f"the benchmark {mark} was not read" if mark else "the job names no benchmark"
        if mark in tops.contradicting:
            why = f"the readings of the benchmark {mark} contradict one another"
        return (
            f"Heights are among themselves, for {why}: whether the base stands as high as planned"
            " is not told, only whether it is level and flat."
        )
    off = float(supports["off_plan_mm"].mean())
    sd = float(supports["off_plan_sd_mm"].mean())
    if abs(off) <= DOUBTS * sd:
        return (
            f"The base stands as high as planned, as far as can be told (± {DOUBTS * sd:.1f} mm)."
        )
    way = "higher" if off > 0 else "lower"
    return (
        f"The base stands {_sure(abs(off), sd)} mm {way} than planned, on average over the"
        " supports read."
    )


def _of_whole(whole: Whole) -> Iterator[str]:
    if not whole.has_plane:
        yield f"The fall of the whole is not told: {whole.plane}."
    for run, along, along_sd, across, across_sd in whole.falls.itertuples(index=False):
        yield (
            f"Run {run}: {_slope(along, along_sd, 'right')}, {_slope(across, across_sd, 'front')}."
        )
    if whole.has_plane and whole.unplaned:
        yield f"Too little of run {', '.join(whole.unplaned)} was read to tell how it falls."
    if len(whole.departures):
        worst = max(whole.departures.to_dict("records"), key=lambda row: abs(row["departure_mm"]))
        line = worst["against"] == "plane"
        against = "the plane of all" if line else f"the straight line of row {worst['against']}"
        way = "high" if worst["departure_mm"] > 0 else "low"
        yield (
            f"Least flat at {worst['point']}:"
            f" {_sure(abs(worst['departure_mm']), worst['sd_mm'])} mm too {way} for {against}."
        )


def _slope(rise: float, sd: float, end: str) -> str:
    if abs(rise) <= DOUBTS * sd:
        return f"level towards the {end} (± {DOUBTS * sd:.{_digits(DOUBTS * sd)}f} mm/m)"
    return f"{'rises' if rise > 0 else 'falls'} {_sure(abs(rise), sd)} mm/m to the {end}"


def _sure(value: float, sd: float) -> str:
    """Return a figure and its sd, to as many decimals as the sd takes not to read as nothing."""
    return f"{value:.{_digits(sd)}f} ± {sd:.{_digits(sd)}f}"


def _digits(sd: float) -> int:
    return next((digits for digits in (1, 2, 3) if sd >= 0.5 * 10**-digits), 1)


def _of_units(units: Sequence[UnitStands], *, contradicting: bool) -> Iterator[str]:
    for one in units:
        if one.verdict == NOT_READ:
            either = ", or its readings contradict one another" if contradicting else ""
            yield f"{one.subject}: not told, for a corner of it was not read{either}."
            continue
        rocks = f"; it rocks: it stands on {one.stands_on}" if one.stands_on else ""
        if one.tips_to:
            rocks += f", or on {one.tips_to}"
        along = _way(one.along_mm_per_m, one.along_mm, "right", "width")
        across = _way(one.across_mm_per_m, one.across_mm, "front", "depth")
        yield (
            f"{one.subject}: {one.verdict}. It {along}, and {across}; its top leans"
            f" {_lean(one.lean_along_mm, 'to the right', 'to the left')} and"
            f" {_lean(one.lean_out_mm, 'out', 'back')}; wind {_signed(one.wind_mm)} mm{rocks}."
        )


def _way(rise: float, over_mm: float, end: str, side: str) -> str:
    verb = "rises" if rise > 0 else "falls"
    return f"{verb} {abs(rise):.1f} mm/m to the {end} ({abs(over_mm):.1f} mm over its {side})"


def _lean(lean_mm: float, way: str, other: str) -> str:
    return f"{abs(lean_mm):.1f} mm {way if lean_mm >= 0 else other}"


def change_sentences(answer: Answer, changes: Changes) -> Iterator[str]:
    """Yield what to change, how far that is proven, and what is missing where nothing helps."""
    if len(changes.turns.table):
        yield from turn_sentences(changes.turns)
    elif not changes.on_packers:
        yield _HOW_TO_TURN[answer.base.method]
    elif not changes.possible:
        yield from _no_change(changes)
    elif not changes.opened:
        yield "No stack has to be opened."
    else:
        yield from _what_to_open(changes)
    if changes.possible or changes.turns.possible:
        yield (
            "That goes by the readings as they are, those too close to tell included: the level"
            f" that it leaves is as sure as they are, ± {DOUBTS * changes.doubt_mm:.1f} mm at a"
            f" support ({DOUBTS:g} sd)."
        )


def _no_change(changes: Changes) -> Iterator[str]:
    for missing in changes.missing:
        yield f"No change of packers brings every support in. {missing.found} {missing.remedy}"
    if not changes.proven:
        yield "The search was cut short: that there is no change is not proven."


def _what_to_open(changes: Changes) -> Iterator[str]:
    stacks = "1 stack" if changes.opened == 1 else f"{changes.opened} stacks"
    packers = "1 packer" if changes.handled == 1 else f"{changes.handled} packers"
    yield (
        f"Open {stacks}, {packers} taken out or put in; then every support read lies within"
        f" {changes.greatest_after_mm:.2f} mm of one level."
    )
    if changes.level_was_left:
        yield (
            "All supports read lie within the tolerance of one level as they are: these stacks are"
            " opened because that level is not among the heights asked for (base.height_mm)."
        )
    yield from _to_look_at(changes)
    for row in changes.changed.to_dict("records"):
        out = f"take out {row['take_out']}" if row["take_out"] else ""
        put = f"put in {row['put_in']}" if row["put_in"] else ""
        steps = ", ".join(part for part in (out, put) if part)
        yield f"{row['support']}: {steps}; from the floor up then {row['stack_after']}."
    yield RULE if changes.proven else f"{RULE} {_UNPROVEN[changes.unproven]}"


def _to_look_at(changes: Changes) -> Iterator[str]:
    """Yield which of the stacks to open are only taken to stand as planned."""
    for row in changes.to_look_at.to_dict("records"):
        yield (
            f"Before {row['support']} is opened, first look whether {row['stack_before']} stands"
            " there, from the floor up, for only the plan says so; if not, put that right first."
        )


_UNPROVEN = {
    CHANGES: "The search was cut short: fewer stacks or packers may do.",
    "least error": "The search was cut short: as few changes may bring the base closer.",
}


def cautions_of(
    answer: Answer, tops: Tops, unread: Sequence[str], changes: Changes
) -> Iterator[str]:
    """Yield what the check leaves open, and what can hurt someone."""
    heights = tops.heights
    yield from heights.suspects
    yield from heights.cautions
    once = _read_once(tops)
    if once:
        yield (
            f"{len(once)} points are read once ({_listed(once)}): nothing checks them, and a slip"
            " there looks like a stack that is wrong. Read a stack again before it is opened."
        )
    if unread:
        yield f"Not read, and left alone: {_listed(list(unread))}. Nothing is said of them."
    yield from changes.notes
    if changes.opened:
        yield from _of_opening(answer)
    yield (
        "The figures hold for the base as it lay when it was read; what loads, drying and glue do"
        " later is not in them. Fix every tall unit to the wall before it is"
        " loaded."
    )


def _read_once(tops: Tops) -> list[str]:
    """Return points on the base whose readings nothing checks."""
    residuals = tops.heights.residuals
    checked = set(residuals["point"][residuals["redundancy"] > 1e-6])
    return [str(name) for name in tops.points["point"] if name not in checked]


def _of_opening(answer: Answer) -> Iterator[str]:
    bearers = answer.datum.bearer_mm > 0
    moves = "the bearer, once undone," if bearers else "what stands on the stack"
    yield (
        f"A change is taken to move {moves} by as much over that stack and nowhere else: read again"
        " afterwards, the changed stacks and their neighbours."
    )
    undo = " Undo the bearer over a stack before it is opened, and prop it." if bearers else ""
    yield (
        f"Take the units off first.{undo} Keep fingers out from under whatever is lifted off a"
        " stack."
    )
    yield (
        "A changed stack takes other screws: a stack that becomes lower lets the screws that were"
        " in it reach deeper into the floor. Use the lengths given here, fill old holes, and keep"
        " to what was said of services."
    )


def _signed(value: float) -> str:
    """Return a figure to a tenth with its sign; what rounds to nothing has none of minus."""
    return f"{round(value, 1) + 0.0:+.1f}"
