"""The drill with the level's own error: scripted apprentices first, then what it is checked by."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Protocol

import numpy as np
import pytest

from kit.job import Refusal
from kit.practice.attempt import Attempt
from kit.practice.drills.own_error import OwnError
from kit.practice.fields import Values
from kit.practice.grades import GRADES
from kit.practice.marking import Marked
from kit.practice.moves import Done, Move, Place, Seen
from kit.practice.shapes import Bump
from kit.practice.tools import lay, turned

DRILL = OwnError()
LONG_MM = 1800.0


class Hands(Protocol):
    attempt: Attempt

    def do(self, move: Move) -> Seen: ...


Script = Callable[[Hands], Values]

# --- scripted apprentices: they know what is given and what they see --------------------------


def places(hands: Hands) -> Iterator[tuple[Place, Place]]:
    """The pencil lines, then the middle of the floor, then wherever the room has space."""
    given = hands.attempt.task.given
    for line in given.on_plan:
        yield line.places_mm[0], line.places_mm[1]
    wide, deep = given.room_mm
    for x in (1200.0, 300.0, 2100.0):
        for y in (0.45 * deep, 0.3 * deep, 0.65 * deep):
            yield (x, y), (x + LONG_MM, y)
    for x in (0.3 * wide, 0.5 * wide, 0.7 * wide):
        yield (x, 200.0), (x, 200.0 + LONG_MM)


def bubble(seen: Seen) -> float:
    return float(seen.figures["bubble_mm"])  # type: ignore[arg-type]


def at_end(seen: Seen) -> bool:
    return abs(bubble(seen)) >= 8.0


def tips(seen: Seen) -> bool:
    return seen.figures["rocks"] == "true"


def both_ways(hands: Hands, *, minds_rocking: bool, minds_glass: bool) -> tuple[float, float]:
    """Lay, look, turn on the marks, look; go elsewhere where what one minds is wrong."""
    for start, end in places(hands):
        bubbles = []
        for move in (lay("long", start, end), turned(lay("long", start, end))):
            seen = hands.do(move)
            if (minds_rocking and tips(seen)) or (minds_glass and at_end(seen)):
                break
            bubbles.append(bubble(seen))
        if len(bubbles) == 2:
            return bubbles[0], bubbles[1]
    raise AssertionError("nowhere to lay a level")


def firm(hands: Hands) -> tuple[tuple[Place, Place], float]:
    """Lay the level where it lies firm and reads; return where, and the bubble."""
    for start, end in places(hands):
        seen = hands.do(lay("long", start, end))
        if not tips(seen) and not at_end(seen):
            return (start, end), bubble(seen)
    raise AssertionError("nowhere to lay a level")


def sound(hands: Hands) -> Values:
    """Lays it as others do; where both lines are bad, lifts it clear on packers."""
    for line in hands.attempt.task.given.on_plan:
        start, end = line.places_mm
        first = hands.do(lay("long", start, end))
        if not tips(first) and not at_end(first):
            other = hands.do(turned(lay("long", start, end)))
            if not at_end(other):
                return {"error": (bubble(first) + bubble(other)) / 2}
    return sound_on_packers(hands)


def sound_on_packers(hands: Hands) -> Values:
    """Another sound hand: packers under both ends, thicker under the low one: none rocks."""
    left, right = 20.0, 20.0
    start, end = (1000.0, 700.0), (1000.0 + LONG_MM, 700.0)
    for _ in range(3):
        first = lay("long", start, end, (left, right))
        one = bubble(hands.do(first))
        if abs(one) < 5.0:
            other = bubble(hands.do(turned(first)))
            return {"error": (one + other) / 2}
        left, right = left + max(one, 0.0) * 1.8, right + max(-one, 0.0) * 1.8
    raise AssertionError("steeper than packers go")


def never_turns(hands: Hands) -> Values:
    """Lays it down twice, same end first, and takes the mean: floors even out, so he thinks."""
    (start, end), one = firm(hands)
    beside = (start[0], start[1] - 150.0), (end[0], end[1] - 150.0)
    other = bubble(hands.do(lay("long", *beside)))
    return {"error": (one + other) / 2}


def turns_elsewhere(hands: Hands) -> Values:
    """Reads, picks it up, turns round with it, puts it down where there is room."""
    (start, end), one = firm(hands)
    for aside in (250.0, 400.0, 550.0, 700.0):
        y = start[1] - aside if start[1] > 800.0 else start[1] + aside
        seen = hands.do(lay("long", (end[0], y + end[1] - start[1]), (start[0], y)))
        if not tips(seen) and not at_end(seen):
            break
    return {"error": (one + bubble(seen)) / 2}


def minds_no_rocking(hands: Hands) -> Values:
    one, other = both_ways(hands, minds_rocking=False, minds_glass=True)
    return {"error": (one + other) / 2}


def minds_no_glass(hands: Hands) -> Values:
    one, other = both_ways(hands, minds_rocking=True, minds_glass=False)
    return {"error": (one + other) / 2}


def does_not_halve(hands: Hands) -> Values:
    one, other = both_ways(hands, minds_rocking=True, minds_glass=True)
    return {"error": one + other}


def turns_the_sign(hands: Hands) -> Values:
    one, other = both_ways(hands, minds_rocking=True, minds_glass=True)
    return {"error": -(one + other) / 2}


def misreads(hands: Hands) -> Values:
    """Counts one line too many on the glass."""
    one, other = both_ways(hands, minds_rocking=True, minds_glass=True)
    return {"error": (one + 1.0 + other) / 2}


def read_well(hands: Hands, count: int) -> list[tuple[float, float]]:
    """Both bubbles of so many places where the level lay firm and its bubble was free."""
    found = []
    for start, end in places(hands):
        first = lay("long", start, end)
        seen = [hands.do(move) for move in (first, turned(first))]
        if not any(tips(one) or at_end(one) for one in seen):
            found.append((bubble(seen[0]), bubble(seen[1])))
        if len(found) == count:
            return found
    raise AssertionError("nowhere to lay a level")


def mean_of_two_places(hands: Hands) -> Values:
    """Careful: reads at two places, and types the mean as one does, to a tenth."""
    return {"error": round(sum(a + b for a, b in read_well(hands, 2)) / 4, 1)}


def shims_to_the_middle(hands: Hands) -> Values:
    """Packs the ends until the bubble stands in the middle, turns, and halves what it shows."""
    left = right = 20.0
    start, end = (1000.0, 700.0), (1000.0 + LONG_MM, 700.0)
    for _ in range(6):
        move = lay("long", start, end, (left, right))
        one = bubble(hands.do(move))
        if abs(one) <= 0.2:
            break
        left, right = round(left + max(one, 0) * 1.8, 1), round(right + max(-one, 0) * 1.8, 1)
    return {"error": (one + bubble(hands.do(turned(move)))) / 2}


def out_of_the_room(hands: Hands) -> Values:
    """Lays it from the wall into the room first, then as others do."""
    for x in (600.0, 1500.0, 2400.0, 3300.0):
        first = lay("long", (x, 300.0), (x, 300.0 + LONG_MM))
        one = hands.do(first)
        if not tips(one) and not at_end(one):
            other = hands.do(turned(first))
            if not at_end(other):
                return {"error": (bubble(one) + bubble(other)) / 2}
    return sound_on_packers(hands)


def reads_badly_first(hands: Hands) -> Values:
    """Reads both pencil lines whatever the level does, sees it, and goes elsewhere."""
    for line in hands.attempt.task.given.on_plan:
        first = lay("long", *line.places_mm)
        hands.do(first), hands.do(turned(first))
    return sound_on_packers(hands)


def subtracts(hands: Hands) -> Values:
    """Counts the second bubble the wrong way: half the difference is the floor's fall."""
    ((one, other),) = read_well(hands, 1)
    return {"error": (one - other) / 2}


