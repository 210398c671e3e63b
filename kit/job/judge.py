"""What the model says about a job, put into the kit's own words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from pydantic import ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from kit.job import keys
from kit.job.keys import KeyPath
from kit.job.model import Job, Slips
from kit.job.normalise import Issue
from kit.job.wording import describe, describe_member, show_value, value_at


def issues_of(error: ValidationError, raw: Mapping[str, object]) -> list[Issue]:
    """Return the model's complaints, one for each place of the file.

    Parameters
    ----------
    error : ValidationError
        What the model raised for the normalised tables.
    raw : mapping
        The tables as they stand in the file.

    Returns
    -------
    list of Issue
        Paths in the model's terms. Of a table and a value inside it only the value is named.
    """
    details = error.errors(include_url=False)
    found = {issue.path: issue for detail in details for issue in _issues(detail, raw)}
    return [issue for path, issue in found.items() if not _has_deeper(path, found)]


def _has_deeper(path: KeyPath, paths: Mapping[KeyPath, Issue]) -> bool:
    return any(len(other) > len(path) and other[: len(path)] == path for other in paths)


def _issues(detail: ErrorDetails, raw: Mapping[str, object]) -> Iterator[Issue]:
    path, field = _follow(detail["loc"])
    slips = detail.get("ctx", {}).get("error")
    if isinstance(slips, Slips):
        inner = keys.part_of(field.annotation) if field is not None else Job
        known = keys.fields_of(inner or Job)
        for key, allowed in slips.slips:
            spot = (*path, *key)
            yield Issue(spot, _found(spot, known.get(str(key[0])), raw), allowed)
    elif field is not None:
        yield Issue(path, _found(path, field, raw), _allowed(path, field, raw))


def _follow(location: tuple[int | str, ...]) -> tuple[KeyPath, FieldInfo | None]:
    """Return the path of a complaint as far as it follows the file's keys, and its last field."""
    field: FieldInfo | None = None
    path: KeyPath = ()
    for step in location:
        inner = Job if field is None else keys.part_of(field.annotation)
        if isinstance(step, int) and field is not None and keys.holds_list(field):
            path = (*path, step)
        elif isinstance(step, str) and inner is not None and step in keys.fields_of(inner):
            field, path = keys.fields_of(inner)[step], (*path, step)
        else:
            # What follows names the branches of a choice, which the file does not have.
            break
    return path, field


def _found(path: KeyPath, field: FieldInfo | None, raw: Mapping[str, object]) -> str:
    value = value_at(raw, as_written(path, raw))
    if value is not None:
        return show_value(value)
    if field is None or field.is_required():
        return "nothing, and it is needed"
    usual = field.default
    return "nothing" if usual in (None, ()) else f"nothing, which means {show_value(usual)}"


def _allowed(path: KeyPath, field: FieldInfo, raw: Mapping[str, object]) -> str:
    if isinstance(path[-1], int):
        allowed = describe_member(str(as_written(path[:-1], raw)[-1]), field)
    else:
        allowed = describe(str(as_written(path, raw)[-1]), field)
    quoted = isinstance(value_at(raw, as_written(path, raw)), str)
    is_number = allowed.startswith(("a number", "a whole number"))
    if not (quoted and is_number):
        return allowed
    number, *word = allowed.split(', or "')  # a word that may stand instead keeps its quotes
    return ', or "'.join([f"{number}, without quotes", *word])


def as_written(path: KeyPath, raw: Mapping[str, object]) -> KeyPath:
    """Return a path of the model with the keys that the file has, ``_in`` where it has inches."""
    written: KeyPath = ()
    for step in path:
        table = value_at(raw, written)
        written = (*written, keys.file_key(table, step) if isinstance(step, str) else step)
    return written
