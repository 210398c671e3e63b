"""The drill with the run: scripted apprentices first, then what it is checked by."""

import itertools
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Protocol

import numpy as np
import numpy.typing as npt
import pytest

from kit.job import Refusal
from kit.practice.attempt import Attempt
from kit.practice.drills.book_run import BookRun
from kit.practice.drills.book_run_line import BOOK, LEGS, misclosure, spread
from kit.practice.drills.kept_tools import KeptTools
from kit.practice.fields import Values, read_values
from kit.practice.floors import Patch
from kit.practice.grades import GRADES
from kit.practice.marking import Marked
from kit.practice.moves import Move, Place, Seen
from kit.practice.shapes import Bump
from kit.practice.tools import lay

DRILL = BookRun()
NAMES = "ABCDE"


class Hands(Protocol):
    attempt: Attempt

    def do(self, move: Move) -> Seen: ...


Script = Callable[[Hands], Values]

# --- scripted apprentices: they know what is given and what they see --------------------------


def point(hands: Hands, name: str) -> Place:
    return next(one.places_mm[0] for one in hands.attempt.task.given.on_plan if one.label == name)


def bubble(seen: Seen) -> float:
    return float(seen.figures["bubble_mm"])  # type: ignore[arg-type]


def read(
    hands: Hands, marked: Place, other: Place, level: str = "long", both_up: float = 20.0
) -> float:
    """What the level says the floor rises from its marked end to the other.

    Packers under both ends; where the bubble stands at the end of the glass, more under the low
    one, as much as takes it half way back over the glass.
    """
    metres = {"long": 1.8, "short": 0.6}[level]
    under = [both_up, both_up]
    while True:
        at = bubble(hands.do(lay(level, marked, other, (under[0], under[1]))))
        if abs(at) < 8.0:
            return at * metres + under[0] - under[1]
        under[0 if at > 0 else 1] += 5.0 * metres


def read_both_ways(hands: Hands, one: Place, other: Place, level: str = "long") -> float:
    """The mean of the level laid one way round and the other."""
    return (read(hands, one, other, level) - read(hands, other, one, level)) / 2


def write(hands: Hands, one: str, other: str, rise: float) -> float:
    hands.do(Move("book", {"leg": f"{one}-{other}", "rise": round(rise, 2)}))
    return round(rise, 2)


#: How a leg is read, between two named points.
Way = Callable[[Hands, str, str], float]


def round_trip(hands: Hands, way: Way) -> tuple[list[float], float]:
    """There and back, every leg booked: the legs there, and what all eight add up to."""
    there = [write(hands, a, b, way(hands, a, b)) for a, b in itertools.pairwise(NAMES)]
    home = NAMES[::-1]
    back = [write(hands, a, b, way(hands, a, b)) for a, b in itertools.pairwise(home)]
    return there, sum(there) + sum(back)


def heights(there: list[float], each: float, misclosure: float) -> Values:
    """Add up the legs, each less a share of the misclosure."""
    total, found = 0.0, {}
    for name, leg in zip(NAMES[1:], there, strict=True):
        total += leg - each
        found[name] = total
    return {**found, "misclosure": misclosure}


def both_ways(hands: Hands, one: str, other: str) -> float:
    return read_both_ways(hands, point(hands, one), point(hands, other))


def marked_end_behind(hands: Hands, one: str, other: str) -> float:
    return read(hands, point(hands, one), point(hands, other))


def sound(hands: Hands) -> Values:
    """Each leg both ways round, there and back; the misclosure shared by all eight."""
    there, missed = round_trip(hands, both_ways)
    return heights(there, missed / 8, missed)


def sound_in_one_lie_a_leg(hands: Hands) -> Values:
    """Marked end behind all the way: coming back, every leg is read the other way round."""
    there, missed = round_trip(hands, marked_end_behind)
    return heights(there, missed / 8, missed)


def sound_by_the_own_error(hands: Hands) -> Values:
    """Turns the level on A-B once; marked end left from then on, the own error taken off each."""
    a, b = point(hands, "A"), point(hands, "B")
    error = (read(hands, a, b) + read(hands, b, a)) / 2

    def less_error(hands: Hands, one: str, other: str) -> float:
        left, right = sorted((one, other))
        rise = read(hands, point(hands, left), point(hands, right)) - error
        return rise if one == left else -rise

    there, missed = round_trip(hands, less_error)
    return to_tenths(heights(there, missed / 8, missed))


