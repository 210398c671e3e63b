"""Few readings: scripted apprentices, what is known and the worked answer by other means."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from kit.floor import fit_surface
from kit.job import Refusal
from kit.practice.drills.few_readings import FewReadings, readings
from kit.practice.drills.few_readings_base import known_at
from kit.practice.drills.few_readings_mark import Read
from kit.practice.fields import Values
from kit.practice.moves import Done, Move
from kit.practice.shapes import Bump, Crown
from kit.readings import Readings, Table, adjust

DRILL = FewReadings()

ENOUGH: Values = {"said": "enough"}

#: Numbers of stacks in a row, as they are given.
ROW = 9


def stacks(hands) -> dict[str, tuple[float, float]]:
    """Copy the table of stacks."""
    table = pd.concat([table for _, table in hands.attempt.task.given.tables])
    return {s: (float(x), float(y)) for s, x, y in table.itertuples(index=False)}


def read(hands, place) -> None:
    """Hold the staff."""
    hands.do(Move("read", {"at": place}))


def read_stacks(hands, numbers, rows="BF") -> None:
    """Hold the staff at some stacks, counted along the row."""
    places = stacks(hands)
    for row in rows:
        for number in numbers:
            read(hands, places[f"{row}{number}"])


def sound(hands) -> Values:
    """Frame the base, ask, read the least known stack of each row, ask again."""
    read_stacks(hands, (1, 5, 9))
    places = stacks(hands)
    while True:
        ((_, table),) = hands.do(Move("ask")).tables
        open_ = table[table["known"] != "yes"]
        if not len(open_):
            return ENOUGH
        order = fresh(hands, open_).sort_values("doubt_mm", ascending=False, na_position="first")
        for row in "BF":
            of_row = [stack for stack in order["stack"] if stack[0] == row]
            for stack in of_row[:1]:
                read(hands, places[stack])


def fresh(hands, open_):
    """Keep the stacks at which nothing was read."""
    read_at = [one.move.values["at"] for one in hands.attempt.done if one.move.kind == "read"]
    left = [s for s, place in stacks(hands).items() if place not in read_at]
    return open_[open_["stack"].isin(left)]


def asks_after_each(first, pick):
    """Return a sound way: some readings, then ask and read a stack not read yet, one by one."""

    def way(hands):
        first(hands)
        while True:
            tables = hands.do(Move("ask")).tables
            open_ = tables[0][1][lambda t: t["known"] != "yes"] if tables else None
            if open_ is not None and not len(open_):
                return ENOUGH
            places = stacks(hands)
            left = list(places) if open_ is None else list(fresh(hands, open_)["stack"])
            read(hands, places[pick(left)])

    return way


def reads_beside(hands) -> Values:
    """Hold the staff a hand's breadth beside the stacks, where there is room for it."""
    for stack, (x, y) in stacks(hands).items():
        if stack[1] in "13579":
            out = {"1": -60.0, "9": 60.0}.get(stack[1], 35.0)
            read(hands, (x + out, y + (40.0 if stack[0] == "F" else -30.0)))
    return asks_after_each(lambda _: None, lambda left: left[0])(hands)


def reads_each_stack_once(hands) -> Values:
    """Read the floor at each stack, and ask nothing."""
    read_stacks(hands, range(1, ROW + 1))
    return ENOUGH


def corners(hands) -> None:
    """Read the corners, then every other stack of the back."""
    read_stacks(hands, (1, 9))
    read_stacks(hands, (3, 5, 7), "B")


