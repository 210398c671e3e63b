"""Screws that never pass the board: apprentices, and what they are told."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import takewhile

import pytest

from kit.base.screws import StackAt
from kit.job import Refusal
from kit.practice.attempt import Attempt
from kit.practice.drills.screws import Screws, ScrewsTask
from kit.practice.drills.screws_site import Site
from kit.practice.fields import Values
from kit.practice.floors import Patch, make_floor
from kit.practice.grades import GRADES
from kit.practice.marking import Marked
from kit.practice.moves import Done, Move

DRILL = Screws()
Play = Callable[..., Marked]
RESERVE, FLOOR_BITE, STACK_BITE = 2.0, 8.0, 12.0  # told in the task


@dataclass(frozen=True)
class Step:
    """One screw as an apprentice sees it: through so much, from so high, into what."""

    stack: str
    name: str
    passes: float
    above: float

    @property
    def key(self) -> str:
        return f"{self.stack.lower()}_{self.name}"

    @property
    def bite(self) -> float:
        return FLOOR_BITE if self.name == "base" else STACK_BITE


@dataclass(frozen=True)
class Sheet:
    """What the task tells on paper."""

    lengths: tuple[float, ...]
    head: float
    bearer: float
    packs: dict[str, tuple[float, ...]]

    @property
    def steps(self) -> list[Step]:
        return [step for stack, packs in self.packs.items() for step in self._of(stack, packs)]

    def _of(self, stack: str, packs: tuple[float, ...]) -> list[Step]:
        """Base through the first that is screwed, pack through the rest, bearer on top."""
        whole = sum(packs)
        bearer = Step(stack, "bearer", self.bearer, whole + self.bearer)
        if max(packs) < 6:
            return [bearer]
        lowest = sum(takewhile(lambda thick: thick < 6, packs)) + next(p for p in packs if p >= 6)
        steps = [Step(stack, "base", lowest, lowest)]
        if packs[-1] >= 6 and len(packs) > 1:
            steps.append(Step(stack, "pack", whole - lowest, whole))
        return [*steps, bearer]


def read_sheet(hands) -> Sheet:
    given = hands.attempt.task.given
    said = " ".join(given.sentences)
    lengths = re.search(r"In the van: ([\d., ]+) mm", said)[1]
    table = given.tables[0][1]
    return Sheet(
        tuple(float(length) for length in lengths.split(", ")),
        float(re.search(r"drawn ([\d.]+) mm", said)[1]),
        float(re.search(r"bearer is ([\d.]+) mm", said)[1]),
        {
            stack: tuple(float(thick) for thick in packs.split())
            for stack, packs in zip(table["stack"], table["from_the_floor_up_mm"], strict=True)
        },
    )


def detect(hands, sheet: Sheet) -> set[str]:
    """Ask, then go along the stacks with the detector; return where it signals."""
    hands.do(Move("ask"))
    seen = {stack: hands.do(Move("detect", {"stack": stack})) for stack in sheet.packs}
    return {stack for stack, one in seen.items() if "signals" in one.words}


def lift(hands) -> float:
    """Lift a board in the far corner, out of everybody's way, and measure it."""
    return hands.do(Move("lift", {"at": (300.0, 2200.0)})).figures["board_mm"]


def longest(sheet: Sheet, step: Step, depth: float, *, warm: bool) -> str:
    """Take the longest that bites and keeps the depth."""
    if warm and step.name == "base":
        return "none"
    deepest = 0.0 if warm else depth
    fits = [
        length
        for length in sheet.lengths
        if length + sheet.head - step.passes >= step.bite
        and length + sheet.head - step.above <= deepest
    ]
    return f"{max(fits):g}" if fits else "none"


def at_least(sheet: Sheet, length: float) -> str:
    """Take the next length in the van that is no shorter."""
    return f"{min(one for one in sheet.lengths if one >= length):g}"


def sound(hands) -> Values:
    sheet = read_sheet(hands)
    warm, board = detect(hands, sheet), lift(hands)
    return {s.key: longest(sheet, s, board - RESERVE, warm=s.stack in warm) for s in sheet.steps}


def past_the_board(hands) -> Values:
    """Thirty millimetres in the wood below hold, whatever the board; keeps off the heating."""
    sheet = read_sheet(hands)
    warm, board = detect(hands, sheet), lift(hands)
    return {
        s.key: longest(sheet, s, board - RESERVE, warm=True)
        if s.stack in warm
        else at_least(sheet, s.passes + 30)
        for s in sheet.steps
    }


