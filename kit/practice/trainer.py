"""The trainer's table: who did what, which mistakes are common, what comes next for whom."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import pandas as pd

from kit.job import Problem
from kit.practice.drill import Drill
from kit.practice.grades import GRADES
from kit.practice.next_drill import next_drill
from kit.practice.nickname import same_person
from kit.practice.record import Record
from kit.practice.records import Records

_MISTAKES = ("kind", "title", "made_in", "of_tries")


@dataclass(frozen=True, eq=False)
class TrainersTable:
    """A class at a glance.

    Parameters
    ----------
    who : DataFrame
        One row for each apprentice and drill: nickname, drill, title, tries, floors (that were
        tried), worst_grade, best_marks and last_marks (of first tries on a floor; empty where
        there is none), placements and good_placements (of first tries, summed),
        placements_per_good, hints, last_try (universal time).
    mistakes : DataFrame
        Per apprentice: nickname, kind, title, made_in, of_tries. A try counts each kind once;
        of_tries are those at drills that tell the kind apart. Commonest first.
    class_mistakes : DataFrame
        The same over all apprentices, without nickname.
    next : DataFrame
        nickname, drill, title, grade, why.
    refused : tuple of Problem
        Damaged rows and files that are not in it, and why.
    """

    who: pd.DataFrame
    mistakes: pd.DataFrame
    class_mistakes: pd.DataFrame
    next: pd.DataFrame
    refused: tuple[Problem, ...] = field(default=())

    @property
    def refused_table(self) -> pd.DataFrame:
        """The refused ones as a table: where, found, allowed."""
        rows = [(one.where, one.found, one.allowed) for one in self.refused]
        return pd.DataFrame(rows, columns=["where", "found", "allowed"])


def trainers_table(records: Records, drills: Sequence[Drill]) -> TrainersTable:
    """Set up the trainer's table.

    Parameters
    ----------
    records : Records
        Of a folder.
    drills : sequence of Drill
        In the order of the work on site. Attempts at others are in the tables under their keys.
    """
    of_each = _of_each(records, records.attempts)
    first_of = _of_each(records, records.first_tries)
    return TrainersTable(
        _who(of_each, first_of, drills),
        _mistakes_of_each(of_each, drills),
        pd.DataFrame(_mistake_rows(records.attempts, drills), columns=list(_MISTAKES)),
        _next(first_of, drills),
        records.refused,
    )


def _of_each(records: Records, tries: Iterable[Record]) -> dict[str, list[Record]]:
    """Return tries by the nickname of whose they are, everybody among them."""
    found: dict[str, list[Record]] = {key: [] for key in records.apprentices}
    for one in tries:
        found[same_person(one.nickname)].append(one)
    return {name: found[key] for key, name in records.apprentices.items()}


def _who(
    of_each: Mapping[str, Sequence[Record]],
    first_of: Mapping[str, Sequence[Record]],
    drills: Sequence[Drill],
) -> pd.DataFrame:
    titles = _titles(drills, (one.drill for tries in of_each.values() for one in tries))
    rows = []
    for name, attempts in of_each.items():
        for key, title in titles.items():
            mine = [one for one in attempts if one.drill == key]
            first = [one for one in first_of[name] if one.drill == key]
            if mine:
                rows.append({"nickname": name, "drill": key, "title": title, **_done(mine, first)})
    table = pd.DataFrame(rows, columns=_WHO)
    return table.astype({"best_marks": "Int64", "last_marks": "Int64"})


_WHO = [
    "nickname", "drill", "title", "tries", "floors", "worst_grade", "best_marks", "last_marks",
    "placements", "good_placements", "placements_per_good", "hints", "last_try",
]  # fmt: skip


def _done(mine: Sequence[Record], first: Sequence[Record]) -> dict[str, object]:
    grades = [grade.name for grade in GRADES]
    placements = sum(one.placements for one in first)
    good = sum(one.good_placements for one in first)
    return {
        "tries": len(mine),
        "floors": len({one.floor for one in mine}),
        "worst_grade": max((one.grade for one in mine), key=grades.index),
        "best_marks": max((one.marks for one in first), default=pd.NA),
        "last_marks": first[-1].marks if first else pd.NA,
        "placements": placements,
        "good_placements": good,
        "placements_per_good": placements / good if good else float("nan"),
        "hints": sum(one.hints for one in mine),
        "last_try": mine[-1].when,
    }


def _titles(drills: Sequence[Drill], tried: Iterable[str]) -> dict[str, str]:
    """Return titles of drills by their keys; one that the kit does not know is its own title."""
    known = {drill.key: drill.title for drill in drills}
    return known | {key: key for key in sorted(set(tried)) if key not in known}


def _mistakes_of_each(
    of_each: Mapping[str, Sequence[Record]], drills: Sequence[Drill]
) -> pd.DataFrame:
    rows = [
        (name, *row)
        for name, attempts in of_each.items()
        for row in _mistake_rows(attempts, drills)
    ]
    return pd.DataFrame(rows, columns=["nickname", *_MISTAKES])


def _mistake_rows(
    attempts: Sequence[Record], drills: Sequence[Drill]
) -> list[tuple[str, str, int, int]]:
    """Return kinds that were made, the commonest first; of as many, the larger share first."""
    titles = {kind.key: kind.title for drill in drills for kind in drill.kinds}
    told = {drill.key: {kind.key for kind in drill.kinds} for drill in drills}
    strange = [one for one in attempts if one.drill not in told]
    for one in strange:  # of a drill that the kit does not know: what was found there
        told.setdefault(one.drill, set()).update(one.mistakes)
    times = Counter(key for one in attempts for key in one.mistakes)
    rows = [
        (key, titles.get(key, key), count, sum(_tells(one, key, told) for one in attempts))
        for key, count in times.items()
    ]
    return sorted(rows, key=lambda row: (-row[2], row[3], row[0]))


def _tells(one: Record, key: str, told: Mapping[str, set[str]]) -> bool:
    return key in told[one.drill] or key in one.mistakes


def _next(first_of: Mapping[str, Sequence[Record]], drills: Sequence[Drill]) -> pd.DataFrame:
    rows = []
    for name, tries in first_of.items():
        found = next_drill(drills, tries)
        rows.append((name, found.drill, found.title, found.grade, found.why))
    return pd.DataFrame(rows, columns=["nickname", "drill", "title", "grade", "why"])