def sound_and_books_again(hands: Hands) -> Values:
    """Marked end behind; books each leg again less its share; tells what was missed at first."""
    there, missed = round_trip(hands, marked_end_behind)
    legs = list(itertools.pairwise(NAMES))
    right = [write(hands, *leg, rise - missed / 8) for leg, rise in zip(legs, there, strict=True)]
    for (one, other), rise in zip(legs[::-1], right[::-1], strict=True):
        write(hands, other, one, -rise)
    return {**to_tenths(heights(right, 0.0, 0.0)), "misclosure": round(missed, 1)}


def sound_with_a_slip_put_right(hands: Hands) -> Values:
    """Books A-B with the wrong sign, sees it, books it again; the mean of there and back."""
    hands.do(Move("book", {"leg": "A-B", "rise": -3.0}))
    legs = list(itertools.pairwise(NAMES))
    there = [write(hands, *leg, marked_end_behind(hands, *leg)) for leg in legs]
    back = [write(hands, b, a, marked_end_behind(hands, b, a)) for a, b in legs[::-1]]
    mean = [(one - other) / 2 for one, other in zip(there, back[::-1], strict=True)]
    return {**to_tenths(heights(mean, 0.0, 0.0)), "misclosure": round(sum(there) + sum(back), 1)}


def to_tenths(answer: Values) -> Values:
    return {key: round(float(value), 1) for key, value in answer.items()}  # type: ignore[arg-type]


def copies_the_way_back(hands: Hands) -> Values:
    """Reads there well, and books the way back from the way there without a step."""
    legs = list(itertools.pairwise(NAMES))
    there = [write(hands, *leg, both_ways(hands, *leg)) for leg in legs]
    for (one, other), rise in zip(legs[::-1], there[::-1], strict=True):
        write(hands, other, one, -rise)
    return heights(there, 0.0, 0.0)


def turns_it_once_and_forgets(hands: Hands) -> Values:
    """Turns the level on A-B, and takes its word all the way."""
    read_both_ways(hands, point(hands, "A"), point(hands, "B"))
    return never_turns(hands)


def goes_home_on_the_floor(hands: Hands) -> Values:
    """On packers there, flat on the floor back."""
    legs = list(itertools.pairwise(NAMES))
    there = [write(hands, *leg, both_ways(hands, *leg)) for leg in legs]
    back = []
    for one, other in itertools.pairwise(NAMES[::-1]):
        a, b = point(hands, one), point(hands, other)
        flat = (read(hands, a, b, both_up=0.0) - read(hands, b, a, both_up=0.0)) / 2
        back.append(write(hands, one, other, flat))
    missed = sum(there) + sum(back)
    return heights(there, missed / 8, missed)


def slips_on_the_way_home(hands: Hands) -> Values:
    """Marked end behind; books the greatest leg of the way back with the wrong sign."""
    legs = list(itertools.pairwise(NAMES))
    there = [write(hands, *leg, marked_end_behind(hands, *leg)) for leg in legs]
    rises = {(b, a): marked_end_behind(hands, b, a) for a, b in legs[::-1]}
    most = max(rises, key=lambda leg: abs(rises[leg]))
    back = [write(hands, *leg, -rise if leg == most else rise) for leg, rise in rises.items()]
    missed = sum(there) + sum(back)
    return heights(there, missed / 8, missed)


def puts_it_all_into_the_last_leg(hands: Hands) -> Values:
    there, missed = round_trip(hands, marked_end_behind)
    answer = heights(there, 0.0, missed)
    return {**answer, "E": float(answer["E"]) - missed}  # type: ignore[arg-type]


def adds_the_shares(hands: Hands) -> Values:
    there, missed = round_trip(hands, marked_end_behind)
    return heights(there, -missed / 8, missed)


def stays_at_the_end(hands: Hands) -> Values:
    """Reads well as far as E, and goes home."""
    legs = [write(hands, a, b, both_ways(hands, a, b)) for a, b in itertools.pairwise(NAMES)]
    return heights(legs, 0.0, 0.0)


def never_turns(hands: Hands) -> Values:
    """Marked end always to the left, there and back: it closes well, he is content."""

    def marked_left(hands: Hands, one: str, other: str) -> float:
        left, right = sorted((one, other))
        rise = read(hands, point(hands, left), point(hands, right))
        return rise if one == left else -rise

    there, missed = round_trip(hands, marked_left)
    return heights(there, missed / 8, missed)


