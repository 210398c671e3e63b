"""A job with figures changed in it, judged as its file would be, without a file in between."""

from __future__ import annotations

from collections.abc import Mapping

from kit.job.change import Change, in_units_of, parse_change
from kit.job.edit import is_tables, written_key
from kit.job.model import Job
from kit.job.read import job_of_tables
from kit.job.refusal import Refusal
from kit.job.tables import HEADED, tables_of
from kit.job.wording import show_value


def amend(job: Job, changes: Mapping[str, object]) -> Job:
    """Return a job with values changed in it.

    Parameters
    ----------
    job : Job
        Stays as it is.
    changes : mapping
        New values by key path, in the order in which they are made and as `save_job` takes them:
        ``base[0].height_mm``, ``run[0].unit[1].width_mm``, ``run[0].unit`` for a whole list; None
        takes a key or a member away, one past the end of a list adds to it. Lengths are in the
        unit that the path ends in, [mm] or [in].

    Returns
    -------
    Job
        Of the same folder and with the same fingerprint.

    Raises
    ------
    Refusal
        If a change names no place, or the job would not be a job with the changes in it: all
        problems at once, in the words that its file would be refused with.
    """
    tables = tables_of(job)
    for address, value in changes.items():
        _put(tables, parse_change(address, value))
    return job_of_tables(tables, job.folder, inside=set(job.tables), fingerprint=job.fingerprint)


def _put(tables: dict[str, object], change: Change) -> None:
    """Make one change in plain tables: what `kit.job.edit.put` does in a document."""
    node: object = tables
    key = written = ""
    for step, following in zip(change.path, (*change.path[1:], None), strict=True):
        if isinstance(step, str):
            key, written = step, written_key(node, step)
        if following is not None:
            node = _enter(node, written if isinstance(step, str) else step, following, change)
        elif isinstance(node, dict) and isinstance(step, str):
            _put_key(node, key, change)
        elif isinstance(node, list) and isinstance(step, int):
            _put_member(node, step, key, written, change)
            _drop_empty(tables)
        else:
            raise _nowhere(change)


def _nowhere(change: Change) -> Refusal:
    return change.refused("no such place in the job file", "a place that is there")


def _enter(node: object, step: str | int, following: str | int, change: Change) -> object:
    if isinstance(node, list) and isinstance(step, int) and step < len(node):
        return node[step]
    if not isinstance(node, dict) or not isinstance(step, str):
        raise _nowhere(change)
    if step not in node and change.value is not None:
        node[step] = [] if isinstance(following, int) else {}
    if step not in node:
        raise _nowhere(change)
    return node[step]


def _put_key(table: dict[str, object], key: str, change: Change) -> None:
    written = written_key(table, key)
    if change.value is None:
        table.pop(written, None)
        return
    old = table.get(written)
    value = in_units_of(key, written, old, change)
    if isinstance(old, dict) and isinstance(value, Mapping):
        for inner, item in value.items():
            _put_key(old, inner, Change(change.address, (inner,), item))
    elif written in HEADED and isinstance(old, list) and not is_tables(value):
        raise change.refused(show_value(value), "a list of tables")
    elif written in HEADED and value == []:
        # The file has no way to write a list of headings without one.
        table.pop(written, None)
    else:
        table[written] = value


def _put_member(members: list[object], index: int, key: str, written: str, change: Change) -> None:
    old = members[index] if index < len(members) else list(members)
    value = in_units_of(key, written, old, change)
    if index > len(members) or (index == len(members) and value is None):
        raise _nowhere(change)
    if value is None:
        del members[index]
    elif written in HEADED and not isinstance(value, Mapping):
        raise change.refused(show_value(value), "a table")
    elif index == len(members):
        members.append(value)
    elif isinstance(old, dict) and isinstance(value, Mapping):
        for inner, item in value.items():
            _put_key(old, inner, Change(change.address, (inner,), item))
    else:
        members[index] = value


def _drop_empty(table: dict[str, object]) -> None:
    """Take away headed lists without a member: the file has no way to write one."""
    for key, value in list(table.items()):
        if key in HEADED and value == []:
            del table[key]
        elif key in HEADED and isinstance(value, list):
            for member in value:
                if isinstance(member, dict):
                    _drop_empty(member)
