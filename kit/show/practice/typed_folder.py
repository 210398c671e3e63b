"""A folder, as a person types it."""

from __future__ import annotations

import os
from pathlib import Path

from kit.job import refuse

_WRITABLE = "a folder that can be written to, or a new one in such a folder"


def folder_named(name: str, typed: str) -> Path:
    """Return a folder as it was typed, ``~`` for a person's own.

    Parameters
    ----------
    name : str
        Of the box, for messages.
    typed : str
        What stands in it.

    Raises
    ------
    Refusal
        Where nothing was typed, or something that no folder is called.
    """
    folder = typed.strip()
    if not folder:
        raise refuse(name, "nothing", "the path of a folder")
    if not folder.isprintable():
        raise refuse(name, repr(folder), "a path of letters that can be seen")
    try:
        return Path(folder).expanduser()
    except RuntimeError as error:
        raise refuse(name, repr(folder), "a path, ~ for your own folder") from error


def check_writable(name: str, folder: Path) -> None:
    """Refuse a folder in which no file could be kept; nothing is written or made.

    Parameters
    ----------
    name : str
        Of the box, for messages.
    folder : Path
        As `folder_named` returns it.

    Raises
    ------
    Refusal
        Where it is there and cannot be written to, or is not there and cannot be made because the
        folder that it would lie in is not there either or cannot be written to.
    """
    if os.path.lexists(folder):
        _check_folder(name, folder)
    elif folder.absolute().parent.exists():
        _check_folder(name, folder.absolute().parent)
    else:
        found = f"{folder}, and no folder {folder.absolute().parent} to make it in"
        raise refuse(name, found, _WRITABLE)


def _check_folder(name: str, folder: Path) -> None:
    if not folder.is_dir():
        raise refuse(name, f"{folder}, which is no folder", _WRITABLE)
    if not os.access(folder, os.W_OK | os.X_OK):
        raise refuse(name, f"{folder}, where nothing can be written", _WRITABLE)