def steps_with_the_short_level(hands: Hands) -> Values:
    """Three steps of the short level in each leg, each turned."""

    def in_steps(hands: Hands, one: str, other: str) -> float:
        (x, y), (far, _) = point(hands, one), point(hands, other)
        ends = [(x + n * (far - x) / 3, y) for n in range(4)]
        return sum(read_both_ways(hands, a, b, "short") for a, b in itertools.pairwise(ends))

    there, missed = round_trip(hands, in_steps)
    return heights(there, missed / 8, missed)


def lays_it_on_the_floor(hands: Hands) -> Values:
    """Packers under the low end only, when the bubble asks for it; both ways round."""

    def flat(hands: Hands, one: str, other: str) -> float:
        a, b = point(hands, one), point(hands, other)
        return (read(hands, a, b, both_up=0.0) - read(hands, b, a, both_up=0.0)) / 2

    there, missed = round_trip(hands, flat)
    return heights(there, missed / 8, missed)


def takes_a_fall_for_a_rise(hands: Hands) -> Values:
    """Books the first leg that falls as if it rose; the rest is right."""
    slipped: list[str] = []

    def with_a_slip(hands: Hands, one: str, other: str) -> float:
        rise = both_ways(hands, one, other)
        if rise < -1.0 and not slipped:
            slipped.append(one + other)
            return -rise
        return rise

    there, missed = round_trip(hands, with_a_slip)
    return heights(there, missed / 8, missed)


def leaves_the_misclosure(hands: Hands) -> Values:
    """Marked end behind all the way; tells the misclosure, and the heights as first booked."""
    there, missed = round_trip(hands, marked_end_behind)
    return heights(there, 0.0, missed)


def adds_up_wrong(hands: Hands) -> Values:
    """Reads well, and adds 4 mm too much at the third leg."""
    there, missed = round_trip(hands, both_ways)
    there[2] += 4.0
    return heights(there, missed / 8, missed)


# --- marks ------------------------------------------------------------------------------------

Begun = Callable[[BookRun], Sequence[Attempt]]
Play = Callable[[Attempt, Script], Marked]


def truth(attempt: Attempt) -> npt.NDArray[np.float64]:
    """Heights of B to E above A: read off the floor, 1.8 m apart from x 300 on."""
    floor = attempt.task.tools.floor  # type: ignore[attr-defined]
    z = floor.heights_mm(np.array([300.0, 2100.0, 3900.0, 5700.0, 7500.0]), np.full(5, 220.0))
    return np.asarray(z[1:] - z[0], dtype=float)


def kinds(marked: Marked) -> list[str]:
    return [mistake.kind.key for mistake in marked.mistakes]


@pytest.mark.parametrize("script", [sound, sound_in_one_lie_a_leg])
def test_sound_hands_get_full_marks_on_every_floor(
    begun: Begun, play: Play, script: Script
) -> None:
    marks = [play(attempt, script) for attempt in begun(DRILL)]
    assert [(m.marks, m.lost) for m in marks] == [(100, ())] * 200


@pytest.mark.parametrize(
    "script", [sound_by_the_own_error, sound_and_books_again, sound_with_a_slip_put_right]
)
def test_other_sound_hands_get_full_marks_too(begun: Begun, play: Play, script: Script) -> None:
    marks = [play(attempt, script) for attempt in begun(DRILL)[:80]]
    assert [(m.marks, m.lost) for m in marks] == [(100, ())] * 80


@pytest.mark.parametrize(
    ("script", "kind"),
    [
        (stays_at_the_end, "not_closed"),
        (never_turns, "never_turned"),
        (steps_with_the_short_level, "short_level"),
        (lays_it_on_the_floor, "on_a_hump"),
        (takes_a_fall_for_a_rise, "wrong_sign"),
        (leaves_the_misclosure, "not_spread"),
        (adds_up_wrong, "out"),
    ],
)
def test_each_careless_hand_has_its_own_mistake(
    begun: Begun, play: Play, script: Script, kind: str
) -> None:
    found = [kinds(play(attempt, script)) for attempt in begun(DRILL)]
    assert sum(one == [kind] for one in found) >= 190


def test_a_misclosure_that_is_not_the_sum_of_the_legs_is_told(begun: Begun, play: Play) -> None:
    def turned_round(hands: Hands) -> Values:
        answer = dict(sound_in_one_lie_a_leg(hands))
        answer["misclosure"] = -float(answer["misclosure"])  # type: ignore[arg-type]
        return answer

    def other(hands: Hands) -> Values:
        return {**sound(hands), "misclosure": 7.5}

    assert kinds(play(begun(DRILL)[5], turned_round)) == ["wrong_sign"]
    assert kinds(play(begun(DRILL)[5], other)) == ["out"]


