"""The drill with the high point: scripted apprentices first, then what it is checked by."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Protocol

import numpy as np
import pytest

from kit.job import Refusal
from kit.practice.attempt import Attempt
from kit.practice.drills.high_point import HighPoint, HighPointTask
from kit.practice.fields import Values
from kit.practice.floors import LooseBoard, Patch
from kit.practice.grades import GRADES
from kit.practice.marking import Marked
from kit.practice.moves import Move, Place, Seen
from kit.practice.shapes import Bump
from kit.practice.tools import lay, read_at, tread_at, turned

DRILL = HighPoint()


class Hands(Protocol):
    attempt: Attempt

    def do(self, move: Move) -> Seen: ...


Script = Callable[[Hands], Values]

# --- scripted apprentices: they know what is given and what they see --------------------------


def bearers(hands: Hands) -> list[tuple[float, float, float]]:
    """Left end, right end and middle line of the back and the front bearer."""
    found = []
    for outline in hands.attempt.task.given.on_plan:
        (left, back), (right, front) = outline.places_mm
        found.append((left, right, (back + front) / 2))
    return found


def every(hands: Hands, step: float, rows: Iterable[int] = (0, 1)) -> list[Place]:
    """Places along bearers, a step apart, and the far end."""
    places = []
    for row in rows:
        left, right, y = bearers(hands)[row]
        x = left
        while x < right:
            places.append((x, y))
            x += step
        places.append((right, y))
    return places


@dataclass
class Book:
    """Staff readings by place, put right by what goes down under a foot."""

    hands: Hands
    read_mm: dict[Place, float] = field(default_factory=dict)
    trodden: set[Place] = field(default_factory=set)

    def staff(self, places: Iterable[Place]) -> None:
        for place in places:
            read = self.hands.do(read_at(place)).figures["reading_mm"]
            self.read_mm[place] = float(read)  # type: ignore[arg-type]

    def least(self) -> Place:
        return min(self.read_mm, key=lambda place: self.read_mm[place])

    def pressed(self) -> Place:
        """The least reading that a foot has been on."""
        while (best := self.least()) not in self.trodden:
            gives = self.hands.do(tread_at(best)).figures["gives_mm"]
            self.read_mm[best] += float(gives)  # type: ignore[arg-type]
            self.trodden.add(best)
        return best

    def crests(self, within: float) -> list[Place]:
        """Places nearly as high as the best, higher than what was read on both sides."""
        most = self.read_mm[self.least()] + within
        return [p for p in self.read_mm if self.read_mm[p] <= most and self._crest(p)]

    def _crest(self, place: Place) -> bool:
        row = sorted(p for p in self.read_mm if p[1] == place[1])
        at, here = row.index(place), self.read_mm[place]
        left, right = row[:at][-1:], row[at + 1 :][:1]
        return all(self.read_mm[p] >= here for p in left) and all(
            self.read_mm[p] > here for p in right
        )


def closer(book: Book, inside: Callable[[Place], bool], decide: Callable[[], Place]) -> Place:
    """Read beside what stands over its neighbours and is nearly the highest; then decide."""
    for aside, within in ((130.0, 2.0), (65.0, 0.0)):
        decide()
        for x, y in book.crests(within):
            book.staff(beside for beside in ((x - aside, y), (x + aside, y)) if inside(beside))
    return decide()


def on_bearers(hands: Hands) -> Callable[[Place], bool]:
    left, right, _ = bearers(hands)[0]
    return lambda place: left <= place[0] <= right


def surveyed(hands: Hands, step: float, rows: Iterable[int] = (0, 1)) -> Book:
    hands.do(Move("set_up"))
    book = Book(hands)
    book.staff(every(hands, step, rows))
    return book


def sound(hands: Hands) -> Values:
    """Staff along both bearers, closer where it is high, a foot on it."""
    book = surveyed(hands, 300.0)
    return {"place": closer(book, on_bearers(hands), book.pressed)}


def sound_from_two_set_ups(hands: Hands) -> Values:
    """Back from one set-up, front from another, one place read from both; 10 mm as answered."""
    book = surveyed(hands, 300.0, (0,))
    link = every(hands, 300.0, (0,))[2]
    hands.do(Move("set_up"))
    between = float(hands.do(read_at(link)).figures["reading_mm"]) - book.read_mm[link]  # type: ignore[arg-type]
    front = Book(hands)
    front.staff(every(hands, 300.0, (1,)))
    far, near = closer(front, on_bearers(hands), front.pressed), book.pressed()
    aside = Book(hands)
    aside.staff(
        (near[0] + step, near[1]) for step in (-150.0, -75.0, 75.0, 150.0)
        if on_bearers(hands)((near[0] + step, near[1]))
    )  # fmt: skip
    for place, read in aside.read_mm.items():
        book.read_mm[place] = read - between
    for place, read in front.read_mm.items():
        book.read_mm[place] = read - between
    book.trodden |= front.trodden
    best = book.pressed()
    assert far in book.read_mm
    return {"place": (round(best[0], -1), best[1])}


def sound_with_the_foot_first(hands: Hands) -> Values:
    """A foot and the staff every 150 mm; a level and an edge laid before for a first look."""
    for left, _, y in bearers(hands):
        hands.do(lay("long", (left, y), (left + 1800.0, y)))
        hands.do(Move("edge", {"from": (left, y), "towards": (left + 2000.0, y)}))
        hands.do(Move("gap", {"at": 950.0}))
    hands.do(Move("set_up"))
    book = Book(hands)
    for place in every(hands, 150.0):
        gives = float(hands.do(tread_at(place)).figures["gives_mm"])  # type: ignore[arg-type]
        book.staff([place])
        book.read_mm[place] += gives
        book.trodden.add(place)
    return {"place": book.pressed()}


def reads_too_far_apart(hands: Hands) -> Values:
    """Both ends and the middle of each bearer; a foot on the highest."""
    hands.do(Move("set_up"))
    book = Book(hands)
    book.staff((x, y) for a, b, y in bearers(hands) for x in (a, (a + b) / 2, b))
    return {"place": book.pressed()}


def reads_the_back_only(hands: Hands) -> Values:
    book = surveyed(hands, 300.0, (0,))
    return {"place": closer(book, on_bearers(hands), book.pressed)}


def reads_the_room(hands: Hands) -> Values:
    """The whole floor in a net, then closer where the room is highest."""
    hands.do(Move("set_up"))
    wide, deep = hands.attempt.task.given.room_mm
    book = Book(hands)
    net = [(400.0 * i, 100.0 + 400.0 * j) for j in range(6) for i in range(11)]
    book.staff((min(x, wide), min(y, deep)) for x, y in net)
    return {"place": closer(book, lambda place: 0 <= place[0] <= wide, book.pressed)}


def never_treads(hands: Hands) -> Values:
    """Closely, with the staff alone."""
    book = surveyed(hands, 200.0)
    return {"place": closer(book, on_bearers(hands), book.least)}


def treads_and_takes_it(hands: Hands) -> Values:
    """Puts a foot on the least reading, sees it go down, and answers it all the same."""
    place = never_treads(hands)["place"]
    hands.do(tread_at(place))  # type: ignore[arg-type]
    return {"place": place}


def reads_the_back_and_never_treads(hands: Hands) -> Values:
    book = surveyed(hands, 200.0, (0,))
    return {"place": closer(book, on_bearers(hands), book.least)}


def trusts_the_level_from_the_staff(hands: Hands) -> Values:
    """The staff at both left ends, then the short level end over end, never turned."""
    hands.do(Move("set_up"))
    book = Book(hands)
    for left, right, y in bearers(hands):
        book.staff([(left, y)])
        x, read = left, book.read_mm[left, y]
        while x + 600.0 <= right:
            read -= rise(hands.do(lay("short", (x, y), (x + 600.0, y)))) * 0.6
            x += 600.0
            book.read_mm[x, y] = read
    return {"place": book.pressed()}


def guesses(hands: Hands) -> Values:
    """Looks at nothing: a quarter along the front bearer, as last time."""
    left, right, y = bearers(hands)[1]
    return {"place": (left + (right - left) / 4, y)}


def trusts_the_level(hands: Hands) -> Values:
    """No laser: the short level end over end along both bearers, and across at the left end.

    Always the same end first; the bubble's rise is added up from step to step.
    """
    book = Book(hands)
    (left, right, back), (_, _, front) = bearers(hands)
    across = rise(hands.do(lay("short", (left, back), (left, back + 600.0))))
    for y, start in ((back, 0.0), (front, across * (front - back) / 1000)):
        x, height = left, start
        book.read_mm[x, y] = -height
        while x + 600.0 <= right:
            height += rise(hands.do(lay("short", (x, y), (x + 600.0, y)))) * 0.6
            x += 600.0
            book.read_mm[x, y] = -height
    return {"place": book.pressed()}


def rise(seen: Seen) -> float:
    """What the bubble says the floor rises, mm/m."""
    return float(seen.figures["bubble_mm"])  # type: ignore[arg-type]


def takes_high_for_low(hands: Hands) -> Values:
    """The greatest reading is the highest floor, he thinks; a foot on it, too."""
    book = surveyed(hands, 300.0)
    best = max(book.read_mm, key=lambda place: book.read_mm[place])
    hands.do(tread_at(best))
    return {"place": best}


def writes_it_down_wrong(hands: Hands) -> Values:
    """Finds it, and writes another place of the same bearer."""
    x, y = sound(hands)["place"]  # type: ignore[misc]
    _, right, _ = bearers(hands)[0]
    return {"place": (x + 700.0 if x + 700.0 <= right else x - 700.0, y)}


# --- marks ------------------------------------------------------------------------------------

Begun = Callable[[HighPoint], Sequence[Attempt]]
Play = Callable[[Attempt, Script], Marked]


def highest(attempt: Attempt) -> float:
    """Highest carried floor under both bearers, by brute force over every 5 mm by 9 mm."""
    return highest_under(attempt.task)  # type: ignore[arg-type]


@cache
def highest_under(task: HighPointTask) -> float:
    tops = []
    for patch in task.bearers.both:
        x = np.arange(patch.left_mm, patch.left_mm + patch.width_mm + 1e-9, 5.0)
        y = np.linspace(patch.back_mm, patch.back_mm + patch.depth_mm, 6)
        tops.append(task.tools.floor.carried_mm(*np.meshgrid(x, y)).max())
    return float(max(tops))


def carried(attempt: Attempt, place: Place) -> float:
    floor = attempt.task.tools.floor  # type: ignore[attr-defined]
    return float(floor.carried_mm(np.array(place[0]), np.array(place[1])))


def kinds(marked: Marked) -> list[str]:
    return [mistake.kind.key for mistake in marked.mistakes]


def test_a_sound_hand_gets_full_marks_on_every_floor(begun: Begun, play: Play) -> None:
    marks = [play(attempt, sound) for attempt in begun(DRILL)]
    assert [(m.marks, m.lost) for m in marks] == [(100, ())] * 200


@pytest.mark.parametrize("script", [sound_from_two_set_ups, sound_with_the_foot_first])
def test_other_sound_hands_are_told_no_mistake(begun: Begun, play: Play, script: Script) -> None:
    for attempt in begun(DRILL)[:60]:
        marked = play(attempt, script)
        assert kinds(marked) == []
        assert {what for what, _ in marked.lost} <= {"placements", "time"}


@pytest.mark.parametrize(
    ("script", "kind"),
    [
        (reads_the_back_only, "along_only"),
        (trusts_the_level, "never_turned"),
        (trusts_the_level_from_the_staff, "never_turned"),
        (guesses, "guessed"),
        (takes_high_for_low, "wrong_sign"),
    ],
)
def test_each_careless_hand_has_its_own_mistake(
    begun: Begun, play: Play, script: Script, kind: str
) -> None:
    found = [kinds(play(attempt, script)) for attempt in begun(DRILL)]
    assert sum(one == [kind] for one in found) >= 190


def answers(
    begun: Begun, play: Play, script: Script, floors: int = 200
) -> Iterator[tuple[Attempt, Place, list[str]]]:
    """Attempt, answer and kinds of mistake, for each of so many floors."""
    for attempt in begun(DRILL)[:floors]:
        kept: list[Values] = []

        def keeping(hands: Hands, kept: list[Values] = kept) -> Values:
            kept.append(script(hands))
            return kept[0]

        found = kinds(play(attempt, keeping))
        yield attempt, kept[0]["place"], found  # type: ignore[misc]


def share(found: list[tuple[bool, list[str]]], kind: str) -> float:
    """Return on which share of the floors with an occasion, 100 or more, it alone is told."""
    occasions = [one for occasion, one in found if occasion]
    assert len(occasions) >= 100
    return sum(one == [kind] for one in occasions) / len(occasions)


def test_a_hump_between_readings_is_missed_where_there_is_one(begun: Begun, play: Play) -> None:
    found = [
        (highest(attempt) - carried(attempt, place) > 1.0, one)
        for attempt, place, one in answers(begun, play, reads_too_far_apart)
    ]
    assert share(found, "too_far_apart") >= 0.95
    assert all(one == [] for occasion, one in found if not occasion)


def test_a_place_that_is_written_down_wrong_is_told_where_it_matters(
    begun: Begun, play: Play
) -> None:
    found = [
        (highest(attempt) - carried(attempt, place) > 1.0, one)
        for attempt, place, one in answers(begun, play, writes_it_down_wrong)
    ]
    assert share(found, "out") >= 0.95


def test_a_loose_board_is_taken_where_one_stands_proud(begun: Begun, play: Play) -> None:
    found = []
    for attempt, place, one in answers(begun, play, never_treads):
        floor = attempt.task.tools.floor  # type: ignore[attr-defined]
        moves = any(board.patch.holds(*np.array(place)) for board in floor.loose)
        found.append((moves, one))
    assert share(found, "loose_board") >= 0.95
    assert all(one == [] for occasion, one in found if not occasion)


def test_a_board_that_was_felt_to_move_and_taken_all_the_same_is_told(
    begun: Begun, play: Play
) -> None:
    told = [
        (kinds(play(attempt, never_treads)), play(attempt, treads_and_takes_it))
        for attempt in begun(DRILL)[:60]
    ]
    boards = [after for before, after in told if before == ["loose_board"]]
    assert len(boards) >= 20
    for marked in boards:
        assert kinds(marked) == ["loose_board"]
        assert "went down under your foot" in marked.mistakes[0].done


def test_one_bearer_and_a_loose_board_are_both_told(begun: Begun, play: Play) -> None:
    both = 0
    for attempt, place, one in answers(begun, play, reads_the_back_and_never_treads, 60):
        floor = attempt.task.tools.floor  # type: ignore[attr-defined]
        moves = any(board.patch.holds(*np.array(place)) for board in floor.loose)
        assert one == ["along_only", "loose_board"] if moves else ["along_only"]
        both += moves
    assert both >= 20


def test_where_the_high_point_is_cannot_be_guessed(begun: Begun) -> None:
    """Of nine places along each bearer none is right on more than a third of the floors."""
    right = np.zeros((2, 9))
    for attempt in begun(DRILL):
        for row, (left, end, y) in enumerate(bearers(Held(attempt))):
            x = left + (end - left) * np.arange(1, 10) / 10
            floor = attempt.task.tools.floor  # type: ignore[attr-defined]
            right[row] += highest(attempt) - floor.carried_mm(x, 0 * x + y) <= 1.0
    assert right.max() / 200 < 0.33


def test_the_highest_of_the_room_is_not_that_of_the_base(begun: Begun, play: Play) -> None:
    found = []
    for attempt, (x, y), one in answers(begun, play, reads_the_room, 130):
        rows = bearers(Held(attempt))
        beside = 22.5 + 10.0  # half a bearer and a pencil mark
        found.append((not any(a <= x <= b and abs(y - row) < beside for a, b, row in rows), one))
    assert share(found, "outside_base") >= 0.95


class Held:
    """Hands for tests that look at what was seen."""

    def __init__(self, attempt: Attempt) -> None:
        self.attempt = attempt

    def do(self, move: Move) -> Seen:
        self.attempt = self.attempt.after(move)
        return self.attempt.done[-1].seen


def test_a_level_that_is_turned_is_no_mistake(begun: Begun) -> None:
    """The same places, each lie turned once: whatever is answered, it was turned."""
    attempt = begun(DRILL)[3]
    hands = Held(attempt)
    for left, _, y in bearers(hands):
        first = lay("long", (left, y), (left + 1800.0, y))
        hands.do(first)
        hands.do(turned(first))
    answer = {"place": bearers(hands)[0][::2]}
    assert "never_turned" not in kinds(hands.attempt.answered(answer))


def test_what_is_missed_is_told_in_figures(begun: Begun, play: Play) -> None:
    """By hand: a bearer that lies on the high point and on its farther end, as a lever."""
    told = 0
    for attempt, place, one in answers(begun, play, reads_too_far_apart):
        if one == ["too_far_apart"]:
            marked = play(attempt, reads_too_far_apart)
            missed = highest(attempt) - carried(attempt, place)
            assert f"{missed:.1f} mm lower" in marked.mistakes[0].done or missed % 0.1 > 0.03
            left, right, _ = bearers(Held(attempt))[0]
            at, _ = marked.worked.on_plan[0].places_mm[0]
            hangs = missed * (right - left) / max(at - left, right - at)
            # the marking looks every 10 mm, this test every 5 mm
            assert marked.mistakes[0].effect.rock_mm == pytest.approx(hangs, abs=0.07)
            told += 1
        if told == 10:
            return
    raise AssertionError("no such floor")


# --- truth, worked answer, secrecy ------------------------------------------------------------


def test_the_worked_answer_is_sound_and_right(begun: Begun) -> None:
    for attempt in begun(DRILL):
        worked = attempt.task.worked
        assert attempt.task.mark(worked.done, worked.answer) == ()
        # 1 mm as the drill says; 0.05 for what this finer net may find higher
        place = worked.answer["place"]
        assert highest(attempt) - carried(attempt, place) <= 1.05  # type: ignore[arg-type]


def test_the_high_point_that_is_shown_is_the_highest(begun: Begun) -> None:
    for attempt in begun(DRILL)[:40]:
        (top,) = attempt.task.worked.on_plan
        assert highest(attempt) - carried(attempt, top.places_mm[0]) == pytest.approx(0, abs=0.05)


def test_loose_boards_stand_over_the_high_point_but_are_not_it(begun: Begun) -> None:
    boards = 0
    for attempt in begun(DRILL):
        floor = attempt.task.tools.floor  # type: ignore[attr-defined]
        for board in floor.loose:
            x = np.linspace(board.patch.left_mm, board.patch.left_mm + board.patch.width_mm, 12)
            for _, _, y in bearers(Held(attempt)):
                assert floor.carried_mm(x, 0 * x + y).max() < highest(attempt) - 1.0
            boards += 1
    assert boards >= 100


def test_what_is_not_looked_at_changes_nothing_that_is_shown(begun: Begun) -> None:
    """A hump, a loose board and a heated zone away from the staff; another level."""
    for attempt in begun(DRILL)[:12]:
        task = attempt.task
        tools = task.tools  # type: ignore[attr-defined]
        left, right, y = bearers(Held(attempt))[0]
        away = Patch(0.0, 1000.0, 4000.0, 300.0)
        other = replace(
            tools,
            floor=replace(
                tools.floor,
                shapes=(*tools.floor.shapes, Bump((left + right) / 2, y, 5.0, 400.0)),
                loose=(*tools.floor.loose, LooseBoard(away, 4.0)),
                heated=(away,),
            ),
            bag=replace(tools.bag, levels=tuple(reversed(tools.bag.levels))),
        )
        changed = replace(task, tools=other)  # type: ignore[type-var]
        here, there = Held(replace(attempt, task=changed)), Held(attempt)
        for move in (Move("set_up"), read_at((left, y)), read_at((right, y)), tread_at((left, y))):
            assert here.do(move) == there.do(move)
        assert changed.given == task.given
        assert (changed.forms, changed.asked) == (task.forms, task.asked)


def test_what_cannot_be_done_is_refused(begun: Begun) -> None:
    attempt = begun(DRILL)[2]
    with pytest.raises(Refusal, match=r"no laser line.*set the laser up first"):
        attempt.after(read_at((900.0, 400.0)))
    with pytest.raises(Refusal, match="outside the room"):
        attempt.answered({"place": (900.0, 2900.0)})


def test_the_same_seed_gives_the_same_task() -> None:
    one, other = DRILL.set_up(31, GRADES[2]), DRILL.set_up(31, GRADES[2])
    assert one == other
    assert one.bearers != DRILL.set_up(32, GRADES[2]).bearers
