"""Runs in plan: frames, panels, rows, and units that must stand between their rows."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.base.footing import Footing
from kit.base.runs import Frame, lay_out_rows, place_units
from kit.job import Base, Bearer, Refusal, Run, Unit


def unit(name: str = "case", **changes: object) -> Unit:
    given_ = {"name": name, "width_mm": 900.0, "depth_mm": 320.0, "height_mm": 1150.0, **changes}
    return Unit.model_validate(given_)


def base(**changes: object) -> Base:
    return Base.model_validate({"name": "b", "height_mm": (50.0, 70.0), **changes})


def rows_of(units: tuple[Unit, ...], design: Base | None = None) -> list[tuple[str, float]]:
    run = Run(name="A", unit=units)
    rows = lay_out_rows(
        run,
        design or base(),
        Footing((design or base()).bearer.width_mm, (75.0, 45.0)),
        several_runs=False,
    )
    return [(row.name, row.y_mm) for row in rows]


@pytest.mark.parametrize(
    ("direction", "own", "site"),
    [
        (0, (700, 40), (1700, 2040)),
        (90, (700, 40), (960, 2700)),  # right-hand return wall: along +y, out of it towards -x
        (-90, (700, 40), (1040, 1300)),  # left-hand return wall: along -y, out of it towards +x
        (180, (700, 40), (300, 1960)),
    ],
)
def test_a_run_is_set_out_in_its_own_frame(
    direction: float, own: tuple[float, float], site: tuple[float, float]
) -> None:
    x, y = Frame((1000.0, 2000.0), direction).to_site(*own)
    assert (float(x), float(y)) == site  # right angles are exact


@given(
    st.floats(-360, 360),
    st.tuples(st.floats(-9000, 9000), st.floats(-9000, 9000)),
    st.tuples(st.floats(-9000, 9000), st.floats(-9000, 9000)),
)
def test_there_and_back(
    direction: float, origin: tuple[float, float], place: tuple[float, float]
) -> None:
    frame = Frame(origin, direction)
    back = frame.to_own(*frame.to_site(*place))
    # 1e-8 mm: round-off of sums of 20 m lengths in double precision
    assert np.allclose(back, place, atol=1e-8)


def test_panels_share_the_load_by_tributary_width() -> None:
    run = Run(name="A", unit=(unit("a", gap_before_mm=30.0, divisions_mm=(300.0,), side_mm=20.0),))
    (placed,) = place_units(run)
    # centre lines 10, 300, 890 from the left face; edges of the strips 0, 155, 595, 900
    assert [panel.x_mm for panel in placed.panels] == [40.0, 330.0, 920.0]
    assert [panel.kind for panel in placed.panels] == ["side", "division", "side"]
    assert [panel.share * 900 for panel in placed.panels] == pytest.approx([155, 440, 305])


def test_units_stand_after_their_gaps() -> None:
    run = Run(name="A", unit=(unit("a", gap_before_mm=30.0), unit("b", gap_before_mm=12.5)))
    assert [placed.left_mm for placed in place_units(run)] == [30.0, 942.5]
    assert run.length_mm == 1842.5


def test_back_and_front_rows_keep_their_set_backs() -> None:
    # back 45 + 45/2; front 300 (the shallowest) - 55 - 45/2
    shallow = unit("b", depth_mm=300.0)
    assert rows_of((unit("a"), shallow)) == [("B", 67.5), ("F", 222.5)]


def test_rows_more_than_600_apart_get_a_middle_row() -> None:
    just = unit(depth_mm=790.0)  # rows 67.5 and 667.5: exactly 600 apart
    assert [name for name, _ in rows_of((just,), base(front_mm=100.0))] == ["B", "F"]
    wide = unit(depth_mm=800.0)
    assert rows_of((wide,), base(front_mm=100.0)) == [("B", 67.5), ("M", 372.5), ("F", 677.5)]


def test_very_deep_units_get_as_many_middle_rows_as_needed() -> None:
    rows = rows_of((unit(depth_mm=1600.0),))
    places = [y for _, y in rows]
    assert [name for name, _ in rows] == ["B", "M.1", "M.2", "F"]
    assert np.diff(places) == pytest.approx([485.0] * 3)  # (1522.5 - 67.5) / 3


def test_a_deep_unit_among_shallow_ones_gets_a_further_row() -> None:
    run = Run(name="A", unit=(unit("a"), unit("deep", depth_mm=480.0), unit("c")))
    rows = lay_out_rows(run, base(), Footing(45.0, (75.0, 45.0)), several_runs=True)
    further = rows[-1]
    # centre of gravity 240; front row at 242.5, a sixth of 175 before it is 213.3
    assert (further.name, further.y_mm) == ("A-D", 402.5)
    assert (further.start_mm, further.end_mm) == (900.0, 1800.0)
    assert [placed.unit.name for placed in further.units] == ["deep"]


def test_a_unit_just_inside_the_front_row_needs_no_further_row() -> None:
    limit = 242.5 - 175 / 6
    inside = unit("deep", depth_mm=480.0, centre_of_gravity_mm=limit - 0.1)
    beyond = unit("deep", depth_mm=480.0, centre_of_gravity_mm=limit + 0.1)
    assert [name for name, _ in rows_of((unit(), inside))] == ["B", "F"]
    assert [name for name, _ in rows_of((unit(), beyond))] == ["B", "F", "D"]


def test_on_a_surface_each_deeper_unit_stands_at_its_own_front() -> None:
    units = (unit("a"), unit("deep", depth_mm=480.0, centre_of_gravity_mm=150.0), unit("c"))
    units += (unit("deeper", depth_mm=505.0), unit("as deep", depth_mm=320.05))
    surface = Footing(19.0, (19.0, 19.0), joined=False, own_fronts=True)
    whole = base(back_mm=0.0, front_mm=0.0)
    rows = lay_out_rows(Run(name="A", unit=units), whole, surface, several_runs=False)
    stand = {(row.name, row.y_mm): [placed.unit.name for placed in row.units] for row in rows}
    assert stand == {
        ("B", 9.5): ["a", "deep", "c", "deeper", "as deep"],
        ("F", 310.5): ["a", "c", "as deep"],
        ("D.1", 470.5): ["deep"],  # its centre of gravity alone would ask for no further row
        ("D.2", 495.5): ["deeper"],
    }


def test_on_a_surface_a_unit_that_tips_over_its_own_front_is_refused() -> None:
    surface = Footing(19.0, (19.0, 19.0), joined=False, own_fronts=True)
    units = (unit("a"), unit("nose-heavy", depth_mm=480.0, centre_of_gravity_mm=400.0))
    with pytest.raises(Refusal, match="'nose-heavy': found its centre of gravity 400 mm"):
        lay_out_rows(
            Run(name="A", unit=units), base(back_mm=0.0, front_mm=0.0), surface, several_runs=False
        )


def test_two_groups_of_deep_units_are_numbered() -> None:
    deep = {"depth_mm": 480.0}
    names = rows_of((unit("a", **deep), unit("b"), unit("c", **deep)))
    assert [name for name, _ in names] == ["B", "F", "D.1", "D.2"]


def test_a_unit_that_cannot_stand_between_its_rows_is_refused_by_name() -> None:
    nose_heavy = unit("nose-heavy", centre_of_gravity_mm=300.0)
    with pytest.raises(Refusal, match="unit 'nose-heavy': found its centre of gravity 300 mm"):
        rows_of((nose_heavy,))
    tail_heavy = unit("tail-heavy", centre_of_gravity_mm=60.0)
    with pytest.raises(Refusal, match=r"'tail-heavy'.*between its rows, from 67.5 to 213.3 mm"):
        rows_of((tail_heavy,))
    slightly_deeper = unit("slightly deeper", depth_mm=350.0, centre_of_gravity_mm=260.0)
    with pytest.raises(Refusal, match="slightly deeper"):  # its own row would overlap the front
        rows_of((unit(), slightly_deeper))


def test_rows_that_would_overlap_are_refused() -> None:
    with pytest.raises(Refusal, match=r"back_mm and front_mm: found front row 5 mm in front"):
        rows_of((unit(depth_mm=150.0),))


def test_an_inset_that_leaves_no_bearer_is_refused() -> None:
    with pytest.raises(Refusal, match="end_inset_mm: found 440 mm at both ends of run A, 900 mm"):
        rows_of((unit(),), base(end_inset_mm=440.0))


def test_the_bearer_decides_the_centre_lines() -> None:
    design = base(bearer=Bearer(width_mm=50.0), back_mm=40.0, front_mm=60.0)
    assert rows_of((unit(),), design) == [("B", 65.0), ("F", 235.0)]
