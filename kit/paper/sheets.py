"""All papers of one answer, made in one go: for the site, the merchant and the office."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from kit.answer import Answer
from kit.base.plinth_profile import PITCHES_MM
from kit.buying import BuyingList, buying_list
from kit.buying.listing import FLOORS, LEAST_BEYOND, LEAST_CERTAINTY
from kit.job import Problem, Refusal
from kit.paper.buying_sheet import buying_sheet
from kit.paper.dxf import dxf_text
from kit.paper.html_page import html_page
from kit.paper.job_sheet import job_sheet
from kit.paper.labels import labels
from kit.paper.pdf import pdf_bytes
from kit.paper.plinth_sheet import plinth_sheet, plinth_table
from kit.paper.tape_strip import tape_strips
from kit.paper.workbook import workbook_bytes
from kit.results import csv_text
from kit.results_files import refuse_readings, take_away, write_files

#: What each file is, in the order in which it is used.
PAPERS = {
    "job-sheet.pdf": "the hour on the floor: plan, elevations, stacks, screws, cuts, hold points",
    "job-sheet.html": "the same as one page for a screen or a browser's print",
    "labels.pdf": "a label for each stack, to cut out or on label paper",
    "tape-strips.pdf": "each row's marks at full size, to be taped down",
    "plinth.pdf": "the floor line under the plinth, at full size to scribe by",
    "plinth.csv": "the same in figures",
    "buying.pdf": "what has to be bought, for the merchant's counter",
    "buying.csv": "the same in figures",
    "workbook.xlsx": "every table of the answer as a workbook",
    "drawing.dxf": "the plan at real size for a drawing program",
}

#: Says what is being made, and how far it is: done, of how many.
OnProgress = Callable[[str, int, int], None]


@dataclass(frozen=True)
class Choices:
    """What a person chooses about the papers.

    Parameters
    ----------
    pitch_mm : float
        Distance of the plinth's heights [mm].
    certainty : float
        On which share of the floors that fit the readings the buying list suffices, 0 to 1.

    Raises
    ------
    Refusal
        Where one cannot be kept whatever the base.
    """

    pitch_mm: float = 100.0
    certainty: float = 0.95

    def __post_init__(self) -> None:
        """Refuse at once what would be refused after all else has been worked out."""
        most = 1 - 2 * LEAST_BEYOND / FLOORS
        asked = (
            ("pitch_mm", self.pitch_mm, PITCHES_MM, " mm"),
            ("certainty", self.certainty, (LEAST_CERTAINTY, most), ""),
        )
        problems = [
            Problem(key, f"{value:g}{unit}", f"{low:g} to {high:g}{unit}")
            for key, value, (low, high), unit in asked
            if not low <= value <= high
        ]
        if problems:
            raise Refusal(*problems)


def papers(
    answer: Answer, choices: Choices = Choices(), *, on_progress: OnProgress = lambda *_: None
) -> dict[str, str | bytes]:
    """Make all papers of an answer.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    choices : Choices
        Pitch of the plinth's heights, certainty of the buying list.
    on_progress : callable
        Told what is being made, and how far it is.

    Returns
    -------
    dict of str to str or bytes
        What each file of `PAPERS` holds, without those that this base has no use for: no plinth,
        nothing to label.

    Raises
    ------
    Refusal
        Where a choice cannot be kept, with what is allowed.
    """
    bought = buying_list(
        answer,
        certainty=choices.certainty,
        on_progress=lambda done, of: on_progress("floors for the buying list", done, of),
    )
    made: dict[str, str | bytes] = {}
    for name, content in _each(answer, bought, choices):
        on_progress(name, len(made), len(PAPERS))
        made[name] = content
    on_progress("done", len(PAPERS), len(PAPERS))
    return {name: made[name] for name in PAPERS if name in made}


def _each(
    answer: Answer, bought: BuyingList, choices: Choices
) -> Iterator[tuple[str, str | bytes]]:
    """Yield each file's name and what it holds."""
    sheet = job_sheet(answer)
    yield "job-sheet.pdf", pdf_bytes(sheet)
    yield "job-sheet.html", html_page(sheet)
    for name, documents in (
        ("labels.pdf", labels(answer)),
        ("tape-strips.pdf", tape_strips(answer)),
        ("plinth.pdf", plinth_sheet(answer, choices.pitch_mm)),
    ):
        yield from ((name, pdf_bytes(document)) for document in documents)
    for table in plinth_table(answer, choices.pitch_mm):
        yield "plinth.csv", csv_text(table)
    yield "buying.pdf", pdf_bytes(buying_sheet(answer, bought))
    yield "buying.csv", csv_text(bought.table)
    yield "workbook.xlsx", workbook_bytes(answer, (("to buy", bought.table),))
    yield "drawing.dxf", dxf_text(answer)


def write_sheet(
    answer: Answer,
    folder: str | Path,
    choices: Choices = Choices(),
    *,
    on_progress: OnProgress = lambda *_: None,
) -> list[Path]:
    """Write all papers of an answer, all of them or none.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    folder : path
        Made where it does not exist. Papers of the same names are replaced; those that this base
        has no use for are taken away, so that no paper of another base lies beside its own.
    choices : Choices
        Pitch of the plinth's heights, certainty of the buying list.
    on_progress : callable
        Told what is being made, and how far it is.

    Returns
    -------
    list of Path
        What was written, in the order in which it is used.

    Raises
    ------
    Refusal
        Where the folder cannot be written to, or a table of readings lies under one of the names.
    """
    out = Path(folder)
    made = papers(answer, choices, on_progress=on_progress)
    refuse_readings(answer.job, (out / name for name in PAPERS))
    written = write_files(made, out)
    take_away(answer.job, [out / name for name in PAPERS if name not in made])
    return written
