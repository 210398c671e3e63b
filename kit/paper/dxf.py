"""The plan at real size for a drawing program (DXF): 1 unit is 1 mm."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from kit.answer import Answer
from kit.base.cautions import NO_APPROVAL
from kit.ink.escape import cut_text
from kit.ink.inch_words import in_units
from kit.ink.words import datum_sentence, high_point_sentence, on_packers
from kit.job.ways import way_of
from kit.paper.dxf_base import draw_base
from kit.paper.dxf_floor import BEYOND_MM, across, contours, draw_floor, draw_room, level_text
from kit.paper.dxf_lines import short_lines
from kit.paper.dxf_pencil import LETTERS_MM, Pencil

if TYPE_CHECKING:
    from ezdxf.document import Drawing

#: Version of the format: of 2010, the first that nearly all programs of today read whole.
_VERSION = "R2010"

#: Number of millimetres among the format's units, and of metric among its measures (DXF
#: reference, header variables $INSUNITS and $MEASUREMENT; from memory).
_MILLIMETRES, _METRIC = 4, 1

#: Letters of the title that stand large above the plan; the whole stands among the notes.
_TITLE_LETTERS, _TITLE_MM = 60, 60.0

#: Width of the notes, and their distance from the plan [mm].
_NOTES_WIDE_MM, _NOTES_OFF_MM = 1500.0, 450.0

_FROM_ABOVE = (
    "Plan at real size: 1 unit of the drawing is 1 mm; it has no scale of its own. Seen from"
    " above: x of the job runs to the right, y out from the wall runs down, so that a place"
    " (x, y) of the job lies at (x, -y) here. Contours, readings and the high point lie at their"
    " heights."
)
_INCHES = (
    "The job is in inches, the drawing in mm all the same. Its letters are in inches; sixteenths"
    " have in brackets by how much they are more than the true length, in inches. Heights of"
    " the floor are decimals of an inch. Packers and screws go by the sizes printed on"
    " them, each with its unit."
)


def dxf_text(answer: Answer) -> str:
    """Return the plan of an answer as a drawing file (DXF), one unit a millimetre.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`; any way of building.

    Returns
    -------
    str
        To be written as UTF-8. Layers as `kit.paper.dxf_pencil.LAYERS` names them; a place
        (x, y) of the room lies at (x, -y), so that the plan is seen from above with the wall at
        the top. The same answer gives the same text.
    """
    with _without_clock():
        import ezdxf  # noqa: PLC0415 - loaded when a drawing is first made

        drawing = ezdxf.new(_VERSION, units=_MILLIMETRES)  # type: ignore[attr-defined]
        drawing.header["$MEASUREMENT"] = _METRIC
        # Points are shown as crosses of their own size.
        drawing.header["$PDMODE"], drawing.header["$PDSIZE"] = 3, 16.0
        pencil = Pencil(drawing)
        draw_base(pencil, answer)
        draw_room(pencil, answer)
        found = contours(answer.surface, answer.job.units)
        draw_floor(pencil, answer, found)
        _letters(pencil, answer, found.step_mm)
        _look_at(drawing, answer)
        # The library would declare them in the order of a set, another in each process.
        for name in sorted(drawing.entitydb.dxf_types_in_use()):
            drawing.classes.add_class(name)
        stream = io.StringIO()
        drawing.write(stream)
        return short_lines(stream.getvalue())


@contextmanager
def _without_clock() -> Iterator[None]:
    """Have the library write no time and no number by chance."""
    from ezdxf._options import options  # noqa: PLC0415 - loaded when a drawing is first made

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _bounds(answer: Answer) -> tuple[float, float, float, float]:
    """Return the edges of the plan in the room: left, back, right, front [mm]."""
    x, y = across(answer)
    return float(x.min()), float(y.min()), float(x.max()), float(y.max())


def _look_at(drawing: Drawing, answer: Answer) -> None:
    """Have a program show the whole plan with its notes when it opens the file."""
    left, back, right, front = _bounds(answer)
    far, low = right + _NOTES_OFF_MM + _NOTES_WIDE_MM, max(front, back + _NOTES_WIDE_MM)
    left, back = left - BEYOND_MM, back - 2 * BEYOND_MM
    middle = (left + far) / 2, -(back + low) / 2
    drawing.set_modelspace_vport(height=max(low - back, (far - left) / 1.5), center=middle)
    drawing.header["$EXTMIN"], drawing.header["$EXTMAX"] = (left, -low, 0.0), (far, -back, 0.0)


def _letters(pencil: Pencil, answer: Answer, step_mm: float) -> None:
    """Write the title above the plan and the notes right of it."""
    left, back, right, _ = _bounds(answer)
    title = cut_text(answer.job.title, _TITLE_LETTERS)
    above = back - 1.6 * BEYOND_MM
    pencil.notes("TEXT", title, (left, above), _TITLE_MM, wide_mm=0.0, up=True)
    corner = right + _NOTES_OFF_MM, back
    said = "\n".join(notes(answer, step_mm))
    pencil.notes("TEXT", said, corner, LETTERS_MM, wide_mm=_NOTES_WIDE_MM, up=False)


def notes(answer: Answer, step_mm: float) -> Iterator[str]:
    """Yield what stands beside the plan, a paragraph each.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    step_mm : float
        Height from one contour to the next [mm].
    """
    job, units = answer.job, answer.job.units
    yield job.title
    yield f"Base: {answer.base.name}; {way_of(answer.base).name}."
    yield _FROM_ABOVE
    if units == "in":
        yield _INCHES
    above = f"{job.floor.benchmark}" if job.floor.benchmark else "the highest reading, which is 0"
    yield f"Heights in {'inches' if units == 'in' else units} above {above}; + is up."
    yield f"Contours of the floor every {level_text(step_mm, units).lstrip('+')} {units}."
    yield datum_sentence(answer.datum, units)
    yield high_point_sentence(answer.high_point, units)
    wanted = f"the {way_of(answer.base).wanted} wanted"
    what = "the stack as built up" if on_packers(answer) else wanted
    yield f"Below the name of each support: {what}, in {units}."
    yield NO_APPROVAL
    if job.notes.strip():
        yield f"Notes: {job.notes}"
    yield "Cautions:"
    yield from (f"- {in_units(line, units)}" for line in answer.cautions)
