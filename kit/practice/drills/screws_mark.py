"""The kinds of mistake with screws, and which of them an answer shows.

Each screw is judged by where its point ends and by how far it bites; a wrong one is laid to the
one habit that explains all that is wrong, and only what no habit explains to itself.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace

from kit.base.screws import StackAt, steps_of
from kit.practice.drills.screws_judged import CLOSED_MM, Judged, Screw, Warm
from kit.practice.drills.screws_site import BOARDS_MM, RESERVE_MM, USUAL_BOARD_MM, Site
from kit.practice.effects import Effect, rocks
from kit.practice.fields import numbers, words
from kit.practice.mistakes import Kind, Mistake
from kit.practice.moves import Done

PAST_THE_BOARD = Kind("past_the_board", "a screw past the board",
    "goes by what holds best, and the point comes through the board", 30)  # fmt: skip
COUNTERSINK_FORGOTTEN = Kind("countersink_forgotten", "forgot that heads are drawn in",
    "reckons the point as if the head stood flush, and every point ends deeper", 20)  # fmt: skip
BOARD_GUESSED = Kind("board_guessed", "took the board's thickness for granted",
    "never lifted a board and reckons with a thickness that boards usually have", 25)  # fmt: skip
SERVICES_UNASKED = Kind("services_unasked", "nobody had looked for services",
    "chooses screws for a floor without asking and detecting what runs under it", 30)  # fmt: skip
INTO_HEATING = Kind("into_heating", "fixed into the heating all the same",
    "was shown that something runs there, and lets a point enter the floor", 30)  # fmt: skip
NO_BITE = Kind("no_bite", "a screw that does not bite",
    "takes a screw whose point hardly reaches into what is to hold it", 20)  # fmt: skip
ONE_LENGTH = Kind("one_length", "one length for all stacks",
    "works a length out at one stack and takes it at all of them", 20)  # fmt: skip
LEFT_OUT = Kind("left_out", "left a screw out",
    "leaves a step without a screw although one in the van serves", 20)  # fmt: skip

NO_RESERVE = Kind("no_reserve", "kept nothing in reserve",
    "lets points go down to the underside of the boards and keeps nothing back", 20)  # fmt: skip

KINDS = (
    PAST_THE_BOARD, COUNTERSINK_FORGOTTEN, NO_RESERVE, BOARD_GUESSED, SERVICES_UNASKED,
    INTO_HEATING, NO_BITE, ONE_LENGTH, LEFT_OUT,
)  # fmt: skip

#: What boards are taken for by somebody who never lifted one, the usual first [mm].
_USUAL_MM = (USUAL_BOARD_MM, 22.0, 20.0, 19.0, 18.0, 25.0, *BOARDS_MM)
_GUESSES_MM = sorted(
    (half / 2 for half in range(20, 81)), key=lambda board: abs(board - USUAL_BOARD_MM)
)

#: A board lifted so near a stack shows what runs under it [mm].
_BY_THE_STACK_MM = 150.0


def mistakes_of(
    site: Site, done: Sequence[Done], lengths_mm: Mapping[tuple[str, str], float]
) -> Iterator[Mistake]:
    """Yield the mistakes of an answer, each kind once.

    Parameters
    ----------
    site : Site
        The truth.
    done : sequence of Done
        What was asked, detected and lifted.
    lengths_mm : mapping of (stack, step) to float
        The answer; nan for none [mm].
    """
    screws = tuple(
        Screw(stack, step, lengths_mm[stack.support, step.name])
        for stack in site.stacks
        for step in steps_of(stack, site.bearer_mm)
    )
    seen = {stack.support for stack in site.stacks if _looked(done, stack)}
    hot = {s.support for s in site.stacks if site.heated_at(s.x_mm, s.y_mm)}
    judged = Judged(site, screws, _warm(screws, hot, hot - seen), site.board_mm)
    asked = any(one.move.kind == "ask" for one in done)
    if not asked or len(seen) < len(site.stacks):
        yield _unasked(judged, seen, hot, asked=asked)
    if not any(one.move.kind == "lift" for one in done):
        yield _guessed(judged)
        judged = _as_guessed(judged)
    into = [] if _habit(judged) is COUNTERSINK_FORGOTTEN else _into(judged, hot & seen)
    if into:
        yield _into_heating(site, into)
        either = (hot - seen) | {one.stack.support for one in into}
        judged = replace(judged, warm=_warm(screws, hot, either))
    yield from _rest(judged)


def _warm(screws: Sequence[Screw], hot: Collection[str], either: Collection[str]) -> Warm:
    """Return what may enter the floor at each stack; `either`: spared or not, both pass."""
    names = {one.stack.support for one in screws}
    return {name: (True, False) if name in either else (name in hot,) for name in names}


def _into(judged: Judged, spared: Collection[str]) -> list[Screw]:
    """Return the screws whose points enter the floor where something was seen to run."""
    head = judged.site.countersink_mm
    return [o for o in judged.screws if o.stack.support in spared and o.point_mm(head) > CLOSED_MM]


def _habit(judged: Judged) -> Kind | None:
    """Return what explains all that is wrong: heads reckoned flush or proud, or no reserve.

    More screws must then be as somebody with that habit reckons them than as they should be: a
    single screw that is a size too long is no habit.
    """
    head = judged.site.countersink_mm
    if not judged.wrong(head):
        return None
    best, most = None, judged.as_reckoned(head)
    deeper = replace(judged, board_mm=judged.board_mm + RESERVE_MM)
    for kind, known, reckoned_mm in (
        (COUNTERSINK_FORGOTTEN, judged, 0.0), (NO_RESERVE, deeper, head),
        (COUNTERSINK_FORGOTTEN, judged, -head),
    ):  # fmt: skip
        if not known.wrong(reckoned_mm) and known.as_reckoned(reckoned_mm) > most:
            best, most = kind, known.as_reckoned(reckoned_mm)
    return best


def _looked(done: Sequence[Done], stack: StackAt) -> bool:
    """Tell whether anybody looked under the floor at a stack: by detector or a lifted board."""
    for one in done:
        if one.move.kind == "detect" and words(one.move.values, "stack") == stack.support:
            return True
        if one.move.kind == "lift":
            x, y = numbers(one.move.values, "at")
            if math.hypot(x - stack.x_mm, y - stack.y_mm) <= _BY_THE_STACK_MM:
                return True
    return False


def _as_guessed(judged: Judged) -> Judged:
    """Return the answer judged by the board that it is most likely to have been worked out for."""
    head = judged.site.countersink_mm
    for reckoned_mm in (head, 0.0):
        for board in _USUAL_MM:
            known = replace(judged, board_mm=board)
            if known.as_reckoned(reckoned_mm) == len(judged.screws):
                return known
    tried = [replace(judged, board_mm=board) for board in _GUESSES_MM]
    return min(tried, key=lambda one: len(one.wrong(head)))


def _rest(judged: Judged) -> Iterator[Mistake]:
    """Yield what is wrong with lengths, by one habit if one explains all of it."""
    wrong = judged.wrong(judged.site.countersink_mm)
    if not wrong:
        return
    habit = _habit(judged)
    if habit:
        yield _mistake(habit, judged, wrong, _HEAD if habit is COUNTERSINK_FORGOTTEN else _DEPTH)
    elif _one_length(judged, wrong):
        yield _mistake(ONE_LENGTH, judged, wrong, _EACH)
    else:
        left = [one for one in wrong if one.is_none]
        deep = [one for one in wrong if judged.too_deep_mm(one) > 0]
        short = [one for one in wrong if one not in left and one not in deep]
        for kind, found, sound in (
            (PAST_THE_BOARD, deep, _DEPTH), (NO_BITE, short, _BITE), (LEFT_OUT, left, _ALL),
        ):  # fmt: skip
            if found:
                yield _mistake(kind, judged, found, sound)


def _one_length(judged: Judged, wrong: Sequence[Screw]) -> bool:
    """Tell whether every step that is wrong somewhere has one length, right at one stack.

    Or whether all screws have one length. Stacks where nothing may enter the floor are left out:
    whoever spares them there works them out by themselves.
    """
    head = judged.site.countersink_mm
    free = [one for one in judged.screws if not judged.spared(one)]
    if len({one.length_mm for one in free}) == 1 and not free[0].is_none:
        return True
    if any(judged.spared(one) for one in wrong):
        return False
    for name in {one.step.name for one in wrong}:
        same = [one for one in free if one.step.name == name]
        right = [one for one in same if judged.fits(one, head)]
        if len(same) < 2 or len({one.length_mm for one in same}) > 1 or not right:
            return False
    return True


_HEAD = (
    "Add the countersink: point below the floor = length + countersink - what it passes above the "
    "floor, at most the board less the reserve."
)
_EACH = "Stacks differ in what a screw passes: work each out by itself."
_DEPTH = "The point may go as deep as the board less the reserve, and no deeper."
_BITE = (
    "At least 8 mm of the base screw in the floor, at least 12 mm of the others in what is below."
)
_ALL = "A step that a screw in the van serves gets one."
_LOOK = (
    "Before any screw: ask, go along with the detector, look under a lifted board. Local rules "
    "come first."
)
_SPARE = "Where something runs, no point enters the floor: bond the first packer."
_LIFT = "Lift a board and measure it."


def _mistake(kind: Kind, judged: Judged, wrong: Sequence[Screw], sound: str) -> Mistake:
    worst = max(wrong, key=lambda one: _badness(judged, one))
    more = f"; {len(wrong) - 1} more" if len(wrong) > 1 else ""
    return Mistake(kind, f"{_told(judged, worst)}{more}", _effect(judged.site, worst), sound)


def _badness(judged: Judged, one: Screw) -> tuple[float, float]:
    """Return what is worst: what ends deepest, then what bites least, then what is left out."""
    if one.is_none:
        return 0, 0.0
    deep = judged.too_deep_mm(one)
    return (2, deep) if deep > 0 else (1, -one.bites_mm(judged.site.countersink_mm))


def _told(judged: Judged, one: Screw) -> str:
    head = judged.site.countersink_mm
    deepest = 0.0 if judged.spared(one) else judged.site.board_mm - RESERVE_MM
    if one.is_none:
        serve = one.serving(judged.board_mm - RESERVE_MM, head, warm=judged.spared(one))
        return f"no {one.name}, where {max(serve):g} mm serves"
    said = f"{one.name} {one.length_mm:g} mm"
    if judged.too_deep_mm(one) > 0:
        return f"{said}: its point ends {one.point_mm(head):g} mm deep, {deepest:g} mm may be"
    return (
        f"{said}: {max(one.bites_mm(head), 0.0):g} mm of it in what is below, "
        f"{one.step.bite_mm:g} mm are needed"
    )


def _effect(site: Site, one: Screw) -> Effect:
    """Return what one wrong screw does: what its point may meet, or what it does not hold."""
    point = one.point_mm(site.countersink_mm)
    if point > site.board_mm - RESERVE_MM:
        below = point - site.board_mm
        where = f"{below:g} mm below" if below >= 0 else f"only {-below:g} mm above"
        return Effect(
            f"the point stands {where} the underside of the boards, where pipes and cables run"
        )
    if one.step.name == "bearer":
        return Effect(f"nothing holds the bearer on {one.stack.support} when units are slid in")
    hang = rocks(one.step.passes_mm)
    return Effect(f"if the packer works loose there, {hang.words}", rock_mm=hang.rock_mm)


def _unasked(
    judged: Judged, seen: Collection[str], hot: Collection[str], *, asked: bool
) -> Mistake:
    site = judged.site
    unseen = [one.support for one in site.stacks if one.support not in seen]
    parts = [] if asked else ["never asked what runs under the boards"]
    if unseen:
        parts.append(f"nobody looked under the floor at {', '.join(unseen)}")
    pierced = _into(judged, set(unseen) & set(hot))
    effect = (
        _pierces(site, pierced)
        if pierced
        else Effect("this time no point ends over a pipe: luck, not care")
    )
    return Mistake(SERVICES_UNASKED, "; ".join(parts), effect, _LOOK)


def _pierces(site: Site, into: Sequence[Screw]) -> Effect:
    worst = max(into, key=lambda one: one.point_mm(site.countersink_mm))
    deep = worst.point_mm(site.countersink_mm)
    return Effect(
        f"the {worst.name} goes {deep:g} mm into a floor of {site.board_mm:g} mm with heating "
        "pipes under it: a pipe that is hit floods the room below and swells the boards"
    )


def _into_heating(site: Site, into: Sequence[Screw]) -> Mistake:
    worst = max(into, key=lambda one: one.point_mm(site.countersink_mm))
    deep = worst.point_mm(site.countersink_mm)
    said = f"{worst.name} {worst.length_mm:g} mm: {deep:g} mm into a floor where heating runs"
    return Mistake(INTO_HEATING, said, _pierces(site, into), _SPARE)


def _guessed(judged: Judged) -> Mistake:
    site = judged.site
    head = site.countersink_mm
    said = f"no board was lifted; they are {site.board_mm:g} mm thick"
    deepest = max(judged.screws, key=lambda o: -math.inf if o.is_none else o.point_mm(head))
    if not deepest.is_none and deepest.point_mm(head) > site.board_mm - RESERVE_MM + CLOSED_MM:
        return Mistake(BOARD_GUESSED, said, _effect(site, deepest), _LIFT)
    kept = Effect("no point comes through this time; in a thinner board it might")
    return Mistake(BOARD_GUESSED, said, kept, _LIFT)
