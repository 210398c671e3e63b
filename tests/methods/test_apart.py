"""What feet and stacks share: the window of units without a bearer, and how they meet the floor."""

from pathlib import Path

import pytest

import kit
from kit.base.no_go import SAME_PLACE_MM
from kit.methods.apart import UNDERSIDE_APART, loads_of, no_clearance, window_apart
from kit.methods.method import Lie, as_expected
from kit.parts import Answer
from kit.strength.direct import loads_apart

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="module")
def answer() -> Answer:
    return kit.solve(kit.read_job(DATA / "reading-room"), "screw feet")


def test_the_window_is_that_of_the_units_undersides(answer: Answer) -> None:
    job, ground, lie = answer.job, answer.ground, as_expected(answer.ground)
    window = window_apart(job, answer.base, ground, lie, "least room")
    # asked for 50 to 62 above the high point, and nothing lies between
    assert window.low.datum_mm == pytest.approx(lie.high_point_mm + 50)
    assert window.high.datum_mm == pytest.approx(lie.high_point_mm + 62)
    high = answer.base.model_copy(update={"minimum_pack_mm": 55.5})
    raised = Lie.drawn(lie.supports_mm + 2.25, lie.under_mm + 2.25)
    window = window_apart(job, high, ground, raised, "least room")
    assert window.low.datum_mm == pytest.approx(lie.high_point_mm + 2.25 + 55.5)
    assert window.low.reason.startswith("high point + least room of 55.5 mm (row ")


def test_each_panel_presses_on_its_own_support_and_nothing_is_cut(answer: Answer) -> None:
    layout, base = answer.layout, answer.base
    cuts = UNDERSIDE_APART.cut(layout, base, None)
    assert not len(cuts.cuts)
    apart = loads_of(layout, cuts, base)
    assert [one.units_n for one in apart.alone] == [o.units_n for o in loads_apart(layout).alone]
    places = UNDERSIDE_APART.footprint(layout)
    # the strip of the back row is as wide as the plates, 55, from 45 mm out
    back = places[places["bearer"] == "B"]["y_mm"]
    assert back.max() - back.min() == pytest.approx(55.0, abs=SAME_PLACE_MM)


def test_a_table_of_no_room_has_the_columns_of_one_with_rooms(answer: Answer) -> None:
    assert list(no_clearance().columns) == list(answer.clearance.columns)
    assert not len(no_clearance())
    assert len(answer.clearance) == len(answer.layout.rows)
