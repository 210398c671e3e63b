"""Labels for a base's stacks, feet, crossings or zones: to cut out, or on label paper."""

from __future__ import annotations

from collections.abc import Iterator

from kit.answer import Answer
from kit.base.cautions import PRE_DRILL
from kit.ink.escape import cut_text
from kit.ink.inch_words import in_units
from kit.job.ways import way_of
from kit.paper.beside import BESIDE
from kit.paper.document import MARGIN_MM, PAGE_MM, Break, Document, Figure, Heading, Part, Points
from kit.paper.hold_points import services_point
from kit.paper.label_picture import LABEL_MM, cut_marks, label_marks, pile_scale
from kit.paper.label_texts import Label, label_texts
from kit.paper.marks import Drawing, Letters, Mark, Place
from kit.paper.whole_title import whole_title

#: Labels across a sheet and down it; the eighth row is left to the sheet's own words.
_ACROSS, _DOWN = 3, 7

#: The grid's upper left corner on the sheet: eight labels leave half a millimetre above [mm].
_CORNER_MM = ((PAGE_MM[0] - _ACROSS * LABEL_MM[0]) / 2, (PAGE_MM[1] - 8 * LABEL_MM[1]) / 2)

#: The same on a drawing, which a page puts within its free edge: labels reach into that [mm].
_ON_DRAWING: Place = (_CORNER_MM[0] - MARGIN_MM, _CORNER_MM[1] - MARGIN_MM)


def labels(answer: Answer) -> tuple[Document, ...]:
    """Return the labels of a base.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.

    Returns
    -------
    tuple of Document
        One; none where nothing is to be labelled. Its first page is for reading, each further
        one a sheet of 3 by 7 labels of 70 by 37 mm, as they lie on label paper of 3 by 8.
    """
    found = label_texts(answer)
    if not found:
        return ()
    parts = (*_front(answer, found), *_sheets(answer, found), *whole_title(answer.job))
    title = f"Labels: {answer.job.short_title}; {answer.base.name}"
    foot = f"Labels. {answer.base.name}. {answer.job.title}"
    return (Document(title, parts, foot),)


def _front(answer: Answer, found: tuple[Label, ...]) -> Iterator[Part]:
    units = answer.job.units
    yield Points(tuple(_how(answer, found)), "☐")
    if answer.base.method == "compound":  # a long name is cut on its label
        yield Heading("Zones", 2)
        yield Points(tuple(label.name for label in found))
    yield Heading("Cautions", 2)
    told = (*_warned(answer), *BESIDE)
    yield Points(tuple(in_units(line, units) for line in told), "⚠")


def _warned(answer: Answer) -> Iterator[str]:
    """Yield what whoever builds by the labels has to mind; all else stands on the job sheet."""
    yield ("A label tells what the sum asks for, not what was built: read the finished base again.")
    if answer.datum.plan.caution:
        yield answer.datum.plan.caution
    if len(answer.screws):
        yield f"Hold point: {services_point(answer).line}"
        yield PRE_DRILL


def _how(answer: Answer, found: tuple[Label, ...]) -> Iterator[str]:
    wide, tall = LABEL_MM
    yield (
        "Print the sheets behind this page at 100 %, not fitted to the page, on label paper of"
        f" {wide:g} by {tall:g} mm, three across and eight down, or on paper to be cut from cross"
        " to cross. The last row of a sheet stays free."
    )
    supports = way_of(answer.base).supports
    if answer.base.method == "compound":
        yield f"{len(found)} labels, one for each zone of the pour: its depths, volume and bags."
        return
    yield (
        f"{len(found)} labels for {supports}, row by row from the wall into the room, each from"
        " left to right (the job sheet has the order of the work). Places are of middles, from the"
        " run's left end."
    )
    if found[0].pile_mm:
        yield (
            "Packers are named from the floor up by the size printed on them"
            f"{', in mm' * (answer.job.units == 'mm')}; heights count as measured. Piles are drawn"
            " to scale in height, not in width. Screws are"
            " named from the floor up; none: no screw in stock serves, see the job sheet."
        )
    if answer.job.units == "in":
        yield "In brackets: by how much a figure is rounded, shown less true, in inches."


def _sheets(answer: Answer, found: tuple[Label, ...]) -> Iterator[Part]:
    scale = pile_scale(max(label.tall_mm for label in found))
    each = _ACROSS * _DOWN
    document = Document("", ())
    for first in range(0, len(found), each):
        on_it = found[first : first + each]
        marks: list[Mark] = [*cut_marks(_ON_DRAWING, _DOWN, _ACROSS)]
        for number, label in enumerate(on_it):
            marks += label_marks(label, _corner(number), scale)
        marks.append(_sheet_words(answer, on_it))
        words = f"Labels {on_it[0].name} to {on_it[-1].name}"
        yield Break()
        yield Figure(Drawing(*document.room_mm, tuple(marks), words))


def _corner(number: int) -> Place:
    """Return the upper left corner of a label on the drawing [mm]."""
    row, column = divmod(number, _ACROSS)
    return _ON_DRAWING[0] + column * LABEL_MM[0], _ON_DRAWING[1] + row * LABEL_MM[1]


def _sheet_words(answer: Answer, on_it: tuple[Label, ...]) -> Letters:
    """Return what stands in the row below the labels."""
    ends = f"{cut_text(on_it[0].name, 20)} to {cut_text(on_it[-1].name, 20)}"
    said = f"{ends}: {cut_text(answer.job.title, 60)}"
    return Letters((0.0, _ON_DRAWING[1] + _DOWN * LABEL_MM[1] + 8.0), said, 3.5)
