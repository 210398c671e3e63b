"""Movement joints: where they cut a row, against shapely; nothing of a base nearer than asked."""

import math
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from kit.base.cuts import BearerLine, cut_bearers
from kit.base.footing import Footing
from kit.base.joint_distances import stands_across
from kit.base.ladder_frame import lay_frame
from kit.base.layout import Layout, lay_out
from kit.base.movement_joints import part_rows, stretches_of
from kit.base.overlaps import corners
from kit.base.runs import Frame, Row
from kit.job import Base, Job, MovementJoint, Refusal

SITE = Frame((0.0, 0.0), 0.0)

#: Turned run frames that the site's places are exact in, and one that they are not.
FRAMES = (SITE, Frame((300.0, -40.0), 90.0), Frame((-700.0, 512.0), 33.0))


def joint(*ends: float, name: str = "J", clear: float = 10.0) -> MovementJoint:
    return MovementJoint(name=name, from_mm=ends[:2], to_mm=ends[2:], clear_mm=clear)


def job_of(*joints: MovementJoint, widths: tuple[float, ...] = (900.0, 1100.0), **more: Any) -> Job:
    """A run of units 500 deep; rows 45 wide at 67.5 and 422.5 mm, packers 75 by 60."""
    base = {"name": "b", "height_mm": (40.0, 60.0), **more.pop("base", {})}
    units = tuple(
        {"name": f"unit {n}", "width_mm": w, "depth_mm": 500.0, "height_mm": 900.0, "mass_kg": 40.0}
        | more.get("unit", {})
        for n, w in enumerate(widths, 1)
    )
    return Job.model_validate(
        {
            "schema": 1,
            "title": "market hall",
            "floor": {"kind": "solid"},
            "survey": ({"kind": "heights", "file": "h.csv"},),
            "run": ({"name": "A", "unit": units, **more.get("run", {})},),
            "movement_joint": tuple(one.model_dump() for one in joints),
            "base": (base,),
            "stock": {"packers": ({"mm": 18.0},), "packer_size_mm": (75.0, 60.0)},
            "folder": Path(),
        }
    )


def laid(job: Job) -> Layout:
    return lay_out(job, job.bases[0])


def ends_of(layout: Layout) -> dict[str, tuple[float, float]]:
    return {row.name: (row.start_mm, row.end_mm) for row in layout.rows}


def test_a_bearer_stops_short_of_a_joint_on_each_side() -> None:
    layout = laid(job_of(joint(1234.0, -50.0, 1234.0, 900.0, clear=12.0)))
    assert ends_of(layout) == {
        "Ba": (0.0, 1222.0),
        "Bb": (1246.0, 2000.0),
        "Fa": (0.0, 1222.0),
        "Fb": (1246.0, 2000.0),
    }
    at = layout.on_bearer("Ba")["own_x_mm"].tolist()
    assert at[-1] == 1222.0 - 37.5  # the packer whole under the end
    assert layout.on_bearer("Bb")["own_x_mm"].tolist()[0] == 1246.0 + 37.5
    assert layout.on_bearer("Ba")["reasons"].tolist()[-1] == "end"
    # Names run on along the whole row.
    back = layout.supports[layout.supports["row"] == "B"]
    assert back["support"].tolist() == [f"B{n}" for n in range(1, len(back) + 1)]
    assert back["own_x_mm"].is_monotonic_increasing
    assert [row.joints for row in layout.rows] == [("", "J"), ("J", "")] * 2


def test_each_row_is_cut_at_its_own_place_by_an_oblique_joint() -> None:
    """At 45 degrees a strip 45 wide is cut (10 + 22.5 sin 45) / sin 45 short of its middle."""
    layout = laid(job_of(joint(1200.0, 0.0, 1900.0, 700.0)))
    short = 10.0 * math.sqrt(2) + 22.5
    ends = ends_of(layout)
    assert ends["Ba"][1] == pytest.approx(1267.5 - short)
    assert ends["Bb"][0] == pytest.approx(1267.5 + short)
    assert ends["Fa"][1] == pytest.approx(1622.5 - short)
    # Packers are 60 across: theirs stand 7.5 further from it than the bearer's end.
    assert layout.on_bearer("Ba")["own_x_mm"].max() == pytest.approx(1267.5 - short - 7.5 - 37.5)


