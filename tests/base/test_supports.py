"""Supports along one row: sharing, pushing apart, moving in, stepping over, dividing bays."""

from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from kit.base.no_go import closed_stretches
from kit.base.runs import Frame, Row, place_units
from kit.base.supports import Stand, stand_row
from kit.job import NoGo, Refusal, Run, Unit

PACKER = 75.0


def row_of(*units: Unit, inset: float = 0.0) -> Row:
    run = Run(name="A", unit=units)
    return Row("B", "A", "B", 67.5, inset, run.length_mm - inset, place_units(run))


def unit(name: str, width: float, gap: float = 0.0, side: float = 19.0, *divisions: float) -> Unit:
    return Unit(
        name=name,
        width_mm=width,
        depth_mm=320.0,
        height_mm=1000.0,
        side_mm=side,
        gap_before_mm=gap,
        divisions_mm=divisions,
    )


def places(stands: tuple[Stand, ...]) -> list[tuple[float, str]]:
    return [(stand.x_mm, "+".join(sorted(stand.reasons))) for stand in stands]


def test_two_units_share_one_stack_and_end_stacks_move_in() -> None:
    stands = stand_row(row_of(unit("a", 500), unit("b", 560)), PACKER, 600, [])
    assert places(stands) == [(37.5, "end+side"), (500.0, "side"), (1022.5, "end+side")]


@pytest.mark.parametrize(
    ("gap", "expected"),
    [
        # side centres gap + 19 apart; one packer of 75 carries both whole up to 75 - 19 = 56
        (0.0, [500.0]),
        (37.0, [518.5]),
        (37.5, [481.25, 556.25]),  # 56.5 apart: two, pushed apart about their middle
        (55.9, [490.45, 565.45]),
        (56.5, [490.5, 566.0]),  # 75.5 apart: each under its side
        (200.0, [490.5, 709.5]),
    ],
)
def test_neighbouring_sides_share_a_stack_or_push_two_apart(
    gap: float, expected: list[float]
) -> None:
    stands = stand_row(row_of(unit("a", 500), unit("b", 560, gap)), PACKER, 600, [])
    assert [stand.x_mm for stand in stands][1:-1] == pytest.approx(expected)


def test_sides_of_unequal_thickness_share_only_what_carries_both_whole() -> None:
    # outer faces 25 + gap + 12 apart: 75 at a gap of 38
    for gap, count in ((38.0, 1), (38.5, 2)):
        row = row_of(unit("a", 500, 0, 25.0), unit("b", 560, gap, 12.0))
        assert len(stand_row(row, PACKER, 600, [])) == 2 + count


def test_the_ends_of_a_bearer_that_reaches_beyond_the_units_are_carried() -> None:
    row = row_of(unit("a", 500, gap=400))
    stands = stand_row(row, PACKER, 600, [])
    assert places(stands)[:2] == [(37.5, "end"), (409.5, "side")]
    assert stands[0].carries == ()


def test_a_long_bay_is_divided_equally() -> None:
    stands = stand_row(row_of(unit("wide", 1400)), PACKER, 500, [])
    # end stacks at 37.5 and 1362.5: 1325 in three spans of 441.67
    assert places(stands)[1:3] == [
        (pytest.approx(37.5 + 1325 / 3), "span"),
        (pytest.approx(37.5 + 2650 / 3), "span"),
    ]


def test_a_bay_of_just_the_longest_span_is_not_divided() -> None:
    assert len(stand_row(row_of(unit("wide", 675)), PACKER, 600, [])) == 2


def test_a_stack_in_a_no_go_area_gives_way_to_one_at_each_edge_by_the_lever() -> None:
    row = row_of(unit("a", 500), unit("b", 560))
    stands = stand_row(row, PACKER, 600, [(440.0, 620.0, "hatch")])
    # packers touch the edges: centres 402.5 and 657.5; the sides' line is at 500
    assert [stand.x_mm for stand in stands] == [37.5, 402.5, 657.5, 1022.5]
    left, right = stands[1], stands[2]
    to_right = (500 - 402.5) / 255
    assert dict(left.carries)["a"] == pytest.approx(0.5 * (1 - to_right))
    assert dict(right.carries)["b"] == pytest.approx(0.5 * to_right)
    assert "side" in left.reasons
    assert "side" in right.reasons


def test_a_stack_that_already_stands_at_the_edge_serves() -> None:
    row = row_of(unit("a", 500), unit("b", 560, 0, 19.0, 200.0))
    # division at 700; the area's right edge place would be 677.5: the packers would overlap
    stands = stand_row(row, PACKER, 600, [(440.0, 640.0, "hatch")])
    assert [stand.x_mm for stand in stands] == [37.5, 402.5, 700.0, 1022.5]


