"""The kinds of mistake in weighing two bases, and which of them an answer shows.

What was never looked at is a mistake whatever the answer; an answer that it explains is no other
mistake besides. Who looked at all of it and answers otherwise than what was seen is told the one
thing that explains the answer, left out of account.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from itertools import combinations

from kit.practice.drills.weigh_bases_job import Case, Side
from kit.practice.drills.weigh_bases_look import LISTED
from kit.practice.effects import Effect
from kit.practice.mistakes import OUT, Kind, Mistake

MATERIAL_ONLY = Kind("material_only", "forgot what the work costs",
    "compares what is bought, and the client pays hours as well", 25)  # fmt: skip
WITHIN_DOUBT = Kind("within_doubt", "took a difference inside its doubt for real",
    "calls the smaller figure the better one, however small the difference", 20)  # fmt: skip
CHECK_OVERLOOKED = Kind("check_overlooked", "overlooked a check",
    "takes a base without minding whether everything carries that is to carry it", 30)  # fmt: skip
WAIT_FORGOTTEN = Kind("wait_forgotten", "forgot what has to dry",
    "counts hours of work and not the days until anything may stand on it", 25)  # fmt: skip

KINDS = (MATERIAL_ONLY, WITHIN_DOUBT, CHECK_OVERLOOKED, WAIT_FORGOTTEN, OUT)

#: What a kind leaves out of account, as `Case.decided` calls it, and the move that shows it.
_FLAGS = {
    MATERIAL_ONLY: ("work", "work"),
    WAIT_FORGOTTEN: ("waits", "wait"),
    CHECK_OVERLOOKED: ("margins", "checks"),
    WITHIN_DOUBT: ("doubt", "floors"),
}

_SOUND = {
    MATERIAL_ONLY: "Work out the hours, and add what they cost to what is bought.",
    WAIT_FORGOTTEN: "Read what has to dry and for how long: days are hours of work and drying.",
    CHECK_OVERLOOKED: "Look at what carries first: a base beyond a limit is out, however cheap.",
    WITHIN_DOUBT: "Set both on other floors that fit the readings: what does not stay, is none.",
    OUT: "Write down what each move showed, then compare line by line.",
}


def mistakes_of(
    case: Case, looked: Collection[str], answer: Mapping[str, Side]
) -> Iterator[Mistake]:
    """Yield the mistakes of an answer, each kind once.

    Parameters
    ----------
    case : Case
        The truth.
    looked : collection of str
        Kinds of the moves that were made.
    answer : mapping of str to Side
        Under ``"base"`` and by the measures of `LISTED`; empty for no difference.
    """
    blind = [
        kind
        for kind, (_, move) in _FLAGS.items()
        if move not in looked and (move != "wait" or case.poured)
    ]
    said = {kind: f"never did: {_UNSEEN[kind]}" for kind in blind}
    for kind, words in (*_of_base(case, blind, answer["base"]), *_of_rows(case, blind, answer)):
        said.setdefault(kind, words)
    for kind, words in said.items():
        yield Mistake(kind, words, _effect(case, kind, answer["base"]), _SOUND[kind])


_UNSEEN = {
    MATERIAL_ONLY: "work out the hours, which the client pays",
    WAIT_FORGOTTEN: "read how long the compound dries",
    CHECK_OVERLOOKED: "look at what carries",
    WITHIN_DOUBT: "set both on other floors that fit the readings",
}


def _of_base(case: Case, blind: Collection[Kind], side: Side) -> Iterator[tuple[Kind, str]]:
    """Yield what explains the base that was chosen, beyond what was not looked at."""
    chosen = case.name_of(side)
    ruled_out = False
    for kind, is_out in ((CHECK_OVERLOOKED, _beyond), (WAIT_FORGOTTEN, _late)):
        if side and is_out(case, side):
            ruled_out = True
            yield kind, f"chose {chosen}, {_RULED_OUT[kind]}"
    if ruled_out or side in _decisions(case, blind):
        return
    for kind in (WITHIN_DOUBT, MATERIAL_ONLY, CHECK_OVERLOOKED, WAIT_FORGOTTEN):
        if side in _decisions(case, (*blind, kind)):
            yield kind, f"answered {chosen}, where it is {case.name_of(case.decided())}"
            return
    yield OUT, f"answered {chosen}, where it is {case.name_of(case.decided())}"


_RULED_OUT = {
    CHECK_OVERLOOKED: "of which something that carries is beyond its limit",
    WAIT_FORGOTTEN: "on which the bench cannot stand in time",
}


def _beyond(case: Case, side: Side) -> bool:
    return case.beyond_limit(side)


def _late(case: Case, side: Side) -> bool:
    return case.late(side)


def _decisions(case: Case, blind: Collection[Kind]) -> set[Side]:
    """Return what may be decided if any of these are left out of account."""
    kinds = tuple(dict.fromkeys(blind))
    decided = {
        case.decided(**{_FLAGS[kind][0]: False for kind in left_out})
        for count in range(len(kinds) + 1)
        for left_out in combinations(kinds, count)
    }
    return decided | (case.may_be("cost_and_labour") if len(case.left()) > 1 else set())


def _of_rows(
    case: Case, blind: Collection[Kind], answer: Mapping[str, Side]
) -> Iterator[tuple[Kind, str]]:
    """Yield what is wrong with the listed differences; hours are unknown who left them out."""
    for key, words in LISTED.items():
        right, said = case.comparison.row(key).winner, answer[key]
        if said in case.may_be(key) or (key == "hours" and MATERIAL_ONLY in blind):
            continue
        told = f"{words}: answered {case.name_of(said)}, where it is {case.name_of(right)}"
        yield (WITHIN_DOUBT if not right and said == case.smaller(key) else OUT), told


def _effect(case: Case, kind: Kind, side: Side) -> Effect:
    """Return what a mistake does, or would do here."""
    if kind is CHECK_OVERLOOKED:
        return _overload(case, side)
    if kind is WAIT_FORGOTTEN:
        return _waits(case, side)
    return _money(case, side)


def _overload(case: Case, side: Side) -> Effect:
    if not side or not case.beyond_limit(side):
        return Effect("this time all that carries it keeps its limits: luck, not care")
    beyond = -case.value("least_margin", side)
    return Effect(
        f"what carries {case.name_of(side)} is {beyond:.0f} % beyond its limit: where it gives, "
        "the bench leans, and so does all that stands on it"
    )


def _waits(case: Case, side: Side) -> Effect:
    if not side or not case.late(side):
        return Effect("this time the days suffice: luck, not care")
    days = case.value("days", side)
    return Effect(
        f"the bench can stand after {days:g} days, not within {case.deadline_days}; set up "
        "earlier, its feet sink into what is still soft"
    )


def _money(case: Case, side: Side) -> Effect:
    if side == case.decided():
        return Effect("here the choice comes out the same; the client is told what is not so")
    row, money = case.comparison.row("cost_and_labour"), case.job.rates.money
    other = {"a": "b", "b": "a", "": row.winner}[side]
    if not side:
        apart = f"{abs(row.difference):.2f} {money}"
        return Effect(f"the client may pay {apart} more, work included, than for the cheaper base")
    more = case.value("cost_and_labour", side) - case.value("cost_and_labour", other)
    if more <= 0:
        return Effect(f"{case.name_of(side)} happens to cost no more than the other")
    return Effect(f"work included the client pays {more:.2f} {money} more than for the other")