def test_a_joint_that_ends_between_the_rows_cuts_one_of_them() -> None:
    layout = laid(job_of(joint(1234.0, -50.0, 1234.0, 250.0)))
    assert list(ends_of(layout)) == ["Ba", "Bb", "F"]
    assert layout.row("F").part_of == ""
    assert layout.lift_share(layout.row("Bb")) == 0.0


def test_a_joint_along_the_run_between_the_rows_cuts_nothing() -> None:
    job = job_of(joint(-100.0, 250.0, 2500.0, 250.0))
    assert list(ends_of(laid(job))) == ["B", "F"]
    assert all(stands_across(one, SITE, job.movement_joints[0]) for one in laid(job).units)


@pytest.mark.parametrize("y", [67.5, 95.0, 40.0])  # 40 to 50 from the strip 45 to 90: within 10
def test_a_joint_along_and_under_a_row_is_refused(y: float) -> None:
    with pytest.raises(Refusal, match=r"'J', bearer B: .*along and under.*move back_mm"):
        laid(job_of(joint(-100.0, y, 2500.0, y)))


def test_a_joint_just_beside_a_row_is_not_under_it() -> None:
    """100 is exactly 10 in front of the bearer's edge at 90; its packers 60 wide step over it."""
    job = job_of(joint(-100.0, 107.6, 2500.0, 107.6))
    assert list(ends_of(laid(job))) == ["B", "F"]
    with pytest.raises(Refusal, match="'J'"):
        laid(job_of(joint(-100.0, 107.0, 2500.0, 107.0)))


def test_packers_wider_than_their_bearer_step_over_a_joint_beside_it() -> None:
    """It ends 13 mm in front of the bearer, 5.5 in front of the packers, under a middle stack."""
    job = job_of(joint(450.0, 103.0, 450.0, 300.0), unit={"divisions_mm": (450.0,)})
    layout = laid(job)
    assert list(ends_of(layout)) == ["B", "F"]
    at = layout.on_bearer("B")["own_x_mm"].tolist()
    aside = math.sqrt(10.0**2 - 5.5**2) + 37.5
    assert at[1:3] == pytest.approx([450.0 - aside, 450.0 + aside])
    told = job.bases[0].model_dump()
    told["moved"] = ({"bearer": "B", "from_mm": at[1], "to_mm": 430.0},)
    moved = job.model_copy(update={"bases": (Base.model_validate(told),)})
    with pytest.raises(Refusal, match="movement joint 'J'"):
        laid(moved)


def test_sides_right_over_a_joint_go_to_the_nearer_part_or_are_refused() -> None:
    # The sides of both units stand 9 mm either side of 900: 1 mm beyond their bearers' ends.
    layout = laid(job_of(joint(900.0, -50.0, 900.0, 900.0)))
    assert [len(layout.row(name).panels) for name in ("Ba", "Bb")] == [2, 2]
    loads = layout.supports.groupby("bearer")["load_N"].sum()
    assert loads["Ba"] + loads["Fa"] == pytest.approx(40 * 9.81)
    with pytest.raises(Refusal, match=r"bearer Ba, side .*movement joint 'J'"):
        laid(job_of(joint(900.0, -50.0, 900.0, 900.0, clear=60.0)))


def test_a_part_under_no_side_is_left_out_and_one_too_short_for_a_packer_refused() -> None:
    layout = laid(
        job_of(joint(1100.0, -9.0, 1100.0, 900.0), joint(1300.0, -9, 1300.0, 900, name="K"))
    )
    assert ends_of(layout)["Ba"] == (0.0, 1090.0)
    assert ends_of(layout)["Bb"] == (1310.0, 2000.0)
    with pytest.raises(Refusal, match=r"'J'.*bearer Ba.*40\.0 mm of bearer left"):
        laid(job_of(joint(50.0, -9.0, 50.0, 900.0)))


