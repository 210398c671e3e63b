"""How a value, a place and a permitted range are put into words."""

from __future__ import annotations

import datetime
import types
from collections.abc import Mapping
from typing import Annotated, Literal, Union, get_args, get_origin

from annotated_types import Ge, Gt, Le, MaxLen, MinLen
from pydantic.fields import FieldInfo

from kit.job.keys import KeyPath, heading_of, is_inch_key, is_length_key, part_of
from kit.job.model import Part
from kit.job.units import INCH_FORMS, MM_PER_INCH

_LONGEST_SHOWN = 60

#: How a list of tables may look that stands on one line.
_EXAMPLES = {
    "packers": "[ {mm = 3}, {mm = 6, count = 40} ]",
    "feet": "[ {low_mm = 40, high_mm = 65} ]",
    "boards": "[ {mm = 70}, {mm = 95, price_per_m = 6.4} ]",
    "left": "[ {mm = 1, count = 12}, {mm = 3, count = 4} ]",
    "drying": "[ {to_mm = 10, days = 1}, {to_mm = 50, days = 3} ]",
}


def clean(text: str, longest: int = _LONGEST_SHOWN) -> str:
    """Return a text on one line, without invisible characters, cut to what the eye takes in."""
    seen = "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)
    return seen if len(seen) <= longest else f"{seen[:longest]}…"


def show_value(value: object) -> str:
    """Return a value of the job file as the person would recognise it."""
    if isinstance(value, str):
        return f'"{clean(value)}"'
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping):
        return "a table" if value else "an empty table"
    if isinstance(value, list | tuple):
        if value and all(isinstance(item, Mapping) for item in value):
            return "a list of tables"
        return clean("[" + ", ".join(show_value(item) for item in value[:12]) + "]")
    return _show_scalar(value)


def _show_scalar(value: object) -> str:
    if isinstance(value, datetime.date | datetime.time):
        return f"the date or time {value}"
    # Python itself refuses to write out a number of some thousand digits.
    if isinstance(value, int) and abs(value) > 10**30:
        return "a whole number of more than 30 digits"
    return str(value)


def place(raw: Mapping[str, object], path: KeyPath, file: str = "job.toml") -> str:
    """Return where a key stands, in the person's terms.

    Parameters
    ----------
    raw : mapping
        The file's tables as they stand, from which runs and units take their names.
    path : tuple
        Keys and indices from the top of the file.
    file : str
        Name of the file.

    Returns
    -------
    str
        For example ``'job.toml, run A, unit "low bookcase 1", width_mm'``.
    """
    words, dotted = [file], list[str]()
    node: object = raw
    for step in path:
        if isinstance(step, int):
            words += _member(node, step, dotted)
            dotted = []
        else:
            dotted.append(clean(step))
        node = _below(node, step)
    return ", ".join([*words, ".".join(dotted)] if dotted else words)


def _member(siblings: object, index: int, dotted: list[str]) -> list[str]:
    """Return the words for one member of a list: by its name where it has one of its own."""
    key = dotted[-1] if dotted else "value"
    members = siblings if isinstance(siblings, list) else []
    if index >= len(members) or not isinstance(members[index], Mapping):
        return [".".join(dotted), f"value {index + 1}"]
    outer = [".".join(dotted[:-1])] if dotted[:-1] else []
    label = "file" if key == "survey" else "name"
    names = [m.get(label) for m in members if isinstance(m, Mapping)]
    name = members[index].get(label)
    singular = singular_of(key)
    if not isinstance(name, str) or not name or names.count(name) > 1:
        return [*outer, f"{singular} {index + 1}"]
    label = clean(name) if key == "run" else f'"{clean(name)}"'
    return [*outer, f"{singular} {label}"]


def singular_of(key: str) -> str:
    """Return what one member of a list is called: ``packers`` gives ``packer``."""
    return "foot" if key == "feet" else key.removesuffix("s")


def _below(node: object, step: str | int) -> object:
    if isinstance(node, Mapping) and isinstance(step, str):
        return node.get(step)
    if isinstance(node, list | tuple) and isinstance(step, int) and step < len(node):
        return node[step]
    return None


def value_at(raw: Mapping[str, object], path: KeyPath) -> object:
    """Return what stands at a place of the file; None where nothing stands."""
    node: object = raw
    for step in path:
        node = _below(node, step)
    return node


def describe(key: str, field: FieldInfo) -> str:
    """Return what may stand at a key, from the model's own ranges.

    Parameters
    ----------
    key : str
        The key as the person wrote it; ``_in`` gives the range in inches.
    field : FieldInfo
        The model's field.

    Returns
    -------
    str
        For example ``"a number above 0, at most 200000 mm"``.
    """
    part = part_of(field.annotation)
    if part is not None:
        return _describe_part(key, part, field)
    return _describe(field.annotation, tuple(field.metadata), key)


