"""A folder, as a person types it."""

from __future__ import annotations

from pathlib import Path

from kit.job import refuse


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
