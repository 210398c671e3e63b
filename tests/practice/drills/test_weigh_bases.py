"""Weigh two bases: apprentices, and what they are told."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import pytest

from kit.job import Refusal
from kit.practice.drills.weigh_bases import WeighBases, WeighTask
from kit.practice.drills.weigh_bases_survey import adjusted, read_off, survey_of
from kit.practice.fields import Values
from kit.practice.floors import make_floor
from kit.practice.grades import GRADES
from kit.practice.marking import Marked
from kit.practice.moves import Move
from kit.practice.shapes import Bump

DRILL = WeighBases()

LOOKS = ("take_off", "work", "wait", "level", "checks", "floors")
NONE = ""


@dataclass(frozen=True)
class Notes:
    """What an apprentice has written down, by the move that showed it."""

    wish: str
    names: Mapping[str, str]
    seen: Mapping[str, Mapping[str, float]]

    @property
    def hour_price(self) -> float:
        return float(self.wish.split("work at ")[1].split()[0])

    @property
    def deadline(self) -> float:
        return float(self.wish.split("standing within ")[1].split()[0])

    def pay(self, side: str) -> float:
        """For the work."""
        return self.seen["work"][side] * self.hour_price

    def total(self, side: str) -> float:
        return self.seen["take_off"][side] + self.pay(side)


def look(hands, *moves: str) -> Notes:
    """Look, and write down; who knows that nothing is poured has nothing to wait for."""
    given = hands.attempt.task.given
    _, one, other = hands.attempt.task.asked[0].choices
    seen = {
        move: hands.do(Move(move)).figures
        for move in moves
        if move != "wait" or "levelling compound" in (one, other)
    }
    return Notes(
        given.sentences[1], {NONE: "no difference that counts", "a": one, "b": other}, seen
    )


def smaller(a: float, b: float) -> str:
    return NONE if a == b else ("a" if a < b else "b")


def real(notes: Notes, key: str, a: float, b: float, least: float) -> str:
    """Tell which has less, if it counts: large enough, and on 9 of 10 floors the same way."""
    floors = notes.seen["floors"]
    side = smaller(a, b)
    if side == NONE or abs(b - a) <= least or abs(floors[f"{key}_middle"]) <= least:
        return NONE
    return side if floors[f"{key}_{side}_less"] >= 0.9 * floors["floors"] else NONE


def listed(notes: Notes) -> dict[str, str]:
    """Answer the listed differences, work worked out."""
    take_off, work, level = (notes.seen[one] for one in ("take_off", "work", "level"))
    return {
        "cost": real(notes, "cost", take_off["a"], take_off["b"], 0.005),
        "hours": real(notes, "hours", work["a"], work["b"], 0.1 * max(work["a"], work["b"])),
        "things": real(notes, "things", take_off["a_things"], take_off["b_things"], 0.0),
        "level_error_mm": NONE
        if abs(level["a"] - level["b"]) <= 0.1
        else smaller(level["a"], level["b"]),
    }


def in_time(notes: Notes, side: str) -> bool:
    """Hours of work in days of eight, and what dries after them."""
    dries = notes.seen.get("wait", {"a": 0.0, "b": 0.0, "day_h": 8.0})
    return math.ceil(notes.seen["work"][side] / dries["day_h"] + dries[side]) <= notes.deadline


def carries(notes: Notes, side: str) -> bool:
    checks = notes.seen["checks"]
    return checks.get(side, 0.0) >= 0 and checks[f"{side}_fails"] == 0


def cheaper(notes: Notes) -> str:
    """Material and work, beyond a tenth of what the dearer work costs."""
    least = 0.1 * max(notes.pay("a"), notes.pay("b"))
    return real(notes, "cost_and_labour", notes.total("a"), notes.total("b"), least)


def choose(left: list[str], cheap: str) -> str:
    """Take the one that is left, or the cheaper of both."""
    return left[0] if len(left) == 1 else cheap


def written(notes: Notes, base: str, rows: Mapping[str, str]) -> Values:
    return {key: notes.names[side] for key, side in {"base": base, **rows}.items()}


def sound(hands) -> Values:
    notes = look(hands, *LOOKS)
    left = [side for side in "ab" if in_time(notes, side) and carries(notes, side)]
    return written(notes, choose(left, cheaper(notes)), listed(notes))


def material_only(hands) -> Values:
    """Price what is bought; hours nobody writes down. Of the hours only what the floors show."""
    notes = look(hands, *(one for one in LOOKS if one != "work"))
    dries = notes.seen.get("wait", {"a": 0.0, "b": 0.0})
    left = [side for side in "ab" if math.ceil(dries[side] + 0.1) <= notes.deadline]
    left = [side for side in left if carries(notes, side)]
    take_off, floors = notes.seen["take_off"], notes.seen["floors"]
    cheap = real(notes, "cost", take_off["a"], take_off["b"], 0.005)
    more = [s for s in "ab" if floors[f"hours_{s}_less"] >= 0.9 * floors["floors"]]
    guess = Notes(notes.wish, notes.names, {**notes.seen, "work": {"a": 0.0, "b": 0.0}})
    rows = {**listed(guess), "hours": more[0] if more else NONE}
    return written(notes, choose(left, cheap), rows)


def wait_forgotten(hands) -> Values:
    """An hour's work stands within the day."""
    notes = look(hands, *(one for one in LOOKS if one != "wait"))
    left = [side for side in "ab" if in_time(notes, side) and carries(notes, side)]
    return written(notes, choose(left, cheaper(notes)), listed(notes))