def countersink_forgotten(hands) -> Values:
    """Reckon from the surface, as if heads stayed flush with it."""
    sheet = replace(read_sheet(hands), head=0.0)
    warm, board = detect(hands, sheet), lift(hands)
    return {s.key: longest(sheet, s, board - RESERVE, warm=s.stack in warm) for s in sheet.steps}


def board_guessed(hands) -> Values:
    """Boards are 21 mm, everybody knows."""
    sheet = read_sheet(hands)
    warm = detect(hands, sheet)
    return {s.key: longest(sheet, s, 21 - RESERVE, warm=s.stack in warm) for s in sheet.steps}


def services_unasked(hands) -> Values:
    """Measure the board and go ahead."""
    sheet = read_sheet(hands)
    board = lift(hands)
    return {s.key: longest(sheet, s, board - RESERVE, warm=False) for s in sheet.steps}


def into_heating(hands) -> Values:
    """Go along with the detector, and think that the board is thick enough over a pipe."""
    sheet = read_sheet(hands)
    detect(hands, sheet)
    board = lift(hands)
    return {s.key: longest(sheet, s, board - RESERVE, warm=False) for s in sheet.steps}


def no_bite(hands) -> Values:
    """To be on the safe side: what it passes, and five millimetres."""
    sheet = read_sheet(hands)
    warm, board = detect(hands, sheet), lift(hands)
    return {
        s.key: longest(sheet, s, board - RESERVE, warm=True)
        if s.stack in warm
        else at_least(sheet, s.passes + 5)
        for s in sheet.steps
    }


def one_length(hands) -> Values:
    """Work base, pack and bearer screw out where each comes first; the rest take the same."""
    sheet = read_sheet(hands)
    warm, board = detect(hands, sheet), lift(hands)
    first: dict[str, str] = {}
    for s in sheet.steps:
        if s.stack not in warm:
            first.setdefault(s.name, longest(sheet, s, board - RESERVE, warm=False))
    return {
        s.key: longest(sheet, s, board - RESERVE, warm=True) if s.stack in warm else first[s.name]
        for s in sheet.steps
    }


def left_out(hands) -> Values:
    """A bearer lies by its weight."""
    return {
        key: "none" if key.endswith("bearer") else length for key, length in sound(hands).items()
    }


def one_box(hands) -> Values:
    """Bought one box of screws, which served the last job, and keeps off the heating."""
    sheet = read_sheet(hands)
    warm, board = detect(hands, sheet), lift(hands)
    return {
        s.key: longest(sheet, s, board - RESERVE, warm=True) if s.stack in warm else "50"
        for s in sheet.steps
    }


def shortest(hands) -> Values:
    """Of all that serve the shortest, after a hint: it holds, and stops well short."""
    hands.do(Move("hint"))
    sheet = read_sheet(hands)
    board, warm = lift(hands), detect(hands, sheet)
    return {s.key: serving(sheet, s, board - RESERVE, s.stack in warm, min) for s in sheet.steps}


def keeps_more(hands) -> Values:
    """Keeps 3 mm back where a screw in the van lets him; detects before he asks, and twice."""
    sheet = read_sheet(hands)
    for stack in sheet.packs:
        hands.do(Move("detect", {"stack": stack}))
    warm, board = detect(hands, sheet), lift(hands)
    chosen = {}
    for s in sheet.steps:
        more = serving(sheet, s, board - 3, s.stack in warm, max)
        chosen[s.key] = (
            more if more != "none" else serving(sheet, s, board - RESERVE, s.stack in warm, max)
        )
    return chosen


def lifts_at_each(hands) -> Values:
    """Has no detector: lifts a board beside every stack."""
    sheet = read_sheet(hands)
    hands.do(Move("ask"))
    at = {one.label: one.places_mm[0] for one in hands.attempt.task.given.on_plan}
    seen = {
        stack: hands.do(Move("lift", {"at": (x + 60.0, y + 90.0)})) for stack, (x, y) in at.items()
    }
    warm = {stack for stack, one in seen.items() if "pipes" in one.words}
    board = seen["S1"].figures["board_mm"]
    return {s.key: longest(sheet, s, board - RESERVE, warm=s.stack in warm) for s in sheet.steps}


