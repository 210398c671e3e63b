"""Scan points from a LAS or LAZ file, read in pieces."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from kit.job import refuse
from kit.scan.cloud_parts import (
    POINTS_AT_ONCE,
    Array,
    FileUnit,
    Piece,
    Tell,
    Units,
    Whole,
    check_count,
    check_some,
    reading,
    units_of,
)
from kit.scan.las_unit import unit_from_keys, unit_from_text

if TYPE_CHECKING:
    from laspy import LasHeader

_ALLOWED = "a whole LAS or LAZ file"
_METRE_MM = 1000.0


@dataclass(frozen=True)
class LasCloud:
    """The points of a LAS or LAZ file; see `cloud_parts.WholeCloud`.

    Parameters
    ----------
    path, name
        The file, and what messages call it.
    points : int
        How many the header says.
    unit_mm : tuple of three float
        One unit of the file along x, y and z [mm].
    steps, offsets : tuple of three float
        A coordinate is its whole number times the step, plus the offset [units of the file].
    """

    path: Path
    name: str
    points: int
    unit_mm: Units
    steps: tuple[float, float, float]
    offsets: tuple[float, float, float]

    def pieces(
        self, points_at_once: int = POINTS_AT_ONCE, tell: Tell | None = None
    ) -> Iterator[Piece]:
        """Yield x, y, z [mm] piece by piece."""
        for x, y, z in self.whole_pieces(points_at_once, tell):
            yield self.place_mm(0, x), self.place_mm(1, y), self.place_mm(2, z)

    def whole_pieces(
        self, points_at_once: int = POINTS_AT_ONCE, tell: Tell | None = None
    ) -> Iterator[tuple[Whole, Whole, Whole]]:
        """Yield the whole numbers of x, y and z piece by piece."""
        import laspy  # noqa: PLC0415 - heavy: loaded when a scan is read

        found = 0
        # Colours, times and the like are left packed, where the format packs them apart.
        fields = laspy.DecompressionSelection.XY_RETURNS_CHANNEL | laspy.DecompressionSelection.Z
        how = {"read_evlrs": False, "decompression_selection": fields}
        with reading(self.name, _ALLOWED), laspy.open(self.path, **how) as file:
            for records in file.chunk_iterator(points_at_once):
                found += len(records)
                if tell is not None:
                    tell(found / self.points)
                x, y, z = (np.ascontiguousarray(records.array[axis]) for axis in "XYZ")
                yield x, y, z
        check_count(self.name, found, self.points)

    def place_mm(self, axis: int, whole: NDArray[np.integer]) -> Array:
        """Return the coordinates [mm] that whole numbers along an axis stand for."""
        mm = whole.astype(np.float64)
        mm *= self.steps[axis]
        mm += self.offsets[axis]
        mm *= self.unit_mm[axis]
        return mm


def open_las(path: Path, name: str, file_unit: FileUnit | None) -> LasCloud:
    """Return the cloud in a LAS or LAZ file.

    Parameters
    ----------
    path, name
        The file, and what messages call it.
    file_unit : {"m", "mm", "in", "ft"} or None
        What it counts in; what its own coordinate system says, or metres, unless given.

    Raises
    ------
    Refusal
        Where the header is damaged or says no point, or the file is shorter than it says.
    """
    import laspy  # noqa: PLC0415 - heavy: loaded when a scan is read

    _check_records(path, name)
    with reading(name, _ALLOWED), laspy.open(path) as file:
        header = file.header
        points = int(header.point_count)
        check_some(name, points)
        steps, offsets = _three(header.scales), _three(header.offsets)
        _check_steps(name, steps, offsets)
        if not header.are_points_compressed:
            room = max(path.stat().st_size - int(header.offset_to_point_data), 0)
            check_count(name, room // int(header.point_format.size), points)
        said = None if file_unit is not None else _said(header, name)
    plan, height = said or (_METRE_MM, _METRE_MM)
    unit_mm = units_of(file_unit) if said is None else (plan, plan, height)
    return LasCloud(path, name, points, unit_mm, steps, offsets)


def _check_records(path: Path, name: str) -> None:
    """Refuse a header that says more records than there is room for: reading them has no end.

    LAS 1.4 R15, 2.4 to 2.7 (from memory): the number of records, 54 bytes or more each, at byte
    100, and before it where the points begin; from 1.4 on that of records after the points, 60
    bytes or more each, at byte 243.
    """
    with reading(name, _ALLOWED), path.open("rb") as file:
        head = file.read(247)
    if len(head) < 104 or not head.startswith(b"LASF"):
        return  # told by who reads the rest
    begin, records = struct.unpack_from("<II", head, 96)
    after = struct.unpack_from("<I", head, 243)[0] if len(head) == 247 and head[25] >= 4 else 0
    size = path.stat().st_size
    if 54 * records > min(begin, size) or 60 * after > size:
        found = f"a header that says {records + after:,} records in {size:,} bytes"
        raise refuse(name, found, _ALLOWED)


def _three(values: NDArray[np.float64]) -> tuple[float, float, float]:
    x, y, z = (float(value) for value in values)
    return x, y, z


def _check_steps(name: str, steps: Units, offsets: Units) -> None:
    if not np.all(np.isfinite([*steps, *offsets])) or min(steps) <= 0:
        found = f"steps {steps} and offsets {offsets}"
        raise refuse(f"{name}, header", found, "steps above 0 and offsets that are numbers")


def _said(header: LasHeader, name: str) -> tuple[float, float] | None:
    """Return the units of plan and heights [mm] that the file's own records say."""
    from laspy.vlrs.known import (  # noqa: PLC0415 - heavy: loaded when a scan is read
        GeoKeyDirectoryVlr,
        WktCoordinateSystemVlr,
    )

    records = [*header.vlrs, *(header.evlrs or ())]
    texts = [record for record in records if isinstance(record, WktCoordinateSystemVlr)]
    for text in texts:
        if text.string.strip("\0 "):
            return unit_from_text(text.string, name)
    for record in records:
        if isinstance(record, GeoKeyDirectoryVlr):
            plain = [(k.id, k.value_offset) for k in record.geo_keys if k.tiff_tag_location == 0]
            return unit_from_keys(plain, name)
    return None
