"""Two bearers: scripted apprentices, the lie of bearers and levels against brute force."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Protocol

import pytest
from scipy.optimize import linprog

from kit.job import Refusal
from kit.practice.attempt import Attempt
from kit.practice.drill import Drill, Given
from kit.practice.drills.two_bearers import TwoBearers, TwoBearersTask
from kit.practice.drills.two_bearers_stand import Bearer, Hollow, pack
from kit.practice.fields import Value, Values
from kit.practice.marking import Marked
from kit.practice.moves import Done, Move, Seen

DRILL = TwoBearers()
DONE: Values = {"done": "are done"}

ROWS = ("back", "front")
Do = Callable[[Move], Seen]


class Hands(Protocol):
    """What a script has: the attempt as shown, and moves."""

    attempt: Attempt

    def do(self, move: Move) -> Seen: ...


Script = Callable[[Hands], Values]
Begun = Callable[[Drill], Sequence[Attempt]]
Play = Callable[[Attempt, Script], Marked]

#: What thin packers make of tenths of a millimetre.
THIN = {0: [], 2: [0.2], 3: [0.3], 4: [0.2, 0.2], 5: [0.5], 6: [0.3, 0.3], 7: [0.5, 0.2],
        8: [0.5, 0.3], 9: [0.3, 0.3, 0.3], 11: [0.5, 0.3, 0.3]}  # fmt: skip


def packers_of(tenths: int) -> tuple[float, ...]:
    thin = 11 if tenths % 10 == 1 else tenths % 10
    whole, packers = (tenths - thin) // 10, []
    for thick in (10, 5, 3, 2, 1):
        packers += [float(thick)] * (whole // thick)
        whole %= thick
    return (*packers, *THIN[thin])


@dataclass
class Fitter:
    """A person at two bearers, with habits.

    Works bearer by bearer: the higher one firm and level, then the other firm and up to it at both
    ends. Sees only what is given and what moves show.
    """

    do: Do
    given: Given
    level: str = "long"
    turns: bool = True
    presses: bool = True
    over: float = field(init=False)
    across: float = field(init=False)
    length: float = field(init=False)
    heights: dict[str, int] = field(init=False)
    own: dict[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        table = self.given.tables[0][1].set_index("stack")
        self.heights = {stack: round(10 * high) for stack, high in table["height_mm"].items()}
        self.over = float(table.at["B4", "from_left_end_mm"] - table.at["B1", "from_left_end_mm"])
        marks = {mark.label: mark.places_mm for mark in self.given.on_plan}
        self.across = marks["F1"][0][1] - marks["B1"][0][1]
        self.length = marks["back"][1][0] - marks["back"][0][0]

    def raise_mm(self, stack: str, by: float) -> None:
        self.change_mm(stack, max(by, 0.0))

    def change_mm(self, stack: str, by: float) -> None:
        if tenths := round(10 * by):
            self.heights[stack] += tenths
            packers = packers_of(self.heights[stack])
            self.do(Move("pack", {"stack": stack, "packers": packers}))

    def firm(self, row: str) -> None:
        """Press both ends and pack what goes down, a little tighter than it went."""
        if not self.presses:
            return
        for end, stack in (("left", "1"), ("right", "4")):
            while drop := self.do(Move("press", {"row": row, "end": end})).figures["drop_mm"]:
                self.raise_mm(row[0].upper() + stack, float(drop) + 0.3)

    def read(self, level: str, kind: str, ends: tuple[str, str], values: Values) -> float:
        """A bubble with the level's own error taken off, found at its first use by turning it."""

        def bubble(marked: str) -> float:
            return float(self.do(Move(kind, {**values, "marked": marked})).figures["bubble_mm"])

        first = bubble(ends[0])
        if level not in self.own:
            self.own[level] = (first + bubble(ends[1])) / 2 if self.turns else 0.0
        return first - self.own[level]

    def along_mm_per_m(self, row: str) -> float:
        at = (self.length - {"long": 1800.0, "short": 600.0}[self.level]) / 2
        values: dict[str, Value] = {"row": row, "level": self.level, "at": at}
        return self.read(self.level, "along", ("left", "right"), values)

    def across_of(self, end: str) -> float:
        rise = self.read("short", "across", ("back", "front"), {"end": end})
        return rise * self.across / 1000

    def level_along(self, row: str) -> None:
        """Pack the low end till the level shows level; what was too much is taken out again."""
        self.firm(row)
        packed = ""
        for _ in range(6):
            rise = self.along_mm_per_m(row)
            if abs(rise) <= 0.25:
                return
            low, by = ("1" if rise > 0 else "4"), abs(rise) * self.over / 1000
            if packed not in ("", low):
                low, by = packed, -by
            packed = low
            self.change_mm(row[0].upper() + low, by)
            self.firm(row)

    def bring_up(self, row: str, other: str) -> None:
        """Bring both ends of a bearer up to a level one.

        Where it is higher at first, the other comes up; later, too much is taken out again.
        """
        self.firm(row)
        sign = 1 if row == "front" else -1
        for tries in range(6):
            left, right = sign * self.across_of("left"), sign * self.across_of("right")
            if max(abs(left), abs(right)) <= 0.25 * self.across / 1000:
                return
            up = max(left, right, 0.0) if tries == 0 else 0.0
            for stack, by in (("1", up - left), ("4", up - right)):
                self.raise_mm(other[0].upper() + stack, up)
                self.change_mm(row[0].upper() + stack, by)
            self.firm(row)
            if up >= 0.05:
                self.level_along(other)


