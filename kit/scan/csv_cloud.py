"""Scan points from a text table, read in pieces."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

import numpy as np
import pandas as pd

from kit.job import refuse
from kit.scan.cloud_parts import POINTS_AT_ONCE, FileUnit, Piece, Tell, Units, reading
from kit.scan.csv_header import CsvHeader, read_csv_header

if TYPE_CHECKING:
    from typing_extensions import Buffer

_BUFFER = 1 << 20
_ALLOWED = "plain CSV in UTF-8, one row a point"


class _Counting(io.FileIO):
    """A file that counts how many marks between columns have been read from it."""

    def __init__(self, path: Path, mark: str) -> None:
        super().__init__(path)
        self._mark = mark.encode()
        self.marks = 0

    def readinto(self, buffer: Buffer, /) -> int | None:
        """Read bytes into a buffer, and count."""
        count = super().readinto(buffer)
        self.marks += bytes(memoryview(buffer)[: count or 0]).count(self._mark)
        return count


@dataclass(frozen=True)
class CsvCloud:
    """A text table of points; see `cloud_parts.Cloud`.

    Parameters
    ----------
    path, name
        The file, and what messages call it.
    header : CsvHeader
        How it is written.
    """

    path: Path
    name: str
    header: CsvHeader
    points: None = None

    @property
    def unit_mm(self) -> Units:
        """One unit of the file along x, y and z [mm]."""
        return self.header.unit_mm

    def pieces(
        self, points_at_once: int = POINTS_AT_ONCE, tell: Tell | None = None
    ) -> Iterator[Piece]:
        """Yield x, y, z [mm] piece by piece; an empty cell is nan."""
        size = self.path.stat().st_size
        rows = 0
        counting = _Counting(self.path, self.header.mark)
        with reading(self.name, _ALLOWED), io.BufferedReader(counting, _BUFFER) as file:
            for frame in self._frames(file, points_at_once):
                rows += len(frame)
                x, y, z = (frame[i].to_numpy() * u for i, u in self._columns())
                if tell is not None:
                    tell(min(file.tell() / size, 1.0))
                yield x, y, z
        if (rows + 1) * (self.header.width - 1) != counting.marks:
            # pandas drops what stands beyond the last column; quoted texts may hold marks too.
            self._refuse_fault()
        if not rows:
            raise refuse(self.name, "a header row and no point", "one row a point below it")

    def _columns(self) -> Iterator[tuple[int, float]]:
        return zip(self.header.columns, self.header.unit_mm, strict=True)

    def _frames(self, file: BinaryIO, points_at_once: int) -> Iterator[pd.DataFrame]:
        header = self.header
        try:
            yield from pd.read_csv(
                file,
                sep=header.mark,
                decimal=header.decimal,
                header=None,
                names=range(header.width),
                index_col=False,
                usecols=list(header.columns),
                skiprows=header.line,
                dtype=np.float64,
                chunksize=points_at_once,
                encoding_errors="replace",
                on_bad_lines="error",
            )
        except pd.errors.EmptyDataError:
            return
        except ValueError as error:
            # pandas names no row: look for it by hand.
            self._refuse_fault()
            raise refuse(self.name, f"a table that cannot be read ({error})", _ALLOWED) from error

    def _refuse_fault(self) -> None:
        """Refuse the first row that cannot be read, if there is one."""
        with self.path.open(encoding="utf-8-sig", errors="replace", newline="") as file:
            rows = csv.reader(file, delimiter=self.header.mark)
            for cells in rows:
                found = "" if rows.line_num <= self.header.line else self._wrong(cells)
                if found:
                    raise refuse(f"{self.name}, row {rows.line_num}", found, _ALLOWED)

    def _wrong(self, cells: Sequence[str]) -> str:
        width = self.header.width
        if any(cell.strip() for cell in cells[width:]):
            return f"{len(cells)} cells under {width} columns"
        for i, axis in zip(self.header.columns, "xyz", strict=True):
            if i < len(cells) and not self._number(cells[i]):
                return f"{cells[i].strip()[:40]!r} for {axis}"
        return ""

    def _number(self, cell: str) -> bool:
        text = cell.strip()
        if self.header.decimal == ",":
            text = text.replace(".", "?").replace(",", ".")
        try:
            float(text or "nan")
        except ValueError:
            return False
        return True


def open_csv(path: Path, name: str, file_unit: FileUnit | None) -> CsvCloud:
    """Return the cloud in a text table.

    Parameters
    ----------
    path, name
        The file, and what messages call it.
    file_unit : {"m", "mm", "in", "ft"} or None
        What columns count in whose titles name no unit; metres unless given.

    Raises
    ------
    Refusal
        Where it is no such table.
    """
    with reading(name, _ALLOWED):
        return CsvCloud(path, name, read_csv_header(path, name, file_unit))