@pytest.mark.parametrize(
    ("script", "kind"),
    [
        (copies_the_way_back, "not_closed"),
        (turns_it_once_and_forgets, "never_turned"),
        (goes_home_on_the_floor, "on_a_hump"),
        (slips_on_the_way_home, "wrong_sign"),
        (puts_it_all_into_the_last_leg, "not_spread"),
        (adds_the_shares, "wrong_sign"),
    ],
)
def test_other_ways_of_the_same_mistakes_are_told_as_these(
    begun: Begun, play: Play, script: Script, kind: str
) -> None:
    found = [kinds(play(attempt, script)) for attempt in begun(DRILL)[:80]]
    assert sum(one == [kind] for one in found) >= 76


def test_a_bubble_at_the_end_of_its_glass_is_no_reading(begun: Begun, play: Play) -> None:
    """20 mm under both ends and whatever the bubble says, on floors where one is off the glass."""
    off = []

    def books_it(hands: Hands) -> Values:
        seen: list[float] = []

        def level(a: Place, b: Place) -> float:
            seen.append(bubble(hands.do(lay("long", a, b, (20.0, 20.0)))))
            return seen[-1] * 1.8

        def way(hands: Hands, one: str, other: str) -> float:
            a, b = point(hands, one), point(hands, other)
            return (level(a, b) - level(b, a)) / 2

        there, missed = round_trip(hands, way)
        off.append(max(map(abs, seen)) >= 8.0)
        return heights(there, missed / 8, missed)

    found = [kinds(play(attempt, books_it)) for attempt in begun(DRILL)[2::3]]  # rough floors
    told = [one for one, beyond in zip(found, off, strict=True) if beyond]
    assert len(told) >= 8
    assert sum(one == ["off_the_glass"] for one in told) >= 0.85 * len(told)
    assert all(one == [] for one, beyond in zip(found, off, strict=True) if not beyond)


def test_what_nobody_read_is_told_even_where_it_is_right(begun: Begun) -> None:
    attempt = begun(DRILL)[4]
    hands = Held(attempt)
    worked = attempt.task.worked
    for one in worked.done:
        if one.move.kind == "book":
            hands.do(one.move)
    (mistake,) = hands.attempt.answered(worked.answer).mistakes[-1:]
    assert mistake.kind.key == "out"
    assert "no level laid: A-B, B-C" in mistake.done


def test_a_bubble_not_times_the_length_is_told_in_words(begun: Begun, play: Play) -> None:
    def as_it_stands(hands: Hands) -> Values:
        there, missed = round_trip(hands, lambda h, a, b: both_ways(h, a, b) / 1.8)
        return heights(there, missed / 8, missed)

    told = [play(attempt, as_it_stands).mistakes for attempt in begun(DRILL)[:30:3]]  # fair
    assert sum(bool(one) and "not times 1.8" in one[0].done for one in told) >= 5


def test_two_bad_habits_are_both_told(begun: Begun, play: Play) -> None:
    """Marked end behind, and home from E: neither turned nor closed."""

    def both(hands: Hands) -> Values:
        legs = [write(hands, a, b, marked_end_behind(hands, a, b))
                for a, b in itertools.pairwise(NAMES)]  # fmt: skip
        return heights(legs, 0.0, 0.0)

    marked = play(begun(DRILL)[8], both)
    assert kinds(marked) == ["not_closed", "never_turned"]
    assert marked.marks == 100 - 25 - 30


def test_what_the_own_error_does_is_told_in_figures(begun: Begun, play: Play) -> None:
    """By hand: an own error of e mm/m makes a unit 2 m high lean 2 e mm."""
    for attempt in begun(DRILL)[:8]:
        (mistake,) = play(attempt, never_turns).mistakes
        error = attempt.task.tools.bag.level("long").own_error_mm_per_m  # type: ignore[attr-defined]
        # the worst of four legs, each read to 0.2 mm/m: 0.1 mm/m more at most
        assert abs(mistake.effect.lean_mm) == pytest.approx(2 * abs(error), abs=0.2 + 1e-6)