def fitter(hands: Hands, **habits: object) -> Fitter:
    return Fitter(hands.do, hands.attempt.task.given, **habits)


def work(hands: Hands, **habits: object) -> Values:
    """Begin with the higher bearer, then bring the other up to it."""
    return bearer_by_bearer(fitter(hands, **habits))


def sound(hands: Hands) -> Values:
    return work(hands)


def along_only(hands: Hands) -> Values:
    """Both bearers firm and level along; nobody looks from one to the other."""
    one = fitter(hands)
    one.level_along("back")
    one.level_along("front")
    return DONE


def short_level(hands: Hands) -> Values:
    """Sound but for the short level on the long bearer."""
    return work(hands, level="short")


def never_turned(hands: Hands) -> Values:
    """Sound but that every bubble is taken at its word."""
    return work(hands, turns=False)


def not_pressed(hands: Hands) -> Values:
    """Sound but that no end is ever pressed."""
    return work(hands, presses=False)


def wrong_sums(hands: Hands) -> Values:
    """Firm, turned, along and across; but packs as many mm as the bubble is off. No second look."""
    one = fitter(hands)
    one.firm("back")
    rise = one.along_mm_per_m("back")
    one.raise_mm("B1" if rise > 0 else "B4", abs(rise))
    one.firm("back")
    one.firm("front")
    for end, place in (("left", "1"), ("right", "4")):
        off = one.across_of(end) / one.across * 1000
        one.raise_mm(("F" if off < 0 else "B") + place, abs(off))
    one.firm("back")
    one.firm("front")
    return DONE


def turns_each_time(hands: Hands) -> Values:
    """Every reading is half the difference of both ways round: own errors never matter."""

    class Careful(Fitter):
        def read(self, level: str, kind: str, ends: tuple[str, str], values: Values) -> float:  # noqa: ARG002
            one, other = (
                float(self.do(Move(kind, {**values, "marked": end})).figures["bubble_mm"])
                for end in ends
            )
            return (one - other) / 2

    return bearer_by_bearer(Careful(hands.do, hands.attempt.task.given))


def presses_afterwards(hands: Hands) -> Values:
    """Levels first and finds by pressing afterwards that one rocks; packs it and levels again."""
    one = fitter(hands, presses=False)
    bearer_by_bearer(one)
    one.presses = True
    for _ in range(3):
        for row in ROWS:
            one.firm(row)
        one.level_along("back")
        one.bring_up("front", "back")
    return DONE


def four_corners(hands: Hands) -> Values:
    """All four corners read, all up to the highest at once, and all once more."""
    one = fitter(hands)
    for row in ROWS:
        one.firm(row)
    for _ in range(5):
        rise = one.along_mm_per_m("back") * one.over / 1000
        left, right = one.across_of("left"), one.across_of("right")
        corners = {"B1": 0.0, "B4": rise, "F1": left, "F4": rise + right}
        for stack, high in corners.items():
            if (low := max(corners.values()) - high) >= 0.15:
                one.raise_mm(stack, low)
        for row in ROWS:
            one.firm(row)
    return DONE


