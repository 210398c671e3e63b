"""Putting a new file in the place of an old one, so that no moment sees half of either."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from kit.job.refusal import refuse

#: Of a new file: its owner writes it, everybody on the machine may read it.
NEW_FILE_MODE = 0o644


def unfinished_prefix(target: Path) -> str:
    """Return how the name of a version of a file begins that is not whole yet.

    Only what a killed writer has left bears such a name, so that it may be cleared away.
    """
    return f".{target.name}.unfinished-"


def with_before(target: Path) -> Path:
    """Return where the previous version of a file is kept."""
    return target.with_name(f"{target.name}.before")


def replace_keeping(path: Path, old: bytes, new: bytes) -> None:
    """Replace a file's content and keep the previous version beside it.

    The previous version goes to ``<name>.before``. Each of the two files is written in full
    beside its place, forced to the disk and then renamed over it; renaming within a folder is
    atomic (POSIX.1-2017, rename), so a crash at any moment leaves whole files only.

    Parameters
    ----------
    path : Path
        The file; a link is followed, so that the link stays.
    old : bytes
        The previous version, as it was read.
    new : bytes
        The content that takes its place.

    Raises
    ------
    OSError
        If the folder cannot be written; the file is then as it was.
    """
    target = path.resolve()
    mode = target.stat().st_mode & 0o777
    _replace(with_before(target), old, mode)
    _replace(target, new, mode)
    _force_folder(target.parent)


def replace_whole(path: Path, content: bytes) -> None:
    """Put a file in its place, whether one of its name is there already or not.

    Parameters
    ----------
    path : Path
        The file; a link is followed, so that the link stays.
    content : bytes
        What it is to hold. A crash at any moment leaves the old file or the new one, whole.

    Raises
    ------
    OSError
        If the folder cannot be written; the file is then as it was.
    """
    target = path.resolve()
    mode = target.stat().st_mode & 0o777 if target.exists() else NEW_FILE_MODE
    _replace(target, content, mode)
    _force_folder(target.parent)


def _replace(target: Path, content: bytes, mode: int) -> None:
    with _beside(target, content, mode) as whole:
        whole.replace(target)


@contextmanager
def _beside(target: Path, content: bytes, mode: int) -> Iterator[Path]:
    """Write content in full beside its place, on the disk, and take away what is left of it."""
    handle, name = tempfile.mkstemp(prefix=unfinished_prefix(target), dir=target.parent)
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        beside.chmod(mode)
        yield beside
    finally:
        beside.unlink(missing_ok=True)


def _force_folder(folder: Path) -> None:
    """Force the renaming itself to the disk, where the system lets folders be opened."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def write_new(path: Path, content: bytes) -> None:
    """Write a file that is not there yet, whole or not at all.

    Parameters
    ----------
    path : Path
        The file.
    content : bytes
        What it is to hold.

    Raises
    ------
    Refusal
        If something of that name is there already, or the folder cannot be written. It is left as
        it was.
    """
    try:
        with _beside(path, content, NEW_FILE_MODE) as whole:
            # A link, unlike a renaming, never takes the place of what is there.
            os.link(whole, path)
        _force_folder(path.parent)
    except FileExistsError as error:
        raise refuse(path.name, "a file of that name already", "a name that is free") from error
    except OSError as error:
        why = error.strerror or str(error)
        raise refuse(path.name, f"it cannot be written ({why})", "a folder with room") from error