def check_overlooked(hands) -> Values:
    """It will carry."""
    notes = look(hands, *(one for one in LOOKS if one != "checks"))
    left = [side for side in "ab" if in_time(notes, side)]
    return written(notes, choose(left, cheaper(notes)), listed(notes))


def within_doubt(hands) -> Values:
    """The smaller figure is the smaller figure."""
    notes = look(hands, *(one for one in LOOKS if one != "floors"))
    left = [side for side in "ab" if in_time(notes, side) and carries(notes, side)]
    take_off, work, level = (notes.seen[one] for one in ("take_off", "work", "level"))
    rows = {
        "cost": smaller(take_off["a"], take_off["b"]),
        "hours": smaller(work["a"], work["b"]),
        "things": smaller(take_off["a_things"], take_off["b_things"]),
        "level_error_mm": smaller(level["a"], level["b"]),
    }
    return written(notes, choose(left, smaller(notes.total("a"), notes.total("b"))), rows)


def out(hands) -> Values:
    """Everything looked at, and the two columns exchanged in writing the differences down."""
    notes = look(hands, *LOOKS)
    left = [side for side in "ab" if in_time(notes, side) and carries(notes, side)]
    rows = {key: {"a": "b", "b": "a", NONE: NONE}[side] for key, side in listed(notes).items()}
    return written(notes, choose(left, cheaper(notes)), rows)


def as_shown(hands, order=LOOKS) -> Notes:
    """Write down what the page shows in words and tables, and no figure beyond."""
    notes = look(hands, *order)
    seen = {one.move.kind: one.seen for one in hands.attempt.done if one.move.kind in LOOKS}

    def two(move: str, pattern: str) -> dict[str, float]:
        parts = seen[move].words.split(": ", 1)[1].split("; ")[:2]
        found = [re.search(pattern, part) for part in parts]
        return {s: float(m[1]) if m else 0.0 for s, m in zip("ab", found, strict=True)}

    things = two("take_off", r"(\d+) pieces")
    table = seen["floors"].tables[0][1]
    floors = {"floors": 10.0}
    for key, row in zip(
        ("cost", "hours", "cost_and_labour", "things"),
        table.itertuples(index=False),
        strict=True,
    ):
        floors |= {f"{key}_a_less": row[1], f"{key}_b_less": row[2], f"{key}_middle": float(row[3])}
    shown = {
        **notes.seen,
        "take_off": {
            **two("take_off", r"([\d.]+) GBP"),
            **{f"{s}_things": things[s] for s in "ab"},
        },
        "work": two("work", r"([\d.]+) h"),
        "level": two("level", r"([\d.]+) mm"),
        "floors": floors,
    }
    return Notes(notes.wish, notes.names, shown)