def bearer_by_bearer(one: Fitter) -> Values:
    for row in ROWS:
        one.firm(row)
    rows = ROWS if one.across_of("left") < 0 else ROWS[::-1]
    one.level_along(rows[0])
    one.bring_up(rows[1], rows[0])
    return DONE


def turned_for_nothing(hands: Hands) -> Values:
    """Turns each level, and levels by the first bubble all the same."""

    class Forgetful(Fitter):
        def read(self, level: str, kind: str, ends: tuple[str, str], values: Values) -> float:
            return super().read(level, kind, ends, values) + self.own[level]

    return bearer_by_bearer(Forgetful(hands.do, hands.attempt.task.given))


def along_one_bearer(hands: Hands) -> Values:
    """The back bearer firm and level; the front one is left as it lies."""
    fitter(hands).level_along("back")
    return DONE


def presses_left_ends(hands: Hands) -> Values:
    """Presses the left ends alone."""

    class LeftOnly(Fitter):
        def firm(self, row: str) -> None:
            while drop := self.do(Move("press", {"row": row, "end": "left"})).figures["drop_mm"]:
                self.raise_mm(f"{row[0].upper()}1", float(drop) + 0.3)

    return bearer_by_bearer(LeftOnly(hands.do, hands.attempt.task.given))


CARELESS: dict[str, Script] = {
    "along_only": along_only,
    "short_level": short_level,
    "never_turned": never_turned,
    "not_pressed": not_pressed,
    "out": wrong_sums,
}


def rocks_as_found(attempt: Attempt) -> bool:
    """Looked up in the truth, over the rock that is asked: not what a script could see."""
    stand = attempt.task.stand
    packed = {stack: sum(packers) for stack, packers in stand.packers.items()}
    return max(stand.left(packed).drop_mm.values()) > 0.5


def test_sound_work_has_full_marks(begun: Begun, play: Play) -> None:
    assert [play(attempt, sound).marks for attempt in begun(DRILL)] == [100] * 200


@pytest.mark.parametrize("key", CARELESS)
def test_careless_work_has_its_own_mistake(begun: Begun, play: Play, key: str) -> None:
    attempts = [one for one in begun(DRILL) if key != "not_pressed" or rocks_as_found(one)]
    kinds = [tuple(m.kind.key for m in play(one, CARELESS[key]).mistakes) for one in attempts]
    assert len(attempts) >= 100
    assert kinds.count((key,)) >= 0.95 * len(attempts)


@pytest.mark.parametrize("script", [turns_each_time, presses_afterwards, four_corners])
def test_other_sound_ways_are_told_no_mistake(begun: Begun, play: Play, script: Script) -> None:
    assert [play(attempt, script).mistakes for attempt in begun(DRILL)[:60]] == [()] * 60


@pytest.mark.parametrize(
    ("habits", "keys"),
    [
        ({"turns": False, "presses": False}, ("never_turned", "not_pressed")),
        ({"level": "short", "turns": False}, ("never_turned", "short_level")),
        ({"level": "short", "presses": False}, ("short_level", "not_pressed")),
    ],
)
def test_habits_that_are_mixed_are_all_told(
    begun: Begun, play: Play, habits: dict[str, object], keys: tuple[str, ...]
) -> None:
    attempts = [one for one in begun(DRILL)[:70] if rocks_as_found(one)]
    told = [
        tuple(m.kind.key for m in play(one, lambda hands: work(hands, **habits)).mistakes)
        for one in attempts
    ]
    assert told.count(keys) >= 0.95 * len(attempts)


def test_a_rock_that_was_found_from_one_end_is_no_luck(begun: Begun, play: Play) -> None:
    """Told where the right end rocks, which nobody pressed; not where the left one was packed."""
    for attempt in begun(DRILL)[:60]:
        stand = attempt.task.stand
        packed = {stack: sum(packers) for stack, packers in stand.packers.items()}
        drops = stand.left(packed).drop_mm
        kinds = [m.kind.key for m in play(attempt, presses_left_ends).mistakes]
        assert kinds == (["not_pressed"] if max(drops[row, "right"] for row in ROWS) > 0.5 else [])


