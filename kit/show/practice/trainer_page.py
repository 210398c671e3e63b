"""A class at a glance: marks in a picture, who did what, what goes wrong, what comes next."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

import pandas as pd

from kit.ink.table import Head, Page, Table, page, sentences
from kit.practice import trainer_words as words
from kit.practice.drills import DRILLS
from kit.practice.marking import FULL
from kit.practice.next_drill import RULE
from kit.practice.records import Records, read_records
from kit.practice.trainer import TrainersTable, trainers_table
from kit.show.practice.marks import frame_table
from kit.show.practice.marks_grid import marks_grid
from kit.show.two_bases.drawing import PAGE_PX, beside

#: Units and sides of columns where the words alone do not tell them.
_WHO = {
    **{name: Head(said) for name, said in words.WHO.items()},
    **{name: Head(words.WHO[name], right=True) for name in (
        "tries", "floors", "placements", "good_placements", "hints")},
    **{name: Head(words.WHO[name], f"of {FULL}") for name in ("best_marks", "last_marks")},
    "last_try": Head(words.WHO["last_try"], "universal time"),
}  # fmt: skip
_APPRENTICE = _WHO["nickname"]
_MISTAKES = {
    "title": Head(words.MISTAKES["title"]),
    "made_in": Head(words.MISTAKES["made_in"], "tries"),
    "of_tries": Head(words.MISTAKES["of_tries"], "tries"),
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
        below it, the commonest mistakes of the class and of each; what is damaged, named.

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
        _shown(words.MISTAKES_TITLE, table.class_mistakes, _MISTAKES, words.MISTAKES_NOTE),
        _shown(words.OWN_MISTAKES_TITLE, table.mistakes, _OWN_MISTAKES),
        *_refused(table),
    )


def _summary(of_class: Records) -> Iterator[str]:
    yield words.summary(len(of_class.attempts), len(of_class.apprentices), len(of_class.files))
    how = "What is amiss there stands in the last table"
    if of_class.damaged_files:
        files = ", ".join(of_class.damaged_files)
        yield f"⚠ Of these files only the whole rows are in these figures: {files}. {how}."
    if of_class.refused_files:
        files = ", ".join(of_class.refused_files)
        yield (
            f"⚠ Not in these figures: {files}. {how}; put it right, or leave the file out of the"
            " folder."
        )


def _tried(table: TrainersTable, width_px: float) -> Iterator[Page | Table]:
    """Yield the picture, where anybody has tried anything, and the table of its numbers."""
    who = _shown(words.WHO_TITLE, _with_plain_times(table.who), _WHO, words.WHO_NOTE)
    if len(table.who):
        yield beside([marks_grid(table, DRILLS, width_px)], [who])
    else:
        yield who


def _with_plain_times(who: pd.DataFrame) -> pd.DataFrame:
    """Return moments as a person writes them: to the minute, without letters."""
    return who.assign(last_try=[words.minute(when) for when in who["last_try"]])


def _refused(table: TrainersTable) -> Iterator[Table]:
    if table.refused:
        found = table.refused_table.groupby(["where", "allowed"], sort=False, as_index=False)
        yield _shown("What is not in these figures", found.agg("; ".join), _REFUSED)


def _shown(title: str, frame: pd.DataFrame, heads: Mapping[str, Head], note: str = "") -> Table:
    """Return some columns of a table under their heads."""
    plain = frame_table(title, frame[list(heads)])
    return replace(plain, heads=tuple(heads.values()), note=note)