def test_no_piece_of_bearer_bridges_a_joint() -> None:
    job = job_of(joint(1234.0, -50.0, 1234.0, 900.0), widths=(900.0, 1100.0, 1600.0))
    layout = laid(job)
    lines = [
        BearerLine(
            row.name, row.run, row.label, row.start_mm, row.end_mm,
            tuple(layout.on_bearer(row.name)["own_x_mm"]),
            tuple(layout.on_bearer(row.name)["support"]),
        )
        for row in layout.rows
    ]  # fmt: skip
    cuts = cut_bearers(lines, job.bases[0].bearer, 75.0).cuts
    over = cuts[(cuts["from_x_mm"] < 1234.0) & (cuts["to_x_mm"] > 1234.0)]
    assert len(cuts) >= 4
    assert len(over) == 0


def test_parts_are_named_by_letters_run_on() -> None:
    row = Row("D.2", "A", "D", 0.0, 0.0, 3e4, laid(job_of(widths=(600.0,) * 40)).units)
    many = [joint(300.0 + 600 * n, -99, 300.0 + 600 * n, 99, name=f"J{n}") for n in range(28)]
    names = [part.name for part in part_rows((row,), SITE, (45.0, 45.0), many)]
    assert names[0] == "D.2a"
    assert names[25:] == ["D.2z", "D.2aa", "D.2ab", "D.2ac"]


COORDINATE = st.floats(-400.0, 1500.0)
#: A joint is a line: one that ends where it begins is refused by the job, and one that ends a
#: millionth of a millimetre further does so once it is turned.
ENDS = st.tuples(COORDINATE, COORDINATE, COORDINATE, COORDINATE).filter(
    lambda e: abs(e[0] - e[2]) + abs(e[1] - e[3]) > 1e-6
)


@given(
    ends=ENDS,
    clear=st.one_of(st.just(0.0), st.floats(0.1, 60.0)),
    y=st.floats(0.0, 500.0),
    frame=st.sampled_from(FRAMES),
)
@example(ends=(500.0, 0.0, 500.0, 900.0), clear=10.0, y=100.0, frame=SITE)
@example(ends=(500.0, 130.0, 900.0, 130.0), clear=20.0, y=100.0, frame=SITE)
@settings(max_examples=150)
def test_stretches_are_those_of_a_general_geometry_library(
    ends: tuple[float, float, float, float], clear: float, y: float, frame: Frame
) -> None:
    """Against shapely: the line made wide by its clearance, cut by the strip."""
    row = Row("B", "A", "B", y, 0.0, 1000.0, ())
    found = stretches_of(row, frame, 50.0, [joint(*ends, clear=clear)])
    own = np.column_stack(frame.to_own(ends[::2], ends[1::2]))
    line = shapely.LineString(own)
    wide = line.buffer(clear, quad_segs=256) if clear else line
    strip = shapely.box(-1e5, y - 25.0, 1e5, y + 25.0)
    cut = shapely.intersection(wide, strip)
    if not found:
        # Only what touches the strip is left out.
        assert cut.is_empty or cut.bounds[3] - cut.bounds[1] < 1e-3 or cut.area < 1.0
        return
    # The library's circles are polygons, 60 (1 - cos(pi/1024)) = 0.0003 mm too small; where a
    # flat arc just enters the strip that tells by its square root.
    assert found[0][:2] == pytest.approx((cut.bounds[0], cut.bounds[2]), abs=0.2)
    inner = shapely.intersection(wide, shapely.box(-1e5, y - 24.9, 1e5, y + 24.9))
    if not inner.is_empty:
        assert found[0][0] <= inner.bounds[0] + 1e-3
        assert found[0][1] >= inner.bounds[2] - 1e-3


SOME_JOINTS = st.lists(
    st.tuples(
        st.floats(-200.0, 3200.0), st.floats(-100.0, 700.0), st.floats(-200.0, 3200.0),
        st.floats(-100.0, 700.0), st.floats(0.0, 40.0),
    ).filter(lambda one: abs(one[0] - one[2]) + abs(one[1] - one[3]) > 1e-6),
    min_size=1,
    max_size=3,
)  # fmt: skip
STEEP = st.lists(
    st.tuples(st.floats(-50.0, 3050.0), st.floats(-120.0, 120.0), st.floats(0.0, 30.0)).map(
        lambda one: (one[0], -50.0, one[0] + one[1], 650.0, one[2])
    ),
    min_size=1,
    max_size=2,
)