def test_what_is_out_is_told_with_where_and_why(begun: Begun, play: Play) -> None:
    own = 0
    for attempt in begun(DRILL)[:60]:
        for mistake in play(attempt, turned_for_nothing).mistakes:
            assert mistake.kind.key == "out"
            own += "shows wrongly by itself" in mistake.done
        told = {m.kind.key: m for m in play(attempt, along_one_bearer).mistakes}
        if "out" in told:  # the lean is that along the wall, not the greater one across
            words = re.search(r"front bearer (?:rises|falls) ([\d.]+) mm/m", told["out"].done)
            # Words give a tenth of mm/m, 2 m high: 0.1 mm either way.
            assert abs(told["out"].effect.lean_mm) == pytest.approx(2 * float(words[1]), abs=0.11)
    assert own >= 50


def test_each_mistake_tells_what_it_does(begun: Begun, play: Play) -> None:
    for key, script in CARELESS.items():
        (mistake,) = play(begun(DRILL)[4], script).mistakes
        assert mistake.kind.key == key
        assert any(letter.isdigit() for letter in mistake.done)
        assert mistake.effect.lean_mm or mistake.effect.rock_mm


def test_worked_answer_is_level_and_does_not_rock(begun: Begun) -> None:
    """By the truth: straight lines through brute-force contacts, not through the drill's own."""
    for attempt in begun(DRILL):
        task = attempt.task
        assert task.mark(task.worked.done, task.worked.answer) == ()
        packed = {stack: sum(packers) for stack, packers in task.packers(task.worked.done).items()}
        lines = {one.row: brute_line(one, packed) for one in (task.stand.back, task.stand.front)}
        for left, right in lines.values():
            assert abs(right - left) / task.stand.back.over_mm <= 0.5e-3
        for back, front in zip(*lines.values(), strict=True):
            assert abs(front - back) / task.stand.across_mm <= 0.5e-3


def brute_line(bearer: Bearer, packed: dict[str, float]) -> tuple[float, float]:
    """Heights over the outer stacks of the lowest line that lies on no stack's wrong side.

    A linear programme: of all lines not below any stack, the one whose middle is lowest.
    """
    tops = [f + packed[stack] for f, stack in zip(bearer.floor_mm, bearer.stacks, strict=True)]
    share = [(at - bearer.at_mm[0]) / bearer.over_mm for at in bearer.at_mm]
    found = linprog(
        [0.5, 0.5],
        A_ub=[[-(1 - s), -s] for s in share],
        b_ub=[-top for top in tops],
        bounds=[(None, None)] * 2,
    )
    return float(found.x[0]), float(found.x[1])


def test_bearers_lie_as_a_linear_programme_says(begun: Begun) -> None:
    for attempt in begun(DRILL)[:60]:
        stand = attempt.task.stand
        packed = {stack: sum(packers) for stack, packers in stand.packers.items()}
        for bearer in (stand.back, stand.front):
            # HiGHS keeps its rows to 1e-7.
            assert bearer.ends_mm(packed) == pytest.approx(brute_line(bearer, packed), abs=1e-6)


def test_a_bearer_goes_down_by_hand_figures() -> None:
    """Worked by hand: tops at 0, 0.5, 3 and 0.5 over 27 at thirds. It lies on the first and third,
    4.5 over the last, which is 0.5: it goes down 4 there."""
    bearer = Bearer("back", 60.0, (50.0, 850.0, 1650.0, 2450.0), (7.0, 7.1, 7.2, 7.4), FLAT)
    packed = {"B1": 20.0, "B2": 20.4, "B3": 22.8, "B4": 20.1}  # tops 27, 27.5, 30, 27.5
    assert bearer.ends_mm(packed) == pytest.approx((27.0, 31.5), abs=1e-9)
    assert bearer.drop_mm(packed, "right") == pytest.approx(4.0, abs=1e-9)
    assert bearer.drop_mm(packed, "left") == 0.0


FLAT = (Hollow(0.0, 0.3), Hollow(0.0, 0.6), Hollow(0.0, 0.5))


