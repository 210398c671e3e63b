"""The header of a table of scan points: which columns hold x, y and z, and in which unit."""

from __future__ import annotations

import csv
import io
import itertools
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from kit.job import refuse
from kit.job.units import MM_PER_UNIT, Unit
from kit.scan.cloud_parts import FileUnit, Units

#: The header and the rows that the decimal mark is told from lie within this [bytes].
_FIRST_BYTES = 65_536
_FIRST_ROWS = 50

_WORDS: Mapping[str, Unit] = MappingProxyType(
    {
        "mm": "mm", "millimetres": "mm", "millimeters": "mm",
        "cm": "cm", "centimetres": "cm", "centimeters": "cm",
        "m": "m", "metres": "m", "meters": "m",
        "in": "in", "inches": "in",
        "ft": "ft", "feet": "ft",
    }
)  # fmt: skip

# x; x_mm, x mm, x/mm; x [mm]; x (mm).
_TITLE = re.compile(
    r"(?P<axis>[xyz])(?:[\s_/]+(?P<plain>\w+)|[\s_]*[\[(]\s*(?P<inside>\w+)\s*[\])])?"
)
_ALLOWED = "a header row with x, y and z, as x_mm or x [mm], or bare x, y, z in metres"


@dataclass(frozen=True)
class CsvHeader:
    """How a table of points is written.

    Parameters
    ----------
    line : int
        The line of the header, counted from 1.
    width : int
        How many columns there are.
    columns : tuple of three int
        Where x, y and z stand, counted from 0.
    unit_mm : tuple of three float
        One unit of each [mm].
    mark, decimal : str
        What separates columns, and what stands before decimals.
    """

    line: int
    width: int
    columns: tuple[int, int, int]
    unit_mm: Units
    mark: str
    decimal: str


def read_csv_header(path: Path, name: str, file_unit: FileUnit | None) -> CsvHeader:
    """Return how a table of points is written.

    Parameters
    ----------
    path, name
        The file, and what messages call it.
    file_unit : {"m", "mm", "in", "ft"} or None
        What columns count in whose titles name no unit; metres unless given.

    Raises
    ------
    Refusal
        Where the file is no text in UTF-8, or has no columns x, y and z.
    """
    text, line = _first_text(path, name)
    lines = text.splitlines()
    mark = next((m for m in "\t;," if m in lines[0]), ",")
    rows = list(itertools.islice(csv.reader(io.StringIO(text, newline=""), delimiter=mark), 51))
    titles = [title.strip() for title in rows[0]]
    titles[0] = titles[0].lstrip("#/ ")
    where = f"{name}, row {line}"
    found = [_column(titles, axis, where, file_unit) for axis in "xyz"]
    columns = (found[0][0], found[1][0], found[2][0])
    unit_mm = (found[0][1], found[1][1], found[2][1])
    cells = [row[i] for row in rows[1:] for i in columns if i < len(row)]
    comma = mark != "," and any("," in cell for cell in cells)
    return CsvHeader(line, len(titles), columns, unit_mm, mark, "," if comma else ".")


def _first_text(path: Path, name: str) -> tuple[str, int]:
    """Return the first rows from the header on, and the header's line."""
    with path.open("rb") as file:
        raw = file.read(_FIRST_BYTES)
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise refuse(name, "text in UTF-16", "CSV saved as UTF-8")
    if b"\0" in raw:
        raise refuse(name, "a binary file", "a CSV text file")
    text = raw.decode("utf-8-sig", errors="replace")
    if len(raw) == _FIRST_BYTES:
        # The last row is cut off.
        text = text[: max(text.rfind("\n"), 0)]
    bare = text.lstrip()
    if not bare:
        raise refuse(name, "an empty table", _ALLOWED)
    before = text[: len(text) - len(bare)]
    return bare, len(before.splitlines()) + 1 if before else 1


def _column(
    titles: list[str], axis: str, where: str, file_unit: FileUnit | None
) -> tuple[int, float]:
    matches = [(i, _TITLE.fullmatch(title.casefold())) for i, title in enumerate(titles)]
    here = [(i, match) for i, match in matches if match is not None and match["axis"] == axis]
    if len(here) != 1:
        shown = ", ".join(titles)[:80]
        found = f"{len(here)} columns {axis}" if here else f"no column {axis}, but {shown!r}"
        raise refuse(where, found, _ALLOWED)
    i, match = here[0]
    word = match["plain"] or match["inside"]
    if word is None:
        return i, MM_PER_UNIT[file_unit or "m"]
    if word not in _WORDS:
        raise refuse(
            where, f"the column {titles[i]!r}", f"{axis}_mm, {axis}_m, {axis}_in, {axis}_ft"
        )
    if file_unit is not None and _WORDS[word] != file_unit:
        found = f"the column {titles[i]!r}, and file_unit {file_unit!r} in the job"
        raise refuse(where, found, "one unit; leave file_unit out where the titles say it")
    return i, MM_PER_UNIT[_WORDS[word]]
