"""What is kept of one attempt that was marked, and how it is written in one row of a file."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, fields, replace
from datetime import UTC, datetime

from kit.job import refuse
from kit.practice.attempt import Attempt
from kit.practice.marking import Marked
from kit.practice.nickname import read_nickname

#: Raised whenever a drill's floors, task or marking change: marks compare within one edition,
#: and a floor of one is another floor in the next.
EDITION = 1

#: How moments are written: universal time, to the second.
MOMENT = "%Y-%m-%dT%H:%M:%SZ"

#: Least number of bytes of chance in an attempt's mark of its own.
LEAST_CHANCE = 12

#: What stands between kinds of mistakes in a cell.
JOINT = "+"

#: Not part of what the name of an attempt is made of: a trainer may tell two apprentices apart
#: who chose the same nickname.
_NOT_NAMED_BY = ("attempt", "nickname")


@dataclass(frozen=True)
class Record:
    """One attempt, marked.

    Parameters
    ----------
    attempt : str
        Its name: 32 letters made of all that follows but the nickname. Two attempts never share
        one, a copy of a row has the same, and a row that was damaged no longer fits its own.
    when : str
        Universal time, ``2031-05-08T09:30:00Z``.
    nickname : str
        Whose.
    drill, edition, grade, seed : str, int, str, int
        Which floor: key of the drill, edition of the kit's drills, grade and seed.
    tries_before : int
        How often this person had tried this floor before.
    marks : int
        0 to 100.
    placements, good_placements : int
        Of the apprentice and of the good practice.
    seconds, good_seconds : float
        Likewise [s], to a tenth.
    hints : int
        Asked for.
    mistakes : tuple of str
        Keys of the kinds.
    token : str
        Chance, in letters: without it two apprentices of one nickname who did the same on two
        machines in the same second would be one attempt.
    """

    attempt: str
    when: str
    nickname: str
    drill: str
    edition: int
    grade: str
    seed: int
    tries_before: int
    marks: int
    placements: int
    good_placements: int
    seconds: float
    good_seconds: float
    hints: int
    mistakes: tuple[str, ...]
    token: str = field(repr=False)

    @property
    def floor(self) -> tuple[str, int, str, int]:
        """Drill, edition, grade and seed: what makes two tries tries of the same floor."""
        return self.drill, self.edition, self.grade, self.seed

    @property
    def cells(self) -> dict[str, str]:
        """Column to what stands in it; none begins like a formula, a number in letters or a date.

        Names and tokens are letters only: of digits and an ``e`` a spreadsheet program would make
        a number.
        """
        return {name: _cell(getattr(self, name)) for name in COLUMNS}

    @property
    def name_of_content(self) -> str:
        """What the attempt has to be called: SHA-256 (FIPS 180-4) of its cells, in letters."""
        cells = self.cells
        said = "\n".join(f"{name} {cells[name]}" for name in _NAMED_BY)
        return letters(hashlib.sha256(said.encode()).digest()[:16])

    def named(self, tries_before: int) -> Record:
        """Return it after so many earlier tries of its floor, under its name."""
        known = replace(self, tries_before=tries_before)
        return replace(known, attempt=known.name_of_content)


#: Columns of a file, in the order in which new files have them: first what a person looks for,
#: last what only the kit reads. Any other order is read as well.
COLUMNS = (
    "when", "nickname", "drill", "grade", "seed", "marks", "tries_before", "mistakes", "hints",
    "placements", "good_placements", "seconds", "good_seconds", "edition", "attempt", "token",
)  # fmt: skip

#: What the name of an attempt is made of, in this order: with another one no record that was ever
#: kept would fit its name.
_NAMED_BY = tuple(one.name for one in fields(Record) if one.name not in _NOT_NAMED_BY)


def _cell(value: object) -> str:
    if isinstance(value, tuple):
        return JOINT.join(value)
    return f"{value:.1f}" if isinstance(value, float) else str(value)


def letters(chance: bytes) -> str:
    """Return bytes as letters from a to p, two a byte.

    Examples
    --------
    >>> letters(bytes([0, 1, 255]))
    'aaabpp'
    """
    return "".join("abcdefghijklmnop"[half] for one in chance for half in divmod(one, 16))


def floor_of(attempt: Attempt) -> tuple[str, int, str, int]:
    """Return the floor of an attempt, as `Record.floor`."""
    return attempt.drill.key, EDITION, attempt.grade.name, attempt.seed


def record_of(
    nickname: str,
    attempt: Attempt,
    marked: Marked,
    when: datetime,
    chance: bytes,
) -> Record:
    """Return the record of an attempt; it is named when it is kept.

    Parameters
    ----------
    nickname : str
        Whose.
    attempt : Attempt
        What was tried.
    marked : Marked
        Its marks.
    when : datetime
        When it was marked, with its time zone.
    chance : bytes
        At least `LEAST_CHANCE` bytes that nobody else draws (``secrets.token_bytes(12)``), the
        same ones where the same attempt is kept again.

    Raises
    ------
    Refusal
        Where the nickname is none, or the moment has no time zone.
    """
    if when.tzinfo is None:
        raise refuse("when", f"{when:%Y-%m-%d %H:%M:%S} without a time zone", "universal time")
    if len(chance) < LEAST_CHANCE:
        raise refuse("chance", f"{len(chance)} bytes", f"{LEAST_CHANCE} bytes or more")
    return Record(
        attempt="",
        when=when.astimezone(UTC).strftime(MOMENT),
        nickname=read_nickname(nickname),
        drill=attempt.drill.key,
        edition=EDITION,
        grade=attempt.grade.name,
        seed=attempt.seed,
        tries_before=0,
        marks=marked.marks,
        placements=marked.placements,
        good_placements=marked.good_placements,
        seconds=round(float(marked.seconds), 1),
        good_seconds=round(float(marked.good_seconds), 1),
        hints=marked.hints,
        mistakes=tuple(one.kind.key for one in marked.mistakes),
        token=letters(chance),
    )