OTHER_SOUND_WAYS = (
    asks_after_each(corners, lambda left: left[len(left) // 2]),
    asks_after_each(lambda h: read_stacks(h, (1, 5, 9)), lambda left: left[0]),
    reads_beside,
    reads_each_stack_once,
)


def corners_only(hands) -> Values:
    """Read the four corners and lay a plane through them."""
    read_stacks(hands, (1, 9))
    return ENOUGH


def reads_on_the_left(hands) -> Values:
    """Read closely where the work begins, and at the far end."""
    read_stacks(hands, (1, 2, 3, 9))
    return ENOUGH


def one_stack_short(hands) -> Values:
    """Read every other stack from the second on, so that both ends are left."""
    read_stacks(hands, (2, 4, 6, 8))
    return ENOUGH


def along_the_front(hands) -> Values:
    """Read nearly every stack of the front row."""
    read_stacks(hands, (1, 2, 3, 5, 7, 8, 9), "F")
    return ENOUGH


MORE_CARELESS = (
    (corners_only, "stretch_unread"),
    (reads_on_the_left, "stretch_unread"),
    (one_stack_short, "ends_unread"),
    (along_the_front, "along_only"),
)


def reads_along_the_wall(hands) -> Values:
    """Read every second stack along the back; the front will be the same."""
    read_stacks(hands, (1, 3, 5, 7, 9), "B")
    return ENOUGH


def leaves_a_stretch(hands) -> Values:
    """Read at both ends of both rows, two stacks each, nothing over the long middle."""
    read_stacks(hands, (1, 2, 8, 9))
    return ENOUGH


def leaves_the_ends(hands) -> Values:
    """Read where there is room to stand, from the third stack to the last but two."""
    read_stacks(hands, (3, 5, 7))
    return ENOUGH


def reads_the_room(hands) -> Values:
    """Read the whole room on a neat grid, wherever the base will stand."""
    wide, deep = hands.attempt.task.given.room_mm
    for y in (0.2, 0.5, 0.8):
        for x in (0.1, 0.37, 0.63, 0.9):
            read(hands, (round(x * wide), round(y * deep)))
    return ENOUGH


def reads_everything(hands) -> Values:
    """Read every stack and halfway between, to be safe: whoever has all need not ask."""
    places = stacks(hands)
    read_stacks(hands, range(1, ROW + 1))
    for row in "BF":
        for number in range(1, ROW):
            (x, y), (z, _) = places[f"{row}{number}"], places[f"{row}{number + 1}"]
            read(hands, ((x + z) / 2, y))
    return ENOUGH


Script = Callable[..., Values]
CARELESS: dict[str, Script] = {
    "along_only": reads_along_the_wall,
    "stretch_unread": leaves_a_stretch,
    "ends_unread": leaves_the_ends,
    "off_the_base": reads_the_room,
    "too_many": reads_everything,
}


# The tests.


@pytest.fixture(scope="module")
def attempts(begun):
    """Return 200 attempts."""
    return begun(DRILL)


def test_sound_work_gets_full_marks(attempts, play):
    for attempt in attempts:
        result = play(attempt, sound)
        assert (result.marks, result.mistakes) == (100, ()), attempt.seed


@pytest.mark.parametrize("kind", CARELESS)
def test_each_careless_way_is_told_by_its_own_name(attempts, play, kind):
    told = [[m.kind.key for m in play(attempt, CARELESS[kind]).mistakes] for attempt in attempts]
    assert sum(keys == [kind] for keys in told) >= 0.95 * len(attempts)


@pytest.mark.parametrize("way", OTHER_SOUND_WAYS)
def test_no_other_sound_way_is_told_a_mistake(attempts, play, way):
    for attempt in attempts[:18]:
        assert play(attempt, way).mistakes == (), attempt.seed


@pytest.mark.parametrize(("script", "kind"), MORE_CARELESS)
def test_other_forms_of_a_habit_are_told_alike(attempts, play, script, kind):
    told = [[m.kind.key for m in play(attempt, script).mistakes] for attempt in attempts[:30]]
    assert told == [[kind]] * 30


def test_most_floors_bend_so_that_a_stretch_left_out_is_out(attempts):
    # Straight from end to end of a row, the floor between is more than 1 mm out on half of them.
    out = []
    for attempt in attempts:
        truth, x = attempt.task.truth_mm()[:ROW], attempt.task.base.places_mm[:ROW, 0]
        out.append(np.max(np.abs(np.interp(x, x[[0, -1]], truth[[0, -1]]) - truth)) > 1.0)
    assert sum(out) >= 100


def test_the_worked_answer_gets_full_marks_and_knows_every_stack(attempts):
    for attempt in attempts:
        task = attempt.task
        done = replace(attempt, done=task.worked.done)
        assert done.answered(task.worked.answer).marks == 100
        known = task.known(task.worked.done)
        heights = task.tools.floor.carried_mm(*np.array(list(stacks(done_hands(done)).values())).T)
        assert np.max(np.abs(known.staff_mm + heights - task.tools.bag.laser_mm[0])) <= 1.0
        assert np.max(known.sd_mm) <= 0.4


def done_hands(attempt):
    """Return an attempt as scripts take it."""
    return type("Looker", (), {"attempt": attempt})()


def test_worked_answers_are_few_and_hang_on_the_floor(attempts):
    counts = {True: [], False: []}
    for attempt in attempts:
        crowned = any(isinstance(shape, Crown) for shape in attempt.task.tools.floor.shapes)
        counts[crowned].append(len(readings(attempt.task.worked.done)[0]))
    assert max(map(max, counts.values())) < 2 * ROW
    assert min(map(min, counts.values())) == 6  # both ends and the middle of two rows
    # Where the middle stands up or hangs it takes more, by a reading and more.
    assert np.mean(counts[False]) + 1 < np.mean(counts[True])


def test_without_its_last_readings_the_worked_answer_would_not_do(attempts):
    """It stops as soon as it can: what it read last was wanted."""
    looked = 0
    for attempt in attempts[:40]:
        task = attempt.task
        places, staff = readings(task.worked.done)
        asks = [k for k, one in enumerate(task.worked.done) if one.move.kind == "ask"]
        if len(asks) > 1:
            before = len(readings(task.worked.done[: asks[-2]])[0])
            assert known_at(task.base, places[:before], staff[:before]).sd_mm.max() > 0.4
            looked += 1
    assert looked >= 20


def test_what_is_known_is_what_the_kit_s_survey_and_surface_say(attempts):
    """A job with these readings as its only staff table gives the same heights and doubts."""
    for attempt in attempts[:12]:
        task = attempt.task
        places, staff = readings(task.worked.done)
        at = np.array(places)
        frame = pd.DataFrame(
            {"row": range(2, len(at) + 2), "point": [f"p{k}" for k in range(len(at))],
             "x_mm": at[:, 0], "y_mm": at[:, 1], "observed_mm": staff, "sd_mm": 0.3,
             "setup": "one"}
        )  # fmt: skip
        survey = adjust(Readings((Table("made.csv", "staff", "", frame, frame[[]]),)), None, 0.0)
        xyz = [survey.points[c].to_numpy() for c in ("x_mm", "y_mm", "height_mm")]
        height, sd = fit_surface(*xyz, survey.covariance()).predict(*task.base.places_mm.T)
        known = task.known(task.worked.done)
        apart = height + known.staff_mm
        # One offset, the laser's line, lies between them; searches end within 1e-4 mm.
        assert np.ptp(apart) < 1e-3
        # A free network's doubt is about the mean of its heights: less by that of the mean line.
        assert known.sd_mm**2 == pytest.approx(sd**2 + 0.3**2 / len(at), abs=2e-3)


def test_the_staff_shows_line_less_height(attempts):
    for attempt in attempts[:40]:
        task = attempt.task
        for place, read_mm in zip(*readings(task.worked.done), strict=True):
            height = sum(
                float(shape.heights_mm(np.array(place[0]), np.array(place[1])))
                for shape in task.tools.floor.shapes
            )
            # Read to half a millimetre, floors kept to a thousandth.
            assert read_mm == pytest.approx(task.tools.bag.laser_mm[0] - height, abs=0.251)


def test_nothing_shows_that_was_not_looked_at(attempts):
    for attempt in attempts[:12]:
        task = attempt.task
        floor = task.tools.floor
        x, y = task.base.places_mm[4]  # B5 is never read
        other = replace(task, tools=replace(task.tools, floor=replace(
            floor, shapes=(*floor.shapes, Bump(float(x), float(y), 9.0, 300.0)))))  # fmt: skip
        assert shown(task) == shown(other)
        assert np.ptp(task.truth_mm() - other.truth_mm()) > 8  # the floors do differ


def shown(task) -> str:
    """Return all that is told and seen before an answer, as one text."""
    done: list[Done] = []
    moves = [Move("read", {"at": tuple(task.base.places_mm[k])}) for k in (0, 2, 6, 8, 9, 11, 17)]
    for move in (Move("ask"), *moves, Move("ask")):
        done.append(Done(move, task.do(done, move)))
    tables = [t.to_csv() for one in done for _, t in one.seen.tables]
    said = [(one.seen.words, one.seen.seconds, dict(one.seen.figures), one.seen.on_plan)
            for one in done]  # fmt: skip
    given = [t.to_csv() for _, t in task.given.tables]
    return repr((task.given.sentences, task.given.on_plan, given, task.forms, task.asked, said,
                 tables))  # fmt: skip


def test_asking_too_early_says_why_nothing_is_known(attempts):
    task = attempts[1].task
    seen = task.do((), Move("ask"))
    assert "fewer than 6 places" in seen.words
    assert not seen.tables
    done: tuple[Done, ...] = ()
    for k in (0, 3, 8):  # one row only
        move = Move("read", {"at": tuple(task.base.places_mm[k])})
        done = (*done, Done(move, task.do(done, move)))
    assert "nothing is known" in task.do(done, Move("ask")).words


def test_a_place_outside_the_room_is_refused(attempts):
    with pytest.raises(Refusal, match=r"found x 9000, y 60 mm, outside the room; allowed: x 0 to"):
        attempts[0].task.do((), Move("read", {"at": (9000.0, 60.0)}))


def test_a_question_without_a_reading_and_a_whole_stretch_are_told_alike(attempts, play):
    def asks_only(hands):
        hands.do(Move("ask"))
        return ENOUGH

    for script in (asks_only, leaves_a_stretch):
        (mistake,) = play(attempts[2], script).mistakes
        assert mistake.kind.key == "stretch_unread"
        assert mistake.effect.gap_mm > 0
    assert [m.kind.key for m in play(attempts[2], lambda _: ENOUGH).mistakes] == ["guessed"]


def test_ends_and_stretch_are_told_apart_where_both_are_left(attempts, play):
    def few(hands):
        read_stacks(hands, (3, 4, 8))
        return ENOUGH

    keys = {m.kind.key for m in play(attempts[2], few).mistakes}
    assert keys == {"ends_unread", "stretch_unread"}


def test_effects_follow_from_the_floor_here(attempts, play):
    for attempt in attempts[:15]:
        truth = attempt.task.truth_mm()
        (along,) = play(attempt, reads_along_the_wall).mistakes
        across = max(truth[:ROW] - truth[ROW:], key=abs)
        # A front row lower by d leans a unit 350 deep and 2000 high forwards by d/350.
        assert along.effect.lean_mm == pytest.approx(-across / 350 * 2000)
        base = attempt.task.base
        (ends,) = play(attempt, leaves_the_ends).mistakes
        x = base.left_mm + base.apart_mm * np.array([2, 4, 6])
        out = []
        for row in (0, 1):
            read_mm = np.round(2 * truth[ROW * row + np.array([2, 4, 6])]) / 2
            for pair, ks in ((slice(0, 2), (0, 1)), (slice(1, 3), (7, 8))):
                line = np.polyfit(x[pair], read_mm[pair], 1)
                out += [np.polyval(line, base.left_mm + base.apart_mm * k) - truth[ROW * row + k]
                        for k in ks]  # fmt: skip
        # A stack too high by e turns both its units, 800 wide and 2000 high, away from it.
        assert abs(ends.effect.gap_mm) == pytest.approx(max(map(abs, out)) * 2 * 2000 / 800)


def test_too_many_only_where_every_stack_is_known(attempts):
    task = attempts[0].task
    twice = [tuple(p) for p in task.base.places_mm[:4] for _ in range(8)]
    staff = tuple(np.repeat(np.round(task.truth_mm()[:4]), 8))
    (mistake,) = Read(task.base, tuple(twice), staff, task.truth_mm(), 6).mistakes()
    assert mistake.kind.key == "along_only"


def test_one_line_between_the_rows_is_along_only_too(attempts, play):
    def between(hands):
        for x, _ in list(stacks(hands).values())[:ROW:2]:
            read(hands, (x, 270.0))
        return ENOUGH

    (mistake,) = play(attempts[1], between).mistakes
    assert mistake.kind.key == "along_only"
    assert "one line, 270 mm from the wall" in mistake.done