def test_a_no_go_area_that_makes_the_span_too_long_is_refused_by_name() -> None:
    row = row_of(unit("a", 500), unit("b", 560))
    with pytest.raises(Refusal, match=r"no_go 'hatch', bearer B: found a span of 255 mm from"):
        stand_row(row, PACKER, 250, [(440.0, 620.0, "hatch")])


def test_a_no_go_area_under_the_end_is_refused_by_name() -> None:
    row = row_of(unit("a", 500), unit("b", 560))
    with pytest.raises(Refusal, match="no_go 'duct': found it leaves no place"):
        stand_row(row, PACKER, 600, [(-50.0, 30.0, "duct")])


def test_a_no_go_area_that_only_touches_the_packer_changes_nothing() -> None:
    row = row_of(unit("a", 500), unit("b", 560))
    touching = [(300.0, 462.5, "left of it"), (537.5, 600.0, "right of it")]
    assert [s.x_mm for s in stand_row(row, PACKER, 600, touching)] == [37.5, 500.0, 1022.5]


def test_a_bearer_let_in_further_than_its_sides_is_refused() -> None:
    assert len(stand_row(row_of(unit("a", 900), inset=40.0), PACKER, 900, [])) == 2
    with pytest.raises(Refusal, match=r"at 9\.5 mm: found its nearest stack 328 mm"):
        stand_row(row_of(unit("a", 900), inset=300.0), PACKER, 900, [])


def test_more_panels_than_packers_have_room_for_are_refused() -> None:
    crowded = unit("comb", 600, 0, 18.0, *(60.0 * k for k in range(1, 10)))
    with pytest.raises(Refusal, match="bearer B: found 9 stacks of 75 mm on 600 mm"):
        stand_row(row_of(crowded), PACKER, 600, [])


@given(
    st.lists(
        st.tuples(st.floats(80, 1500), st.floats(0, 150), st.floats(9, 30)), min_size=1, max_size=6
    ),
    st.floats(160, 900),
)
def test_layouts_hold_their_promises(
    given_units: list[tuple[float, float, float]], max_span: float
) -> None:
    units = [unit(f"u{i}", w, gap, side) for i, (w, gap, side) in enumerate(given_units)]
    row = row_of(*units)
    try:
        stands = stand_row(row, PACKER, max_span, [])
    except Refusal:
        assume(False)
        raise
    near = 1e-6  # SAME_PLACE_MM, below anything a tape shows
    assert stands[0].x_mm >= row.start_mm + PACKER / 2 - near
    assert stands[-1].x_mm <= row.end_mm - PACKER / 2 + near
    for left, right in pairwise(stands):
        assert PACKER - near <= right.x_mm - left.x_mm <= max(max_span, PACKER) + near
    carried: dict[str, float] = {}
    for stand in stands:
        for name, share in stand.carries:
            carried[name] = carried.get(name, 0.0) + share
    assert carried == pytest.approx({u.name: 1.0 for u in units})


@pytest.mark.parametrize(
    ("direction", "corner", "size", "expected"),
    [
        (0.0, (300.0, 80.0), (200.0, 500.0), [(300.0, 500.0)]),
        (0.0, (300.0, 90.0), (200.0, 500.0), []),  # touches the strip 45..90 from outside
        (0.0, (300.0, 45.0), (200.0, 45.0), [(300.0, 500.0)]),  # just the strip
        (0.0, (300.0, 0.0), (200.0, 900.0), [(300.0, 500.0)]),  # right across it
        (90.0, (-300.0, 100.0), (260.0, 70.0), [(100.0, 170.0)]),
    ],
)
def test_no_go_areas_close_stretches_of_a_row(
    direction: float,
    corner: tuple[float, float],
    size: tuple[float, float],
    expected: list[tuple[float, float]],
) -> None:
    area = NoGo(name="hatch", corner_mm=corner, size_mm=size)
    found = closed_stretches(row_of(unit("a", 900)), Frame((0.0, 0.0), direction), 45.0, [area])
    assert [(low, high) for low, high, _ in found] == [pytest.approx(pair) for pair in expected]


def test_areas_that_forbid_only_screws_close_nothing() -> None:
    area = NoGo(name="mat", corner_mm=(0.0, 0.0), size_mm=(900.0, 900.0), forbids="screws")
    assert closed_stretches(row_of(unit("a", 900)), Frame((0.0, 0.0), 0.0), 45.0, [area]) == []