def wrong_first(hands) -> Values:
    """Thinks of 21 mm, lifts a board after all, and another to be sure, before he answers."""
    sheet = read_sheet(hands)
    warm, _ = detect(hands, sheet), lift(hands)
    board = hands.do(Move("lift", {"at": (3900.0, 2300.0)})).figures["board_mm"]
    return {s.key: longest(sheet, s, board - RESERVE, warm=s.stack in warm) for s in sheet.steps}


def serving(sheet: Sheet, step: Step, depth: float, warm: bool, pick) -> str:
    """Pick one of all that bite and keep the depth."""
    if warm and step.name == "base":
        return "none"
    deepest = 0.0 if warm else depth
    fits = [
        length
        for length in sheet.lengths
        if length + sheet.head - step.passes >= step.bite
        and length + sheet.head - step.above <= deepest
    ]
    return f"{pick(fits):g}" if fits else "none"


def no_reserve(hands) -> Values:
    """A board is a board: goes down to its underside."""
    sheet = read_sheet(hands)
    warm, board = detect(hands, sheet), lift(hands)
    return {s.key: longest(sheet, s, board, warm=s.stack in warm) for s in sheet.steps}


def head_stands_proud(hands) -> Values:
    """Takes the countersink off where it is to be added."""
    sheet = read_sheet(hands)
    return countersink_forgotten_with(hands, replace(sheet, head=-sheet.head))


def countersink_forgotten_with(hands, sheet: Sheet) -> Values:
    warm, board = detect(hands, sheet), lift(hands)
    return {s.key: longest(sheet, s, board - RESERVE, warm=s.stack in warm) for s in sheet.steps}


def takes_25_mm(hands) -> Values:
    """New boards are 25 mm."""
    sheet = read_sheet(hands)
    warm = detect(hands, sheet)
    return {s.key: longest(sheet, s, 25 - RESERVE, warm=s.stack in warm) for s in sheet.steps}


def left_out_over_heating(hands) -> Values:
    """Keeps every screw away from a stack where the detector signals."""
    sheet = read_sheet(hands)
    warm, board = detect(hands, sheet), lift(hands)
    return {
        s.key: "none" if s.stack in warm else longest(sheet, s, board - RESERVE, warm=False)
        for s in sheet.steps
    }


CARELESS = [
    past_the_board,
    countersink_forgotten,
    board_guessed,
    services_unasked,
    into_heating,
    no_bite,
    one_length,
    left_out,
]


def kinds(marked: Marked) -> list[str]:
    return [mistake.kind.key for mistake in marked.mistakes]


def unlike(attempt: Attempt, answer: Values, play: Play) -> bool:
    """Tell whether an answer has a screw that by the test's own arithmetic is not right.

    What is right is taken from a sound apprentice's own moves and sums on the same floor.
    """
    best = {}

    def look(hands):
        sheet = read_sheet(hands)
        warm, board = detect(hands, sheet), lift(hands)
        for s in sheet.steps:
            top = longest(sheet, s, board - RESERVE, warm=s.stack in warm)
            deepest = 0.0 if s.stack in warm else board - RESERVE
            said = answer[s.key]
            best[s.key] = said == top or (
                "none" not in (said, top)
                and s.bite <= float(said) + sheet.head - s.passes
                and float(said) + sheet.head - s.above <= deepest
            )
        return answer

    play(attempt, look)
    return not all(best.values())


def test_sound_work_has_full_marks(begun, play):
    assert [play(attempt, sound).marks for attempt in begun(DRILL)] == [100] * 200


def test_the_worked_answer_has_full_marks_and_is_what_a_sound_apprentice_reckons(begun, play):
    """The kit's own choice against the sums of this file, screw by screw."""
    for attempt in begun(DRILL):
        worked = attempt.task.worked
        assert attempt.task.mark(worked.done, worked.answer) == ()
        found = {}
        play(attempt, lambda hands, found=found: found.update(sound(hands)) or found)
        assert found == worked.answer


@pytest.mark.parametrize("script", CARELESS, ids=lambda script: script.__name__)
def test_a_careless_one_is_told_its_own_mistake(begun, play, script):
    """On 95 of 100 floors where the habit makes a difference; guessing always is one."""
    told = []
    for attempt in begun(DRILL):
        answer = {}
        marked = play(attempt, lambda hands, a=answer: a.update(script(hands)) or a)
        if script in (board_guessed, services_unasked) or unlike(attempt, answer, play):
            told.append(kinds(marked) == [script.__name__])
    assert len(told) >= 100  # occasions
    assert sum(told) / len(told) >= 0.95


