"""Lists of tables put in another order in a job file's text, comments with what they describe."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from copy import deepcopy

from kit.job.arrays import rearrange_array
from kit.job.blocks import rearrange_blocks
from kit.job.change import Change
from kit.job.edit import is_tables, written_key
from kit.job.keys import KeyPath
from kit.job.match import match
from kit.job.refusal import Refusal, refuse
from kit.job.tables import HEADED
from kit.job.toml_text import JOB_FILE
from kit.job.wording import value_at


def rearranged(
    text: str, path: KeyPath, came_from: Sequence[int], new: Sequence[Mapping[str, object]]
) -> str:
    """Return a job file's text with the members of a list in another order.

    Comments directly above a member (after the last blank line before it), inside it and beside
    it go where it goes; all others stay where they are.

    Parameters
    ----------
    text : str
        The job file.
    path : key path
        The list, for example ``("run", 0, "unit")``; it holds one table at least.
    came_from : sequence of int
        For each member of the new list its old place; -1 for one that is new.
    new : sequence of mapping
        The new list; only members that are new are looked at.

    Returns
    -------
    str
        The new text.

    Raises
    ------
    Refusal
        If the file is laid out in a way that cannot be kept.
    """
    try:
        written = rearrange_blocks(text, path, came_from, new)
        if written is None:
            written = rearrange_array(text, path, came_from, new)
        # What was cut and put together is not trusted: the whole text is read again.
        if written is None or tomllib.loads(written) != _expected(text, path, came_from, new):
            raise layout_refused()
    except (ValueError, LookupError, TypeError, RecursionError) as error:
        raise layout_refused() from error
    return written


def layout_refused() -> Refusal:
    """Return the refusal of a text that cannot be changed without risk to the rest of it."""
    found = "a layout in which this change cannot be made safely"
    return refuse(JOB_FILE, found, "the change made by hand in the file")


def _expected(
    text: str, path: KeyPath, came_from: Sequence[int], new: Sequence[Mapping[str, object]]
) -> dict[str, object]:
    tables = tomllib.loads(text)
    members = value_at(tables, path)
    parent = value_at(tables, path[:-1])
    if not isinstance(members, list) or not isinstance(parent, dict):
        raise LookupError(path)
    old = deepcopy(members)
    parent[path[-1]] = [
        dict(new[place]) if origin < 0 else old[origin] for place, origin in enumerate(came_from)
    ]
    if not came_from:
        # The file has no way to write a list of headings without one.
        del parent[path[-1]]
    return tables


def into_steps(text: str, change: Change) -> tuple[str, list[Change]]:
    """Return a text with a change's members in their order, and what is still to be changed.

    Parameters
    ----------
    text : str
        The job file.
    change : Change
        Any; only one that takes members of a list of tables away, or puts a whole list of tables
        in the place of another, re-orders anything.

    Returns
    -------
    tuple of (str, list of Change)
        The text, and the changes that make the rest of this one.

    Raises
    ------
    Refusal
        As `rearranged`.
    """
    tables = tomllib.loads(text)
    gone = change.path[-1] if change.value is None else None
    path = change.path[:-1] if isinstance(gone, int) else change.path
    old = value_at(tables, path)
    if not old or not is_tables(old):
        return text, [change]
    if isinstance(gone, int):
        came_from = [place for place in range(len(old)) if place != gone]
        new = [old[place] for place in came_from]
    elif change.value is None or is_tables(change.value):
        new = list(change.value) if is_tables(change.value) else []
        came_from = list(match(old, new).came_from)
    else:
        return text, [change]
    # A list on one line goes with its key, and a place that is not there is told of elsewhere.
    if came_from == list(range(len(old))) and isinstance(gone, int):
        return text, [change]
    if not new and path[-1] not in HEADED:
        return text, [change]
    if came_from != list(range(len(old))):
        text = rearranged(text, path, came_from, new)
    steps: list[Change] = []
    for place, origin in enumerate(came_from):
        if origin >= 0:
            steps += _towards(old[origin], new[place], (*path, place), change)
    return text, steps


def _towards(
    old: Mapping[str, object], new: Mapping[str, object], path: KeyPath, change: Change
) -> list[Change]:
    """Return the changes, key by key, that make one table out of another."""
    kept = {written_key(old, key) for key in new}
    steps = [Change(change.address, (*path, key), None) for key in old if key not in kept]
    for key, value in new.items():
        before = old.get(written_key(old, key))
        if isinstance(before, Mapping) and isinstance(value, Mapping):
            steps += _towards(before, value, (*path, key), change)
        elif key not in old or before != value:
            steps.append(Change(change.address, (*path, key), value))
    return steps
