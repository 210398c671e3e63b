"""All records of a folder, joined: copies counted once, damaged rows named."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from kit.job import Problem, Refusal, refuse
from kit.job.wording import clean
from kit.practice.nickname import same_person
from kit.practice.record import COLUMNS, JOINT, Record
from kit.practice.record_lines import WHOLE, BadRow
from kit.practice.records_file import SUFFIX, read_file

#: More damaged rows of one file than a person puts right at a time.
MOST_PROBLEMS = 20


@dataclass(frozen=True, eq=False)
class Records:
    """What a folder holds.

    Parameters
    ----------
    attempts : tuple of Record
        Each once, the earliest first.
    files : tuple of str
        Files that were read, by their path in the folder.
    refused : tuple of Problem
        What is not among the attempts, and why, by file, row and column: one for each damaged row,
        and one for each file that could not be read at all.
    refused_files : tuple of str
        Files of which nothing is among the attempts.
    damaged_files : tuple of str
        Files of which only the whole rows are.
    """

    attempts: tuple[Record, ...]
    files: tuple[str, ...]
    refused: tuple[Problem, ...] = ()
    refused_files: tuple[str, ...] = ()
    damaged_files: tuple[str, ...] = ()

    @property
    def first_tries(self) -> tuple[Record, ...]:
        """The first try of each person on each floor, as far as it is here.

        After a try the worked answer was shown: what is done on that floor from then on tells
        nothing. A try that had others before it which are not here is no first one.
        """
        first: dict[tuple[object, ...], Record] = {}
        for one in self.attempts:
            first.setdefault((same_person(one.nickname), one.floor), one)
        return tuple(one for one in first.values() if not one.tries_before)

    @property
    def apprentices(self) -> dict[str, str]:
        """Everybody by what tells them apart, with the nickname as last written; in order."""
        found = {same_person(one.nickname): one.nickname for one in self.attempts}
        return dict(sorted(found.items()))

    @property
    def table(self) -> pd.DataFrame:
        """The attempts: columns of a file of records, and first_try."""
        first = {one.attempt for one in self.first_tries}
        rows = [
            {
                **{name: getattr(one, name) for name in COLUMNS},
                "mistakes": JOINT.join(one.mistakes),
                "first_try": one.attempt in first,
            }
            for one in self.attempts
        ]
        return pd.DataFrame(rows, columns=[*COLUMNS, "first_try"])


def read_records(folder: str | Path) -> Records:
    """Read every file of records of a folder and of the folders in it.

    Parameters
    ----------
    folder : path
        Files ending in ``.csv``, in it and one folder deep, whatever else they are called;
        hidden ones are passed over.

    Returns
    -------
    Records

    Raises
    ------
    Refusal
        If there is no such folder, or no file in it. What is damaged is not refused but named.
    """
    home = Path(folder)
    paths, problems = _files(home)
    if not paths and not problems:
        raise refuse(str(home), f"no file ending in {SUFFIX}", "a folder with files of records")
    joined: dict[str, tuple[Record, str]] = {}
    files: list[str] = []
    damaged_files: list[str] = []
    refused_files = [problem.where for problem in problems]
    for path in paths:
        name = _name(path, home)
        try:
            found = read_file(path, name)
            joined |= _further(joined, found.records, name)
        except Refusal as refusal:
            problems += refusal.problems
            refused_files.append(name)
            continue
        files.append(name)
        if found.damaged:
            damaged_files.append(name)
            problems += _damage(found.damaged, name)
    attempts = sorted((one for one, _ in joined.values()), key=_order)
    told = tuple(problems), tuple(refused_files), tuple(damaged_files)
    return Records(tuple(attempts), tuple(files), *told)


def _damage(rows: tuple[BadRow, ...], name: str) -> Iterator[Problem]:
    """Yield what is amiss in a file's damaged rows, as far as a person can take it."""
    yield from (one.problem for one in rows[:MOST_PROBLEMS])
    if len(rows) > MOST_PROBLEMS:
        yield Problem(name, f"{len(rows) - MOST_PROBLEMS} more damaged rows", WHOLE)


def _order(one: Record) -> tuple[str, int, str]:
    """Return what is earlier: by the clock, then by tries, then whatever stays the same."""
    return one.when, one.tries_before, one.attempt


def _further(
    joined: dict[str, tuple[Record, str]], records: tuple[Record, ...], name: str
) -> dict[str, tuple[Record, str]]:
    """Return the records of a file that are not joined yet, each with the file's name."""
    further: dict[str, tuple[Record, str]] = {}
    for one in records:
        known, where = joined.get(one.attempt) or further.get(one.attempt, (one, name))
        if same_person(known.nickname) != same_person(one.nickname):
            found = f"'{one.nickname}' for an attempt that is of '{known.nickname}' in {where}"
            raise refuse(f"{name}, nickname", found, "one nickname for the copies of one attempt")
        further.setdefault(one.attempt, (known, where))
    return further


def _name(path: Path, home: Path) -> str:
    return clean(path.relative_to(home).as_posix())


def _files(home: Path) -> tuple[list[Path], list[Problem]]:
    """Return the files in question in the order of their names, and folders that stay shut."""
    problems: list[Problem] = []
    try:
        found = _seen(home)
    except OSError as error:
        raise refuse(str(home), error.strerror or str(error), "a folder to be read") from error
    for folder in [path for path in found if path.is_dir()]:
        try:
            found += _seen(folder)
        except OSError as error:
            why = error.strerror or str(error)
            problems.append(Problem(_name(folder, home), why, "a folder to be read"))
    return sorted(path for path in found if _may_be_records(path)), problems


def _seen(folder: Path) -> list[Path]:
    return [path for path in folder.iterdir() if not path.name.startswith(".")]


def _may_be_records(path: Path) -> bool:
    return path.name.lower().endswith(SUFFIX) and not path.is_dir()
