"""The head of the job sheet: what is built, and the figures to begin with."""

from __future__ import annotations

from collections.abc import Iterator

from kit.answer import Answer
from kit.ink.escape import cut_text
from kit.ink.inch_words import in_units
from kit.ink.lengths import length, length_with_unit, plan_length, small, told_rounding
from kit.ink.words import (
    certainty_words,
    on_bearers,
    on_packers,
)
from kit.job.ways import way_of
from kit.paper.big_figures import BigFigure, figures_drawing
from kit.paper.document import Figure, Heading, Part, Points, Words
from kit.paper.high_place import high_place, place_words
from kit.paper.job_sheet_stacks import begin_words
from kit.paper.level_setting import level_parts

#: Longer notes than this stand at the end, so that the first page is enough to begin [letters].
SHORT_NOTES = 600

#: Longest title in a head [letters].
TITLE_LETTERS = 90


def head_parts(answer: Answer, wide_mm: float) -> Iterator[Part]:
    """Yield what stands at the top of the first page.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    wide_mm : float
        Width of a drawing [mm].
    """
    way = way_of(answer.base)
    yield Words(f"Base: {answer.base.name}. Way of building: {way.name}.", strong=True)
    yield Figure(figures_drawing(tuple(_big_figures(answer)), wide_mm))
    yield Points(tuple(_sentences(answer)))
    if len(answer.job.title) > TITLE_LETTERS:
        yield Words("The whole title stands at the end of this sheet.")
    yield from _notes_above(answer)
    yield from level_parts(answer)


def tail_parts(answer: Answer) -> Iterator[Part]:
    """Yield title and notes where they are too long for the first page."""
    if len(answer.job.title) > TITLE_LETTERS:
        yield Heading("Title of the job in full")
        yield Words(answer.job.title)
    if len(answer.job.notes) > SHORT_NOTES:
        yield Heading("Notes of the job in full")
        yield Words(answer.job.notes)


def short_title(answer: Answer) -> str:
    """Return the job's title for a head or a foot."""
    return cut_text(answer.job.title, TITLE_LETTERS)


def _notes_above(answer: Answer) -> Iterator[Part]:
    notes = answer.job.notes
    if not notes.strip():
        return
    yield Heading("Notes", 2)
    if len(notes) <= SHORT_NOTES:
        yield Words(notes)
    else:
        yield Words(f"{cut_text(notes, 120)} (the notes stand whole at the end of this sheet)")


def _big_figures(answer: Answer) -> Iterator[BigFigure]:
    units, datum, high = answer.job.units, answer.datum, answer.high_point
    low, most = answer.base.height_range_mm
    asked = _range(low, most, answer)
    yield BigFigure(
        "base top above the high point",
        length_with_unit(datum.base_height_mm, units),
        _with_rounding(datum.base_height_mm, answer) or f"asked for: {asked}",
    )
    under = datum.datum_mm - datum.high_point_mm
    yield BigFigure(
        f"datum: {_underside(answer)}",
        length_with_unit(under, units),
        "; ".join(filter(None, (_with_rounding(under, answer), "above the high point"))),
    )
    place = high_place(answer)
    run = f"{place.run}: " if place.run else ""
    across, out = plan_length(place.along_mm, units), plan_length(place.out_mm, units)
    yield BigFigure(
        "high point: from the left, from the backs",
        f"{run}{across}, {out} {units}",
        f"nearest {place.support}; {high.certainty:.0%} certain",
    )
    yield BigFigure(
        "heights that can be made", _window(answer), f"above the high point; asked: {asked}"
    )
    yield from _counts(answer)


def _counts(answer: Answer) -> Iterator[BigFigure]:
    way, supports = way_of(answer.base), answer.supports
    of_row = ", ".join(
        f"{bearer} {len(of)}" for bearer, of in supports.groupby("bearer", sort=False)
    )
    yield BigFigure("supports", way.count(len(supports)), of_row)
    units, worst = answer.job.units, small(answer.worst_error_mm, answer.job.units)
    if on_packers(answer):
        yield BigFigure("packers", f"{answer.pieces}", f"worst stack {worst} {units} off")
    else:
        yield BigFigure("top off level", f"{worst} {units}", "at most, either way, as it is set")


def _underside(answer: Answer) -> str:
    if on_bearers(answer.ground) and answer.datum.bearer_mm:
        return "bearers' underside, back row"
    return "underside of the units, back row"


def _with_rounding(mm: float, answer: Answer) -> str:
    """Return by how much an inch figure is off as it is shown; empty in millimetres."""
    off = told_rounding(mm, answer.job.units)
    return f"{off} in off" if off else ""


def _range(low_mm: float, high_mm: float, answer: Answer) -> str:
    """Return one length, or two with a word between them."""
    units = answer.job.units
    low, high = length(low_mm, units), length(high_mm, units)
    return f"{low} {units}" if low == high else f"{low} to {high} {units}"


def _window(answer: Answer) -> str:
    """Return the ends of all heights that can be made."""
    ranges = answer.datum.feasible_heights_mm
    said = _range(ranges[0][0], ranges[-1][1], answer)
    return said if len(ranges) == 1 else f"{said}, in {len(ranges)} parts"


def _sentences(answer: Answer) -> Iterator[str]:
    units, datum, high = answer.job.units, answer.datum, answer.high_point
    yield begin_words(answer)
    yield _datum_words(answer)
    yield (
        f"High point of the floor under the base: {place_words(answer, high_place(answer))};"
        f" doubt {small(high.sd_mm, units)} {units} (1 sd); {certainty_words(high.certainty)}."
    )
    notes = (in_units(note, units) for note in (datum.plan.caution, datum.plan.feasible_note))
    yield " ".join(filter(None, (_window_sentence(answer), *notes)))
    if datum.front_lift_mm:
        lift = f"{small(datum.front_lift_mm, units)} {units}"
        yield f"The front row is set {lift} higher than the back row; the heights below hold it."


def _datum_words(answer: Answer) -> str:
    """Return how high base and datum lie, above the one place that all heights count from here."""
    datum, units = answer.datum, answer.job.units
    under = length_with_unit(datum.datum_mm - datum.high_point_mm, units)
    survey = length_with_unit(datum.high_point_mm, units)
    return (
        f"Base top {length_with_unit(datum.base_height_mm, units)} above the high point of the"
        f" floor under the base, {_underside(answer)}, {under} above it: heights on this sheet"
        f" count from there. In the heights of the survey it lies at {survey}."
    )


def _window_sentence(answer: Answer) -> str:
    units, datum = answer.job.units, answer.datum
    ranges = "; ".join(_range(low, high, answer) for low, high in datum.feasible_heights_mm)
    return (
        f"Heights of the base above the high point that can be made: {ranges}."
        f" What stops a lower one: {in_units(datum.binding_low, units)};"
        f" a higher one: {in_units(datum.binding_high, units)}."
    )
