"""What boards bear under the edge of a frame."""

import math
from collections.abc import Callable

import pytest

from kit.base.footing import Footing
from kit.base.layout import Layout, lay_out
from kit.job import Floor, Job, NoGo
from kit.strength.direct import loads_apart
from kit.strength.edge_checks import edge_checks, edge_lengths_mm

BOARDS = Floor(kind="boarded", board_mm=21.0, board_strength_class="C16")


@pytest.fixture
def layout(job_of: Callable[..., Job]) -> Layout:
    job = job_of({"contents_kg": 85.0}, {"width_mm": 500.0, "contents_kg": 20.0})
    return lay_out(job, job.bases[0], Footing(18.0, (18.0, 18.0)))


def test_a_crossing_has_its_edge_to_itself(layout: Layout) -> None:
    # Sides at 10, 890, 910, 1390, a support in each bay over 600 mm, ends at 0 and 1400.
    places = [stand.x_mm for stand in layout.stands[0]]
    assert places == [10, 450, 890, 910, 1390]
    assert edge_lengths_mm(layout.rows[0], layout.stands[0]) == [60, 100, 60, 60, 60]


def test_the_ratio_by_hand(layout: Layout) -> None:
    back, front = edge_checks(layout, loads_apart(layout), 18.0, BOARDS, 1)
    # Half of each case in each row (its centre of gravity, 160, lies 105 of 200 before the back
    # row at 54 and 95 behind the front row at 256: 96 and 106 of 202); a side of the first has
    # half. EN 1990: 1.35 and 1.5; EN 1995-1-1: kmod 0.7 (stored: long-term), fc,90,k 2.2 for C16
    # (EN 338:2016), gamma_M 1.3.
    force = 9.81 * (1.35 * 30 + 1.5 * 85) / 2 * (256 - 160) / (256 - 54)
    expected = force / (60 * 18) / (2.2 * 0.7 / 1.3)
    assert back.value == pytest.approx(expected)
    assert back.subject == "B: at B1, on 60 mm"
    assert front.value == pytest.approx(expected * (160 - 54) / (256 - 160))
    assert (back.verdict, front.verdict) == ("ok", "ok")
    assert "100 mm of edge" in back.source


def test_too_much_is_referred(layout: Layout) -> None:
    thin, _ = edge_checks(layout, loads_apart(layout), 3.0, BOARDS, 1)
    assert thin.value > 1
    assert thin.verdict == "refer"


def test_unknown_boards_are_not_checked_and_a_solid_floor_is_not_ours(layout: Layout) -> None:
    apart = loads_apart(layout)
    unknown = Floor(kind="boarded", board_mm=21.0)
    rows = list(edge_checks(layout, apart, 18.0, unknown, 1))
    assert [row.subject.split(":")[0] for row in rows] == ["B", "F"]
    assert all(row.verdict == "not_checked" and math.isnan(row.value) for row in rows)
    assert all(row.source == "no floor.board_strength_class given" for row in rows)
    assert not list(edge_checks(layout, apart, 18.0, Floor(kind="solid"), 1))


def test_no_edge_bears_where_the_member_is_cut_clear(layout: Layout) -> None:
    row, stands = layout.rows[0], layout.stands[0]
    # Crossings at 10, 450, 890, 910, 1390: 9 mm of floor right of the second, 21 left of the third.
    closed = [(459.0, 869.0, "hatch"), (600.0, 700.0, "pipe")]
    assert edge_lengths_mm(row, stands, closed) == [60, 59, 31, 60, 60]


def test_a_no_go_area_beside_a_crossing_makes_it_press_harder(layout: Layout) -> None:
    apart = loads_apart(layout)
    # The side at 10 mm has 50 mm of edge to its right, until an area begins at 19 mm.
    area = NoGo(name="flap", corner_mm=(19.0, 40.0), size_mm=(120.0, 30.0))
    beside = next(edge_checks(layout, apart, 18.0, BOARDS, 1, (area,)))
    free = next(edge_checks(layout, apart, 18.0, BOARDS, 1))
    assert beside.subject == "B: at B1, on 19 mm"
    # Both sides of the first case carry alike: 60 mm of edge there, 19 here.
    assert beside.value == pytest.approx(free.value * 60 / 19)  # round-off
