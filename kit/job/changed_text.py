"""A job file's text with changes in it, and everything else in it as it stands."""

from __future__ import annotations

import json
import math
import re
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path

import tomlkit
from tomlkit.exceptions import TOMLKitError

from kit.job.blocks import member_lines, table_lines
from kit.job.change import Change
from kit.job.differ import address_of, compare
from kit.job.edit import is_tables, put
from kit.job.model import Job
from kit.job.read import read_text
from kit.job.rearrange import into_steps, layout_refused, rearranged
from kit.job.tables import tables_of
from kit.job.units import CONVERSION_DIGITS
from kit.job.wording import value_at


def changed_text(text: str, changes: Sequence[Change]) -> str:
    """Return a job file's text with changes in it and everything else as it stands.

    Parameters
    ----------
    text : str
        The job file.
    changes : sequence of Change
        In the order in which they are made.

    Returns
    -------
    str
        The new text. A whole list of tables is matched with the old one by name, so that the
        comments of each member stay with it.

    Raises
    ------
    Refusal
        If a change names no place, or the file is laid out in a way that cannot be kept.
    """
    waiting: list[Change] = []
    for change in changes:
        waiting.append(change)
        if _may_rearrange(change):
            text = _with_values(text, waiting[:-1])
            text, waiting = into_steps(text, change)
            if waiting != [change]:
                text, waiting = changed_text(text, waiting), []
    return _with_values(text, waiting)


def _may_rearrange(change: Change) -> bool:
    return change.value is None or is_tables(change.value)


def _with_values(text: str, changes: Sequence[Change]) -> str:
    """Return a text with values in it, members of lists where they are."""
    if not changes:
        return text
    try:
        document = tomlkit.parse(text)
        for change in changes:
            put(document, change)
        new = _with_ends_of(text, document.as_string())
        # The editor's word is not taken for it: the text is read again by another parser.
        if _canonical(tomllib.loads(new)) != _canonical(document.unwrap()):
            raise layout_refused()
    except (
        TOMLKitError,
        ValueError,
        LookupError,
        TypeError,
        ArithmeticError,
        RecursionError,
    ) as error:
        raise layout_refused() from error
    return new


def _with_ends_of(text: str, new: str) -> str:
    """Return a new text with the line ends that the old one has throughout."""
    windows = "\r\n" in text and text.count("\r\n") == text.count("\n")
    return re.sub(r"(?<!\r)\n", "\r\n", new) if windows else new


def _canonical(tables: Mapping[str, object]) -> str:
    return json.dumps(tables, sort_keys=True, default=str)


def text_towards(text: str, now: Job, folder: Path) -> str:
    """Return a job file's text changed so that it says another version of its job.

    Parameters
    ----------
    text : str
        A job file, with its comments.
    now : Job
        What it is to say.
    folder : Path
        The folder in which the text lies.

    Returns
    -------
    str
        Only what differs is changed. Read again it says `now`; a length that the file has in
        inches to the picometre.

    Raises
    ------
    Refusal
        If the text is no job, or is laid out in a way that cannot be kept.
    """
    found, tables = compare(read_text(text, folder), now), tables_of(now)
    for path, matching in found.lists:
        members = value_at(tables, path)
        text = rearranged(text, path, matching.came_from, members if is_tables(members) else [])
    changes = [Change(address_of(path), path, value_at(tables, path)) for path in found.values]
    text = changed_text(text, changes)
    written = compare(read_text(text, folder), now)
    if written.lists or not all(_close(d.old, d.new) for d in written.differences):
        raise layout_refused()
    return text


def _close(old: object, new: object) -> bool:
    """Tell whether two values are one but for what a length loses on its way through inches."""
    if isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
        return all(_close(a, b) for a, b in zip(old, new, strict=True))
    if isinstance(old, bool) or isinstance(new, bool):
        return old is new
    if isinstance(old, int | float) and isinstance(new, int | float):
        return math.isclose(old, new, rel_tol=0.0, abs_tol=10.0**-CONVERSION_DIGITS)
    return old == new


def text_of(job: Job) -> str:
    """Return a text that says a job, without a comment: for a job whose file is no more."""
    tables = tables_of(job)
    plain = {key: value for key, value in tables.items() if not _has_heading(value)}
    parts = [table_lines("", plain)]
    for key, value in tables.items():
        if is_tables(value) and value:
            parts += [member_lines((key,), member) for member in value]
        elif isinstance(value, Mapping):
            parts.append(table_lines(f"[{key}]", value))
    return "\n".join(parts)


def _has_heading(value: object) -> bool:
    return isinstance(value, Mapping) or (is_tables(value) and bool(value))
