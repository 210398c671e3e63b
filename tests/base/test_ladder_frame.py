"""The ladder frame in plan: members, rungs, no-go areas, footprint, own weight."""

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import kit
from kit.base.footing import Footing
from kit.base.ladder_frame import MOST_PLACES, LadderFrame, lay_frame, own_weights
from kit.base.layout import Layout, lay_out
from kit.job import Base, Job, NoGo

DATA = Path(__file__).parents[2] / "data"
THICK = 18.0
LADDER = {"boards": ({"mm": 95.0},)}


def laid(job: Job, **base: Any) -> tuple[Layout, LadderFrame]:
    told = {"name": "frame", "method": "ladder", "height_mm": 60.0, "ladder": LADDER, **base}
    layout = lay_out(job, Base.model_validate(told), Footing(THICK, (THICK, THICK)))
    return layout, lay_frame(layout, THICK, job.no_go)


def of_units(*units: dict[str, Any], no_go: tuple[NoGo, ...] = (), **run: Any) -> Job:
    usual = {"depth_mm": 450.0, "height_mm": 900.0, "width_mm": 700.0, "mass_kg": 20.0}
    made = tuple({**usual, "name": f"case {n}", **unit} for n, unit in enumerate(units))
    return Job.model_validate(
        {
            "schema": 1,
            "title": "market hall",
            "floor": {"kind": "solid"},
            "survey": ({"kind": "heights", "file": "h.csv"},),
            "run": ({"name": "A", "unit": made, **run},),
            "base": ({"name": "b", "height_mm": 60.0},),
            "stock": {"packers": ({"mm": 3.0},)},
            "no_go": tuple(area.model_dump() for area in no_go),
            "folder": Path(),
        }
    )


@pytest.fixture(scope="module")
def reading_room() -> tuple[Layout, LadderFrame]:
    return laid(kit.read_job(DATA / "reading-room"))


def test_a_rung_under_every_side_division_and_end(
    reading_room: tuple[Layout, LadderFrame],
) -> None:
    layout, frame = reading_room
    # Centre lines by hand: 1000 + 1000 + 1100 + 900 wide, sides of 19.
    expected = [
        9.5, 500, 990.5, 1009.5, 1500, 1990.5, 2009.5, 2400, 2740, 3090.5, 3109.5, 3550, 3990.5,
    ]  # fmt: skip
    between = frame.rungs_between(("B", "F"))
    assert [rung.own_x_mm for rung in between] == expected
    assert [rung.name for rung in frame.rungs] == [f"R{n}" for n in range(1, 18)]
    # From face to face of members at 54 and 256, along from the back row.
    assert {(rung.start_mm, rung.end_mm) for rung in between} == {(9.0, 202.0 - 9.0)}
    assert frame.bays == (("B", "F"), ("F", "D"))
    further = frame.rungs_between(("F", "D"))
    assert [rung.own_x_mm for rung in further] == [2009.5, 2400, 2740, 3090.5]
    assert {(rung.start_mm, rung.end_mm) for rung in further} == {(211.0, 416.0 - 54.0 - 9.0)}
    assert [one.name for one in frame.long] == [row.name for row in layout.rows]


def test_rungs_divide_bays_longer_than_the_longest_span() -> None:
    _, frame = laid(of_units({"width_mm": 1000.0}, {"width_mm": 640.0}), max_span_mm=400.0)
    places = [rung.own_x_mm for rung in frame.rungs]
    assert np.diff(places).max() <= 400
    # Sides at 9, 991, 1009, 1631: three bays of 327.3 and two of 311.
    assert places == pytest.approx([9, 9 + 982 / 3, 9 + 982 * 2 / 3, 991, 1009, 1320, 1631])


def test_members_stand_in_the_room_as_their_run_is_turned() -> None:
    job = of_units({}, {"width_mm": 500.0}, origin_mm=(300.0, 2000.0), direction_deg=-90.0)
    _, frame = laid(job)
    places = frame.places()
    # The run goes up along -y, its own y out along +x.
    back = places[places["member"] == "B"]
    assert back["x_mm"].to_numpy() == pytest.approx(300 + 54)
    assert back["y_mm"].to_numpy() == pytest.approx(2000 - back["along_mm"])
    rung = places[places["member"] == "R2"]
    assert rung["y_mm"].to_numpy() == pytest.approx(2000 - 350)
    assert rung["x_mm"].to_numpy() == pytest.approx(300 + 54 + rung["along_mm"])
    assert (rung["x_mm"].min(), rung["x_mm"].max()) == (300 + 54 + 9, 300 + 386 - 9)


def test_the_front_lift_reaches_along_the_rungs(
    reading_room: tuple[Layout, LadderFrame],
) -> None:
    layout, frame = reading_room
    places = frame.places()
    # Rows at 54 and 256; the further row beyond the front takes more than all of it.
    assert places["lift_share"].to_numpy() == pytest.approx((places["y_mm"] - 54) / 202)
    further = places[places["member"] == "D"]["lift_share"]
    assert further.to_numpy() == pytest.approx(layout.lift_share(layout.row("D")))


