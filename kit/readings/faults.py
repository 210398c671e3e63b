"""What is wrong with a table, gathered and folded into as few messages as say it all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from kit.job.refusal import Problem, Refusal

#: Faults of one table that are told in one go.
MOST_PROBLEMS = 20

#: Rows that are named where one fault stands in many.
MOST_ROWS = 3

#: Different contents of one column that are told one by one; more of them are one fault.
MOST_FINDS = 3


@dataclass(frozen=True)
class Fault:
    """One fault, with the row and column where it is a matter of a cell."""

    where: str
    found: str
    allowed: str
    row: int = 0
    column: str = ""


@dataclass
class Faults:
    """What is wrong with one table, gathered so that it can be put right in one go."""

    table: str
    faults: list[Fault] = field(default_factory=list)

    def add(self, where: str, found: str, allowed: str) -> None:
        """Note a fault that stands by itself."""
        self.faults.append(Fault(where, found, allowed))

    def add_cell(self, row: int, column: str, found: str, allowed: str) -> None:
        """Note a fault of one cell, or of a row where ``column`` is empty."""
        where = _cells(self.table, [row], column)
        self.faults.append(Fault(where, found, allowed, row, column))

    def told(self) -> tuple[Problem, ...]:
        """Return the first faults, those of one kind as one, and how many more there are."""
        problems = list(dict.fromkeys(self._folded()))
        first, more = problems[:MOST_PROBLEMS], len(problems) - MOST_PROBLEMS
        if more > 0:
            allowed = "none; put the first right, then see the rest"
            first.append(Problem(self.table, f"{more} more faults", allowed))
        return tuple(first)

    def _folded(self) -> Iterator[Problem]:
        groups: dict[tuple[str, str, str], list[Fault]] = {}
        for fault in self.faults:
            place = "" if fault.row else fault.where
            groups.setdefault((place, fault.column, fault.allowed), []).append(fault)
        for (place, column, allowed), group in groups.items():
            finds = list(dict.fromkeys(fault.found for fault in group))
            if place or len(finds) > MOST_FINDS:
                yield self._fold(place, column, allowed, group, finds)
                continue
            for found in finds:
                same = [fault for fault in group if fault.found == found]
                yield self._fold(place, column, allowed, same, [found])

    def _fold(
        self, place: str, column: str, allowed: str, group: list[Fault], finds: list[str]
    ) -> Problem:
        where = place or _cells(self.table, [fault.row for fault in group], column)
        more = len(finds) - MOST_FINDS
        words = ", ".join(finds[:MOST_FINDS]) + (f" and {more} more" if more > 0 else "")
        return Problem(where, words, allowed)

    def stop(self) -> None:
        """Raise what was found.

        Raises
        ------
        Refusal
            If anything was found.
        """
        if self.faults:
            raise Refusal(*self.told())


def _cells(table: str, rows: Sequence[int], column: str) -> str:
    """Return the words for cells of one column: the first rows, and how many more."""
    tail = f", {column}" if column else ""
    if len(rows) == 1:
        return f"{table}, row {rows[0]}{tail}"
    more = f" and {len(rows) - MOST_ROWS} more" if len(rows) > MOST_ROWS else ""
    return f"{table}, rows {', '.join(map(str, rows[:MOST_ROWS]))}{more}{tail}"
