"""Supports with nothing along the row: shared by neighbours, or whole under their own unit."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.base.footing import Footing
from kit.base.runs import Row, lay_out_rows, place_units
from kit.base.supports import Stand
from kit.base.supports_apart import stand_apart
from kit.job import Base, Refusal, Run, Unit

STACK, PLATE = 75.0, 50.0


def unit(name: str, width: float, *divisions: float, gap: float = 0.0, **more: float) -> Unit:
    return Unit(
        name=name,
        width_mm=width,
        depth_mm=more.get("depth", 320.0),
        height_mm=1000.0,
        side_mm=19.0,
        gap_before_mm=gap,
        divisions_mm=divisions,
    )


def row_of(*units: Unit) -> Row:
    run = Run(name="A", unit=units)
    return Row("B", "A", "B", 67.5, 0.0, run.length_mm, place_units(run))


def shared(*units: Unit, closed: tuple[tuple[float, float, str], ...] = ()) -> list[Stand]:
    return list(stand_apart(row_of(*units), STACK, closed, shared=True))


def own(*units: Unit, closed: tuple[tuple[float, float, str], ...] = ()) -> list[Stand]:
    return list(stand_apart(row_of(*units), PLATE, closed, shared=False))


def places(stands: list[Stand]) -> list[float]:
    return [stand.x_mm for stand in stands]


def test_neighbouring_sides_share_one_stack_and_long_bays_get_none() -> None:
    stands = shared(unit("a", 1400.0), unit("b", 560.0))
    assert places(stands) == [37.5, 1400.0, 1922.5]
    assert [stand.lines for stand in stands] == [(9.5,), (1390.5, 1409.5), (1950.5,)]
    assert [stand.carries for stand in stands][1] == (("a", 0.5), ("b", 0.5))


def test_neighbouring_sides_each_stand_on_their_own_foot_whole_under_their_unit() -> None:
    stands = own(unit("a", 700.0), unit("b", 560.0, 200.0, gap=3.0))
    # plates of 50 reach the faces at 0, 700, 703 and 1263; the division's foot is under it
    assert places(stands) == [25.0, 675.0, 728.0, 903.0, 1238.0]
    assert [name for stand in stands for name, _ in stand.carries] == ["a", "a", "b", "b", "b"]


def test_a_division_near_a_side_pushes_no_foot_out_of_the_unit() -> None:
    # the division wants its foot at 470, the side's foot is at 425, at the face: only the
    # division's can give way
    stands = own(unit("z", 400.0), unit("a", 700.0, 70.0))
    assert places(stands)[2:4] == [425.0, 475.0]
    assert places(stands)[1] == 375.0


def test_a_side_and_a_division_that_one_plate_carries_stand_on_one_foot() -> None:
    stands = own(unit("a", 700.0, 38.0))  # from 0 to 47.5 mm
    assert stands[0].lines == (9.5, 38.0)
    assert places(stands) == [25.0, 675.0]


@given(
    st.lists(
        st.tuples(
            st.integers(120, 900),
            st.sampled_from([0, 2, 30]),
            st.sampled_from([(), (0.5,), (0.3, 0.66)]),
        ),
        min_size=1,
        max_size=5,
    )
)
def test_feet_keep_within_their_unit_and_off_each_other(
    given_units: list[tuple[int, int, tuple[float, ...]]],
) -> None:
    units = [
        unit(f"u{n}", float(width), *(width * part for part in parts), gap=float(gap))
        for n, (width, gap, parts) in enumerate(given_units)
        if not parts or width >= 300
    ]
    if not units:
        return
    row = row_of(*units)
    stands = stand_apart(row, PLATE, (), shared=False)
    assert all(b.x_mm - a.x_mm >= PLATE - 1e-6 for a, b in pairwise(stands))  # round-off of sums
    by_name = {placed.unit.name: placed for placed in row.units}
    for stand in stands:
        (placed,) = {by_name[name] for name, _ in stand.carries}
        assert placed.left_mm <= stand.x_mm - PLATE / 2 + 1e-9
        assert stand.x_mm + PLATE / 2 <= placed.right_mm + 1e-9
    for name in by_name:
        share = sum(part for stand in stands for own, part in stand.carries if own == name)
        assert share == pytest.approx(1.0)


def test_no_support_stands_on_a_closed_area_and_none_bridges_it() -> None:
    closed = ((560.0, 640.0, "hatch"),)
    assert places(own(unit("a", 1400.0), closed=closed)) == [25.0, 1375.0]
    with pytest.raises(Refusal, match=r"no_go 'hatch': found a support of row B at 585 mm") as one:
        own(unit("a", 610.0), unit("b", 500.0), closed=closed)
    assert "bridge" in str(one.value)
    with pytest.raises(Refusal, match="at 610 mm would stand on it"):
        shared(unit("a", 610.0), unit("b", 500.0), closed=closed)


def test_a_unit_narrower_than_a_plate_is_refused_by_name() -> None:
    with pytest.raises(Refusal, match="unit 'post', width_mm: found 45 mm over supports of 50"):
        own(unit("a", 500.0), unit("post", 45.0))


def test_what_does_not_fit_is_said_without_a_bearer() -> None:
    # sides and a division want three feet of 50
    with pytest.raises(Refusal, match="3 supports of 50 mm on 120 mm") as found:
        own(unit("a", 120.0, 60.0))
    assert "bearer" not in str(found.value)
    # four divisions 31.5 mm apart; feet 50 apart from the side's at 25 on: the last one at 225
    with pytest.raises(Refusal, match=r"at 194.5 mm: found its nearest support 30.5 mm") as found:
        own(unit("a", 700.0, 100.0, 131.5, 163.0, 194.5))
    assert "bearer" not in str(found.value)
    assert "inset" not in str(found.value)


def test_rows_of_supports_apart_run_under_the_whole_run_whatever_the_inset_of_bearers() -> None:
    run = Run(name="A", unit=(unit("a", 700.0), unit("deep", 800.0, depth=640.0)))
    base = Base(name="b", height_mm=60.0, end_inset_mm=120.0)
    footing = Footing(PLATE, (PLATE, PLATE), joined=False, shared=False)
    apart = lay_out_rows(run, base, footing, several_runs=False)
    assert [(row.label, row.start_mm, row.end_mm) for row in apart] == [
        ("B", 0.0, 1500.0),
        ("F", 0.0, 1500.0),
        ("D", 700.0, 1500.0),
    ]
    joined = lay_out_rows(run, base, Footing(PLATE, (PLATE, PLATE)), several_runs=False)
    assert [(row.start_mm, row.end_mm) for row in joined] == [
        (120.0, 1380.0),
        (120.0, 1380.0),
        (700.0, 1380.0),
    ]
    # plates of 50 lie whole under the units: 45 + 25 from the back, 55 + 25 from the front
    assert [row.y_mm for row in apart] == [70.0, 240.0, 560.0]
