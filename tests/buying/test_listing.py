"""The buying list: does it suffice as often as it says, and say what it must."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest
from scipy.stats import norm

import kit
from kit.buying import BuyingList, buying_list
from kit.buying.floors import demand
from kit.buying.things import key_of
from kit.job import Packer, Refusal
from kit.methods.drawn import draw_floors
from kit.parts import Answer

FRESH = 9_001

ODD = (
    Packer(mm=1.3, price=0.04),
    Packer(mm=4.0, price=0.09),
    Packer(mm=9.0, measured_mm=8.7, price=0.31),
)


def made(answer_of, alone, name: str) -> Answer:
    return alone(*ODD, height=50.0) if name == "plan chest" else answer_of(name)


def share_of_fresh_floors(answer: Answer, bought: BuyingList, floors: int = 2000) -> float:
    """On which share of floors that the list never saw it suffices."""
    fresh = demand(answer, floors, FRESH)
    held = {(one.item, "" if math.isnan(one.size_mm) else repr(float(one.size_mm))): one.enough
            for one in bought.lines}  # fmt: skip
    counts = np.array([held.get(key_of(thing), 0) for thing in fresh.things])
    return float(fresh.sufficing(counts).mean())


@pytest.mark.parametrize("name", ["reading-room", "market-counter", "plan chest"])
def test_on_fresh_floors_it_suffices_as_often_as_it_says(answer_of, alone, name: str) -> None:
    """Within 2 % of the 95 % asked for: four standard errors of 2,000 floors."""
    answer = made(answer_of, alone, name)
    bought = buying_list(answer)
    assert 0.95 <= bought.reached < 0.97
    assert 0.93 <= share_of_fresh_floors(answer, bought) <= 0.97
    assert all(line.enough >= line.plan for line in bought.lines)
    assert bought.plan_suffices < 0.9  # else there was nothing to find


def test_another_certainty_gives_another_list(alone) -> None:
    answer = alone(*ODD, height=50.0)
    half, sure = (buying_list(answer, certainty=share, floors=1000) for share in (0.6, 0.99))
    assert 0.55 <= share_of_fresh_floors(answer, half, 1000) <= 0.70
    assert share_of_fresh_floors(answer, sure, 1000) >= 0.975
    assert sum(one.enough for one in half.lines) < sum(one.enough for one in sure.lines)


def test_packers_of_one_kind_against_the_joint_normal(alone) -> None:
    """Closed form: with packers of 1 mm within half a mm each stack has as many as its height.

    Their sum is normal with the surface's own covariance, the rounding of each adding 1/12.
    """
    answer = alone(Packer(mm=1.0), height=31.5)
    places = answer.ground.supports
    _, covariance = answer.surface.joint(places["x_mm"], places["y_mm"])
    targets = answer.datum.datum_mm - places["floor_mm"].to_numpy()
    sd = math.sqrt(covariance.sum() + len(places) / 12)
    exact = targets.sum() + norm.ppf(0.95) * sd
    bought = buying_list(answer, floors=4000)
    (line,) = (one for one in bought.lines if one.item == "packer")
    # Half a packer either way, as whole ones stand for a continuous sum; a quantile of 2,000
    # floors is good to 3 sd of sqrt(0.95 * 0.05 / 2000) / density; screws that are short with
    # packers that suffice may call for up to a third of an sd more packers.
    error = 3 * math.sqrt(0.95 * 0.05 / 2000) / norm.pdf(norm.ppf(0.95)) * sd
    assert exact - 0.5 - error <= line.enough <= exact + 0.5 + error + 0.35 * sd
    assert line.plan == np.ceil(targets - 0.5).sum()


def test_where_some_floors_cannot_be_built_on_it_is_of_the_others(answer_of) -> None:
    """Compound of such a depth that 5 floors of 100 fall more: an order statistic of the falls."""
    answer = answer_of("reading-room", "levelling compound")
    compound = answer.base.compound
    lies = draw_floors((answer,), 400, 20).lies(answer.ground)
    falls = np.array([float(lie.under_mm.max() - lie.under_mm.min()) for lie in lies])
    deepest = compound.least_mm + float(np.quantile(falls, 0.95))
    tight = answer.base.model_copy(
        update={"compound": compound.model_copy(update={"greatest_mm": deepest})}
    )
    built = kit.solve(answer.job.model_copy(update={"bases": (tight,)}), before=answer)
    bought = buying_list(built, floors=400)
    assert bought.not_built == pytest.approx(0.05, abs=0.003)  # whole floors of 400
    assert bought.reached >= 0.95
    assert any(f"On {100 * bought.not_built:g} % of the floors" in note for note in bought.notes)
    assert "on which the base can be built" in bought.notes[0]


def test_where_many_floors_cannot_be_built_on_the_list_is_still_of_the_others(alone) -> None:
    """Stacks hardly longer than the plan's longest, at one height."""
    answer = alone(*ODD, height=50.0)
    longest = max(
        sum(ODD[kind].thickness_mm for kind in stack) for stack in answer.datum.plan.stacks
    )
    tight = alone(*ODD, height=50.0, max_stack_mm=longest + 0.3, tolerance_mm=0.05)
    bought = buying_list(tight, floors=200)
    assert 0.3 < bought.not_built < 0.9
    assert bought.reached >= 0.95
    assert all(line.enough >= line.plan for line in bought.lines)


