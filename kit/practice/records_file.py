"""Apprentices' files of records: every whole row is read, and nothing kept is ever lost."""

from __future__ import annotations

import codecs
import csv
import io
import os
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from kit.job import Problem, Refusal, refuse
from kit.job.one_writer import one_writer
from kit.job.replace import replace_whole
from kit.practice.nickname import same_person
from kit.practice.record import COLUMNS, Record
from kit.practice.record_lines import BadRow, sheet_of_file
from kit.practice.record_rows import records_of

SUFFIX = ".csv"

_WRITABLE = "a folder that can be written to"


@dataclass(frozen=True)
class RecordsFile:
    """A file of records, as it was read.

    Parameters
    ----------
    records : tuple of Record
        Of its whole rows, in their order.
    header : tuple of str
        Its columns, those of others included.
    separator : str
        What separates them.
    damaged : tuple of BadRow
        Its other rows.
    """

    records: tuple[Record, ...] = ()
    header: tuple[str, ...] = COLUMNS
    separator: str = ","
    damaged: tuple[BadRow, ...] = ()


@dataclass(frozen=True)
class Damage:
    """A file into which nothing is written any more.

    Parameters
    ----------
    name : str
        Of the file.
    rows : tuple of int
        Rows that are damaged; none where the file cannot be read at all.
    problem : Problem
        The first thing that was found.
    """

    name: str
    rows: tuple[int, ...]
    problem: Problem

    def __str__(self) -> str:
        if not self.rows:
            return f"the file {self.name} cannot be read ({self.problem})"
        more = f" and {len(self.rows) - 1} more" if len(self.rows) > 1 else ""
        return f"the file {self.name} is damaged in row {self.rows[0]}{more}"


@dataclass(frozen=True)
class Place:
    """Where an apprentice's next record goes, and how often a floor was tried.

    Parameters
    ----------
    path : Path
        The file, links followed; it may not be there yet.
    tries : int
        At the floor in question, in all files of that nickname.
    damaged : tuple of Damage
        Files that it would have gone into, were they whole.
    """

    path: Path
    tries: int = 0
    damaged: tuple[Damage, ...] = ()


@dataclass(frozen=True)
class Kept:
    """What was kept.

    Parameters
    ----------
    record : Record
        With its name, and how often this floor was tried before.
    place : Place
        Where.
    """

    record: Record
    place: Place


def read_file(path: Path, name: str) -> RecordsFile:
    """Read one file: every whole row of it, and which others there are.

    Parameters
    ----------
    path : Path
        The file.
    name : str
        What messages call it.

    Raises
    ------
    Refusal
        If it cannot be read, or has no header of a file of records.
    """
    sheet, broken = sheet_of_file(path, name)
    records, bad = records_of(sheet)
    damaged = sorted((*broken, *bad), key=lambda one: one.row)
    return RecordsFile(records, sheet.header, sheet.separator, tuple(damaged))


def keep(folder: Path, record: Record, tries_at_least: int = 0) -> Kept:
    """Add an attempt to its apprentice's file, ``<nickname>.csv``.

    What stands in the file stays as it is, byte for byte, columns of others included; one row is
    added. The whole file is written beside its place and then put there, by one writer at a time:
    a process that is killed at any moment leaves the old file or the new one. A file that is
    damaged anywhere is left alone: the attempt goes into ``<nickname> 2.csv``, or the next number.

    Parameters
    ----------
    folder : Path
        Of the apprentice's own choice; made where only the last folder of its path is missing.
    record : Record
        From `kit.practice.record.record_of`, without a name yet.
    tries_at_least : int
        How often its floor was tried before for all that is known otherwise.

    Returns
    -------
    Kept
        The attempt as it was kept. Where the same one was kept before, that one, and nothing is
        written.

    Raises
    ------
    Refusal
        If the folder cannot be written. Its files are as they were.
    """
    try:
        folder.mkdir(exist_ok=True)
        while True:
            place = place_for(folder, record.nickname, record.floor)
            with one_writer(place.path):
                # Another writer may have been there meanwhile.
                now = place_for(folder, record.nickname, record.floor)
                if now.path == place.path:
                    return _keep(folder, record.named(max(now.tries, tries_at_least)), now)
    except OSError as error:
        found = f"it cannot be written ({error.strerror or error})"
        raise refuse(str(folder), found, _WRITABLE) from error


