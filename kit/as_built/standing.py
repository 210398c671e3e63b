"""The stacks as they stand under the finished base, and the packers left in the bag."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from kit.job import Problem, Refusal, Stock, parse_inches, refuse
from kit.job.model import AsBuilt
from kit.job.model_as_built import Left
from kit.job.units import inches_to_mm
from kit.parts import Answer
from kit.readings.columns import find_columns, read_names
from kit.readings.faults import Faults
from kit.readings.files import Sheet, find_table, read_sheet

#: How far a printed size may be written off what the stock calls it [mm]: decimals of a text.
_SAME_SIZE_MM = 1e-6

#: Titles of the column of packers, in mm and in inches.
_PACKERS, _PACKERS_IN = ("packersmm", "packers"), "packersin"


@dataclass(frozen=True)
class Standing:
    """What stands, and what is left.

    Parameters
    ----------
    stacks : mapping of str to tuple of int
        Of each support its packers from the floor up, as numbers in ``stock.packers``.
    left : tuple of (int or None)
        Of each kind in ``stock.packers``, how many are left in the bag; None: as many as wanted.
    notes : tuple of str
        What was taken for granted.
    named : frozenset of str
        Supports of which somebody said what stands; the others' stacks are those of the plan.
    """

    stacks: Mapping[str, tuple[int, ...]]
    left: tuple[int | None, ...]
    notes: tuple[str, ...]
    named: frozenset[str] = frozenset()


def what_stands(folder: Path, answer: Answer, as_built: AsBuilt) -> Standing:
    """Return the stacks as they stand, and what is left in the bag.

    Parameters
    ----------
    folder : Path
        Where a table of stacks lies.
    answer : Answer
        The base as planned, on packers.
    as_built : AsBuilt
        Where stacks and bag are said.

    Returns
    -------
    Standing

    Raises
    ------
    Refusal
        Where a table of stacks names a support or a size that there is none of, or a support
        twice; where more stand than the stock counts and nobody says what is left.
    """
    names = [str(name) for name in answer.supports["support"]]
    planned = dict(zip(names, answer.datum.plan.stacks, strict=True))
    stock, notes = answer.job.stock, []
    given: dict[str, tuple[int, ...]] = {}
    if as_built.stacks_file is None:
        notes.append("The stacks are taken to stand as planned; no table says what stands.")
    else:
        key = "job.toml, as_built.stacks_file"
        path = find_table(folder, as_built.stacks_file, key)
        given = _read_stacks(read_sheet(path, as_built.stacks_file, row="stack"), names, stock)
        if len(given) < len(names):
            notes.append(
                f"{as_built.stacks_file} names {len(given)} of {len(names)} stacks: the others are"
                " taken to stand as planned."
            )
    stacks = planned | given
    return Standing(stacks, _left(stock, as_built, stacks), tuple(notes), frozenset(given))


def _read_stacks(sheet: Sheet, names: Sequence[str], stock: Stock) -> dict[str, tuple[int, ...]]:
    faults = Faults(sheet.name)
    columns = find_columns(sheet, ("support",), (), faults, maybe=(*_PACKERS, _PACKERS_IN))
    faults.stop()
    found = [columns[title] for title in (*_PACKERS, _PACKERS_IN) if title in columns]
    if len(found) != 1:
        where = f"{sheet.name}, row {sheet.header_row}"
        titles = " and ".join(one.title for one in found) or "no column packers_mm"
        raise refuse(where, titles, "a header row with one column packers_mm, or packers_in")
    packers, inches = found[0], _PACKERS_IN in columns
    stacks: dict[str, tuple[int, ...]] = {}
    supports = read_names(sheet, columns["support"], faults)
    for (row, cells), support in zip(sheet.rows, supports, strict=True):
        if support not in names:
            faults.add_cell(row, "support", repr(support), f"one of {', '.join(names)}")
        elif support in stacks:
            faults.add_cell(row, "support", f"{support} a second time", "each support once")
        stacks[support] = _kinds(
            cells[packers.index], stock, faults, (row, packers.title), inches=inches
        )
    faults.stop()
    return stacks


def _kinds(
    text: str, stock: Stock, faults: Faults, cell: tuple[int, str], *, inches: bool
) -> tuple[int, ...]:
    """Return the kinds that a text such as ``18 6 1``, or ``3/4 1/16``, names from the floor up.

    In inches a word is a packer: one and a half is written ``1-1/2``.
    """
    row, column = cell
    found: list[int] = []
    words = text.replace("+", " ").split()
    for word in words:
        try:
            number = word.replace(",", ".")
            mm = inches_to_mm(parse_inches(number)) if inches else float(number)
            found.append(kind_of(mm, stock))
        except (ValueError, Refusal) as error:
            allowed = error.problems[0].allowed if isinstance(error, Refusal) else _sizes(stock)
            faults.add_cell(row, column, repr(word), allowed)
    if not words:
        such = "3/4 1/16" if inches else "18 6"
        faults.add_cell(
            row, column, "an empty cell", f"printed sizes from the floor up, as in {such}"
        )
    return tuple(found)


def kind_of(printed_mm: float, stock: Stock) -> int:
    """Return the number in ``stock.packers`` of the kind that a printed size names.

    Raises
    ------
    Refusal
        Where the stock has no such size, or several of that size with other thicknesses.
    """
    here = [
        i for i, packer in enumerate(stock.packers) if abs(packer.mm - printed_mm) <= _SAME_SIZE_MM
    ]
    if not here:
        raise refuse("as_built", f"a packer of {printed_mm:g} mm", _sizes(stock))
    if len({stock.packers[i].thickness_mm for i in here}) > 1:
        thick = " and ".join(f"{stock.packers[i].thickness_mm:g}" for i in here)
        raise refuse(
            "as_built",
            f"a packer of {printed_mm:g} mm, of which the stock has {thick} mm",
            "sizes of which stock.packers has one thickness each",
        )
    return here[0]


def _sizes(stock: Stock) -> str:
    printed = dict.fromkeys(f"{packer.mm:g}" for packer in stock.packers)
    return f"printed sizes in stock: {', '.join(printed)} mm"


def _left(
    stock: Stock, as_built: AsBuilt, stacks: Mapping[str, tuple[int, ...]]
) -> tuple[int | None, ...]:
    """Return what is left of each kind: as said, else what the stock counts beyond what stands."""
    if "left" in as_built.model_fields_set:
        return _said_left(stock, as_built.left)
    standing = Counter(kind for stack in stacks.values() for kind in stack)
    left: list[int | None] = []
    problems = []
    for kind, packer in enumerate(stock.packers):
        count = None if packer.count is None else packer.count - standing[kind]
        if count is not None and count < 0:
            problems.append(
                Problem(
                    "job.toml, as_built.left",
                    f"nothing, and {standing[kind]} packers of {packer.mm:g} mm that stand, where"
                    f" stock.packers counts {packer.count}",
                    "what is left of each size, as in [ {mm = 1, count = 12} ]",
                )
            )
        left.append(count)
    if problems:
        raise Refusal(*problems)
    return tuple(left)


def _said_left(stock: Stock, said: Sequence[Left]) -> tuple[int | None, ...]:
    left: list[int | None] = [0] * len(stock.packers)
    seen: set[int] = set()
    for index, one in enumerate(said):
        try:
            kind = kind_of(one.mm, stock)
        except Refusal as refusal:
            found, allowed = refusal.problems[0].found, refusal.problems[0].allowed
            raise refuse(f"job.toml, as_built.left, value {index + 1}", found, allowed) from refusal
        if kind in seen:
            found = f"{one.mm:g} mm a second time"
            raise refuse(f"job.toml, as_built.left, value {index + 1}", found, "each size once")
        seen.add(kind)
        left[kind] = one.count
    return tuple(left)


def printed(stack: Sequence[int], stock: Stock) -> str:
    """Return a stack as its printed sizes in mm, in the order given: ``18 6 1``."""
    return " ".join(f"{stock.packers[kind].mm:.12g}" for kind in stack)


def height_mm(stack: Sequence[int], stock: Stock) -> float:
    """Return how high a stack is as measured [mm]."""
    return math.fsum(stock.packers[kind].thickness_mm for kind in stack)
