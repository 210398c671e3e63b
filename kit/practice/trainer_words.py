"""Words of the trainer's table, the same on a page and in a terminal: column to its head."""

from __future__ import annotations

from kit.practice.marking import FULL

WHO = {
    "nickname": "apprentice",
    "title": "drill",
    "tries": "tries",
    "floors": "floors",
    "worst_grade": "worst grade",
    "best_marks": "best mark",
    "last_marks": "last mark",
    "placements": "placements",
    "good_placements": "good practice's",
    "hints": "hints",
    "last_try": "last try",
}
MISTAKES = {"title": "mistake", "made_in": "made in", "of_tries": "of"}
OWN_MISTAKES = {"nickname": WHO["nickname"], **MISTAKES}

#: What stands over the tables.
WHO_TITLE = "Who did what"
MISTAKES_TITLE = "Commonest mistakes of the class"
OWN_MISTAKES_TITLE = "Commonest mistakes of each"

#: What stands below them.
WHO_NOTE = (
    f"Marks, of {FULL}, and placements are of first tries on a floor, placements summed beside"
    " those of the good practice; a dash: no first try is among these records. Tries and hints are"
    " of all; the last try in universal time."
)
MISTAKES_NOTE = (
    "Tries in which the mistake was made, of those at drills that look for it. Commonest first."
)


def minute(when: str) -> str:
    """Return a moment of a record as a person writes it.

    Examples
    --------
    >>> minute("2031-05-08T09:30:00Z")
    '2031-05-08 09:30'
    """
    return f"{when[:10]} {when[11:16]}"


def counted(number: int, one: str, more: str = "") -> str:
    """Return a number of things in words.

    Examples
    --------
    >>> counted(1, "file"), counted(2, "file"), counted(3, "try", "tries")
    ('1 file', '2 files', '3 tries')
    """
    return f"{number} {one if number == 1 else more or one + 's'}"


def summary(tries: int, apprentices: int, files: int) -> str:
    """Say how much was read."""
    return (
        f"{counted(tries, 'try', 'tries')} of {counted(apprentices, 'apprentice')}"
        f" from {counted(files, 'file')}."
    )
