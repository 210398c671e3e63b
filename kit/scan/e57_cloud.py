"""Scan points from an E57 file, scan by scan, each read in pieces."""

from __future__ import annotations

import importlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np

from kit.job import refuse
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

_ALLOWED = "a whole E57 file"
_CARTESIAN = ("cartesianX", "cartesianY", "cartesianZ")
_SPHERICAL = ("sphericalRange", "sphericalAzimuth", "sphericalElevation")


@dataclass(frozen=True)
class E57Cloud:
    """All scans of an E57 file, each turned by its own pose; see `cloud_parts.Cloud`.

    Parameters
    ----------
    path, name
        The file, and what messages call it.
    points : int
        How many the scans' headers say, summed.
    unit_mm : tuple of three float
        One unit of the file [mm]; metres by the standard (ASTM E2807).
    """

    path: Path
    name: str
    points: int
    unit_mm: Units

    def pieces(
        self, points_at_once: int = POINTS_AT_ONCE, tell: Tell | None = None
    ) -> Iterator[Piece]:
        """Yield x, y, z [mm] piece by piece; a point that a scan marks as invalid is nan."""
        pye57 = _library(self.name)
        found = 0
        with reading(self.name, _ALLOWED), pye57.E57(str(self.path)) as file:
            for scan in range(file.scan_count):
                for x, y, z in _scan(file, scan, self.name, points_at_once):
                    found += len(x)
                    if tell is not None:
                        tell(min(found / self.points, 1.0))
                    ux, uy, uz = self.unit_mm
                    yield x * ux, y * uy, z * uz
        check_count(self.name, found, self.points)


def open_e57(path: Path, name: str, file_unit: FileUnit | None) -> E57Cloud:
    """Return the cloud in an E57 file.

    Parameters
    ----------
    path, name
        The file, and what messages call it.
    file_unit : {"m", "mm", "in", "ft"} or None
        What it counts in; metres unless given.

    Raises
    ------
    Refusal
        Where the library that reads such files is missing, the file is damaged, or has no point.
    """
    pye57 = _library(name)
    with reading(name, _ALLOWED), pye57.E57(str(path)) as file:
        headers = [file.get_header(scan) for scan in range(file.scan_count)]
        points = sum(int(header.point_count) for header in headers)
        check_some(name, points)
        for scan, header in enumerate(headers, start=1):
            _fields(header, f"{name}, scan {scan}")
    return E57Cloud(path, name, points, units_of(file_unit))


def _library(name: str) -> ModuleType:
    try:
        return importlib.import_module("pye57")
    except ImportError as error:
        allowed = 'the extra "e57" (pip install "uneven-floor-kit[e57]"), or a LAS, LAZ or PLY file'
        raise refuse(name, "an E57 file, and no library to read it", allowed) from error


def _fields(header: Any, where: str) -> tuple[str, ...]:
    """Return the names of the coordinates, and of the mark of invalid points if there is one."""
    has = set(header.point_fields)
    for fields, mark in (
        (_CARTESIAN, "cartesianInvalidState"),
        (_SPHERICAL, "sphericalInvalidState"),
    ):
        if has.issuperset(fields):
            return (*fields, mark) if mark in has else fields
    raise refuse(where, f"the fields {', '.join(sorted(has))}", "x, y and z, or range and angles")


def _scan(file: Any, scan: int, name: str, at_once: int) -> Iterator[Piece]:
    header = file.get_header(scan)
    fields = _fields(header, f"{name}, scan {scan + 1}")
    if not int(header.point_count):
        return
    data, buffers = file.make_buffers(fields, min(at_once, int(header.point_count)))
    reader = header.points.reader(buffers)
    try:
        while count := int(reader.read()):
            first, second, third = (data[field][:count].astype(np.float64) for field in fields[:3])
            piece = (first, second, third)
            if fields[0] == _SPHERICAL[0]:
                piece = _from_angles(first, second, third)
            yield _posed(_without_invalid(piece, data, fields, count), header)
    finally:
        reader.close()


def _from_angles(distance: Array, azimuth: Array, elevation: Array) -> Piece:
    """Return x, y, z: r·cos e·cos a, r·cos e·sin a, r·sin e (ASTM E2807, from memory)."""
    level = distance * np.cos(elevation)
    return level * np.cos(azimuth), level * np.sin(azimuth), distance * np.sin(elevation)


def _without_invalid(piece: Piece, data: Any, fields: tuple[str, ...], count: int) -> Piece:
    if len(fields) == 4:
        invalid = data[fields[3]][:count] != 0
        piece[0][invalid] = np.nan
    return piece


def _posed(piece: Piece, header: Any) -> Piece:
    """Turn and move a scan to where it stood: R(q)·p + t, q a unit quaternion w, x, y, z."""
    if not header.has_pose():
        return piece
    w, x, y, z = (float(part) for part in np.asarray(header.rotation))
    tx, ty, tz = (float(part) for part in np.asarray(header.translation))
    px, py, pz = piece
    # Sums point by point: a matrix product would round by the number of points in a piece.
    return (
        (1 - 2 * (y * y + z * z)) * px + 2 * (x * y - w * z) * py + 2 * (x * z + w * y) * pz + tx,
        2 * (x * y + w * z) * px + (1 - 2 * (x * x + z * z)) * py + 2 * (y * z - w * x) * pz + ty,
        2 * (x * z - w * y) * px + 2 * (y * z + w * x) * py + (1 - 2 * (x * x + y * y)) * pz + tz,
    )
