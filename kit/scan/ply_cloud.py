"""Scan points from the vertices of a PLY file, read in pieces."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import numpy as np
import pandas as pd

from kit.scan.cloud_parts import (
    POINTS_AT_ONCE,
    Array,
    FileUnit,
    Piece,
    Tell,
    Units,
    check_count,
    check_some,
    reading,
    units_of,
)
from kit.scan.ply_header import Element, PlyHeader, read_ply_header

_ALLOWED = "a whole PLY file"


@dataclass(frozen=True)
class PlyCloud:
    """The vertices of a PLY file; see `cloud_parts.Cloud`.

    Parameters
    ----------
    path, name
        The file, and what messages call it.
    header : PlyHeader
        What the file says of itself.
    unit_mm : tuple of three float
        One unit of the file [mm].
    """

    path: Path
    name: str
    header: PlyHeader
    unit_mm: Units

    @property
    def points(self) -> int:
        """How many vertices the header says."""
        return self.header.vertex.count

    def pieces(
        self, points_at_once: int = POINTS_AT_ONCE, tell: Tell | None = None
    ) -> Iterator[Piece]:
        """Yield x, y, z [mm] piece by piece."""
        read = _binary if self.header.order else _text
        found = 0
        with reading(self.name, _ALLOWED), self.path.open("rb") as file:
            file.seek(self.header.begins)
            for raw in read(file, self.header, points_at_once):
                found += len(raw[0])
                if tell is not None:
                    tell(found / self.points)
                x, y, z = (values * unit for values, unit in zip(raw, self.unit_mm, strict=True))
                yield x, y, z
        check_count(self.name, found, self.points)


def open_ply(path: Path, name: str, file_unit: FileUnit | None) -> PlyCloud:
    """Return the cloud in a PLY file.

    Parameters
    ----------
    path, name
        The file, and what messages call it.
    file_unit : {"m", "mm", "in", "ft"} or None
        What its vertices count in; metres unless given.

    Raises
    ------
    Refusal
        Where its header is damaged or has no vertices.
    """
    with reading(name, _ALLOWED), path.open("rb") as file:
        header = read_ply_header(file, name)
        check_some(name, header.vertex.count)
        size = path.stat().st_size
        if header.order and all(element.even for element in header.before):
            before = sum(e.count * e.dtype(header.order).itemsize for e in header.before)
            room = max(size - header.begins - before, 0)
            check_count(
                name, room // header.vertex.dtype(header.order).itemsize, header.vertex.count
            )
    return PlyCloud(path, name, header, units_of(file_unit))


def _binary(file: BinaryIO, header: PlyHeader, at_once: int) -> Iterator[tuple[Array, ...]]:
    for element in header.before:
        _skip(file, element, header.order)
    record = header.vertex.dtype(header.order)
    left = header.vertex.count
    while left:
        raw = file.read(min(left, at_once) * record.itemsize)
        rows = np.frombuffer(raw[: len(raw) - len(raw) % record.itemsize], record)
        if not len(rows):
            return
        left -= len(rows)
        yield tuple(rows[axis].astype(np.float64) for axis in "xyz")


def _skip(file: BinaryIO, element: Element, order: str) -> None:
    if element.even:
        file.seek(element.count * element.dtype(order).itemsize, 1)
        return
    # Lists are as long as each says itself: they are walked one by one.
    for _ in range(element.count):
        for _, number, length in element.properties:
            long = 1
            if length:
                raw = file.read(np.dtype(length).itemsize)
                long = int(np.frombuffer(raw, order + length, 1)[0])
            file.seek(max(long, 0) * np.dtype(number).itemsize, 1)


def _text(file: BinaryIO, header: PlyHeader, at_once: int) -> Iterator[tuple[Array, ...]]:
    before = sum(element.count for element in header.before)
    for _ in itertools.islice(file, before):
        pass
    names = [name for name, _, _ in header.vertex.properties]
    left = header.vertex.count
    try:
        with pd.read_csv(
            file,
            sep=r"\s+",
            header=None,
            names=names,
            index_col=False,
            usecols=["x", "y", "z"],
            dtype=np.float64,
            nrows=header.vertex.count,
            chunksize=min(at_once, header.vertex.count),
        ) as frames:
            for frame in frames:
                left -= len(frame)
                # A file that was cut off in its last row lacks its end.
                lacks = not left and frame.iloc[-1].isna().any()
                whole = frame.iloc[:-1] if lacks else frame
                yield tuple(whole[axis].to_numpy() for axis in "xyz")
    except pd.errors.EmptyDataError:
        return