def sound_by(notes: Notes) -> Values:
    left = [side for side in "ab" if in_time(notes, side) and carries(notes, side)]
    return written(notes, choose(left, cheaper(notes)), listed(notes))


def by_what_is_shown(hands) -> Values:
    """Reckons with figures rounded as they stand on the page."""
    return sound_by(as_shown(hands))


def from_the_end(hands) -> Values:
    """Rules out first, prices last."""
    return sound_by(as_shown(hands, LOOKS[::-1]))


def asks_a_hint(hands) -> Values:
    hands.do(Move("hint"))
    return sound_by(as_shown(hands, ("checks", "wait", "work", "take_off", "floors", "level")))


def looks_twice(hands) -> Values:
    """Looks again at what is bought and at the work before he writes it down."""
    return sound_by(as_shown(hands, (*LOOKS, "take_off", "work")))


CARELESS = [material_only, wait_forgotten, check_overlooked, within_doubt, out]


def kinds(marked: Marked) -> list[str]:
    return [mistake.kind.key for mistake in marked.mistakes]


def test_sound_work_has_full_marks(begun, play):
    assert [play(attempt, sound).marks for attempt in begun(DRILL)] == [100] * 200


def test_the_worked_answer_is_what_a_sound_apprentice_reckons(begun, play):
    """The kit's own comparison against the sums of this file, made of what the moves show."""
    for attempt in begun(DRILL):
        worked = attempt.task.worked
        assert attempt.task.mark(worked.done, worked.answer) == ()
        found = {}
        play(attempt, lambda hands, found=found: found.update(sound(hands)) or found)
        assert found == worked.answer


@pytest.mark.parametrize(
    "script", [by_what_is_shown, from_the_end, asks_a_hint, looks_twice], ids=lambda s: s.__name__
)
def test_other_sound_ways_are_told_no_mistake(begun, play, script):
    """Rounded figures decide nothing; hints and time cost what the rule says."""
    marks = [play(attempt, script) for attempt in begun(DRILL)]
    assert [kinds(m) for m in marks] == [[]] * 200
    assert {what for m in marks for what, _ in m.lost} <= {"hints", "time"}


def test_neither_check_nor_wait_looked_at_is_told_as_both(begun, play):
    def neither(hands):
        notes = look(hands, *(one for one in LOOKS if one not in ("wait", "checks")))
        left = [side for side in "ab" if in_time(notes, side)]
        return written(notes, choose(left, cheaper(notes)), listed(notes))

    poured = [attempt for attempt in begun(DRILL) if attempt.task.case.poured]
    told = [set(kinds(play(attempt, neither))) for attempt in poured]
    assert len(told) >= 100
    assert sum(one == {"wait_forgotten", "check_overlooked"} for one in told) >= 0.95 * len(told)


@pytest.mark.parametrize("script", CARELESS, ids=lambda script: script.__name__)
def test_a_careless_one_is_told_its_own_mistake(begun, play, script):
    """On 95 of 100 floors; what dries can be forgotten only where something does."""
    told = [
        kinds(play(attempt, script)) == [script.__name__]
        for attempt in begun(DRILL)
        if script is not wait_forgotten or attempt.task.case.poured
    ]
    assert len(told) >= 100  # occasions
    assert sum(told) / len(told) >= 0.95


def all_looked(hands, ignored: str) -> str:
    """Look at everything, and leave one thing out of account in choosing the base."""
    notes = look(hands, *LOOKS)
    left = [
        side
        for side in "ab"
        if (ignored == "wait_forgotten" or in_time(notes, side))
        and (ignored == "check_overlooked" or carries(notes, side))
    ]
    take_off = notes.seen["take_off"]
    cheap = {
        "material_only": real(notes, "cost", take_off["a"], take_off["b"], 0.005),
        "within_doubt": smaller(notes.total("a"), notes.total("b")),
    }.get(ignored, cheaper(notes))
    return notes.names[choose(left, cheap)]


