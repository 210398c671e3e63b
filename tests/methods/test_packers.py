"""Bearers on packer stacks in the demo reading room: level, bill and traits by hand."""

from pathlib import Path

import pytest

import kit
from kit.base.clearance import clearance_table
from kit.methods import METHODS
from kit.methods.method import Lie, as_expected
from kit.parts import Answer

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="module")
def answer() -> Answer:
    return kit.solve(kit.read_job(DATA / "reading-room"), "bearers on packers")


def test_every_stack_fills_its_height_within_the_tolerance(answer: Answer) -> None:
    made = answer.stacks.groupby("support")["thickness_mm"].sum()
    wanted = answer.supports.set_index("support")["target_mm"]
    errors = (made - wanted).abs()
    assert errors.max() <= answer.base.tolerance_mm + 1e-9  # limits are closed
    assert answer.traits.level_error_mm == pytest.approx(errors.max())
    level = answer.datum.datum_mm - answer.supports["floor_mm"]
    assert answer.supports["target_mm"].to_numpy() == pytest.approx(level.to_numpy())
    assert answer.datum.base_top_mm - answer.datum.datum_mm == answer.base.bearer.thickness_mm


def test_the_bill_is_what_lies_there(answer: Answer) -> None:
    items = answer.take_off
    packers = items[items["item"] == "packer"]
    assert packers["count"].sum() == len(answer.stacks)
    counted = answer.stacks.groupby("nominal_mm").size().to_dict()
    assert packers.set_index("size_mm")["count"].to_dict() == counted
    bought = answer.cuts.bought
    timber = items[items["item"] == "bearer length"].set_index("size_mm")
    assert timber["count"].to_dict() == bought.set_index("stock_mm")["count"].to_dict()
    assert timber["price"].to_dict() == {size: 1.6 * size / 1000 for size in timber.index}
    length = sum(row.length_mm for row in answer.layout.rows)
    # C16 is 370 kg/m3 in the mean (EN 338:2016, Table 1); bearers of 45 by 20
    assert answer.bill.mass_kg == pytest.approx(length * 45 * 20 * 370e-9)
    steps = answer.work.set_index("operation")
    assert steps.loc["lay a packer", "minutes"] == 0.5 * len(answer.stacks)
    assert steps.loc["cut and lay a bearer piece", "count"] == len(answer.cuts.cuts)


def test_traits_are_those_of_the_tables(answer: Answer) -> None:
    traits, screws = answer.traits, answer.screws
    assert traits.fixing_line_mm == sum(row.length_mm for row in answer.layout.rows)
    assert traits.floor_screws == int((screws["point_below_floor_mm"] > 0).sum()) > 0
    datum = answer.datum
    room = clearance_table(answer.ground.known, datum.datum_mm, datum.front_lift_mm)
    assert traits.room_under_mm == room["least_mm"].min()
    assert (traits.adjust_up_mm, traits.adjust_down_mm) == (0.0, 0.0)


def test_the_level_follows_a_floor_that_was_drawn(answer: Answer) -> None:
    lie, packers = as_expected(answer.ground), METHODS["packers"]
    raised = Lie.drawn(lie.supports_mm + 1.75, lie.under_mm + 1.75)
    datum = packers.set_level(answer.job, answer.base, answer.ground, raised)
    assert datum.datum_mm == pytest.approx(answer.datum.datum_mm + 1.75, abs=1e-6)
    assert datum.plan.stacks == answer.datum.plan.stacks