@pytest.mark.parametrize(
    ("base", "item"),
    [("screw feet", "screw foot, 40-65 mm"), ("ladder frame", "ladder board, 70 mm deep"),
     ("levelling compound", "compound bag"), ("stacks without bearers", "packer")],
)  # fmt: skip
def test_every_way_of_building_has_its_list(answer_of, base: str, item: str) -> None:
    answer = answer_of("reading-room", base)
    bought = buying_list(answer, floors=200)
    assert item in {line.item for line in bought.lines}
    assert bought.reached >= 0.95
    plan = {one.item: one.count for one in answer.bill.items}
    assert sum(one.plan for one in bought.lines if one.item in plan) == sum(
        one.count for one in answer.bill.items
    )


def test_a_deeper_board_takes_the_place_of_the_shallower(answer_of) -> None:
    """A board that suffices on the expected floor and on few others: all are bought deeper."""
    answer = answer_of("reading-room", "ladder frame")
    sure = answer.checks.set_index("check")["value"]
    depth = float(sure[[name for name in sure.index if name.startswith("depth of a member")]].min())
    ladder = answer.base.ladder
    boards = tuple(
        board.model_copy(update={"mm": depth + 0.02 if board.mm == 70 else board.mm})
        for board in ladder.boards
    )
    base = answer.base.model_copy(update={"ladder": ladder.model_copy(update={"boards": boards})})
    bought = buying_list(kit.solve(answer.job.model_copy(update={"bases": (base,)})), floors=200)
    shallow, deep = (line for line in bought.lines if line.item.startswith("ladder"))
    assert shallow.plan > 0
    assert (shallow.enough, deep.plan, deep.enough) == (0, 0, shallow.plan)


def test_the_same_job_gives_the_same_list(alone) -> None:
    answer = alone(*ODD, height=50.0)
    first, again = (buying_list(answer, floors=200) for _ in range(2))
    pd.testing.assert_frame_equal(first.table, again.table)
    assert (first.notes, first.cost) == (again.notes, again.cost)


def test_sum_and_what_has_no_price(answer_of) -> None:
    bought = buying_list(answer_of("reading-room"), floors=200)
    table = bought.table
    assert bought.cost == pytest.approx(table["cost"].sum(), abs=1e-9)
    assert table["cost"].isna().sum() == len(bought.unpriced) == 1
    assert any("No price is given of plinth board" in note for note in bought.notes)
    assert table["in_stock"].tolist()[:4] == [40, 40, 60, 60]
    assert table["in_stock"].isna().any()


def test_plinth_boards_by_length(answer_of) -> None:
    """4,000 mm of plinth in boards of 2,400 and 3,600 mm, joined at a side: two of 2,400."""
    bought = buying_list(answer_of("reading-room"), floors=200)
    found = [(one.size_mm, one.enough) for one in bought.lines if one.item.startswith("plinth")]
    assert found == [(2400.0, 2)]


@pytest.mark.parametrize("certainty", [0.2, 1.0, math.nan, 1.5])
def test_a_certainty_that_is_none_is_refused(reading_room, certainty: float) -> None:
    with pytest.raises(Refusal, match="certainty of the buying list"):
        buying_list(reading_room, certainty=certainty)


def test_floors_that_cannot_tell_are_refused(reading_room) -> None:
    """Five of the judging half beyond 99 %: 2 × 5 / 0.01."""
    with pytest.raises(Refusal, match="1000 or more"):
        buying_list(reading_room, certainty=0.99, floors=999)
