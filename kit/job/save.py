"""Saving what a panel changes: checked in full first, comments kept, the file whole throughout."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping
from pathlib import Path

import tomlkit
from tomlkit.exceptions import TOMLKitError

from kit.job.change import Change, parse_change
from kit.job.edit import put
from kit.job.read import read_text
from kit.job.refusal import Refusal, refuse
from kit.job.replace import replace_keeping
from kit.job.toml_text import JOB_FILE, decode, locate, parse, read_bytes
from kit.job.wording import clean


def save_job(job_folder: str | Path, changes: Mapping[str, object]) -> None:
    """Write changes into a job's file.

    Parameters
    ----------
    job_folder : str or Path
        The job's folder, or the job.toml in it.
    changes : mapping
        New values by key path, for example ``{"base[0].height_mm": [55, 75]}``; members count
        from 0, lengths are in the unit that the path ends in. A length that the file has in
        inches is written back in inches. None takes a key or a member away; a table at one
        place past the end of a list is added to it.

    Raises
    ------
    Refusal
        If a change names no place, or the job would not be a job with the changes in it, or the
        folder cannot be written. Nothing is written then.
    """
    folder = locate(job_folder)
    old = read_bytes(folder)
    text = decode(old)
    parse(text)
    new = changed_text(text, [parse_change(path, value) for path, value in changes.items()])
    read_text(new, folder)
    if new == text:
        return
    if read_bytes(folder) != old:
        raise refuse(JOB_FILE, "another version than a moment ago", "one writer at a time")
    try:
        replace_keeping(folder / JOB_FILE, old, new.encode("utf-8"))
    except OSError as error:
        why = clean(error.strerror or str(error))
        raise refuse(JOB_FILE, f"it cannot be written ({why})", "a folder with room") from error


def changed_text(text: str, changes: list[Change]) -> str:
    """Return a job file's text with changes in it and everything else as it stands.

    Parameters
    ----------
    text : str
        The job file.
    changes : list of Change
        In the order in which they are made.

    Returns
    -------
    str
        The new text.

    Raises
    ------
    Refusal
        If a change names no place, or the file is laid out in a way that cannot be kept.
    """
    try:
        document = tomlkit.parse(text)
        for change in changes:
            put(document, change)
        new = document.as_string()
        # The editor's word is not taken for it: the text is read again by another parser.
        if _canonical(tomllib.loads(new)) != _canonical(document.unwrap()):
            raise _layout()
    except (
        TOMLKitError,
        ValueError,
        LookupError,
        TypeError,
        ArithmeticError,
        RecursionError,
    ) as error:
        raise _layout() from error
    return new


def _canonical(tables: Mapping[str, object]) -> str:
    return json.dumps(tables, sort_keys=True, default=str)


def _layout() -> Refusal:
    found = "a layout in which this change cannot be made safely"
    return refuse(JOB_FILE, found, "the change made by hand in the file")