@pytest.mark.parametrize("script", [shortest, keeps_more, lifts_at_each, wrong_first])
def test_other_sound_ways_are_told_no_mistake(begun, play, script):
    assert [kinds(play(attempt, script)) for attempt in begun(DRILL)] == [[]] * 200


@pytest.mark.parametrize(
    ("script", "kind"),
    [
        (head_stands_proud, "countersink_forgotten"),
        (takes_25_mm, "board_guessed"),
        (left_out_over_heating, "left_out"),
    ],
)
def test_the_same_mistake_shown_otherwise_is_told_as_the_same(begun, play, script, kind):
    told = []
    for attempt in begun(DRILL):
        answer = {}
        marked = play(attempt, lambda hands, a=answer: a.update(script(hands)) or a)
        # With heads drawn 1 mm taking it off and keeping no reserve give one and the same answer.
        same = script is head_stands_proud and attempt.task.site.countersink_mm == 1.0
        if unlike(attempt, answer, play) and not same:
            told.append(kinds(marked) == [kind])
    assert len(told) >= 80  # occasions
    assert sum(told) / len(told) >= 0.95


def test_who_keeps_nothing_back_is_told_that_or_the_countersink(begun, play):
    """Lengths go by fives: often both habits give the same screws, and it is told as the second."""
    told = []
    for attempt in begun(DRILL):
        answer, flush = {}, {}
        marked = play(attempt, lambda hands, a=answer: a.update(no_reserve(hands)) or a)
        play(attempt, lambda hands, a=flush: a.update(countersink_forgotten(hands)) or a)
        if unlike(attempt, answer, play):
            told.append((kinds(marked), answer == flush))
    apart = [found for found, same in told if not same]
    assert len(apart) >= 50
    assert sum(found == ["no_reserve"] for found in apart) >= 0.95 * len(apart)
    assert all(found == ["countersink_forgotten"] for found, same in told if same)


def test_one_screw_a_size_too_long_is_no_habit():
    """S2's bearer screw of 60: 19 deep, flush 16, 16.5 may be; flush a base of 30 would serve."""
    task = hand_made()
    (one,) = task.mark(task.worked.done, {**task.worked.answer, "s2_bearer": "60"})
    assert one.kind.key == "past_the_board"


def test_the_owner_need_not_know_what_runs_there():
    """He knows of nothing: the detector signals all the same."""
    task = hand_made()
    unknowing = ScrewsTask(replace(task.site, owner_knows=False))
    assert "knows of nothing" in unknowing.do((), Move("ask")).words
    assert "heating" in task.do((), Move("ask")).words
    beside = Move("detect", {"stack": "S1"})
    assert unknowing.do((), beside).figures["signal"] == "it signals"


def test_on_some_heated_floors_the_owner_knows_and_on_some_not(begun):
    warm = [one.task.site.owner_knows for one in begun(DRILL) if one.task.site.floor.heated]
    assert 0.15 < warm.count(False) / len(warm) < 0.45  # drawn for 0.3 of about 150


def test_one_box_for_every_step_is_one_length_too(begun, play):
    """50 mm is too long for a low stack's base screw on any board: 6 mm, then 26 mm at most."""
    told = [kinds(play(attempt, one_box)) for attempt in begun(DRILL)[:60]]
    assert sum(one == ["one_length"] for one in told) > 0.95 * len(told)


def hand_made() -> ScrewsTask:
    """A low stack over heating and a middle one beside it, on boards of 18.5 mm."""
    floor = replace(make_floor(3, GRADES[1]), heated=(Patch(300.0, 0.0, 400.0, 1500.0),))
    stacks = (StackAt("S1", 500.0, 60.0, (6.0, 2.0)), StackAt("S2", 1400.0, 60.0, (15.0, 1.0, 8.0)))
    return ScrewsTask(Site(floor, 18.5, stacks, 20.0, 3.0))


def test_a_floor_worked_by_hand():
    """Worked by hand: p = L + 3 - t; at S2 p may be 16.5, at S1 0.

    S1: base none, over heating; bearer: 28 passed, 12 bite: 29 to 25 mm, none. S2: base: 15
    passed, 8 bite: 20 to 28.5, 25; pack: 9 passed, from 24: 18 to 37.5, 35; bearer: from 44: 29
    to 57.5, 50.
    """
    assert hand_made().worked.answer == {
        "s1_base": "none",
        "s1_bearer": "none",
        "s2_base": "25",
        "s2_pack": "35",
        "s2_bearer": "50",
    }


