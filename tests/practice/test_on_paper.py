"""Moves for those without a screen follow from what is given alone, and they suffice."""

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from kit.job import Refusal
from kit.practice.drill import Drill
from kit.practice.drills import DRILLS
from kit.practice.fields import number
from kit.practice.floors import make_floor
from kit.practice.grades import GRADES
from kit.practice.moves import Done
from kit.practice.on_paper import PLANS, drills_on_paper
from kit.practice.tools import laid_ends

DRILL = {drill.key: drill for drill in DRILLS}
OTHER_FLOOR = make_floor(404, GRADES[2])

#: Another truth in the same layout, by drill; what is given of it is the same.
OTHERWISE: dict[str, Callable[[Any], Any]] = {
    "high_point": lambda t: replace(t, tools=replace(t.tools, floor=OTHER_FLOOR)),
    "own_error": lambda t: replace(t, tools=replace(t.tools, floor=OTHER_FLOOR)),
    "bad_reading": lambda t: replace(t, tools=replace(t.tools, floor=OTHER_FLOOR)),
    "choose_stacks": lambda t: replace(t, thick_mm={k: v + 0.7 for k, v in t.thick_mm.items()}),
    "screws": lambda t: replace(
        t, site=replace(t.site, board_mm=33.0, floor=replace(t.site.floor, heated=()))
    ),
    "front_lift": lambda t: replace(t, joists=replace(t.joists, ei_n_mm2=1.7 * t.joists.ei_n_mm2)),
}


def made(task: Any, key: str) -> tuple[Done, ...]:
    """Make the moves of a drill's plan on a task."""
    done: tuple[Done, ...] = ()
    for move in PLANS[key].moves(task.given, task.forms):
        done = (*done, Done(move, task.do(done, move)))
    return done


def test_drills_whose_next_move_hangs_on_the_last_are_left_out() -> None:
    able, others = drills_on_paper(DRILLS)
    assert [drill.key for drill in able] == list(PLANS)
    assert others == tuple(
        DRILL[key].title for key in ("book_run", "few_readings", "two_bearers", "as_built")
    )


def test_a_set_of_none_is_refused(fakes: Sequence[Drill]) -> None:
    with pytest.raises(Refusal, match=r"without a screen: found sighting, booking; .*high_point"):
        drills_on_paper(fakes)


@pytest.mark.parametrize("key", OTHERWISE)
def test_moves_are_the_same_on_two_floors_of_one_layout(key: str) -> None:
    for seed in (2, 58):
        task = DRILL[key].set_up(seed, GRADES[seed % 3])
        other = OTHERWISE[key](task)
        one, two = made(task, key), made(other, key)
        assert [each.move for each in one] == [each.move for each in two]
        assert [each.seen.words for each in one] != [each.seen.words for each in two]


def test_two_bases_are_looked_at_from_every_side() -> None:
    task = DRILL["weigh_bases"].set_up(5, GRADES[1])
    kinds = [one.move.kind for one in made(task, "weigh_bases")]
    assert kinds == [form.kind for form in task.forms]
    assert len(kinds) == 6


@pytest.mark.parametrize("key", PLANS)
def test_every_move_can_be_made(key: str) -> None:
    for seed in range(5 if key == "weigh_bases" else 30):
        task = DRILL[key].set_up(seed, GRADES[seed % 3])
        assert len(made(task, key)) >= 4


def test_staff_and_foot_are_booked_as_seen() -> None:
    done = made(DRILL["high_point"].set_up(58, GRADES[2]), "high_point")
    seen = {(one.move.kind, one.move.values["at"]): one.seen.figures for one in done[1:]}
    booked = 0
    for title, frame in PLANS["high_point"].book(done):
        y = float(title.split()[-2])
        for row in frame.itertuples():
            assert row.staff_mm == seen["read", (row.x_mm, y)]["reading_mm"]
            assert row.goes_down_mm == seen["tread", (row.x_mm, y)]["gives_mm"]
            booked += 2
    assert booked == len(done) - 1


def test_lies_of_the_level_are_booked_as_seen() -> None:
    done = made(DRILL["own_error"].set_up(7, GRADES[1]), "own_error")
    ((_, frame),) = PLANS["own_error"].book(done)
    assert len(frame) == len(done) == 10
    for one, row in zip(done, frame.to_dict("records"), strict=True):
        touches = row["touches, from its marked end_mm"]
        said = f"long level: bubble {row['bubble']}; touches at about {touches} mm"
        assert one.seen.words.startswith(said)
        assert row["rocks"] == ("it rocks" in one.seen.words)
        ends = [tuple(map(float, re.findall(r"[\d.]+", row[end])))
                for end in ("marked end at", "other end at")]  # fmt: skip
        assert ends == list(laid_ends(one.move))
    assert frame["packers under them_mm"].tolist()[-3:] == ["20 and 29", "20 and 29", "29 and 20"]


def test_readings_are_every_150_mm_and_find_the_high_point() -> None:
    """The least staff reading, foot on it, is at a place that the drill lets pass."""
    found = 0
    for seed in range(60):
        task: Any = DRILL["high_point"].set_up(seed, GRADES[seed % 3])
        tables = PLANS["high_point"].book(made(task, "high_point"))
        rows = []
        for (_, frame), patch in zip(tables, task.bearers.both, strict=True):
            x = frame["x_mm"].tolist()
            assert (x[0], x[-1]) == (patch.left_mm, patch.left_mm + patch.width_mm)
            assert max(b - a for a, b in pairwise(x)) <= 150 + 1  # whole mm
            pressed = (frame["staff_mm"] + frame["goes_down_mm"]).tolist()
            rows += [(read, at, patch.back_mm + patch.depth_mm / 2)
                     for read, at in zip(pressed, x, strict=True)]  # fmt: skip
        _, *place = min(rows)
        height = task.tools.floor.carried_mm(*([one] for one in place))[0]
        found += task.top.height_mm - height <= 1.0
    assert found >= 57  # 95 %: a staff and a gauge read to 0.5 mm may mistake near equals


def test_some_lie_of_the_level_can_be_used() -> None:
    """A lie that is firm both ways round, its bubble on the glass, halves to the error."""
    used = 0
    for seed in range(60):
        task: Any = DRILL["own_error"].set_up(seed, GRADES[seed % 3])
        done = made(task, "own_error")
        right = task.tools.bag.level("long").own_error_mm_per_m
        for one, other in zip(done[::2], done[1::2], strict=True):
            pair = [number(each.seen.figures, "bubble_mm") for each in (one, other)]
            firm = all(each.seen.figures["rocks"] == "false" for each in (one, other))
            if firm and max(map(abs, pair)) < 8.0:
                used += 1
                # each bubble is read to 0.2 mm, so their mean is within 0.1
                assert sum(pair) / 2 == pytest.approx(right, abs=0.1 + 1e-9)
                break
    assert used == 60


def test_points_read_twice_are_held_again() -> None:
    task: Any = DRILL["bad_reading"].set_up(7, GRADES[1])
    held = [one.move.values.get("point", "") for one in made(task, "bad_reading")]
    assert tuple(held[1:]) == task.sheet.twice


def test_bags_are_shared_as_the_full_load_is() -> None:
    for seed in range(20):
        task: Any = DRILL["front_lift"].set_up(seed, GRADES[seed % 3])
        back, front = (one.seen.figures["load_kg"] for one in made(task, "front_lift")[:2])
        full = task.joists.full_kg
        assert back + front == 25.0 * task.joists.bags
        # to a whole bag: half of 25 kg
        assert abs(front - (back + front) * full["front"] / sum(full.values())) <= 12.5
