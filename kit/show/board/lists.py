"""Units and packers as lists of boxes: changed, added, taken away, put in another order."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kit.job import Packer, Refusal, Run, Unit
from kit.show.board.desk import Desk
from kit.show.board.numbers import (
    STEP_MM,
    parse_length,
    parse_lengths,
    parse_number,
    show_box,
    show_number,
)

#: What a change of the order or the number of a list's members asks for.
Message = dict[str, object]


@dataclass(frozen=True)
class Column:
    """One figure of a list's members.

    Parameters
    ----------
    key : str
        Its key in the job file.
    head : str
        Head of the column, without its unit.
    kind : str
        "name", "length", "lengths", "mass", "count" or "price".
    """

    key: str
    head: str
    kind: str

    def headed(self, units: str) -> str:
        """Return the head with its unit."""
        unit = {"length": units, "lengths": units, "mass": "kg"}.get(self.kind, "")
        return f"{self.head} [{unit}]" if unit else self.head


UNIT_COLUMNS = (
    Column("name", "name", "name"),
    Column("width_mm", "width", "length"),
    Column("depth_mm", "depth", "length"),
    Column("height_mm", "height", "length"),
    Column("side_mm", "sides", "length"),
    Column("divisions_mm", "divisions, from the left", "lengths"),
    Column("mass_kg", "mass", "mass"),
    Column("contents_kg", "contents", "mass"),
    Column("gap_before_mm", "gap before", "length"),
)
PACKER_COLUMNS = (
    Column("mm", "printed size", "length"),
    Column("measured_mm", "as measured", "length"),
    Column("count", "how many; empty: as many as wanted", "count"),
    Column("price", "price of one", "price"),
)
_ALLOWED = {
    "mass": "kilograms, such as 38",
    "count": "a whole number, or nothing for as many as wanted",
    "price": "a number, or nothing",
}


def unit_lists(desk: Desk) -> list[dict[str, object]]:
    """Return a list of the units of each run."""
    several = len(desk.job.runs) > 1
    return [
        _list(
            desk,
            f"run[{place}].unit",
            "Units from left to right" + f", run {run.name}" * several,
            UNIT_COLUMNS,
            run.units,
            "add a unit at the right end",
            ("◀", "▶"),
        )
        for place, run in enumerate(desk.job.runs)
    ]


def packer_lists(desk: Desk) -> list[dict[str, object]]:
    """Return the list of packers owned."""
    packers = desk.job.stock.packers
    add = "add a kind of packer"
    return [_list(desk, "stock.packers", "Packers owned", PACKER_COLUMNS, packers, add, ())]


def _list(
    desk: Desk,
    path: str,
    title: str,
    columns: tuple[Column, ...],
    members: Sequence[Unit | Packer],
    add: str,
    arrows: tuple[str, ...],
) -> dict[str, object]:
    rows = [
        {
            "id": f"{path}[{n}]",
            "cells": [_cell(desk, f"{path}[{n}]", member, column) for column in columns],
            "acts": list(_acts(path, n, len(members), _called(member), arrows)),
        }
        for n, member in enumerate(members)
    ]
    heads = [column.headed(desk.job.units) for column in columns]
    return {"id": path, "title": title, "columns": heads, "rows": rows, "add": add}


def _called(member: Unit | Packer) -> str:
    return member.name if isinstance(member, Unit) else f"packer of {member.mm:g} mm"


def _cell(desk: Desk, path: str, member: Unit | Packer, column: Column) -> dict[str, object]:
    box = f"{path}.{column.key}"
    typed, wrong = desk.errors.get(box, ("", ""))
    return {
        "id": box,
        "name": f"{column.headed(desk.job.units)} of {_called(member)}",
        "text": typed if wrong else _text(getattr(member, column.key), column.kind, desk),
        "words": column.kind in ("name", "lengths"),
        "wide": column.kind in ("name", "lengths"),
        "error": wrong,
    }


def _text(value: object, kind: str, desk: Desk) -> str:
    units = desk.job.units
    if value is None:
        return ""
    if kind == "lengths":
        return "; ".join(show_box(mm, units) for mm in value)  # type: ignore[attr-defined]
    if kind == "length":
        return show_box(float(str(value)), units)
    return str(value) if kind == "name" else show_number(float(str(value)))


def _acts(
    path: str, n: int, count: int, called: str, arrows: tuple[str, ...]
) -> Iterator[dict[str, object]]:
    for words, step, way in zip(arrows, (-1, 1), ("left", "right"), strict=bool(arrows)):
        to = n + step
        message = {"kind": "shift", "list": path, "from": n, "to": to} if 0 <= to < count else ""
        yield {"words": words, "name": f"move {called} to the {way}", "message": message}
    message = {"kind": "remove", "list": path, "from": n} if count > 1 else ""
    yield {"words": "✕", "name": f"remove {called}", "message": message}


def set_cell(desk: Desk, box: str, said: Message) -> None:
    """Put what was typed in a box of a list into the job.

    Parameters
    ----------
    desk : Desk
    box : str
        The box's id, its key path in the job file.
    said : dict
        "text" as typed, or "steps" from an arrow key, which numbers follow.
    """
    key = box.rpartition(".")[2]
    columns = UNIT_COLUMNS if box.startswith("run[") else PACKER_COLUMNS
    column = next(column for column in columns if column.key == key)
    text, gesture = str(said.get("text", "")), str(said.get("gesture", ""))
    held = _held(desk, box)
    shown = _text(held, column.kind, desk)
    try:
        if "steps" in said:
            value = _stepped(held, column, float(str(said["steps"])), desk)
        else:
            value = held if text == shown else _value(text, column, desk)
    except Refusal as refusal:
        desk.refuse(refusal, box, text)
        return
    desk.change({box: value}, gesture, box=box, text=text)


def _held(desk: Desk, box: str) -> object:
    """Return what the job holds where a box is."""
    places = [int(number) for number in re.findall(r"\[(\d+)\]", box)]
    stock = box.startswith("stock.")
    member = (
        desk.job.stock.packers[places[0]] if stock else desk.job.runs[places[0]].units[places[1]]
    )
    return getattr(member, box.rpartition(".")[2])


def _stepped(held: object, column: Column, steps: float, desk: Desk) -> object:
    """Return a number that is some steps on; what is no number stays as it is."""
    if not isinstance(held, int | float):
        return held
    step = STEP_MM[desk.job.units] if column.kind == "length" else 1.0
    moved = round(held + steps * step, 6)
    return int(moved) if column.kind == "count" else moved


def _value(text: str, column: Column, desk: Desk) -> object:
    units = desk.job.units
    if column.kind == "name":
        return text.strip()
    if column.kind == "lengths":
        return parse_lengths(text, units) or None
    if not text.strip() and column.key in ("measured_mm", "count", "price"):
        return None
    if column.kind == "length":
        return parse_length(text, units)
    number = parse_number(text, _ALLOWED[column.kind])
    return int(number) if column.kind == "count" and number.is_integer() else number


def change_list(desk: Desk, said: Message) -> None:
    """Add, remove or shift a member of a list, as a button of it asks."""
    path, kind = str(said["list"]), said["kind"]
    # What was typed wrong stood in a box that may now be another one's.
    desk.errors = {box: found for box, found in desk.errors.items() if not box.startswith(path)}
    if kind == "remove":
        desk.change({f"{path}[{int(str(said['from']))}]": None})
    elif kind == "add":
        run = next((r for n, r in enumerate(desk.job.runs) if path == f"run[{n}].unit"), None)
        added = _one_more_packer(desk) if run is None else _one_more_unit(run)
        size = len(desk.job.stock.packers if run is None else run.units)
        desk.change({f"{path}[{size}]": added})
    else:
        members = _members(desk, path)
        member = members.pop(int(str(said["from"])))
        members.insert(int(str(said["to"])), member)
        desk.change({path: members})


def _members(desk: Desk, path: str) -> list[object]:
    run = next(run for n, run in enumerate(desk.job.runs) if path == f"run[{n}].unit")
    return [unit.model_dump(exclude_defaults=True) for unit in run.units]


def _one_more_unit(run: Run) -> dict[str, object]:
    """Return a further unit: one like the last, with a name of its own."""
    last = run.units[-1]
    names, number = {unit.name for unit in run.units}, len(run.units) + 1
    while f"unit {number}" in names:
        number += 1
    return last.model_dump(exclude_defaults=True) | {"name": f"unit {number}"}


def _one_more_packer(desk: Desk) -> dict[str, object]:
    """Return a further kind of packer: the thinnest whole step that is not there yet."""
    step, there = STEP_MM[desk.job.units], {packer.mm for packer in desk.job.stock.packers}
    return {"mm": next(mm for mm in (n * step for n in range(1, 300)) if mm not in there)}
