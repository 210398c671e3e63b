"""Records of a class that nobody is in: four invented apprentices, who really play drills."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from kit.job import Refusal, refuse
from kit.practice.attempt import HINT, Attempt, begin
from kit.practice.class_set import drills_named
from kit.practice.drills import DRILLS
from kit.practice.fields import Values, number
from kit.practice.grades import grade_named
from kit.practice.moves import Done, Move
from kit.practice.record import Record, letters, record_of
from kit.practice.records import read_records
from kit.practice.records_file import keep

#: What an apprentice does: the attempt after all moves, and the answer.
Way = Callable[[Attempt], tuple[Attempt, Values]]

#: How the tokens of invented attempts begin; the rest is their number.
_MARK = b"invented"

#: When the first attempt was marked, and what lies between two.
_FIRST, _BETWEEN = datetime(2031, 5, 8, 9, 5, tzinfo=UTC), timedelta(minutes=11)


def _sound(attempt: Attempt) -> tuple[Attempt, Values]:
    worked = attempt.task.worked
    return _moved(attempt, worked.done), worked.answer


def _never_turned(attempt: Attempt) -> tuple[Attempt, Values]:
    """Lay the level once and take its word."""
    laid = _moved(attempt, attempt.task.worked.done[-2:-1])
    return laid, {"error": number(laid.done[-1].seen.figures, "bubble_mm")}


def _wrong_sign(attempt: Attempt) -> tuple[Attempt, Values]:
    moved, answer = _sound(attempt)
    return moved, {"error": -number(answer, "error")}


def _without_staff(attempt: Attempt) -> tuple[Attempt, Values]:
    """Do all but hold the staff again."""
    worked = attempt.task.worked
    return _moved(attempt, [one for one in worked.done if one.move.kind != "hold"]), worked.answer


def _half(attempt: Attempt) -> tuple[Attempt, Values]:
    """Stop half way and call it enough."""
    worked = attempt.task.worked
    return _moved(attempt, worked.done[: len(worked.done) // 2]), worked.answer


def _moved(attempt: Attempt, done: Sequence[Done]) -> Attempt:
    for one in done:
        attempt = attempt.after(one.move)
    return attempt


@dataclass(frozen=True)
class Go:
    """One go at one floor: of which drill, seed and grade, how, and after how many hints."""

    drill: str
    seed: int
    grade: str
    way: Way
    hints: int = 0

    def record(self, nickname: str, when: datetime, chance: bytes) -> Record:
        """Play it and return its record."""
        (drill,) = drills_named(DRILLS, [self.drill])
        attempt = begin(drill, self.seed, grade_named(self.grade))
        for _ in range(self.hints):
            attempt = attempt.after(Move(HINT))
        attempt, answer = self.way(attempt)
        return record_of(nickname, attempt, attempt.answered(answer), when, chance)


#: Who did what. Ash works soundly, birch never looks a second time, hazel mends her ways and
#: tries a floor again, rowan has only begun. Drills that are quick to work out.
GOES: dict[str, tuple[Go, ...]] = {
    "ash": (
        Go("high_point", 12, "fair", _sound),
        Go("high_point", 31, "ordinary", _sound),
        Go("own_error", 12, "fair", _sound),
        Go("own_error", 31, "ordinary", _sound),
        Go("book_run", 12, "fair", _sound),
        Go("bad_reading", 12, "fair", _sound, hints=1),
        Go("bad_reading", 44, "ordinary", _sound),
        Go("few_readings", 12, "fair", _sound),
        Go("choose_stacks", 12, "fair", _sound),
        Go("as_built", 5, "ordinary", _sound),
    ),
    "birch": (
        Go("high_point", 13, "fair", _sound),
        Go("high_point", 14, "fair", _sound),
        Go("own_error", 13, "fair", _never_turned),
        Go("own_error", 14, "fair", _never_turned, hints=1),
        Go("bad_reading", 13, "fair", _without_staff),
        Go("few_readings", 13, "fair", _half),
        Go("as_built", 6, "fair", _without_staff),
    ),
    "hazel": (
        Go("high_point", 15, "ordinary", _sound),
        Go("high_point", 16, "ordinary", _sound),
        Go("own_error", 15, "fair", _wrong_sign),
        Go("own_error", 15, "fair", _sound),
        Go("own_error", 16, "fair", _sound),
        Go("book_run", 15, "fair", _half),
        Go("bad_reading", 15, "fair", _sound),
        Go("few_readings", 15, "ordinary", _half),
    ),
    "rowan": (
        Go("high_point", 17, "fair", _sound, hints=3),
        Go("own_error", 17, "fair", _never_turned, hints=3),
        Go("own_error", 18, "fair", _never_turned, hints=2),
    ),
}


def invented_class(folder: str | Path) -> Path:
    """Fill a folder with records of four invented apprentices, to try the trainer's page on.

    They play drills of the kit, some of them carelessly; floors, times and chance are fixed, so
    that a folder that was filled before stays as it is.

    Parameters
    ----------
    folder : path
        New, empty, or filled so before; made where only the last folder of its path is missing.

    Returns
    -------
    Path
        The folder.

    Raises
    ------
    Refusal
        Where there are other records in it, or it cannot be written.
    """
    home = Path(folder)
    _refuse_others(home)
    for record in _records():
        keep(home, record)
    return home


def _refuse_others(home: Path) -> None:
    try:
        there = read_records(home)
    except Refusal:  # nothing there yet; where nothing can be written, that is refused then
        return
    mark = letters(_MARK)
    others = [one.nickname for one in there.attempts if not one.token.startswith(mark)]
    amiss = (*there.refused_files, *there.damaged_files)
    if others or amiss:
        found = f"records of others, {', '.join(dict.fromkeys((*others, *amiss)))}"
        raise refuse(str(home), found, "a new or empty folder for invented records")


def _records() -> Iterator[Record]:
    goes = [(nickname, go) for nickname, goes in GOES.items() for go in goes]
    for place, (nickname, go) in enumerate(goes):
        chance = _MARK + place.to_bytes(4, "big")
        yield go.record(nickname, _FIRST + place * _BETWEEN, chance)