@pytest.mark.parametrize(
    "ignored", ["material_only", "wait_forgotten", "check_overlooked", "within_doubt"]
)
def test_who_looks_and_minds_it_not_is_told_so(begun, play, ignored):
    """Where minding it would have changed the base: on a twentieth of the floors or more."""
    told = []
    for attempt in begun(DRILL):
        right = attempt.task.worked.answer
        chosen = {}

        def script(hands, right=right, chosen=chosen):
            chosen["base"] = all_looked(hands, ignored)
            return {**right, **chosen}

        marked = play(attempt, script)
        # Where the last digit shown decides, either is right.
        close = len(attempt.task.case.may_be("cost_and_labour")) > 1
        if chosen["base"] != right["base"] and not close:
            told.append(ignored in kinds(marked) and len(marked.mistakes) == 1)
    assert len(told) >= 10
    # Where no difference counts, the cheaper to buy is often the smaller sum as well: those two
    # habits then give one answer, and are told as the second.
    assert sum(told) / len(told) >= (0.7 if ignored == "material_only" else 0.95)


def test_the_last_digit_decides_on_few_floors(begun):
    close = [len(one.task.case.may_be("cost_and_labour")) > 1 for one in begun(DRILL)]
    assert 0 < sum(close) <= 20  # differences go from 0 to 50 GBP, a digit is 0.6 at the most


def test_never_is_everything_out_and_every_answer_is_right_somewhere(begun):
    """Named draws decide; each of the two and neither is right on a twentieth or more."""
    right = Counter()
    for attempt in begun(DRILL):
        case = attempt.task.case
        left = [s for s in "ab" if not case.beyond_limit(s) and not case.late(s)]
        assert left
        right[case.decided()] += 1
    assert min(right["a"], right["b"], right[""]) >= 10


def case_of(begun, one: str, other: str) -> WeighTask:
    return next(
        attempt.task for attempt in begun(DRILL) if set(attempt.task.case.names) == {one, other}
    )


def test_the_days_of_the_wish_do_not_tell_which_base_is_weak(begun):
    """A bench is wanted in 1 to 4 days, feet too weak or not, and both happen with each."""
    found = {
        (one.task.case.deadline_days, any(one.task.case.beyond_limit(s) for s in "ab"))
        for one in begun(DRILL)
    }
    assert found == {(days, weak) for days in (1, 2, 3, 4) for weak in (True, False)}


def test_the_survey_is_what_the_kit_makes_of_the_readings(begun):
    """The short way, heights put into a level floor's network, against the whole adjustment."""
    case = begun(DRILL)[2].task.case
    length = case.job.runs[0].length_mm
    read = read_off(case.floor, length)
    whole = adjusted(length, np.array([high + 7.5 for _, high in read]))
    short = survey_of(case.floor, length).heights
    assert [high for _, high in read] == pytest.approx(whole.points["height_mm"], abs=1e-9)
    assert short.points.drop(columns="height_mm").equals(whole.points.drop(columns="height_mm"))
    assert short.points["height_mm"].to_numpy() == pytest.approx(
        whole.points["height_mm"].to_numpy(), abs=1e-9
    )  # round-off of the solution
    assert np.array_equal(short.covariance(), whole.covariance())


def test_screw_feet_by_hand(begun):
    """Two feet under each side and the division: 6 at their price; 5 min each, 10 for the unit."""
    task = case_of(begun, "screw feet", "ladder frame")
    side = "ab"[task.case.names.index("screw feet")]
    price = next(b for b in task.case.job.bases if b.method == "feet").feet[0].price
    assert task.do((), Move("take_off")).figures[side] == pytest.approx(6 * price, abs=0.005)
    # Shown to a thousandth of an hour.
    assert task.do((), Move("work")).figures[side] == pytest.approx((6 * 5 + 10) / 60, abs=5e-4)


