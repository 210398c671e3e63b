"""One apprentice's file of records: read whole or refused, and written so that nothing is lost."""

from __future__ import annotations

import codecs
import csv
import io
import os
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from kit.job import refuse
from kit.job.one_writer import one_writer
from kit.job.replace import replace_whole
from kit.practice.nickname import same_person
from kit.practice.record import COLUMNS, Record
from kit.practice.record_rows import records_of
from kit.readings.files import LARGEST_BYTES, read_sheet

SUFFIX = ".csv"

_WRITABLE = "a folder that can be written to"


@dataclass(frozen=True)
class RecordsFile:
    """A file of records, as it was read.

    Parameters
    ----------
    records : tuple of Record
        In the order of its rows.
    header : tuple of str
        Its columns, those of others included.
    separator : str
        What separates them.
    """

    records: tuple[Record, ...] = ()
    header: tuple[str, ...] = COLUMNS
    separator: str = ","


def read_file(path: Path, name: str) -> RecordsFile:
    """Read one file.

    Parameters
    ----------
    path : Path
        The file.
    name : str
        What messages call it.

    Raises
    ------
    Refusal
        If it cannot be read or anything in it is damaged: by row and column.
    """
    try:
        if not path.is_file():
            raise refuse(name, "no ordinary file", "a file of records")
        if path.stat().st_size > LARGEST_BYTES:
            raise refuse(name, f"more than {LARGEST_BYTES} bytes", "a file of records")
    except OSError as error:
        raise refuse(name, error.strerror or str(error), "a file that can be read") from error
    sheet = read_sheet(path, name, row="record")
    return RecordsFile(records_of(sheet), sheet.header, sheet.separator)


def keep(folder: Path, record: Record) -> Record:
    """Add an attempt to its apprentice's file, ``<nickname>.csv``.

    What stands in the file stays as it is, byte for byte, columns of others included; one row is
    added. The whole file is written beside its place and then put there, by one writer at a time:
    a process that is killed at any moment leaves the old file or the new one.

    Parameters
    ----------
    folder : Path
        Of the apprentice's own choice; made where only the last folder of its path is missing.
    record : Record
        From `kit.practice.record.record_of`, without a name yet.

    Returns
    -------
    Record
        As it was kept: with its name, and how often this floor was tried before. Where the same
        attempt was kept before, that one, and nothing is written.

    Raises
    ------
    Refusal
        If the file is damaged or the folder cannot be written. The file is as it was.
    """
    path = file_of(folder, record.nickname)
    try:
        with one_writer(path):
            return _add(path, record)
    except OSError as error:
        found = f"it cannot be written ({error.strerror or error})"
        raise refuse(path.name, found, _WRITABLE) from error


def file_of(folder: Path, nickname: str) -> Path:
    """Return where an apprentice's records lie or will lie, links followed.

    A file whose name differs in capitals only is the same person's: on some machines there can be
    one such file only.

    Raises
    ------
    Refusal
        If there is no such folder and none can be made.
    """
    try:
        folder.mkdir(exist_ok=True)
        there = sorted(path.name for path in folder.iterdir())
    except OSError as error:
        raise refuse(str(folder), error.strerror or str(error), _WRITABLE) from error
    name = f"{nickname}{SUFFIX}"
    alike = [one for one in there if same_person(one) == same_person(name)]
    exact = [one for one in alike if unicodedata.normalize("NFC", one) == name]
    return Path(os.path.realpath(folder / (exact or alike or [name])[0]))


def _add(path: Path, record: Record) -> Record:
    if not path.exists():
        named = record.named(0)
        replace_whole(path, _lines((COLUMNS, _row(named, COLUMNS)), ",", "\n").encode())
        return named
    found = read_file(path, path.name)
    for one in found.records:
        if _unnamed(one) == _unnamed(record):
            return one
    named = record.named(_tries(found.records, record))
    row = _row(named, found.header)
    replace_whole(path, _with_row(path.read_bytes(), row, found.separator))
    return named


def _unnamed(record: Record) -> Record:
    return replace(record, attempt="", tries_before=0, nickname=same_person(record.nickname))


def _tries(records: Iterable[Record], record: Record) -> int:
    mine = same_person(record.nickname)
    return sum(one.floor == record.floor and same_person(one.nickname) == mine for one in records)


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