def means_and_does_not_halve(hands: Hands) -> Values:
    """Reads at two places, and takes the mean of both sums."""
    return {"error": round(sum(a + b for a, b in read_well(hands, 2)) / 2, 1)}


def moves_and_does_not_halve(hands: Hands) -> Values:
    """Turns round with it to where there is room, and adds."""
    one = bubble(hands.do(lay("long", (600.0, 1000.0), (2400.0, 1000.0))))
    return {"error": one + bubble(hands.do(lay("long", (2600.0, 600.0), (800.0, 600.0))))}


def used(done: Sequence[Done]) -> Sequence[Seen]:
    """The two lies that an answer was made of."""
    return [one.seen for one in done[-2:]]


# --- marks ------------------------------------------------------------------------------------

Begun = Callable[[OwnError], Sequence[Attempt]]
Play = Callable[[Attempt, Script], Marked]


def truth(attempt: Attempt) -> float:
    return attempt.task.tools.bag.level("long").own_error_mm_per_m  # type: ignore[attr-defined]


def test_a_sound_hand_gets_full_marks_on_every_floor(begun: Begun, play: Play) -> None:
    marks = [play(attempt, sound) for attempt in begun(DRILL)]
    assert [(m.marks, m.lost) for m in marks] == [(100, ())] * 200


def test_packers_from_the_start_are_sound_and_cost_time_at_most(begun: Begun, play: Play) -> None:
    marks = [play(attempt, sound_on_packers) for attempt in begun(DRILL)]
    assert {what for m in marks for what, _ in m.lost} <= {"time"}


