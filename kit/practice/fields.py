"""What an apprentice types: fields with a name, a unit and what is allowed."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, cast

from kit.job import Problem, Refusal

#: A number, words, or several numbers (a place x y; packers from the floor up).
Value = float | str | tuple[float, ...]
Values = Mapping[str, Value]

Kind = Literal["number", "choice", "place", "packers"]

#: A comma in front is none of a number's: 1200 ,350 would be a place 0.35 mm from the wall.
_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|\.\d+)")
#: Between digits it may be a decimal comma, or part two packers.
_COMMA = re.compile(r"\d,\d")
_ALLOWED = {
    "number": "one number",
    "place": "two numbers, x and y in mm, as 1200 350",
    "packers": "thicknesses from the floor up with spaces between, as 18 1 6; nothing for none",
}


#: Beyond what anything in a room measures: bounds that nobody set.
UNBOUNDED = 1e6


@dataclass(frozen=True)
class Field:
    """One thing to type or to choose.

    Parameters
    ----------
    key : str
        Its name in answers and moves.
    label : str
        Its name on the page, and for those who do not see it.
    kind : str
        number | choice | place (x and y) | packers (none or more thicknesses).
    unit : str
        Shown behind it.
    choices : tuple of str
        Of a choice: what can be chosen; the first is chosen at the start.
    least, most : float
        Of a number: what is allowed, both included.
    """

    key: str
    label: str
    kind: Kind = "number"
    unit: str = ""
    choices: tuple[str, ...] = ()
    least: float = -UNBOUNDED
    most: float = UNBOUNDED


def read_values(fields: Sequence[Field], typed: Mapping[str, str], where: str) -> dict[str, Value]:
    """Read what was typed.

    Parameters
    ----------
    fields : sequence of Field
        What was asked.
    typed : mapping of str to str
        Key of the field to its text.
    where : str
        What the fields belong to, for messages.

    Raises
    ------
    Refusal
        With every field that cannot be read, what was found and what is allowed.
    """
    values: dict[str, Value] = {}
    problems: list[Problem] = []
    for field in fields:
        try:
            values[field.key] = read_value(field, typed.get(field.key, ""), where)
        except Refusal as refusal:
            problems += refusal.problems
    if problems:
        raise Refusal(*problems)
    return values


def read_value(field: Field, text: str, where: str) -> Value:
    """Read one field; see `read_values`."""
    if field.kind == "choice":
        if text in field.choices:
            return text
        raise Refusal(Problem(f"{where}, {field.label}", _found(text), " | ".join(field.choices)))
    if field.kind == "packers" and ";" not in text and _COMMA.search(text):
        allowed = "18.6 for one packer of 18.6 mm, 18 6 for two of 18 and 6"
        raise Refusal(Problem(f"{where}, {field.label}", _found(text), allowed))
    numbers = _numbers(text)
    right = {"number": len(numbers) == 1, "place": len(numbers) == 2, "packers": True}[field.kind]
    if any(math.isnan(n) for n in numbers) or not right:
        raise Refusal(Problem(f"{where}, {field.label}", _found(text), _ALLOWED[field.kind]))
    for number in numbers:
        if not field.least <= number <= field.most:
            allowed = f"{_range(field)} {field.unit}".strip()
            raise Refusal(Problem(f"{where}, {field.label}", _found(text), allowed))
    return numbers[0] if field.kind == "number" else numbers


def _range(field: Field) -> str:
    """Return what a field allows; a bound that nobody set is not read out."""
    low, high = field.least > -UNBOUNDED, field.most < UNBOUNDED
    if low and high:
        return f"{field.least:g} to {field.most:g}"
    return f"{field.least:g} or more" if low else f"up to {field.most:g}"


def _numbers(text: str) -> tuple[float, ...]:
    """Return the numbers of a text, not-a-number for what is none; a decimal comma is read."""
    parts = re.split(r"[\s;]+|,\s+", text.strip().replace("\u2212", "-"))
    return tuple(
        float(part.replace(",", ".")) if _NUMBER.fullmatch(part) else math.nan
        for part in parts
        if part
    )


def _found(text: str) -> str:
    return repr(text) if text.strip() else "nothing"


def number(values: Values, key: str) -> float:
    """Return a number that was read."""
    return float(cast(float, values[key]))


def words(values: Values, key: str) -> str:
    """Return a choice that was read."""
    return str(values[key])


def numbers(values: Values, key: str) -> tuple[float, ...]:
    """Return a place or packers that were read."""
    return cast(tuple[float, ...], values[key])
