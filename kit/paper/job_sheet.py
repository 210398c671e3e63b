"""The job sheet: what a fitter has on the floor, in the order of the work."""

from __future__ import annotations

from collections.abc import Iterator

from kit.answer import Answer
from kit.ink.inch_words import in_units
from kit.job import Refusal
from kit.paper.document import Break, Document, Figure, Heading, Part, Points, Signatures
from kit.paper.elevation import elevation_drawings
from kit.paper.hold_points import hold_parts
from kit.paper.job_sheet_cuts import cut_parts
from kit.paper.job_sheet_head import head_parts, short_title, tail_parts
from kit.paper.job_sheet_places import setting_out_parts
from kit.paper.job_sheet_screws import screw_parts
from kit.paper.job_sheet_stacks import stack_parts
from kit.paper.job_sheet_survey import survey_parts
from kit.paper.job_sheet_things import plinth_parts, take_along_parts
from kit.paper.not_checked import check_parts
from kit.paper.plan import plan_drawings

#: From so many supports on their table begins on a page of its own.
_PAGE_OF_THEIR_OWN = 10

#: Kept free between two drawings of one page [mm].
_BETWEEN_MM = 4.0

#: What is signed when the work is done.
_DONE = (
    "Built as this sheet says; heights as found are entered in it",
    "Seen by whoever takes the base over, with the open checks and what was not checked",
)


def job_sheet(answer: Answer) -> Document:
    """Return the job sheet of a base.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.

    Returns
    -------
    Document
        Upright pages in the order of the work; the first is enough to begin.
    """
    title = short_title(answer)
    blank = Document("", ())
    parts = tuple(_parts(answer, blank.room_mm))
    return Document(f"Job sheet: {title}", parts, f"Job sheet: {title}")


def _parts(answer: Answer, room_mm: tuple[float, float]) -> Iterator[Part]:
    yield from head_parts(answer, room_mm[0])
    yield from hold_parts(answer)
    yield from _cautions(answer)
    yield from setting_out_parts(answer)
    yield from _drawings(answer, room_mm)
    if len(answer.supports) >= _PAGE_OF_THEIR_OWN:
        yield Break()  # the page that is in the hand while the supports are set
    yield from stack_parts(answer)
    yield from screw_parts(answer)
    yield from cut_parts(answer, room_mm)
    yield from plinth_parts(answer)
    yield from take_along_parts(answer)
    yield from check_parts(answer)
    yield from survey_parts(answer)
    yield Heading("Signed when the work is done")
    yield Signatures(_DONE)
    yield from tail_parts(answer)


def _cautions(answer: Answer) -> Iterator[Part]:
    yield Heading("Cautions of this job")
    yield Points(tuple(in_units(line, answer.job.units) for line in answer.cautions), "⚠")


def _drawings(answer: Answer, room_mm: tuple[float, float]) -> Iterator[Part]:
    """Yield the plan, and elevations two to a page where they can be read so."""
    yield Heading("Plan and elevations")
    yield from (Figure(drawing) for drawing in plan_drawings(answer, room_mm))
    wide, tall = room_mm
    half = (wide, tall / 2 - _BETWEEN_MM)
    try:
        drawn = elevation_drawings(answer, half, room_mm)
    except Refusal:
        drawn = elevation_drawings(answer, room_mm)
    yield from (Figure(drawing) for _, drawing in drawn)
