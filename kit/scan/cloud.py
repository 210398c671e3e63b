"""Open a point cloud by the kind of its file."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType

from kit.job import refuse
from kit.scan.cloud_parts import Cloud, FileUnit
from kit.scan.csv_cloud import open_csv
from kit.scan.e57_cloud import open_e57
from kit.scan.las_cloud import open_las
from kit.scan.ply_cloud import open_ply

_Open = Callable[[Path, str, FileUnit | None], Cloud]

#: Who opens a file that ends so, and what such a file begins with; empty for a text.
_KINDS: Mapping[str, tuple[_Open, bytes]] = MappingProxyType(
    {
        ".csv": (open_csv, b""),
        ".tsv": (open_csv, b""),
        ".txt": (open_csv, b""),
        ".ply": (open_ply, b"ply"),
        ".las": (open_las, b"LASF"),
        ".laz": (open_las, b"LASF"),
        ".e57": (open_e57, b"ASTM-E57"),
    }
)

_ALLOWED = "a scan that ends in .csv, .tsv, .txt, .ply, .las, .laz or .e57"


def open_cloud(path: Path, name: str, file_unit: FileUnit | None = None) -> Cloud:
    """Return the point cloud in a file; nothing but its header is read by now.

    Parameters
    ----------
    path : Path
        The file; its ending tells its kind.
    name : str
        What messages call it.
    file_unit : {"m", "mm", "in", "ft"} or None
        What its coordinates count in; what the file says, or metres, unless given.

    Returns
    -------
    Cloud
        Its pieces are read as they are asked for, in bounded memory.

    Raises
    ------
    Refusal
        Where the file is missing, empty, damaged, of another kind than it says, without x, y and
        z, or without a point.
    """
    kind = _KINDS.get(path.suffix.lower())
    if kind is None:
        raise refuse(name, f"a file that ends in {path.suffix!r}", _ALLOWED)
    opener, magic = kind
    begins = _begins(path, name, max(len(magic), 1))
    if not begins:
        raise refuse(name, "an empty file", _ALLOWED)
    if not begins.startswith(magic):
        found = f"a file that begins with {begins!r}"
        raise refuse(name, found, f"a {path.suffix.lower()} file, which begins with {magic!r}")
    return opener(path, name, file_unit)


def _begins(path: Path, name: str, length: int) -> bytes:
    if path.is_dir():
        raise refuse(name, "a folder", _ALLOWED)
    if os.path.exists(path) and not os.path.isfile(path):  # reading a pipe has no end
        raise refuse(name, "a pipe or device, and no file", _ALLOWED)
    try:
        with path.open("rb") as file:
            return file.read(length)
    except OSError as error:
        found = f"a file that cannot be read ({error.strerror or error})"
        raise refuse(name, found, _ALLOWED) from error