@pytest.mark.parametrize(
    "script", [mean_of_two_places, shims_to_the_middle, out_of_the_room, reads_badly_first]
)
def test_other_sound_ways_cost_placements_and_time_at_most(
    begun: Begun, play: Play, script: Script
) -> None:
    marks = [play(attempt, script) for attempt in begun(DRILL)]
    assert {what for m in marks for what, _ in m.lost} <= {"placements", "time"}


@pytest.mark.parametrize(
    ("script", "kinds"),
    [
        (means_and_does_not_halve, {"not_halved"}),
        (moves_and_does_not_halve, {"turned_elsewhere", "not_halved"}),
        # Where the floor hardly falls, or falls by as much as the level is out, it is another's.
        (subtracts, {"wrong_sign"}),
    ],
)
def test_other_sums_that_go_wrong_are_told_as_such(
    begun: Begun, play: Play, script: Script, kinds: set[str]
) -> None:
    told = [{m.kind.key for m in play(attempt, script).mistakes} for attempt in begun(DRILL)]
    least = 0.85 if script is subtracts else 0.95
    assert sum(found == kinds for found in told) >= least * len(told)


def test_a_level_that_rocked_and_was_not_halved_is_told_as_both(begun: Begun) -> None:
    told = []
    for attempt in begun(DRILL):
        for line in attempt.task.given.on_plan:
            hands = Held(attempt)
            first = lay("long", *line.places_mm)
            one, other = hands.do(first), hands.do(turned(first))
            if tips(one) and not at_end(one) and not at_end(other):
                found = hands.attempt.answered({"error": bubble(one) + bubble(other)}).mistakes
                told.append({m.kind.key for m in found})
    assert len(told) >= 100
    assert sum(kinds == {"rocked", "not_halved"} for kinds in told) >= 0.95 * len(told)


def test_it_is_told_what_the_glass_shows(begun: Begun) -> None:
    said = " ".join(begun(DRILL)[0].task.given.sentences)
    assert "1 mm of the bubble is 1 mm per metre" in said
    assert begun(DRILL)[0].task.forms[0].fields[0].choices[0] == "long"


CARELESS = [
    (never_turns, "never_turned"), (turns_elsewhere, "turned_elsewhere"),
    (does_not_halve, "not_halved"), (turns_the_sign, "wrong_sign"), (misreads, "out"),
]  # fmt: skip


@pytest.mark.parametrize(("script", "kind"), CARELESS)
def test_each_careless_hand_has_its_own_mistake(
    begun: Begun, play: Play, script: Script, kind: str
) -> None:
    found = [[m.kind.key for m in play(attempt, script).mistakes] for attempt in begun(DRILL)]
    assert sum(kinds == [kind] for kinds in found) >= 190


@pytest.mark.parametrize(
    ("script", "kind", "met"),
    [(minds_no_rocking, "rocked", tips), (minds_no_glass, "off_the_glass", at_end)],
)
def test_who_minds_a_thing_not_has_its_mistake_where_the_floor_has_the_thing(
    begun: Begun, play: Play, script: Script, kind: str, met: Callable[[Seen], bool]
) -> None:
    kept: list[bool] = []

    def kept_by(hands: Hands) -> Values:
        answer = script(hands)
        kept.append(any(met(seen) for seen in used(hands.attempt.done)))
        return answer

    found = [[m.kind.key for m in play(attempt, kept_by).mistakes] for attempt in begun(DRILL)]
    occasions = [kinds for kinds, one in zip(found, kept, strict=True) if one]
    assert len(occasions) >= 100
    assert sum(kinds == [kind] for kinds in occasions) >= 0.95 * len(occasions)
    assert not any(kinds for kinds, one in zip(found, kept, strict=True) if not one)


def test_the_effect_is_what_the_answer_does_to_a_unit(begun: Begun, play: Play) -> None:
    """By hand: out by d mm/m, a unit 2 m high leans 2 d mm."""
    attempt = begun(DRILL)[7]
    (mistake,) = play(attempt, turns_the_sign).mistakes
    said = float(sound_answer(attempt))
    assert mistake.effect.lean_mm == pytest.approx(2.0 * (-said - truth(attempt)), abs=1e-6)
    assert f"{truth(attempt):g} mm/m" in mistake.done


def sound_answer(attempt: Attempt) -> float:
    hands = Held(attempt)
    return sound(hands)["error"]  # type: ignore[return-value]


class Held:
    """Hands for tests that look at what was seen."""

    def __init__(self, attempt: Attempt) -> None:
        self.attempt = attempt

    def do(self, move: Move) -> Seen:
        self.attempt = self.attempt.after(move)
        return self.attempt.done[-1].seen


