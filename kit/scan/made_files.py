"""Scans of made halls as files, written in pieces: any number of points in bounded memory."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import BinaryIO

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.job import refuse
from kit.scan.made import MadeHall
from kit.scan.made_rays import points as points_of

Array = NDArray[np.float64]
Pieces = Iterator[tuple[Array, Array, Array]]

#: Files count in metres; what is read back is within half a step.
_MM, STEP_MM = 1000.0, 0.1
_PIECE = 500_000


def write_made_scan(
    hall: MadeHall,
    path: Path,
    points: int,
    *,
    seed: int = 0,
    tell: Callable[[float], None] | None = None,
) -> Path:
    """Write a scan of a made hall, in metres, to a tenth of a millimetre (.ply: in doubles).

    Parameters
    ----------
    hall : MadeHall
        What is scanned.
    path : Path
        Ends in .csv, .ply, .las or .laz. It is whole or not there.
    points : int
        How many points.
    seed : int
        Of the scan: another one gives other points in the same hall.
    tell : callable, optional
        Told the share done, 0 to 1.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    Refusal
        Where the ending is another, there are no points to write, or the file cannot be written.
    """
    write = _WRITERS.get(path.suffix.lower())
    if write is None:
        allowed = "a name that ends in " + ", ".join(_WRITERS)
        raise refuse("file of a made scan", repr(path.name), allowed)
    pieces = _told(points_of(hall, points, seed, min(_PIECE, max(points, 1))), points, tell)
    try:
        with tempfile.TemporaryDirectory(dir=path.parent, prefix=".writing-") as beside:
            part = Path(beside) / "scan"
            with part.open("wb") as file:
                write(file, pieces, points)
            part.replace(path)
    except OSError as error:
        allowed = "a file that can be written"
        raise refuse(
            f"file of a made scan {path}", error.strerror or str(error), allowed
        ) from error
    return path


def _told(pieces: Pieces, points: int, tell: Callable[[float], None] | None) -> Pieces:
    done = 0
    for x, y, z in pieces:
        yield x / _MM, y / _MM, z / _MM
        done += len(x)
        if tell is not None:
            tell(done / points)


def _csv(file: BinaryIO, pieces: Pieces, points: int) -> None:  # noqa: ARG001 — one form for all
    file.write(b"x,y,z\n")
    for x, y, z in pieces:
        table = pd.DataFrame({"x": x, "y": y, "z": z})
        table.to_csv(file, index=False, header=False, float_format="%.4f", lineterminator="\n")


def _ply(file: BinaryIO, pieces: Pieces, points: int) -> None:
    axes = "".join(f"property double {axis}\n" for axis in "xyz")
    head = f"ply\nformat binary_little_endian 1.0\nelement vertex {points}\n{axes}end_header\n"
    file.write(head.encode())
    for piece in pieces:
        file.write(np.stack(piece, axis=1).astype("<f8").tobytes())


def _las(file: BinaryIO, pieces: Pieces, points: int) -> None:  # noqa: ARG001
    _write_las(file, pieces, packed=False)


def _laz(file: BinaryIO, pieces: Pieces, points: int) -> None:  # noqa: ARG001
    _write_las(file, pieces, packed=True)


def _write_las(file: BinaryIO, pieces: Pieces, packed: bool) -> None:
    import laspy  # noqa: PLC0415 - heavy: loaded when a scan is written

    header = laspy.LasHeader(point_format=0, version="1.2")
    header.scales = np.full(3, STEP_MM / _MM)
    header.offsets = np.zeros(3)
    header.creation_date = None  # no clock: same hall, same bytes
    with laspy.LasWriter(file, header, do_compress=packed, closefd=False) as writer:
        for x, y, z in pieces:
            record = laspy.ScaleAwarePointRecord.zeros(len(x), header=header)
            record.x, record.y, record.z = x, y, z
            writer.write_points(record)


_WRITERS: Mapping[str, Callable[[BinaryIO, Pieces, int], None]] = MappingProxyType(
    {".csv": _csv, ".ply": _ply, ".las": _las, ".laz": _laz}
)
