"""What else the job sheet names: the plinth of each run, and what has to be in the van."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from kit.answer import Answer
from kit.base.plinth import PLINTH_STEP_MM
from kit.base.plinth_ends import ends_sentence, plinth_ends
from kit.base.plinth_profile import PlinthBoard
from kit.ink.buying_list_table import AS_MADE
from kit.ink.inch_words import in_units
from kit.ink.lengths import printed_with_unit
from kit.ink.table import records
from kit.ink.words import on_packers
from kit.paper.document import Heading, Part, Points, Words
from kit.paper.job_sheet_places import off_note, set_out, with_off
from kit.paper.plinth_sheet import profile_of


def plinth_parts(answer: Answer) -> Iterator[Part]:
    """Yield how high the plinth of each run is and of which boards; nothing without a plinth.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    if answer.base.plinth is None:
        return
    yield Heading("Plinth")
    runs = profile_of(answer, PLINTH_STEP_MM).runs
    ends = plinth_ends(answer.job, answer.base, answer.layout)
    yield Points(
        tuple(
            f"{_run_words(answer, run, boards)}{_ends_words(ends, run)}"
            for run, boards in runs.items()
        )
    )
    yield Words(
        "From the finished floor to the base top. The plinth's own sheet has every cut, and the"
        f" line at full size to scribe by.{off_note(answer)}"
    )


def _ends_words(ends: Mapping[str, str], run: str) -> str:
    """Return what is open at the ends of a run; empty where it ends at walls."""
    said = ends_sentence(ends[run]) if run in ends else ""
    return f" {said[0].upper()}{said[1:]}." if said else ""


def _run_words(answer: Answer, run: str, boards: Sequence[PlinthBoard]) -> str:
    """Return how high one run's plinth is, and what it is made of."""
    units = answer.job.units
    known = [board for board in boards if math.isfinite(board.least_mm)]
    if not known:
        return f"Run {run}: nobody read the floor there; scribe on site."
    low = with_off(answer, min(board.least_mm for board in known))
    high = with_off(answer, max(board.greatest_mm for board in known))
    unread = " where it was read" if any(board.open_mm for board in boards) else ""
    width = boards[0].board_mm
    wide = in_units(printed_with_unit(width, units), units) if math.isfinite(width) else ""
    of = f"boards {wide} wide" if wide else "no board of the job"
    long = ", ".join(set_out(answer, board.piece.length_mm) for board in boards)
    return (
        f"Run {run}: {low} to {high} {units} high{unread}, from {of}; from the left {long} {units}"
        " long."
    )


def take_along_parts(answer: Answer) -> Iterator[Part]:
    """Yield what has to be in the van; prices are on the merchant's paper.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    """
    things = tuple(_things(answer))
    if not things:
        return
    yield Heading("What to take along")
    yield Points(things, "☐")
    spare = " Spares are on the buying list." if on_packers(answer) else ""
    yield Words(f"For the floor as read, sizes as sold.{spare}")


def _things(answer: Answer) -> Iterator[str]:
    """Yield each thing with its sizes and counts."""
    units, sizes = answer.job.units, dict[str, list[str]]()
    for one in records(answer.take_off):
        item, size, count = str(one["item"]), float(one["size_mm"]), int(one["count"])
        # A foot's name has its sizes in it.
        plain = not math.isfinite(size) or f"{size:g}" in item
        said = f"{count}" if plain else f"{count} of {printed_with_unit(size, units)}"
        sizes.setdefault(item, []).append(said)
    for item, of in sizes.items():
        said = f"{item}: {', '.join(of)}"
        yield said if item.startswith(AS_MADE) else in_units(said, units)
