"""Front lift: scripted apprentices, the joists' sag against a general frame library."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable, Sequence
from typing import Protocol

import pytest
from Pynite import FEModel3D

from kit.job import Refusal
from kit.practice.attempt import Attempt
from kit.practice.drill import Drill
from kit.practice.drills.front_lift import FrontLift, FrontLiftTask
from kit.practice.drills.front_lift_joists import sag_mm
from kit.practice.fields import Values
from kit.practice.marking import Marked
from kit.practice.moves import Done, Move, Seen

DRILL = FrontLift()


class Hands(Protocol):
    """What a script has: the attempt as shown, and moves."""

    attempt: Attempt

    def do(self, move: Move) -> Seen: ...


Script = Callable[[Hands], Values]
Begun = Callable[[Drill], Sequence[Attempt]]
Play = Callable[[Attempt, Script], Marked]


def full_kg(hands: Hands) -> dict[str, float]:
    table = hands.attempt.task.given.tables[0][1].set_index("row")
    return {str(row): float(kg) for row, kg in table["full_load_kg"].items()}


def bags_there(hands: Hands) -> int:
    """As many as the form of the move takes."""
    return int(hands.attempt.task.forms[0].fields[1].most)


def load(hands: Hands, row: str, bags: int) -> None:
    hands.do(Move("load", {"row": row, "bags": float(bags)}))


def down(hands: Hands, row: str) -> float:
    return float(hands.do(Move("gauge", {"row": row})).figures["sag_mm"])


def all_on(hands: Hands, row: str) -> float:
    """As many bags on one row as may lie there; return how many times its full load is that."""
    full = full_kg(hands)[row]
    bags = min(bags_there(hands), int(full // 25))
    load(hands, row, bags)
    return full / (25 * bags)


def sound(hands: Hands) -> Values:
    """One row after the other with all that may lie on it, both gauges each time, added up."""
    lift = 0.0
    for row in ("front", "back"):
        times = all_on(hands, row)
        lift += times * (down(hands, "front") - down(hands, "back"))
        load(hands, row, 0)
    return {"lift": round(lift, 2)}


def shared(hands: Hands) -> float:
    """All bags on both rows, shared as the full load is; return how many times heavier it is."""
    full = full_kg(hands)
    front = round(bags_there(hands) * full["front"] / sum(full.values()))
    load(hands, "front", front)
    load(hands, "back", bags_there(hands) - front)
    return sum(full.values()) / (25 * bags_there(hands))


def no_lift(hands: Hands) -> Values:  # noqa: ARG001 - puts nothing on the floor
    """Levels it empty."""
    return {"lift": 0.0}


def front_only(hands: Hands) -> Values:
    """Shared and scaled, but looks at the front gauge alone."""
    times = shared(hands)
    return {"lift": round(times * down(hands, "front"), 1)}


def not_scaled(hands: Hands) -> Values:
    """Shared, both gauges; what they show is taken as it is."""
    shared(hands)
    return {"lift": round(down(hands, "front") - down(hands, "back"), 1)}


def wrong_sign(hands: Hands) -> Values:
    """The front goes down, so it is set down."""
    times = shared(hands)
    return {"lift": round(times * (down(hands, "back") - down(hands, "front")), 1)}


def one_row(hands: Hands) -> Values:
    """Loads the front row, both gauges, scaled; that the back row is loaded too is forgotten."""
    times = all_on(hands, "front")
    return {"lift": round(times * (down(hands, "front") - down(hands, "back")), 1)}


def booked_wrong(hands: Hands) -> Values:
    """Sound work; 1.0 too much is written down."""
    return {"lift": round(float(sound(hands)["lift"]) + 1.0, 2)}


CARELESS: dict[str, Script] = {
    "no_lift": no_lift,
    "front_only": front_only,
    "not_scaled": not_scaled,
    "wrong_sign": wrong_sign,
    "one_row_loaded": one_row,
    "out": booked_wrong,
}


def half_first(hands: Hands) -> Values:
    """Half the bags first, to see that it goes in proportion; then all, both gauges, to 0.1 mm."""
    bags, full = bags_there(hands), full_kg(hands)
    load(hands, "back", bags // 4)
    down(hands, "back")
    load(hands, "front", round(bags * full["front"] / sum(full.values())))
    load(hands, "back", bags - round(bags * full["front"] / sum(full.values())))
    more = down(hands, "front") - down(hands, "back")
    return {"lift": round(sum(full.values()) / (25 * bags) * more, 1)}


def each_in_turn(hands: Hands) -> Values:
    """Ten bags on one row, then on the other; what each does is scaled and rounded at once."""
    lift = 0.0
    for row in ("back", "front"):
        load(hands, row, 10)
        lift += round(full_kg(hands)[row] / 250 * (down(hands, "front") - down(hands, "back")), 1)
        load(hands, row, 0)
    return {"lift": round(lift, 1)}


@pytest.mark.parametrize("script", [half_first, each_in_turn])
def test_other_sound_ways_are_told_no_mistake(begun: Begun, play: Play, script: Script) -> None:
    assert [play(attempt, script).marks for attempt in begun(DRILL)] == [100] * 200


def shown_by_front(hands: Hands) -> Values:
    """Two mistakes: the front gauge alone, and as it is."""
    shared(hands)
    return {"lift": down(hands, "front")}


def shown_and_down(hands: Hands) -> Values:
    return {"lift": -float(not_scaled(hands)["lift"])}


def front_set_down(hands: Hands) -> Values:
    return {"lift": -float(front_only(hands)["lift"])}


def one_row_one_gauge(hands: Hands) -> Values:
    times = all_on(hands, "front")
    return {"lift": round(times * down(hands, "front"), 1)}


def one_row_for_all(hands: Hands) -> Values:
    """All bags on the front row, and scaled to the full load of both rows."""
    times = all_on(hands, "front") * sum(full_kg(hands).values()) / full_kg(hands)["front"]
    return {"lift": round(times * (down(hands, "front") - down(hands, "back")), 1)}


def shown_to_a_half(hands: Hands) -> Values:
    return {"lift": round(2 * float(not_scaled(hands)["lift"])) / 2}


@pytest.mark.parametrize(
    ("script", "keys"),
    [
        (shown_by_front, {"front_only", "not_scaled"}),
        (shown_and_down, {"not_scaled", "wrong_sign"}),
        (front_set_down, {"front_only", "wrong_sign"}),
        (one_row_one_gauge, {"front_only", "one_row_loaded"}),
        (one_row_for_all, {"one_row_loaded"}),
        (shown_to_a_half, {"not_scaled"}),
    ],
)
def test_habits_that_are_mixed_are_all_told(
    begun: Begun, play: Play, script: Script, keys: set[str]
) -> None:
    told = [{m.kind.key for m in play(attempt, script).mistakes} for attempt in begun(DRILL)]
    assert told.count(keys) >= 0.95 * 200


def test_no_figure_is_right_on_most_floors_and_a_right_guess_is_told(
    begun: Begun, play: Play
) -> None:
    attempts = begun(DRILL)
    lifts = [one.task.joists.lift_mm(one.task.joists.full_kg) for one in attempts]
    for guess in (2.0, 2.5, 3.0, 3.5):
        assert sum(abs(lift - guess) <= 0.3 for lift in lifts) < 0.35 * 200
    guessed = [play(one, lambda _: {"lift": 2.5}).mistakes for one in attempts]
    assert all([m.kind.key for m in told] == ["out"] for told in guessed)
    assert all("a guess" in told[0].done for told in guessed)


def test_too_few_bags_are_named_as_the_cause(begun: Begun, play: Play) -> None:
    def few(hands: Hands) -> Values:
        full = full_kg(hands)
        load(hands, "back", 2)
        load(hands, "front", 2)
        more = down(hands, "front") - down(hands, "back")
        return {"lift": round(sum(full.values()) / 100 * more, 1)}

    told = [m for one in begun(DRILL) for m in play(one, few).mistakes]
    assert len(told) > 50  # a tenth, ten times over: out on many a floor
    assert all(m.kind.key == "out" for m in told)
    assert all("no nearer than" in m.done or "shared" in m.done for m in told)


def test_sound_work_has_full_marks(begun: Begun, play: Play) -> None:
    assert [play(attempt, sound).marks for attempt in begun(DRILL)] == [100] * 200


@pytest.mark.parametrize("key", CARELESS)
def test_careless_work_has_its_own_mistake(begun: Begun, play: Play, key: str) -> None:
    marked = [play(attempt, CARELESS[key]) for attempt in begun(DRILL)]
    kinds = [tuple(mistake.kind.key for mistake in one.mistakes) for one in marked]
    assert kinds.count((key,)) >= 0.95 * 200


def test_each_mistake_tells_what_it_does(begun: Begun, play: Play) -> None:
    """A front that is 1 mm high over 520 mm leans a unit of 2000 mm back by 3.8 mm: proportion."""
    attempt = begun(DRILL)[0]
    joists = attempt.task.joists
    for key, script in CARELESS.items():
        (mistake,) = play(attempt, script).mistakes
        assert mistake.kind.key == key
        said = float(re.search(r"answered ([+-]?[\d.]+) mm", mistake.done).group(1))
        out = said - joists.lift_mm(joists.full_kg)
        assert mistake.effect.lean_mm == pytest.approx(-out * 2000 / joists.depth_mm)


def test_not_scaled_in_two_steps(begun: Begun, play: Play) -> None:
    """One row after the other, the differences added up, none of them scaled."""

    def added(hands: Hands) -> Values:
        lift = 0.0
        for row in ("front", "back"):
            load(hands, row, 6)
            lift += down(hands, "front") - down(hands, "back")
            load(hands, row, 0)
        return {"lift": round(lift, 1)}

    kinds = {m.kind.key for m in play(begun(DRILL)[5], added).mistakes}
    assert kinds == {"not_scaled"}


def frame_sags(span: float, ei: float, places: list[float], loads: list[float]) -> list[float]:
    """Settlements at places under loads there, by a general frame library (PyNiteFEA)."""
    model = FEModel3D()
    model.add_material("timber", E=1.0, G=1.0, nu=0.3, rho=0.0)
    model.add_section("joists", A=1e6, Iy=ei, Iz=ei, J=1e6)
    marks = [0.0, *places, span]
    for number, at in enumerate(marks):
        model.add_node(f"N{number}", at, 0, 0)
        held = at in (0.0, span)
        model.def_support(f"N{number}", number == 0, held, True, True, True, False)
    for number in range(len(marks) - 1):
        model.add_member(f"M{number}", f"N{number}", f"N{number + 1}", "timber", "joists")
    for number, load_n in enumerate(loads):
        model.add_node_load(f"N{number + 1}", "FY", -load_n)
    model.analyze_linear(check_stability=False, check_statics=False, sparse=False)
    return [-model.nodes[f"N{number + 1}"].DY["Combo 1"] for number in range(len(places))]


def test_sags_against_a_frame_library(begun: Begun) -> None:
    for attempt in begun(DRILL)[:40]:
        joists = attempt.task.joists
        places = [joists.at_mm[row] for row in ("back", "front")]
        for kg in (joists.full_kg, {"back": 175.0, "front": 0.0}, {"back": 25.0, "front": 300.0}):
            loads = [kg[row] * 9.81 for row in ("back", "front")]
            sags = joists.sags_mm(kg)
            frame = frame_sags(joists.span_mm, joists.ei_n_mm2, places, loads)
            # Both are exact for Bernoulli's beam; the library solves with doubles.
            assert [sags["back"], sags["front"]] == pytest.approx(frame, rel=1e-6)


def test_sag_in_the_middle_and_maxwell() -> None:
    """F L³ / 48 EI under a load in the middle (from memory, any handbook); places exchanged."""
    assert sag_mm(1800, 1800, 900, 3600, 2e11) == pytest.approx(900 * 3600**3 / (48 * 2e11))
    assert sag_mm(700, 2900, 900, 3600, 2e11) == pytest.approx(sag_mm(2900, 700, 900, 3600, 2e11))


def test_worked_answer_is_right(begun: Begun) -> None:
    for attempt in begun(DRILL):
        joists, worked = attempt.task.joists, attempt.task.worked
        loads = [joists.full_kg[row] * 9.81 for row in ("back", "front")]
        places = [joists.at_mm[row] for row in ("back", "front")]
        unit = [
            [sag_mm(at, to, 1.0, joists.span_mm, joists.ei_n_mm2) for to in places] for at in places
        ]
        back, front = (sum(c * load for c, load in zip(row, loads, strict=True)) for row in unit)
        assert worked.answer["lift"] == pytest.approx(front - back, abs=0.3)  # the drill's limit
        assert attempt.task.mark(worked.done, worked.answer) == ()


def test_each_way_of_working_gives_another_lift(begun: Begun) -> None:
    """Else a mistake would be none: every careless figure is beyond the limit of 0.3 mm."""
    for attempt in begun(DRILL):
        joists = attempt.task.joists
        lift, sags = joists.lift_mm(joists.full_kg), joists.sags_mm(joists.full_kg)
        alone = joists.lift_mm({"back": 0.0, "front": joists.full_kg["front"]})
        bags = lift * 25 * joists.bags / sum(joists.full_kg.values())
        assert min(lift, sags["back"], lift - alone, lift - bags) > 0.3


def test_what_was_not_looked_at_shows_nowhere(begun: Begun) -> None:
    """Joists of another stiffness and bearing: nothing shows before a gauge is read."""
    task = begun(DRILL)[8].task
    other = FrontLiftTask(dataclasses.replace(task.joists, ei_n_mm2=2.7 * task.joists.ei_n_mm2))
    moves = [
        Move("load", {"row": "back", "bags": 5.0}),
        Move("load", {"row": "front", "bags": 3.0}),
    ]
    shown = []
    for one in (task, other):
        done: list[Done] = []
        for move in moves:
            done.append(Done(move, one.do(tuple(done), move)))
        shown.append([str(one.given), *(str(step.seen) for step in done)])
    assert shown[0] == shown[1]
    looked = [str(one.do((), Move("gauge", {"row": "front"}))) for one in (task, other)]
    assert looked[0] == looked[1]  # nothing lies there: both show 0


def test_gauges_are_read_to_a_tenth(begun: Begun) -> None:
    for attempt in begun(DRILL)[:30]:
        move = Move("load", {"row": "front", "bags": 7.0})
        done = (Done(move, attempt.task.do((), move)),)
        seen = attempt.task.do(done, Move("gauge", {"row": "back"})).figures["sag_mm"]
        true = attempt.task.joists.sags_mm({"back": 0.0, "front": 175.0})["back"]
        assert seen == round(float(seen), 1)
        assert seen == pytest.approx(true, abs=0.05 + 1e-9)


@pytest.mark.parametrize(
    ("row", "bags", "words"),
    [
        ("front", 2.5, "whole bags"),
        ("back", 60.0, "in all"),
        ("middle", 2.0, "back | front"),
        ("front", -1.0, "whole bags, 0 to"),
    ],
)
def test_refusals_tell_what_is_allowed(begun: Begun, row: str, bags: float, words: str) -> None:
    with pytest.raises(Refusal, match=re.escape(words)):
        begun(DRILL)[1].task.do((), Move("load", {"row": row, "bags": bags}))


def test_bags_on_one_row_are_missing_for_the_other(begun: Begun) -> None:
    task = begun(DRILL)[1].task
    move = Move("load", {"row": "back", "bags": 10.0})
    done = (Done(move, task.do((), move)),)
    too_many = Move("load", {"row": "front", "bags": float(task.joists.bags - 9)})
    with pytest.raises(Refusal, match="10 on the back row"):
        task.do(done, too_many)
    assert task.do(done, Move("load", {"row": "front", "bags": float(task.joists.bags - 10)}))
