"""A class at a glance: marks in a picture, who did what, what goes wrong, what comes next."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

import pandas as pd

from kit.practice.drills import DRILLS
from kit.practice.marking import FULL
from kit.practice.next_drill import RULE
from kit.practice.records import Records, read_records
from kit.practice.trainer import TrainersTable, trainers_table
from kit.show.practice.marks import frame_table
from kit.show.practice.marks_grid import marks_grid
from kit.show.table import Head, Page, Table, page, sentences
from kit.show.two_bases.drawing import PAGE_PX, beside

_APPRENTICE = Head("apprentice")

#: Columns that are shown, with their heads.
_WHO = {
    "nickname": _APPRENTICE,
    "title": Head("drill"),
    "attempts": Head("tries", right=True),
    "floors": Head("floors", right=True),
    "worst_grade": Head("worst grade"),
    "best_marks": Head("best mark", f"of {FULL}"),
    "last_marks": Head("last mark", f"of {FULL}"),
    "placements": Head("placements", right=True),
    "good_placements": Head("good practice's", right=True),
    "hints": Head("hints", right=True),
    "last_when": Head("last try", "universal time"),
}
_MISTAKES = {
    "title": Head("mistake"),
    "times": Head("made in", "tries"),
    "of_attempts": Head("of", "tries"),
}
_OWN_MISTAKES = {"nickname": _APPRENTICE, **_MISTAKES}
_NEXT = {
    "nickname": _APPRENTICE,
    "title": Head("next drill"),
    "grade": Head("on floors that are"),
    "why": Head("why", wide=True),
}
_REFUSED = {
    "where": Head("where"),
    "found": Head("found", wide=True),
    "allowed": Head("allowed", wide=True),
}

_WHO_NOTE = (
    "Marks and placements are of first tries on a floor, placements summed beside those of the"
    " good practice; a dash: no first try is among these records. Tries and hints are of all."
)
_MISTAKES_NOTE = (
    "Tries in which the mistake was made, of those at drills that look for it. Commonest first."
)


def trainer_page(folder: str | Path, width_px: float = PAGE_PX) -> Page:
    """Show a trainer what a class did, from the apprentices' files of records.

    Parameters
    ----------
    folder : path
        Of the files, in it or one folder deep.
    width_px : float
        Of the picture [CSS px].

    Returns
    -------
    Page
        The marks of everybody drawn, who did what, the next drill of each by the rule that stands
        below it, the commonest mistakes of the class and of each; files that were refused, named.

    Raises
    ------
    Refusal
        If there is no such folder, or no file of records in it.
    """
    return class_page(read_records(folder), width_px)


def class_page(of_class: Records, width_px: float = PAGE_PX) -> Page:
    """Show a trainer what records tell; see `trainer_page`."""
    table = trainers_table(of_class, DRILLS)
    return page(
        sentences(_summary(of_class), "The class"),
        *_tried(table, width_px),
        _shown("Next drill", table.next, _NEXT, RULE),
        _shown("Commonest mistakes of the class", table.class_mistakes, _MISTAKES, _MISTAKES_NOTE),
        _shown(
            "Commonest mistakes of each", table.mistakes, {"nickname": _APPRENTICE, **_MISTAKES}
        ),
        *_refused(table),
    )


def _summary(of_class: Records) -> Iterator[str]:
    yield (
        f"{counted(len(of_class.attempts), 'try', 'tries')} of"
        f" {counted(len(of_class.apprentices), 'apprentice')}"
        f" from {counted(len(of_class.files), 'file')}."
    )
    if of_class.refused_files:
        files = ", ".join(of_class.refused_files)
        yield (
            f"⚠ Not in these figures: {files}. What is amiss there stands in the last table; put"
            " it right, or leave the file out of the folder."
        )


def _tried(table: TrainersTable, width_px: float) -> Iterator[Page | Table]:
    """Yield the picture, where anybody has tried anything, and the table of its numbers."""
    who = _shown("Who did what", _with_plain_times(table.who), _WHO, _WHO_NOTE)
    if len(table.who):
        yield beside([marks_grid(table, DRILLS, width_px)], [who])
    else:
        yield who


def _with_plain_times(who: pd.DataFrame) -> pd.DataFrame:
    """Return moments as a person writes them: to the minute, without letters."""
    return who.assign(last_when=[f"{when[:10]} {when[11:16]}" for when in who["last_when"]])


def _refused(table: TrainersTable) -> Iterator[Table]:
    if table.refused:
        found = table.refused_table.groupby(["where", "allowed"], sort=False, as_index=False)
        yield _shown("Files that are not in these figures", found.agg("; ".join), _REFUSED)


def _shown(title: str, frame: pd.DataFrame, heads: Mapping[str, Head], note: str = "") -> Table:
    """Return some columns of a table under their heads."""
    plain = frame_table(title, frame[list(heads)])
    return replace(plain, heads=tuple(heads.values()), note=note)


def counted(number: int, one: str, more: str = "") -> str:
    """Return a number of things in words.

    Examples
    --------
    >>> counted(1, "file"), counted(2, "file"), counted(3, "try", "tries")
    ('1 file', '2 files', '3 tries')
    """
    return f"{number} {one if number == 1 else more or one + 's'}"