def place_for(folder: Path, nickname: str, floor: tuple[str, int, str, int]) -> Place:
    """Find where an apprentice's next record goes; nothing is written or made.

    Parameters
    ----------
    folder : Path
        It need not be there yet.
    nickname : str
        Whose.
    floor : tuple
        Drill, edition, grade and seed, as `Record.floor`.

    Raises
    ------
    Refusal
        If there is something of the folder's name that cannot be read as a folder.
    """
    if not os.path.lexists(folder):
        return Place(folder / f"{nickname}{SUFFIX}")
    earlier = _earlier(folder, nickname)
    tries = sum(one.floor == floor for one in earlier)
    damaged: tuple[Damage, ...] = ()
    path, number = file_of(folder, nickname), 1
    while True:
        state = _state(path)
        if isinstance(state, Damage):
            damaged = (*damaged, state)
        elif number == 1 or all(_is_of(one, nickname) for one in state.records):
            return Place(path, tries, damaged)
        number += 1
        path = file_of(folder, f"{nickname} {number}")


def file_of(folder: Path, name: str) -> Path:
    """Return where the file of a name lies or will lie in a folder, links followed.

    A file whose name differs in capitals only is the same person's: on some machines there can be
    one such file only.

    Raises
    ------
    Refusal
        If there is no such folder.
    """
    full = f"{name}{SUFFIX}"
    alike = [one for one in _names(folder) if same_person(one) == same_person(full)]
    exact = [one for one in alike if unicodedata.normalize("NFC", one) == full]
    return Path(os.path.realpath(folder / (exact or alike or [full])[0]))


def _names(folder: Path) -> list[str]:
    try:
        return sorted(path.name for path in folder.iterdir())
    except OSError as error:
        raise refuse(str(folder), error.strerror or str(error), _WRITABLE) from error


def _state(path: Path) -> RecordsFile | Damage:
    """Read a file that may not be there yet, and tell whether it may be written into."""
    if not os.path.lexists(path):
        return RecordsFile()
    try:
        found = read_file(path, path.name)
    except Refusal as refusal:
        return Damage(path.name, (), refusal.problems[0])
    if found.damaged:
        rows = tuple(one.row for one in found.damaged)
        return Damage(path.name, rows, found.damaged[0].problem)
    return found


def _earlier(folder: Path, nickname: str) -> tuple[Record, ...]:
    """Return a person's records, each once, of all files in a folder that may hold some."""
    mine: dict[str, Record] = {}
    for name in _names(folder):
        stem, kind = os.path.splitext(same_person(name))
        if kind == SUFFIX and stem.startswith(same_person(nickname)):
            mine |= {one.attempt: one for one in _readable(folder / name)}
    return tuple(one for one in mine.values() if _is_of(one, nickname))


def _readable(path: Path) -> tuple[Record, ...]:
    try:
        return read_file(path, path.name).records
    except Refusal:  # nothing of it can be told, and it is told where somebody asks for it
        return ()


def _is_of(record: Record, nickname: str) -> bool:
    return same_person(record.nickname) == same_person(nickname)


def _keep(folder: Path, record: Record, place: Place) -> Kept:
    for one in _earlier(folder, record.nickname):
        if _unnamed(one) == _unnamed(record):
            return Kept(one, place)
    _add(place.path, record)
    return Kept(record, place)


def _add(path: Path, record: Record) -> None:
    if not path.exists():
        replace_whole(path, _lines((COLUMNS, _row(record, COLUMNS)), ",", "\n").encode())
        return
    found = read_file(path, path.name)
    row = _row(record, found.header)
    replace_whole(path, _with_row(path.read_bytes(), row, found.separator))


def _unnamed(record: Record) -> Record:
    return replace(record, attempt="", tries_before=0, nickname=same_person(record.nickname))


def _row(record: Record, header: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(record.cells.get(name, "") for name in header)


def _with_row(old: bytes, row: tuple[str, ...], separator: str) -> bytes:
    """Return a file with a row more, in the file's own way of writing."""
    coding = _coding(old)
    text = old.decode(coding)
    end = "\r\n" if "\r\n" in text else "\n"
    gap = "" if text.endswith(("\n", "\r")) else end
    return old + (gap + _lines((row,), separator, end)).encode(coding)


def _coding(content: bytes) -> str:
    if content.startswith(codecs.BOM_UTF16_LE):
        return "utf-16-le"
    return "utf-16-be" if content.startswith(codecs.BOM_UTF16_BE) else "utf-8"


def _lines(rows: Iterable[tuple[str, ...]], separator: str, end: str) -> str:
    written = io.StringIO()
    csv.writer(written, delimiter=separator, lineterminator=end).writerows(rows)
    return written.getvalue()