def test_the_long_level_shows_the_bearer_and_the_short_one_its_hollows(begun: Begun) -> None:
    astray = 0
    for attempt in begun(DRILL):
        stand = attempt.task.stand
        packed = {stack: sum(packers) for stack, packers in stand.packers.items()}
        for bearer in (stand.back, stand.front):
            true = bearer.lies(packed).slope_mm_per_m
            for at in (0.0, 37.0, bearer.length_mm - 1800.0):
                # Two true places span the long level's middle wherever it lies: exact.
                assert bearer.seat(packed, at, 1800.0).slope_mm_per_m == pytest.approx(true)
            at = (bearer.length_mm - 600.0) / 2
            astray += abs(bearer.seat(packed, at, 600.0).slope_mm_per_m - true) > 0.5
    assert astray >= 200  # in the middle of half of the bearers at least


def test_what_was_not_looked_at_shows_nowhere(begun: Begun) -> None:
    """The front bearer's floor is another; the back one is all that was looked at."""
    task = begun(DRILL)[7].task
    lower = tuple(high - 1.3 * place for place, high in enumerate(task.stand.front.floor_mm))
    front = dataclasses.replace(task.stand.front, floor_mm=lower)
    other = TwoBearersTask(dataclasses.replace(task.stand, front=front))
    looks = (
        Move("along", {"row": "back", "level": "long", "at": 100.0, "marked": "left"}),
        Move("press", {"row": "back", "end": "right"}),
        Move("pack", {"stack": "F2", "packers": (10.0, 5.0)}),
        Move("along", {"row": "back", "level": "short", "at": 900.0, "marked": "right"}),
    )
    for moves in (looks[:1], looks):
        shown = [played(one, moves) for one in (task, other)]
        assert shown[0] == shown[1]
    assert str(task.given) == str(other.given)
    assert task.stand.left(task.packed_mm(())) != other.stand.left(other.packed_mm(()))


def played(task: TwoBearersTask, moves: Sequence[Move]) -> list[Seen]:
    done: list[Done] = []
    for move in moves:
        done.append(Done(move, task.do(tuple(done), move)))
    return [one.seen for one in done]


def test_what_is_shown_is_what_an_eye_reads(begun: Begun, play: Play) -> None:
    hands: list[Hands] = []

    def kept(one: Hands) -> Values:
        hands.append(one)
        return sound(one)

    play(begun(DRILL)[11], kept)
    for one in hands[0].attempt.done:
        for key, step in (("bubble_mm", 0.2), ("drop_mm", 0.5), ("height_mm", 0.1)):
            steps = float(one.seen.figures.get(key, 0.0)) / step
            assert steps == pytest.approx(round(steps), abs=1e-6)  # round-off of decimals


@pytest.mark.parametrize(
    ("kind", "values", "words"),
    [
        ("along", {"row": "back", "level": "long", "at": 2000.0, "marked": "left"}, "2000"),
        ("along", {"row": "middle", "level": "long", "at": 0.0, "marked": "left"}, "back | front"),
        ("across", {"end": "middle", "marked": "back"}, "left | right"),
        ("press", {"row": "back", "end": "top"}, "left | right"),
        ("pack", {"stack": "M1", "packers": (5.0,)}, "B1 | B2"),
        ("pack", {"stack": "B1", "packers": (10.0, 4.0)}, "10 | 5 | 3"),
    ],
)
def test_refusals_tell_what_is_allowed(begun: Begun, kind: str, values: Values, words: str) -> None:
    with pytest.raises(Refusal, match=re.escape(words)):
        begun(DRILL)[2].task.do((), Move(kind, values))


def test_packers_make_every_tenth_that_can_be_made() -> None:
    for tenths in [0, *range(2, 400)]:
        assert sum(pack(tenths / 10)) == pytest.approx(tenths / 10, abs=1e-9)
    with pytest.raises(Refusal, match=r"0\.2 mm and more"):
        pack(0.1)


def test_nothing_done_is_not_sound(begun: Begun, play: Play) -> None:
    kinds = {m.kind.key for m in play(begun(DRILL)[0], lambda _: DONE).mistakes}
    assert kinds == {"guessed"}
    pressed = Move("press", {"row": "back", "end": "left"})
    once = {
        m.kind.key for m in play(begun(DRILL)[0], lambda hands: hands.do(pressed) and DONE).mistakes
    }
    assert "out" in once
