"""``python -m kit practice``: a sheet for a class with its answers, and the trainer's table."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from kit.job import Refusal, refuse
from kit.practice.class_set import ClassSet, class_set, drills_named
from kit.practice.drill import Drill
from kit.practice.grades import Grade, grade_named
from kit.practice.on_paper import drills_on_paper
from kit.practice.records import read_records
from kit.practice.trainer import TrainersTable, trainers_table
from kit.practice.trainer_text import trainers_lines
from kit.results import csv_text
from kit.results_files import write_files

#: What makes a page of a set.
Page = Callable[[ClassSet], str]


@dataclass(frozen=True)
class Pages:
    """What makes the pages of a set: the showing room's.

    Parameters
    ----------
    sheet : callable
        To book on what is done at the screen.
    paper : callable
        To be worked without a screen.
    answers : callable
        For the trainer.
    """

    sheet: Page
    paper: Page
    answers: Page


def write_sheet(options: argparse.Namespace, drills: Sequence[Drill], pages: Pages) -> int:
    """Write the sheet of a seed, and its answers apart.

    Parameters
    ----------
    options : Namespace
        seed, grade, drills (keys, or none for all), on_paper, out.
    drills : sequence of Drill
        All drills of the kit.
    pages : Pages
        What makes them.

    Returns
    -------
    int
        0.

    Raises
    ------
    Refusal
        Where seed, grade or a drill is none, no drill can be worked without a screen, or one of
        the files is there already; nothing is written then.
    """
    chosen = drills_named(drills, options.drills) if options.drills else tuple(drills)
    grade = grade_named(options.grade)
    left_out: tuple[str, ...] = ()
    if options.on_paper:
        chosen, left_out = drills_on_paper(chosen)
    of_class = class_set(chosen, options.seed, grade, left_out)
    names = sheet_names(options.seed, grade, on_paper=options.on_paper)
    sheet = (pages.paper if options.on_paper else pages.sheet)(of_class)
    texts = dict(zip(names, (sheet, pages.answers(of_class)), strict=True))
    for path in write_fresh(texts, Path(options.out)):
        print(path)
    return 0


def sheet_names(seed: int, grade: Grade, *, on_paper: bool = False) -> tuple[str, str]:
    """Return what the files of a set are called: of the sheet, and of its answers."""
    sheet, answers = ("paper", "paper-answers") if on_paper else ("sheet", "answers")
    return f"{sheet}-{seed}-{grade.name}.html", f"{answers}-{seed}-{grade.name}.html"


def write_records(options: argparse.Namespace, drills: Sequence[Drill]) -> int:
    """Print the trainer's table over a folder; write it as CSV where that is asked for.

    Parameters
    ----------
    options : Namespace
        folder, and out: the file for who did what, or nothing. ``-mistakes``, ``-class-mistakes``,
        ``-next`` and, where something was damaged, ``-refused`` are written beside it.
    drills : sequence of Drill
        All drills of the kit.

    Returns
    -------
    int
        0; 2 where a row or a file is damaged: that is told on stderr, after all that the others
        tell.

    Raises
    ------
    Refusal
        Where nothing can be told, or a file cannot be written.
    """
    records = read_records(options.folder)
    table = trainers_table(records, drills)
    written = _write_tables(table, options.folder, options.out) if options.out else []
    for line in trainers_lines(table, records):
        print(line)
    for path in written:
        print(path)
    if table.refused:
        print(Refusal(*table.refused), file=sys.stderr)
        return 2
    return 0


def _write_tables(table: TrainersTable, folder: str, out: str) -> list[Path]:
    file = Path(out)
    if file.suffix.lower() != ".csv":
        raise refuse("--out", repr(file.name), "a file ending in .csv")
    _refuse_among_records(file, Path(folder))
    parts = {
        "": table.who,
        "-mistakes": table.mistakes,
        "-class-mistakes": table.class_mistakes,
        "-next": table.next,
    }
    if table.refused:
        parts["-refused"] = table.refused_table
    texts = {f"{file.stem}{part}.csv": csv_text(frame) for part, frame in parts.items()}
    return write_fresh(texts, file.parent)


def _refuse_among_records(file: Path, folder: Path) -> None:
    """Refuse a place where the tables would be taken for records the next time."""
    home, place = folder.resolve(), file.parent.resolve()
    if home in (place, place.parent):
        raise refuse("--out", f"a place among the records, {file.parent}", "another folder")


def write_fresh(texts: Mapping[str, str], out: Path) -> list[Path]:
    """Write files into a folder, all or none, and over no file.

    Raises
    ------
    Refusal
        Where one of them is there already.
    """
    refuse_taken(texts, out)
    return write_files(texts, out)


def refuse_taken(names: Iterable[str], out: Path) -> None:
    """Refuse a folder in which there is a file of one of these names."""
    for name in names:
        if (out / name).exists() or (out / name).is_symlink():
            raise refuse(f"--out {out}", f"a file {name} already", "another folder")