def test_a_rung_keeps_out_of_a_no_go_area_and_a_member_bridges_it() -> None:
    units = ({}, {"width_mm": 900.0, "divisions_mm": (400.0,)})
    # Divisions and sides at 9, 691, 709, 1100, 1591.
    hatch = NoGo(name="hatch", corner_mm=(1060.0, 20.0), size_mm=(100.0, 60.0))
    _, frame = laid(of_units(*units, no_go=(hatch,)))
    assert [rung.own_x_mm for rung in frame.rungs] == [9, 350, 691, 709, 1051, 1169, 1591]
    back, front = frame.long
    assert back.closed == ((1060.0, 1160.0, "hatch"),)
    assert front.closed == ()
    along = back.places_mm(50.0)
    over = np.array(back.over(along)) == "hatch"
    assert (along[over].min(), along[over].max()) == (1060.0, 1160.0)
    assert not over[along < 1060].any()
    assert not over[along > 1160].any()


def test_an_area_between_the_rows_takes_only_its_rungs() -> None:
    duct = NoGo(name="duct", corner_mm=(660.0, 150.0), size_mm=(40.0, 80.0))
    layout, frame = laid(of_units({}, {}, no_go=(duct,)))
    # 691 is a rung from 682 to 700; 709 touches the area's edge at 700 and stands.
    assert [rung.own_x_mm for rung in frame.rungs] == [9, 350, 709, 1050, 1391]
    assert 691.0 in layout.supports["own_x_mm"].to_list()
    assert frame.rung_places_mm("F") == (9, 350, 709, 1050, 1391)
    screws = duct.model_copy(update={"forbids": "screws"})
    _, free = laid(of_units({}, {}, no_go=(screws,)))
    assert len(free.rungs) == 6


def test_rungs_run_from_row_to_row_where_a_middle_row_is() -> None:
    _, frame = laid(of_units({"depth_mm": 900.0}), back_mm=45.0, front_mm=55.0)
    # Rows at 54 and 836: 782 mm take one between, at 445.
    assert frame.bays == (("B", "M"), ("M", "F"))
    lengths = {rung.length_mm for rung in frame.rungs}
    assert lengths == {391.0 - 18.0}
    assert len(frame.rungs_between(("B", "M"))) == len(frame.rungs_between(("M", "F")))


def test_runs_of_a_corner_are_named_apart() -> None:
    _, frame = laid(kit.read_job(DATA / "boot-room"), end_inset_mm=5.0)
    assert [one.name for one in frame.long] == ["A-B", "A-F", "B-B", "B-F"]
    names = [rung.name for rung in frame.rungs]
    assert names[0] == "A-R1"
    assert names[-1] == "B-R6"
    assert len(set(names)) == len(names)


def test_the_footprint_is_close_on_both_faces(reading_room: tuple[Layout, LadderFrame]) -> None:
    _, frame = reading_room
    footprint = frame.footprint()
    assert list(footprint.columns) == [
        "bearer", "own_x_mm", "x_mm", "y_mm", "lift_share", "over", "lies",
    ]  # fmt: skip
    named = dict(zip(footprint["bearer"], footprint["lies"], strict=True))
    assert [named[name] for name in ("B", "D", "R1", "R14")] == ["member"] * 2 + ["rung"] * 2
    back = footprint[footprint["bearer"] == "B"]
    assert sorted(set(back["y_mm"])) == [45.0, 54.0, 63.0]
    assert all(
        of_line["x_mm"].sort_values().diff().max() <= 50 for _, of_line in back.groupby("y_mm")
    )
    rung = footprint[footprint["bearer"] == "R2"]
    assert sorted(set(rung["x_mm"])) == [491.0, 500.0, 509.0]
    assert (rung["own_x_mm"] == rung["x_mm"]).all()  # this run lies along the site's x


def test_under_a_hall_the_footprint_stays_bounded() -> None:
    hall = of_units(*({"width_mm": 640.0, "divisions_mm": (300.0,)} for _ in range(70)))
    _, frame = laid(hall)
    assert sum(one.length_mm for one in frame.members) > 120_000
    footprint = frame.footprint()
    # Crossings and both ends of each rung besides: as many again at most a third of it.
    assert len(footprint) < MOST_PLACES * 4 / 3
    places = frame.places()
    assert places[places["member"] == "B"]["along_mm"].diff().max() <= 50 + 1e-9


def test_own_weight_is_shared_by_halves(reading_room: tuple[Layout, LadderFrame]) -> None:
    layout, frame = reading_room
    n_per_mm = {one.name: 0.01 if one.rung else 0.02 for one in frame.members}
    found = own_weights(layout, frame, n_per_mm)
    # B1 at 9.5: half way to 500, and half a rung of 184 mm.
    assert found["B1"] == pytest.approx(0.02 * (9.5 + 490.5 / 2) + 0.01 * 184 / 2)
    # F8 at 2400 stands between rungs of 184 and 142 mm.
    assert found["F8"] == pytest.approx(0.02 * (740 - 9.5 - 0) / 2 + 0.01 * (184 + 142) / 2)
    whole = 0.02 * 9100 + 0.01 * (13 * 184 + 4 * 142)
    assert math.fsum(found.values()) == pytest.approx(whole)