@given(
    drawn=st.one_of(SOME_JOINTS, STEEP),
    method=st.sampled_from(["packers", "ladder", "stacks", "feet"]),
    turned=st.sampled_from([0.0, 90.0, 33.0]),
)
@settings(max_examples=120, deadline=None)
def test_nothing_of_a_base_comes_nearer_to_a_joint_than_asked(
    drawn: list[tuple[float, ...]], method: str, turned: float
) -> None:
    """Bearers, packers, screws (each in the middle of its packers), rungs; or a refusal by name."""
    frame = Frame((120.0, 340.0), turned)
    joints = []
    for number, (*ends, clear) in enumerate(drawn):
        x, y = frame.to_site(ends[::2], ends[1::2])
        joints.append(joint(x[0], y[0], x[1], y[1], name=f"joint {number}", clear=clear))
    job = job_of(
        *joints,
        widths=(900.0, 1150.0, 950.0),
        run={"origin_mm": (120.0, 340.0), "direction_deg": turned},
    )
    footing = {
        "packers": Footing(45.0, (75.0, 60.0)),
        "ladder": Footing(18.0, (18.0, 18.0)),
        "stacks": Footing(60.0, (75.0, 60.0), joined=False),
        "feet": Footing(55.0, (55.0, 55.0), joined=False, shared=False),
    }[method]
    layout, said = _laid_or_refused(job, footing)
    if layout is None:
        assert "joint " in said
        return
    outlines = _outlines(layout, footing, job)
    for one in job.movement_joints:
        line = shapely.LineString([one.from_mm, one.to_mm])
        for what, outline in outlines:
            assert shapely.distance(outline, line) >= one.clear_mm - 2e-6, what  # turned places
    # All of every unit comes down, once.
    weight = 3 * 40 * 9.81
    assert layout.supports["load_N"].sum() == pytest.approx(weight)
    _assert_no_shorter_than_needed(layout, footing, job)


def _laid_or_refused(job: Job, footing: Footing) -> tuple[Layout | None, str]:
    try:
        return lay_out(job, job.bases[0], footing), ""
    except Refusal as refusal:
        return None, str(refusal)


def _outlines(layout: Layout, footing: Footing, job: Job) -> list[tuple[str, shapely.Geometry]]:
    found: list[tuple[str, shapely.Geometry]] = []
    half, (along, across) = footing.strip_mm / 2, footing.pad_mm
    for row, stands in zip(layout.rows, layout.stands, strict=True):
        frame = layout.frames[row.run]
        if footing.joined:
            at = corners(frame, row.start_mm, row.end_mm, row.y_mm - half, row.y_mm + half)
            found.append((f"bearer {row.name}", shapely.Polygon(at)))
        for stand in stands:
            x, y = stand.x_mm, row.y_mm
            if footing.joined:
                assert row.start_mm - 1e-6 <= x - along / 2
                assert x + along / 2 <= row.end_mm + 1e-6
            at = corners(frame, x - along / 2, x + along / 2, y - across / 2, y + across / 2)
            found.append((f"packer at {x} of {row.name}", shapely.Polygon(at)))
            found.append(("screw", shapely.Point(frame.to_site(x, y))))
        assert all(b.x_mm - a.x_mm >= along - 1e-6 for a, b in pairwise(stands))
    if footing.strip_mm == 18.0:
        for rung in lay_frame(layout, 18.0, (), job.movement_joints).rungs:
            at = corners(rung.frame, rung.start_mm, rung.end_mm, -9.0, 9.0)
            found.append((rung.name, shapely.Polygon(at)))
    return found


def _assert_no_shorter_than_needed(layout: Layout, footing: Footing, job: Job) -> None:
    """An end at a joint lies exactly as far from it as asked."""
    by_name = {one.name: one for one in job.movement_joints}
    half = footing.strip_mm / 2
    for row in layout.rows:
        for end, names in zip((row.start_mm, row.end_mm), row.joints, strict=True):
            if names:
                edge = corners(
                    layout.frames[row.run], end, end + 1e-9, row.y_mm - half, row.y_mm + half
                )
                over = [
                    shapely.distance(
                        shapely.Polygon(edge).convex_hull,
                        shapely.LineString([one.from_mm, one.to_mm]),
                    )
                    - one.clear_mm
                    for one in (by_name[name] for name in names.split(" and "))
                ]
                assert min(over) == pytest.approx(0.0, abs=1e-5)  # turned places
