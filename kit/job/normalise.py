"""From the file's tables to the model's: lengths in millimetres, lists as tuples, keys known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from pydantic.fields import FieldInfo

from kit.job import keys
from kit.job.keys import KeyPath
from kit.job.model import Part
from kit.job.refusal import Refusal
from kit.job.units import INCH_FORMS, inches_to_mm, parse_inches
from kit.job.wording import clean, one_of, show_value


@dataclass(frozen=True)
class Issue:
    """One problem, at a place given by the keys as they stand in the file."""

    path: KeyPath
    found: str
    allowed: str


class Unreadable:
    """Stands for a value that has been refused already, so that nothing is concluded from it."""


@dataclass(frozen=True)
class Notes:
    """What was noticed on the way down: issues, and the model's places that they settle."""

    issues: list[Issue] = field(default_factory=list)
    settled: set[KeyPath] = field(default_factory=set)

    def note(self, issue: Issue, home: KeyPath) -> Unreadable:
        """Keep an issue and return the placeholder for the value that it refuses."""
        self.issues.append(issue)
        self.settled.add(home)
        return Unreadable()


def normalise(part: type[Part], raw: Mapping[str, object], notes: Notes) -> dict[str, object]:
    """Return a job file's tables in the model's terms.

    Parameters
    ----------
    part : type of Part
        The model of the outermost table.
    raw : mapping
        The tables as they stand in the file.
    notes : Notes
        Receives what had to be refused: unknown keys, lengths without a unit or with two, and
        lengths in inches that cannot be read.

    Returns
    -------
    dict
        Every ``*_in`` as ``*_mm``, lists as tuples; `Unreadable` where a value was refused.
    """
    return _table(part, raw, (), notes)


def _table(
    part: type[Part], raw: Mapping[str, object], path: KeyPath, notes: Notes
) -> dict[str, object]:
    known, parts = keys.fields_of(part), keys.parts_of(part)
    tree: dict[str, object] = {}
    for key, value in raw.items():
        home = keys.home_key(key, known)
        if home is None:
            _refuse_key(key, path, known, raw, tree, notes)
        elif home in tree:
            issue = _twice(path, key, home, raw)
            tree[home] = notes.note(issue, (*path, home))
        elif home in parts:
            tree[home] = _tables(parts[home], known[home], value, (*path, key), notes)
        else:
            tree[home] = _value(value, (*path, key), (*path, home), notes)
    return tree


def _twice(path: KeyPath, key: str, home: str, raw: Mapping[str, object]) -> Issue:
    inches = keys.inch_key(home)
    if home not in raw or inches not in raw:
        return Issue((*path, key), "the same length in more than one unit", f"{home} or {inches}")
    found = f"{home} = {show_value(raw[home])} and {inches} = {show_value(raw[inches])}"
    return Issue((*path, key), found, f"one of the two, {home} or {inches}")


def _refuse_key(
    key: str,
    path: KeyPath,
    known: Mapping[str, FieldInfo],
    raw: Mapping[str, object],
    tree: dict[str, object],
    notes: Notes,
) -> None:
    unitless = keys.without_unit(key, known)
    nearest = unitless or keys.nearest_key(key, known)
    if unitless is not None:
        found = f"{show_value(raw[key])}, a length without its unit"
        allowed = f"{unitless} in millimetres or {keys.inch_key(unitless)} in inches"
    else:
        found = "a key that is not known here"
        allowed = _suggestion(key, nearest, known)
    issue = Issue((*path, key), found, allowed)
    home = keys.home_key(nearest, known) if nearest is not None else None
    missing = home is not None and not any(keys.home_key(k, known) == home for k in raw)
    if home is not None and missing:
        # The misspelt key is the missing one: one slip, one message.
        tree[home] = notes.note(issue, (*path, home))
    else:
        notes.issues.append(issue)


def _suggestion(key: str, nearest: str | None, known: Mapping[str, FieldInfo]) -> str:
    here = f"{nearest}, the nearest known key" if nearest is not None else one_of(list(known))
    headings = [f"under {h}" if h else "above the first [table]" for h in keys.tables_with(key)]
    return f"{here}; {clean(key)} belongs {one_of(headings)}" if headings else here


def _value(value: object, path: KeyPath, home: KeyPath, notes: Notes) -> object:
    if not keys.is_inch_key(str(path[-1])):
        return _as_tuple(value)
    if isinstance(value, list):
        return tuple(
            _in_mm(item, (*path, index), (*home, index), notes) for index, item in enumerate(value)
        )
    return _in_mm(value, path, home, notes)


def _tables(
    part: type[Part], info: FieldInfo, value: object, path: KeyPath, notes: Notes
) -> object:
    if isinstance(value, Mapping) and not keys.holds_list(info):
        return _table(part, value, path, notes)
    if isinstance(value, list) and keys.holds_list(info):
        return tuple(
            _table(part, item, (*path, index), notes) if isinstance(item, Mapping) else item
            for index, item in enumerate(value)
        )
    return value


def _as_tuple(value: object) -> object:
    return tuple(_as_tuple(item) for item in value) if isinstance(value, list) else value


def _in_mm(value: object, path: KeyPath, home: KeyPath, notes: Notes) -> object:
    """Return a length in millimetres; what is neither a number nor a text, as it is."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        return value
    try:
        return inches_to_mm(parse_inches(value))
    except (Refusal, OverflowError):
        return notes.note(Issue(path, show_value(value), INCH_FORMS), home)