def test_two_bad_sums_are_both_told(begun: Begun, play: Play) -> None:
    def both(hands: Hands) -> Values:
        return {"error": -2 * float(sound(hands)["error"])}  # type: ignore[arg-type]

    marked = play(begun(DRILL)[4], both)
    assert {m.kind.key for m in marked.mistakes} == {"not_halved", "wrong_sign"}
    assert marked.marks == 100 - 25 - 30


def test_packers_that_stay_with_the_level_make_another_lie(begun: Begun, play: Play) -> None:
    """Turned with a packer under its marked end both times, it lies at another slope."""

    def moves_packers(hands: Hands) -> Values:
        start, end = (500.0, 900.0), (2300.0, 900.0)
        one = bubble(hands.do(lay("long", start, end, (25.0, 20.0))))
        other = bubble(hands.do(lay("long", end, start, (25.0, 20.0))))
        return {"error": (one + other) / 2}

    found = [m.kind.key for m in play(begun(DRILL)[11], moves_packers).mistakes]
    assert found == ["turned_elsewhere"]


# --- truth, worked answer, secrecy ------------------------------------------------------------


def test_the_worked_answer_is_sound_and_right(begun: Begun) -> None:
    for attempt in begun(DRILL):
        worked = attempt.task.worked
        assert attempt.task.mark(worked.done, worked.answer) == ()
        # both bubbles are read to 0.2 mm: their half sum is within 0.1; answers to 0.001
        assert worked.answer["error"] == pytest.approx(truth(attempt), abs=0.1005)


def test_the_rising_floor_of_the_worked_answer_is_that_of_the_floor(begun: Begun) -> None:
    """On packers the level lies on its ends alone: its rise is that of two heights."""
    attempt = begun(DRILL)[20]
    floor = attempt.task.tools.floor  # type: ignore[attr-defined]
    start, end = (700.0, 650.0), (2500.0, 650.0)
    hands = Held(attempt)
    first = lay("long", start, end, (25.0, 21.0))
    one, other = bubble(hands.do(first)), bubble(hands.do(turned(first)))
    heights = floor.heights_mm(np.array([700.0, 2500.0]), np.array([650.0, 650.0]))
    rise = (heights[1] + 21.0 - heights[0] - 25.0) / 1.8
    assert max(abs(one), abs(other)) < 8.0
    assert (one - other) / 2 == pytest.approx(rise, abs=0.1 + 1e-6)  # each read to 0.2 mm


def test_a_level_that_rocks_goes_down_on_the_side_of_its_marked_end(begun: Begun) -> None:
    """Both ways the marked end is the low one: the bubble's sum is more than twice the error."""
    tipped = 0
    for attempt in begun(DRILL):
        for line in attempt.task.given.on_plan:
            hands = Held(attempt)
            first = lay("long", *line.places_mm)
            one, other = hands.do(first), hands.do(turned(first))
            if tips(one) and not at_end(one) and not at_end(other):
                assert bubble(one) + bubble(other) > 2 * truth(attempt) - 0.2
                tipped += 1
    assert tipped >= 100


def test_what_is_not_looked_at_changes_nothing_that_is_shown(begun: Begun) -> None:
    """Another short level, another floor beyond the line, a laser elsewhere."""
    for attempt in begun(DRILL)[:12]:
        task = attempt.task
        tools = task.tools  # type: ignore[attr-defined]
        (start, end), _ = task.lines  # type: ignore[attr-defined]
        away = 1900.0 if start[1] < 1200.0 else 150.0
        shapes = (*tools.floor.shapes, Bump(2100.0, away, 9.0, 120.0))
        short, long = tools.bag.levels
        other = replace(
            tools,
            floor=replace(tools.floor, shapes=shapes, heated=(), soft=(), loose=()),
            bag=replace(
                tools.bag, levels=(replace(short, own_error_mm_per_m=1.9), long), laser_mm=(700.0,)
            ),
        )
        move = lay("long", start, end, (12.0, 9.0))
        changed = replace(task, tools=other)  # type: ignore[type-var]
        assert changed.do((), move) == task.do((), move)
        assert changed.given == task.given
        assert (changed.forms, changed.asked) == (task.forms, task.asked)


def test_what_cannot_be_done_is_refused(begun: Begun) -> None:
    attempt = begun(DRILL)[2]
    with pytest.raises(Refusal, match="outside the room"):
        attempt.after(lay("long", (3900.0, 400.0), (4100.0, 400.0)))
    with pytest.raises(Refusal, match=r"'read'.*lay"):
        attempt.after(Move("read", {"at": (100.0, 100.0)}))


def test_the_same_seed_gives_the_same_task() -> None:
    one, other = DRILL.set_up(31, GRADES[2]), DRILL.set_up(31, GRADES[2])
    assert (one.lines, one.tools) == (other.lines, other.tools)
    assert one.lines != DRILL.set_up(32, GRADES[2]).lines