def test_a_pour_by_hand(begun):
    """Litres from a fine sum over the floor as it was read; its bags, price and drying from that.

    The top lies 3 mm over the highest floor; 5 % more is mixed; a bag of 20 kg makes 20 / 1.7 l.
    """
    task = case_of(begun, "levelling compound", "screw feet")
    side = "ab"[task.case.names.index("levelling compound")]
    answer = getattr(task.case.comparison, side)
    unit = task.case.job.runs[0].units[0]
    x, y = np.meshgrid(
        np.linspace(300, 300 + unit.width_mm, 201), np.linspace(0, unit.depth_mm, 91)
    )
    floor = answer.surface.predict(x.ravel(), y.ravel()).height_mm
    depth = floor.max() + 3 - floor
    litres = depth.mean() * unit.width_mm * unit.depth_mm / 1e6
    # The kit takes its high point on a coarser grid: a tenth of a millimetre of depth.
    assert answer.bill.litres == pytest.approx(litres, rel=0.05)
    compound = answer.base.compound
    bags = math.ceil(answer.bill.litres * 1.05 * 1.7 / 20)
    assert task.do((), Move("take_off")).figures[side] == pytest.approx(bags * compound.price)
    days = next(step.days for step in compound.drying if depth.max() <= step.to_mm)
    assert task.do((), Move("wait")).figures[side] == days


def test_an_overload_is_told_with_its_figure(begun):
    """What the move shows as the margin is what the mistake says of the limit."""
    for attempt in begun(DRILL):
        task = attempt.task
        weak = [side for side in "ab" if task.case.beyond_limit(side)]
        if weak:
            break
    shown = task.do((), Move("checks")).figures[weak[0]]
    answer = {**task.worked.answer, "base": task.case.name_of(weak[0])}
    (one,) = task.mark(task.worked.done, answer)
    assert one.kind.key == "check_overlooked"
    assert f"{-shown:.0f} % beyond its limit" in one.effect.words


def test_what_is_shown_does_not_tell_what_nobody_looked_at(begun):
    """Dearer feet: the same is told and asked, and every move but the pricing shows the same."""
    task = case_of(begun, "screw feet", "ladder frame")
    job = task.case.job
    bases = tuple(
        base.model_copy(
            update={"feet": tuple(f.model_copy(update={"price": 9.9}) for f in base.feet)}
        )
        for base in job.bases
    )
    dearer = WeighTask(replace(task.case, job=job.model_copy(update={"bases": bases})))
    assert shown_before(dearer) == shown_before(task)
    for move in (Move("work"), Move("wait"), Move("level"), Move("checks")):
        assert repr(dearer.do((), move)) == repr(task.do((), move))
    assert dearer.do((), Move("take_off")).figures != task.do((), Move("take_off")).figures


def test_the_floor_shows_only_in_what_is_looked_at(begun):
    """A hump between the readings: the same is told, asked and shown."""
    task = case_of(begun, "levelling compound", "bearers on packers")
    rough = make_floor(77, GRADES[2], 2000.0, 1200.0)
    between = replace(
        task.case.floor, shapes=(*task.case.floor.shapes, Bump(525.0, 230.0, 9.0, 120.0))
    )
    humped = WeighTask(replace(task.case, floor=between))
    assert shown_before(humped) == shown_before(task)
    assert repr(humped.do((), Move("take_off"))) == repr(task.do((), Move("take_off")))
    elsewhere = WeighTask(replace(task.case, floor=rough))
    assert elsewhere.given.sentences == task.given.sentences
    assert elsewhere.do((), Move("take_off")).figures != task.do((), Move("take_off")).figures


def shown_before(task: WeighTask) -> tuple[object, ...]:
    return task.given, task.forms, task.asked


def test_a_move_that_there_is_not_is_refused(begun):
    with pytest.raises(Refusal, match="'guess'") as refused:
        begun(DRILL)[0].after(Move("guess"))
    assert "take_off | work | wait | level | checks | floors" in str(refused.value)
