"""Units right on their supports: who carries what, across no-go areas too."""

import math
from collections.abc import Callable
from typing import Any

import pytest

from kit.base.footing import Footing
from kit.base.layout import Layout, lay_out
from kit.job import Job
from kit.strength.direct import _tops, loads_apart

GRAVITY = 9.81
HATCH = {"name": "hatch", "corner_mm": (430.0, 0.0), "size_mm": (170.0, 120.0)}
UNITS = (
    {"width_mm": 700.0, "divisions_mm": (500.0,), "contents_are": "people"},
    {"width_mm": 420.0, "mass_kg": 11.0},
)


def frame_layout(job: Job) -> Layout:
    return lay_out(job, job.bases[0], Footing(20.0, (20.0, 20.0)))


@pytest.fixture
def bridged(job_of: Callable[..., Job]) -> Layout:
    """Lay out sides at 10, 690, 710, 1110 and a division at 500, over a hatch at the back."""
    return frame_layout(job_of(*UNITS, no_go=(HATCH,)))


def test_without_an_area_each_panel_comes_down_where_it_stands(job_of: Any) -> None:
    layout = frame_layout(job_of(*UNITS))
    alone = {one.support: one for one in loads_apart(layout, {"B2": 7.5}).alone}
    # Rows at 55 and 255 share 160 from the back as 95 : 105. Of 700 mm the first side has 255.
    back = 95 / 200 * GRAVITY
    places = layout.supports.set_index("support")["own_x_mm"]
    left = places.index[0]
    assert alone[left].units_n == pytest.approx(30 * 255 / 700 * back)
    assert alone[left].people_n == pytest.approx(60 * 255 / 700 * back)
    assert alone[left].stored_n == 0
    assert alone["B2"].own_n == 7.5
    assert alone["B3"].own_n == 0


def test_a_bridged_panel_comes_down_by_the_lever(bridged: Layout) -> None:
    on_back = bridged.on_bearer("B").set_index("own_x_mm")["support"]
    # A support of 20 mm stands clear of the hatch at 420 and at 610.
    left, right = str(on_back[420.0]), str(on_back[610.0])
    alone = {one.support: one for one in loads_apart(bridged).alone}
    share = (690 - 10) / 2 / 700  # of the division: half way to both sides
    whole = 30 * share * 95 / 200 * GRAVITY
    assert alone[right].units_n == pytest.approx(whole * (500 - 420) / (610 - 420))
    assert alone[left].units_n == pytest.approx(whole * (610 - 500) / (610 - 420))
    assert alone[left].people_n == pytest.approx(2 * alone[left].units_n)
    # As the tributary loads of the layout have it.
    table = bridged.supports.set_index("support")["load_N"]
    for one in (alone[left], alone[right]):
        assert one.units_n + one.people_n == pytest.approx(table[one.support])


def test_nothing_is_lost_over_an_area(bridged: Layout) -> None:
    alone = loads_apart(bridged).alone
    assert math.fsum(one.units_n for one in alone) == pytest.approx(41 * GRAVITY)
    assert math.fsum(one.people_n for one in alone) == pytest.approx(60 * GRAVITY)
    assert math.fsum(one.stored_n for one in alone) == pytest.approx(60 * GRAVITY)


def test_a_bridged_top_lies_on_the_line_between_its_supports(bridged: Layout) -> None:
    names = [str(name) for name in bridged.supports["support"]]
    on_back = bridged.on_bearer("B").set_index("own_x_mm")["support"]
    errors = dict.fromkeys(names, 0.0) | {on_back[420.0]: 0.8, on_back[610.0]: -0.3}
    top_mm = _tops(bridged, errors)
    assert top_mm("B", 500.0) == pytest.approx(0.8 - 1.1 * 80 / 190)
    assert top_mm("B", 690.0) == 0.0
    assert top_mm("F", 500.0) == 0.0
