"""What the sheet rests on: the readings, how they were understood, and what was left out."""

from __future__ import annotations

import math
from collections.abc import Iterator

from kit.answer import Answer
from kit.ink.inch_words import in_units
from kit.paper.document import Heading, Part, Points


def survey_parts(answer: Answer) -> Iterator[Part]:
    """Yield what is known of the readings.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    units = answer.job.units
    yield Heading("The readings behind this sheet")
    yield Points(tuple(in_units(line, units) for line in _lines(answer)))


def _lines(answer: Answer) -> Iterator[str]:
    heights = answer.heights
    yield (
        "When the floor was read is not in the job file: a floor moves with load, season and"
        " water. Read some places again before the first support is set."
    )
    if heights.redundancy and math.isfinite(heights.sigma0):
        yield (
            f"sigma0 {heights.sigma0:.2f} with {heights.redundancy} readings more than needed"
            f" (1 where they agree as well as stated); global test p {heights.global_test_p:.2g}."
        )
    else:
        yield "No reading is checked by another: a wrong one would go unseen."
    yield from _left_out(answer)
    yield from heights.understood
    said = {*answer.cautions, *heights.understood}
    yield from (note for note in heights.notes if note not in said)


def _left_out(answer: Answer) -> Iterator[str]:
    """Yield which lines of the tables were left out by the person."""
    for survey in answer.job.surveys:
        if survey.leave_out:
            lines = ", ".join(str(line) for line in survey.leave_out)
            yield f"Left out of {survey.file} by decision: line {lines}."
    count = len(answer.heights.suspects)
    if count:
        which = "1 reading in doubt is" if count == 1 else f"{count} findings of doubt are"
        yield f"{which} still in the heights (see cautions)."
