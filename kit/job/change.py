"""A change to a job file: which place, which value, in which unit."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from kit.job import keys
from kit.job.keys import KeyPath
from kit.job.refusal import Refusal, refuse
from kit.job.units import (
    INCH_FORMS,
    fraction_of_inches,
    inches_to_mm,
    mm_to_inches,
    parse_inches,
)
from kit.job.wording import clean, show_value

_NAME = r"[A-Za-z0-9_-]+(?:\[[0-9]{1,4}\])*"
_ADDRESS = re.compile(rf"{_NAME}(?:\.{_NAME})*")

#: The finest part of an inch that a tape carries; finer lengths are written as decimals.
_FINEST_PARTS = 64


@dataclass(frozen=True)
class Change:
    """One value and the place where it goes, as a panel names it."""

    address: str
    path: KeyPath
    value: object

    @property
    def where(self) -> str:
        """What messages call the change."""
        return f"change {clean(self.address)}"

    def refused(self, found: str, allowed: str) -> Refusal:
        """Return the refusal of this change."""
        return refuse(self.where, found, allowed)


def parse_change(address: str, value: object) -> Change:
    """Return the change that an address and a value ask for.

    Parameters
    ----------
    address : str
        For example ``"run[0].unit[1].width_mm"``, members counting from 0.
    value : object
        Numbers, texts, true or false, lists and tables of them, or None.

    Returns
    -------
    Change
        With arrays and their numbers turned into plain ones.

    Raises
    ------
    Refusal
        If the address is none, or the value cannot stand in a job file.
    """
    if not _ADDRESS.fullmatch(address):
        allowed = "a key path such as base[0].height_mm"
        raise refuse(f"change {clean(address)}", "no place in a job file", allowed)
    return Change(address, _path(address), None if value is None else _plain(address, value))


def _path(address: str) -> KeyPath:
    steps = re.findall(r"\[([0-9]+)\]|([^.\[\]]+)", address)
    return tuple(key if key else int(index) for index, key in steps)


def _plain(address: str, value: object) -> object:
    match value:
        case bool() | str():
            return value
        case int():
            return int(value)
        case float():
            return float(value)
        case Mapping():
            return {str(key): _plain(address, item) for key, item in value.items()}
        case list() | tuple():
            return [_plain(address, item) for item in value]
    listed = getattr(value, "tolist", None)
    if not callable(listed):
        allowed = "a number, text, true or false, a list or a table of them"
        raise refuse(
            f"change {clean(address)}", f"a value of the type {type(value).__name__}", allowed
        )
    return _plain(address, listed())


def in_units_of(key: str, written: str, old: object, change: Change) -> object:
    """Return a change's value in the unit of the key that the file has.

    Parameters
    ----------
    key : str
        The key that the change names.
    written : str
        The key that the file has for it.
    old : object
        What stands there, which decides between 3.625 and ``"3 5/8"``.
    change : Change
        The change.

    Returns
    -------
    object
        A number, a text with a fraction, or a list of them.

    Raises
    ------
    Refusal
        If a value that has to be converted is not a length.
    """
    if keys.is_length_key(key) and keys.is_inch_key(written):
        fractions = isinstance(old, str) or _has_text(old)
        return _each(change.value, lambda item: _to_inches(item, fractions, change))
    if keys.is_inch_key(key) and keys.is_length_key(written):
        return _each(change.value, lambda item: _to_mm(item, change))
    return _tidy(change.value) if keys.is_length_key(written) else change.value


def _each(value: object, convert: Callable[[object], object]) -> object:
    return [_each(item, convert) for item in value] if isinstance(value, list) else convert(value)


def _has_text(old: object) -> bool:
    return isinstance(old, list) and any(isinstance(item, str) for item in old)


def _to_inches(item: object, fractions: bool, change: Change) -> object:
    # A text would be read as inches later, although the change speaks of millimetres.
    if isinstance(item, bool) or not isinstance(item, int | float):
        raise change.refused(show_value(item), "a number of millimetres")
    if not math.isfinite(item):
        raise change.refused(show_value(item), "a finite number of millimetres")
    inches = mm_to_inches(item)
    text = fraction_of_inches(inches, _FINEST_PARTS)
    return text if fractions and inches_to_mm(parse_inches(text)) == item else _tidy(inches)


def _to_mm(item: object, change: Change) -> object:
    if isinstance(item, bool) or not isinstance(item, str | int | float):
        raise change.refused(show_value(item), INCH_FORMS)
    try:
        return _tidy(inches_to_mm(parse_inches(item)))
    except (Refusal, OverflowError) as error:
        raise change.refused(show_value(item), INCH_FORMS) from error


def _tidy(value: object) -> object:
    """Return whole lengths without a decimal point, as a person writes them."""
    if isinstance(value, list):
        return [_tidy(item) for item in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value
