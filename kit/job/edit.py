"""Changing a TOML document in place, so that its comments and its layout stay."""

from __future__ import annotations

from collections.abc import Mapping, MutableMapping, MutableSequence, Sequence
from typing import Any, TypeGuard

import tomlkit
from tomlkit import TOMLDocument, items
from tomlkit.items import AoT, Item

from kit.job import keys
from kit.job.change import Change, in_units_of
from kit.job.refusal import Refusal
from kit.job.wording import show_value

# The document's own types are loose: a table is a mapping, a list a sequence, of anything.
Table = MutableMapping[str, Any]
Members = MutableSequence[Any]


def put(document: TOMLDocument, change: Change) -> None:
    """Make one change in a document.

    Parameters
    ----------
    document : TOMLDocument
        The job file; changed in place.
    change : Change
        Place and value.

    Raises
    ------
    Refusal
        If the document has no such place.
    """
    node: object = document
    key = written = ""
    for step, following in zip(change.path, (*change.path[1:], None), strict=True):
        if isinstance(step, str):
            key, written = step, written_key(node, step)
        if following is None:
            _put_last(node, step, key, written, change, block=node is document)
        else:
            there = written if isinstance(step, str) else step
            node = _enter(node, there, following, change, block=node is document)
    _drop_empty(document)


def _drop_empty(table: Table) -> None:
    """Take away lists of tables without a table: the file has no way to write one."""
    for key, value in list(table.items()):
        if isinstance(value, AoT):
            for member in value:
                _drop_empty(member)
            if not value:
                del table[key]
        elif isinstance(value, MutableMapping):
            _drop_empty(value)


def _put_last(
    node: object, step: str | int, key: str, written: str, change: Change, *, block: bool
) -> None:
    if isinstance(node, MutableMapping) and isinstance(step, str):
        _put_key(node, key, change, block=block)
    elif isinstance(node, MutableSequence) and isinstance(step, int):
        old = node[step] if step < len(node) else list(node)
        value = in_units_of(key, written, old, change)
        _put_member(node, step, Change(change.address, change.path, value))
    else:
        raise _nowhere(change)


def _nowhere(change: Change) -> Refusal:
    return change.refused("no such place in the job file", "a place that is there")


def _enter(
    node: object, step: str | int, following: str | int, change: Change, *, block: bool
) -> object:
    if isinstance(node, MutableSequence) and isinstance(step, int) and step < len(node):
        return node[step]
    if not isinstance(node, MutableMapping) or not isinstance(step, str):
        raise _nowhere(change)
    if step not in node and change.value is not None:
        _create(node, step, following, block=block)
    if step not in node:
        raise _nowhere(change)
    return node[step]


def _create(node: Table, key: str, following: str | int, *, block: bool) -> None:
    """Add the empty table or list that the next step of a change goes into."""
    if isinstance(following, int):
        if block and isinstance(node, TOMLDocument):
            node.add(tomlkit.nl())
        node[key] = tomlkit.aot() if block else tomlkit.array()
    else:
        node[key] = tomlkit.table() if block else tomlkit.inline_table()


def _put_key(table: Table, key: str, change: Change, *, block: bool) -> None:
    written = written_key(table, key)
    if change.value is None:
        table.pop(written, None)
        return
    old = table.get(written)
    value = in_units_of(key, written, old, change)
    if isinstance(old, MutableMapping) and isinstance(value, Mapping):
        for inner, item in value.items():
            _put_key(old, inner, Change(change.address, (inner,), item), block=False)
    elif isinstance(old, AoT) and not is_tables(value):
        raise change.refused(show_value(value), "a list of tables")
    elif isinstance(old, MutableSequence) and isinstance(value, list):
        _put_list(old, value)
    elif block and value and is_tables(value):
        _create(table, written, 0, block=block)
        _put_list(table[written], value)
    else:
        table[written] = item_of(value, block=block)


def is_tables(value: object) -> TypeGuard[list[Mapping[str, object]]]:
    """Tell whether a value is a list of tables; an empty list may be one."""
    return isinstance(value, list) and all(isinstance(item, Mapping) for item in value)


def written_key(table: object, key: str) -> str:
    """Return the key that the file has for a length, in whichever unit it has it."""
    if not isinstance(table, Mapping):
        return key
    twin = f"{key[:-2]}mm" if keys.is_inch_key(key) else key
    return key if key in table else keys.file_key(table, twin if twin in table else key)


def _put_list(members: Members, values: Sequence[object]) -> None:
    """Change only the members that differ: the others keep their comments."""
    for index, value in enumerate(values[: len(members)]):
        if _unwrapped(members[index]) != value:
            members[index] = item_of(value, block=isinstance(members, AoT))
    while len(members) > len(values):
        del members[len(members) - 1]
    for value in values[len(members) :]:
        members.append(item_of(value, block=isinstance(members, AoT)))


def _put_member(members: Members, index: int, change: Change) -> None:
    if index > len(members) or (index == len(members) and change.value is None):
        raise _nowhere(change)
    if change.value is None:
        del members[index]
        return
    item = change.value
    if isinstance(members, AoT) and not isinstance(item, Mapping):
        raise change.refused(show_value(item), "a table")
    if index == len(members):
        members.append(item_of(item, block=isinstance(members, AoT)))
    elif isinstance(members[index], MutableMapping) and isinstance(item, Mapping):
        for inner, value in item.items():
            _put_key(members[index], inner, Change(change.address, (inner,), value), block=False)
    else:
        members[index] = item_of(item, block=False)


def _unwrapped(member: object) -> object:
    return member.unwrap() if isinstance(member, Item) else member


def item_of(value: object, *, block: bool) -> Item:
    """Return a value as a document holds it; tables inside tables stay on one line.

    Parameters
    ----------
    value : object
        What a change may hold.
    block : bool
        Whether a table gets a heading of its own.

    Returns
    -------
    Item
        Ready to be put into a document, or to be written out.
    """
    if isinstance(value, Mapping):
        table = tomlkit.table() if block else tomlkit.inline_table()
        for key, item in value.items():
            table[key] = item_of(item, block=False)
        if block and isinstance(table, items.Table):
            table.add(tomlkit.nl())
        return table
    if isinstance(value, list):
        array = tomlkit.array()
        for item in value:
            array.append(item_of(item, block=False))
        return array
    return tomlkit.item(value)