def test_a_mistake_says_where_the_point_ends():
    """A base screw of 40 in S2: 40 + 3 - 15 = 28 deep, 9.5 under boards of 18.5, 16.5 may be."""
    task = hand_made()
    (one,) = task.mark(task.worked.done, {**task.worked.answer, "s2_base": "40"})
    assert one.kind.key == "past_the_board"
    assert one.done == "S2 base screw 40 mm: its point ends 28 mm deep, 16.5 mm may be"
    assert "9.5 mm below the underside" in one.effect.words


def test_a_screw_that_does_not_bite_lets_what_it_passes_work_loose():
    """A pack screw of 20 in S2: 20 + 3 - 9 = 14 bites; of 16: 10. What it passes is 9 thick."""
    task = hand_made()
    assert task.mark(task.worked.done, {**task.worked.answer, "s2_pack": "20"}) == ()
    (one,) = task.mark(task.worked.done, {**task.worked.answer, "s2_pack": "16"})
    assert one.kind.key == "no_bite"
    assert "10 mm of it in what is below, 12 mm are needed" in one.done
    assert one.effect.rock_mm == 9.0


def test_a_board_lifted_beside_a_stack_shows_what_runs_there():
    """It does for the detector: lifted within 150 mm of S1 and S2, nothing is left unlooked."""
    task = hand_made()
    moves = [Move("ask")] + [Move("lift", {"at": (x, 180.0)}) for x in (550.0, 1330.0)]
    done = [Done(move, task.do((), move)) for move in moves]
    assert [one.seen.figures["below"] for one in done[1:]] == [
        "heating pipes",
        "nothing but joists",
    ]
    assert task.mark(done, task.worked.answer) == ()
    assert [one.kind.key for one in task.mark(done[1:], task.worked.answer)] == ["services_unasked"]
    assert [one.kind.key for one in task.mark(done[:2], task.worked.answer)] == ["services_unasked"]


def test_nothing_done_and_nothing_chosen_is_no_way_to_marks(begun, play):
    marked = play(begun(DRILL)[5], lambda hands: {f.key: "none" for f in hands.attempt.task.asked})
    assert set(kinds(marked)) == {"services_unasked", "board_guessed", "left_out"}


def test_what_is_shown_does_not_tell_what_nobody_looked_at():
    """Other boards and another warm zone: the same words, the same fields, the same silence."""
    task = hand_made()
    thicker = ScrewsTask(replace(task.site, board_mm=25.0))
    warmer = ScrewsTask(
        replace(
            task.site, floor=replace(task.site.floor, heated=(Patch(1200.0, 0.0, 400.0, 900.0),))
        )
    )
    beside = [Move("detect", {"stack": name}) for name in ("S1", "S2")]
    far = Move("lift", {"at": (3000.0, 2000.0)})
    for other in (thicker, warmer):
        assert repr((other.given, other.forms, other.asked)) == repr(
            (task.given, task.forms, task.asked)
        )
        assert other.do((), Move("ask")) == task.do((), Move("ask"))
    assert [thicker.do((), move) for move in beside] == [task.do((), move) for move in beside]
    assert warmer.do((), far) == task.do((), far)
    assert warmer.do((), beside[0]) != task.do((), beside[0])
    assert thicker.do((), far) != task.do((), far)


def test_services_are_to_be_located_before_any_screw():
    """The hold point and the cable rule stand in every task."""
    said = " ".join(hand_made().given.sentences)
    assert "locate services before any screw" in said
    assert "BS 7671 522.6.201" in said
    assert "no leave to screw deeper" in said


def test_a_board_outside_the_room_is_refused():
    with pytest.raises(Refusal, match=r"x 5000, y 100 mm, outside the room") as refused:
        hand_made().do((), Move("lift", {"at": (5000.0, 100.0)}))
    assert "x 0 to 4200, y 0 to 2400 mm" in str(refused.value)


def test_a_stack_that_there_is_not_is_refused():
    with pytest.raises(Refusal, match="'S9'") as refused:
        hand_made().do((), Move("detect", {"stack": "S9"}))
    assert "S1 | S2" in str(refused.value)