def test_a_leg_booked_again_takes_the_place_of_the_first(begun: Begun) -> None:
    hands = Held(begun(DRILL)[1])
    for rise in (4.0, -3.5):
        seen = hands.do(Move("book", {"leg": "B-C", "rise": rise}))
    hands.do(Move("book", {"leg": "A-B", "rise": 1.25}))
    ((_, table),) = hands.attempt.done[-1].seen.tables
    assert table["leg"].tolist() == ["A-B", "B-C"]
    assert table["sum_mm"].tolist() == [1.25, -2.25]
    assert not seen.placement


class Held:
    """Hands for tests that look at what was seen."""

    def __init__(self, attempt: Attempt) -> None:
        self.attempt = attempt

    def do(self, move: Move) -> Seen:
        self.attempt = self.attempt.after(move)
        return self.attempt.done[-1].seen


# --- truth, worked answer, secrecy ------------------------------------------------------------


def test_the_worked_answer_is_sound_and_right(begun: Begun) -> None:
    for attempt in begun(DRILL):
        worked = attempt.task.worked
        assert attempt.task.mark(worked.done, worked.answer) == ()
        # four legs, each the mean of two bubbles read to 0.2 mm over 1.8 m: 0.18 mm a leg
        said = [worked.answer[name] for name in "BCDE"]
        assert np.abs(said - truth(attempt)).max() <= 4 * 0.18 + 0.01


def test_spreading_evenly_is_the_adjustment_by_least_squares() -> None:
    """Unknown heights of B to E and a level's error, equal weights: numpy solves the same."""
    rises = dict(zip(LEGS, (3.1, -2.4, 5.05, 0.7, 1.15, -3.0, 4.2, -1.3), strict=True))
    rows = np.zeros((8, 5))
    for row, (start, end) in enumerate(LEGS):
        for name, sign in ((end, 1.0), (start, -1.0)):
            if name != "A":
                rows[row, "BCDE".index(name)] += sign
        rows[row, 4] = 1.0  # the level's error, the same in each leg
    solved = np.linalg.lstsq(rows, np.array(list(rises.values())), rcond=None)[0]
    assert solved[4] == pytest.approx(misclosure(rises) / 8, abs=1e-9)  # round-off
    # the mean of there and back at E; the legs between keep what they were booked as
    assert spread(rises)["E"] == pytest.approx(solved[3], abs=1e-9)


def test_the_misclosure_of_one_lie_a_leg_is_eight_times_the_own_error(begun: Begun) -> None:
    """Closed form: each of eight legs is out by e · 1.8 m, each read to 0.2 mm/m."""
    for attempt in begun(DRILL)[:30]:
        hands = Held(attempt)
        missed = float(sound_in_one_lie_a_leg(hands)["misclosure"])  # type: ignore[arg-type]
        error = attempt.task.tools.bag.level("long").own_error_mm_per_m  # type: ignore[attr-defined]
        assert missed == pytest.approx(8 * 1.8 * error, abs=8 * 0.18 + 0.05)


def test_what_is_not_looked_at_changes_nothing_that_is_shown(begun: Begun) -> None:
    """A hump under the raised level, another short level, heated floor."""
    for attempt in begun(DRILL)[:12]:
        task = attempt.task
        tools = task.tools  # type: ignore[attr-defined]
        short, long = tools.bag.levels
        other = KeptTools(
            replace(
                tools.floor,
                shapes=(*tools.floor.shapes, Bump(1200.0, 220.0, 6.0, 500.0)),
                heated=(Patch(0.0, 0.0, 900.0, 900.0),),
            ),
            replace(tools.bag, levels=(replace(short, own_error_mm_per_m=-1.7), long)),
        )
        changed = replace(task, tools=other)  # type: ignore[type-var]
        move = lay("long", (300.0, 220.0), (2100.0, 220.0), (30.0, 30.0))
        assert changed.do((), move) == task.do((), move)
        assert changed.given == task.given
        assert (changed.forms, changed.asked) == (task.forms, task.asked)


def test_what_cannot_be_done_is_refused(begun: Begun) -> None:
    attempt = begun(DRILL)[2]
    with pytest.raises(Refusal, match="outside the room"):
        attempt.after(lay("long", (7500.0, 220.0), (9300.0, 220.0)))
    with pytest.raises(Refusal, match=r"'A-C'.*A-B \| B-C"):
        read_values(BOOK.fields, {"leg": "A-C", "rise": "2"}, "book")


def test_the_same_seed_gives_the_same_task() -> None:
    assert DRILL.set_up(31, GRADES[2]) == DRILL.set_up(31, GRADES[2])
    assert DRILL.set_up(31, GRADES[2]) != DRILL.set_up(32, GRADES[2])
