"""Cutting a ladder frame: one list for members and rungs, joints over rungs only."""

from pathlib import Path
from typing import Any

import pytest

from kit.base.footing import Footing
from kit.base.ladder_cuts import MOST_AT_ONCE, CutPlan, cut_frame
from kit.base.ladder_frame import LadderFrame, lay_frame
from kit.base.layout import Layout, lay_out
from kit.job import Base, Job, Ladder, NoGo, Refusal

THICK = 18.0


def framed(
    *widths: float, no_go: tuple[NoGo, ...] = (), **ladder: Any
) -> tuple[Layout, LadderFrame, Ladder]:
    units = tuple(
        {"name": f"case {n}", "width_mm": w, "depth_mm": 430.0, "height_mm": 900.0, "mass_kg": 9.0}
        for n, w in enumerate(widths)
    )
    base = Base.model_validate(
        {
            "name": "frame",
            "method": "ladder",
            "height_mm": 60.0,
            "ladder": {"boards": ({"mm": 95.0},), **ladder},
        }
    )
    job = Job.model_validate(
        {
            "schema": 1,
            "title": "market hall",
            "floor": {"kind": "solid"},
            "survey": ({"kind": "heights", "file": "h.csv"},),
            "run": ({"name": "A", "unit": units},),
            "base": (base,),
            "stock": {"packers": ({"mm": 3.0},)},
            "no_go": tuple(area.model_dump() for area in no_go),
            "folder": Path(),
        }
    )
    layout = lay_out(job, base, Footing(THICK, (THICK, THICK)))
    assert base.ladder is not None
    return layout, lay_frame(layout, THICK, job.no_go), base.ladder


def check_plan(plan: CutPlan, frame: LadderFrame, ladder: Ladder) -> None:
    """Everything is cut once, nothing is longer than its length, joints stand over rungs."""
    cuts = plan.cuts
    for member in frame.members:
        pieces = cuts[cuts["bearer"] == member.name].sort_values("piece")
        assert pieces["from_x_mm"].iloc[0] == member.start_mm
        assert pieces["to_x_mm"].iloc[-1] == member.end_mm
        inner = pieces["to_x_mm"].tolist()[:-1]
        assert inner == pieces["from_x_mm"].tolist()[1:]
        if member.rung:
            assert not inner
        else:
            assert set(inner) <= set(frame.rung_places_mm(member.name))
    for _, of_bar in cuts.groupby("bar"):
        used = of_bar["length_mm"].sum() + ladder.kerf_mm * (len(of_bar) - 1)
        assert used <= of_bar["stock_mm"].iloc[0] + 1e-6
        assert of_bar["stock_mm"].nunique() == 1
    bars = cuts.drop_duplicates("bar")["stock_mm"]
    bought = dict(zip(plan.bought["stock_mm"], plan.bought["count"], strict=True))
    assert bought == dict(bars.value_counts())
    assert plan.waste_mm == pytest.approx(bars.sum() - cuts["length_mm"].sum())
    ends = {
        name: cuts[(cuts["bearer"] == name) & (cuts["piece"] > 1)]["from_x_mm"].tolist()
        for name in ("B", "F")
    }
    assert all(abs(x - y) >= 3 * THICK for x in ends["B"] for y in ends["F"])
    assert sum(map(len, ends.values())) == len(plan.joints)


def test_a_small_frame_is_cut_with_least_waste() -> None:
    layout, frame, ladder = framed(900.0, 1100.0, 640.0, stock_mm=(2440.0,))
    plan = cut_frame(layout, frame, ladder, "frame")
    check_plan(plan, frame, ladder)
    # 2 * 2640 of members and 9 rungs of 294 by hand: 7926 mm take four lengths of 2440.
    assert plan.cuts["length_mm"].sum() == pytest.approx(2 * 2640 + 9 * 294)
    assert plan.bought["count"].tolist() == [4]
    assert plan.proven


@pytest.mark.parametrize("count", [14, 31, 70])
def test_a_hall_is_cut_in_a_bounded_way(count: int) -> None:
    widths = [437.0 + 83 * (n % 7) for n in range(count)]
    layout, frame, ladder = framed(*widths, stock_mm=(2440.0, 3050.0))
    assert len(frame.members) > MOST_AT_ONCE
    plan = cut_frame(layout, frame, ladder, "frame")
    check_plan(plan, frame, ladder)
    length, bought = plan.cuts["length_mm"].sum(), plan.waste_mm + plan.cuts["length_mm"].sum()
    # First fit, longest first, takes at most 11/9 of the fewest bars (Johnson, from memory); the
    # joints are free besides.
    assert bought < 11 / 9 * length + 3050
    assert plan.proven == (plan.gap_mm == 0)
    assert bought - plan.gap_mm >= length - 1e-6
    assert not plan.pieces_proven


def test_no_joint_where_no_rung_meets_the_member() -> None:
    duct = NoGo(name="duct", corner_mm=(1780.0, 150.0), size_mm=(60.0, 60.0))
    layout, frame, ladder = framed(600.0, 600.0, 600.0, 600.0, no_go=(duct,), stock_mm=(2000.0,))
    # The rungs at 1791 and 1809 are gone, the crossings are not.
    assert not {1791.0, 1809.0} & set(frame.rung_places_mm("B"))
    assert {1791.0, 1809.0} <= set(layout.supports["own_x_mm"])
    plan = cut_frame(layout, frame, ladder, "frame")
    check_plan(plan, frame, ladder)
    over = layout.supports.set_index("support")["own_x_mm"]
    assert not {1791.0, 1809.0} & {over[support] for _, support in plan.joints}


def test_a_stretch_longer_than_every_length_is_refused() -> None:
    layout, frame, ladder = framed(900.0, 1100.0, stock_mm=(450.0,))
    with pytest.raises(Refusal) as refused:
        cut_frame(layout, frame, ladder, "frame")
    # Sides at 9, 891, 909, 1991 and one rung in each bay between: at 450 and 1450.
    assert str(refused.value) == (
        "job.toml, base 'frame', ladder.stock_mm: found 541 mm of B from 909 to 1450 mm without a"
        " rung to join it over; allowed: at most the longest stock length, 450 mm"
    )


def test_joints_of_neighbours_that_must_meet_are_refused() -> None:
    # One rung within reach from either end: at 450 of 891 mm, on both members.
    layout, frame, ladder = framed(900.0, stock_mm=(460.0,))
    with pytest.raises(Refusal) as refused:
        cut_frame(layout, frame, ladder, "frame")
    assert str(refused.value) == (
        "job.toml, base 'frame', ladder.stock_mm: found joints of F less than 54 mm from those of"
        " its neighbours; allowed: a stock length longer than 460 mm, or more rungs to join over"
    )


def test_the_same_frame_is_cut_alike_twice() -> None:
    layout, frame, ladder = framed(*[700.0 + 31 * n for n in range(9)])
    one, other = (cut_frame(layout, frame, ladder, "frame") for _ in range(2))
    assert one.cuts.equals(other.cuts)
    assert one.joints == other.joints
    assert one.joints
