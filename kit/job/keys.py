"""Which keys a job file knows, read off the model so that the two cannot drift apart."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from types import MappingProxyType
from typing import Annotated, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from kit.job.model import Job, Part

KeyPath = tuple[str | int, ...]


@cache
def fields_of(part: type[Part]) -> Mapping[str, FieldInfo]:
    """Return the fields of a table by the key that stands in the file."""
    return MappingProxyType(
        {
            field.alias or name: field
            for name, field in part.model_fields.items()
            if field.exclude is not True
        }
    )


def part_of(annotation: object) -> type[Part] | None:
    """Return the table that a field holds, alone or in a list; None where it holds values."""
    if isinstance(annotation, type) and issubclass(annotation, Part):
        return annotation
    if get_origin(annotation) is Annotated:
        return part_of(get_args(annotation)[0])
    return next((part for a in get_args(annotation) if (part := part_of(a)) is not None), None)


@cache
def parts_of(part: type[Part]) -> Mapping[str, type[Part]]:
    """Return the tables that a table holds, by their keys in the file."""
    inner = {key: part_of(field.annotation) for key, field in fields_of(part).items()}
    return MappingProxyType({key: held for key, held in inner.items() if held is not None})


def holds_list(field: FieldInfo) -> bool:
    """Tell whether a field is a list, of tables or of values, and nothing else."""
    return get_origin(field.annotation) is tuple


def is_length_key(key: str) -> bool:
    """Tell whether a key is a length in millimetres."""
    return key == "mm" or key.endswith("_mm")


def is_inch_key(key: str) -> bool:
    """Tell whether a key is a length in inches."""
    return key == "in" or key.endswith("_in")


def inch_key(key: str) -> str:
    """Return the key of the same length in inches: ``width_mm`` gives ``width_in``."""
    return f"{key[:-2]}in"


def home_key(key: str, known: Iterable[str]) -> str | None:
    """Return the model's key for a key of the file; None where there is none."""
    if key in known:
        return key
    twin = f"{key[:-2]}mm"
    return twin if is_inch_key(key) and twin in known else None


def without_unit(key: str, known: Iterable[str]) -> str | None:
    """Return the length that a key names without saying in which unit, if it does."""
    return next((k for k in known if k == f"{key}_mm"), None)


def nearest_key(key: str, known: Iterable[str]) -> str | None:
    """Return the known key that looks most like a misspelt one.

    Parameters
    ----------
    key : str
        The key as it stands in the file.
    known : iterable of str
        Keys of the table, in millimetres.

    Returns
    -------
    str or None
        The nearest, as the file may have it (in inches where the misspelt key ends in
        ``_in``); None where no known key resembles it.
    """
    twins = [inch_key(k) for k in known if is_length_key(k)] if is_inch_key(key) else []
    seen = key.lower()[:80]
    # A key cut short is nearer to the whole of it than to another of its length.
    longer = [k for k in (*known, *twins) if k.startswith(f"{seen}_")]
    matches = difflib.get_close_matches(seen, longer, n=1, cutoff=0) or difflib.get_close_matches(
        seen, [*known, *twins], n=1, cutoff=0.6
    )
    return matches[0] if matches else None


def heading_of(part: type[Part]) -> str:
    """Return the heading under which a table stands in the file, for example ``[[run.unit]]``."""
    return next(heading for heading, other in _tables(Job, "") if other is part)


def tables_with(key: str) -> list[str]:
    """Return the headings under which a key is known; the top of the file is an empty heading."""
    return [heading for heading, part in _tables(Job, "") if home_key(key, fields_of(part))]


def _tables(part: type[Part], heading: str) -> Iterator[tuple[str, type[Part]]]:
    yield heading, part
    for key, field in fields_of(part).items():
        inner = part_of(field.annotation)
        if inner is not None:
            below = f"{heading.strip('[]')}.{key}".lstrip(".")
            yield from _tables(inner, f"[[{below}]]" if holds_list(field) else f"[{below}]")


def table_of(key: str) -> Mapping[str, FieldInfo]:
    """Return the fields of one of the file's outermost tables."""
    part = part_of(fields_of(Job)[key].annotation)
    return fields_of(part) if part is not None else {}


def words_of(field: FieldInfo) -> tuple[str, ...]:
    """Return the words that the model knows for a field."""
    return get_args(field.annotation) if get_origin(field.annotation) is Literal else ()


def file_key(raw: object, home: str) -> str:
    """Return the key under which a table of the file holds the model's key."""
    if isinstance(raw, Mapping) and home not in raw and is_length_key(home):
        twin = inch_key(home)
        return twin if twin in raw else home
    return home