def describe_member(key: str, field: FieldInfo) -> str:
    """Return what one member of the list at a key may be."""
    annotation = get_args(field.annotation)[0]
    if part_of(annotation) is not None:
        return "a table"
    return _describe(annotation, (), key)


def _describe_part(key: str, part: type[Part], field: FieldInfo) -> str:
    least = ", at least one" if field.is_required() else ""
    if key in _EXAMPLES:
        return f"a list of tables such as {_EXAMPLES[key]}{least}"
    if get_origin(field.annotation) is tuple:
        return f"tables headed {heading_of(part)}, in double brackets{least}"
    return f"a table headed {heading_of(part)}"


def _describe(annotation: object, rules: tuple[object, ...], key: str) -> str:
    origin, arguments = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        inner = [rule for given in arguments[1:] for rule in _rules(given)]
        return _describe(arguments[0], (*rules, *inner), key)
    if origin is Literal:
        return one_of([f'"{a}"' if isinstance(a, str) else str(a) for a in arguments])
    if origin in {Union, types.UnionType}:
        kinds = [a for a in arguments if a is not type(None)]  # None is never written
        return ", or ".join(_describe(kind, rules, key) for kind in kinds)
    if origin is tuple:
        return _describe_list(arguments, rules, key)
    return _describe_plain(annotation, rules, key)


def _describe_plain(annotation: object, rules: tuple[object, ...], key: str) -> str:
    if annotation is bool:
        return "true or false"
    if annotation is datetime.date:
        return "a date such as 2026-11-20"
    if annotation is str:
        return _describe_text(rules)
    return _describe_number(annotation is int, rules, key)


def _rules(given: object) -> tuple[object, ...]:
    return tuple(given.metadata) if isinstance(given, FieldInfo) else (given,)


def _describe_list(members: tuple[object, ...], rules: tuple[object, ...], key: str) -> str:
    if members[-1] is Ellipsis:
        least = next((rule.min_length for rule in rules if isinstance(rule, MinLen)), 0)
        count = f"a list of {least} or more" if least else "a list"
    else:
        count = f"a list of {len(members)}"
    return f"{count}, each {_describe(members[0], (), key)}"


def _describe_text(rules: tuple[object, ...]) -> str:
    longest = next((rule.max_length for rule in rules if isinstance(rule, MaxLen)), 0)
    least = next((rule.min_length for rule in rules if isinstance(rule, MinLen)), None)
    if least is None:
        return f"a letter, then letters and digits without spaces, at most {longest} in all"
    if least == 0:
        return f"text in quotes, three at each end of several lines, at most {longest} characters"
    return f"text in quotes on one line, 1 to {longest} characters"


def _describe_number(whole: bool, rules: tuple[object, ...], key: str) -> str:
    inches = is_inch_key(key)
    scale = MM_PER_INCH if inches else 1.0
    unit = _unit(key)
    above = next((float(str(r.gt)) for r in rules if isinstance(r, Gt)), None)
    least = next((float(str(r.ge)) for r in rules if isinstance(r, Ge)), None)
    most = next((float(str(r.le)) for r in rules if isinstance(r, Le)), None)
    kind = "a whole number" if whole else INCH_FORMS if inches else "a number"
    low = f"above {above / scale:g}" if above is not None else ""
    low = f"from {least / scale:g}" if least is not None else low
    high = (
        "" if most is None else f"{'to' if least is not None else 'up to'} {_plain(most / scale)}"
    )
    span = " ".join(word for word in (low, high) if word)
    return f"{kind}{',' if inches else ''} {span}{unit}".rstrip()


def _plain(value: float) -> str:
    return f"{value:.0f}" if value >= 1000 else f"{value:g}"


def _unit(key: str) -> str:
    if is_length_key(key):
        return " mm"
    per = {
        "_kn_per_m2": " kN/m2",
        "_n_per_mm2": " N/mm2",
        "_kg_per_l": " kg/l",
        "_kg_per_m3": " kg/m3",
    }
    for ending, unit in per.items():
        if key.endswith(ending):
            return unit
    ending = key.rpartition("_")[2]
    units = {"in": " in", "deg": " degrees", "kg": " kg", "n": " N", "min": " minutes"}
    return {**units, "days": " days", "hours": " hours", "percent": " %"}.get(ending, "")


def one_of(words: list[str]) -> str:
    """Return alternatives as a person lists them."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
