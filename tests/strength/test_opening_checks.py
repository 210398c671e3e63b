"""Members that bridge openings: actions against a beam of the kit, what bears on them, verdicts."""

import math
from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.base.footing import MEMBERS, Footing
from kit.base.layout import Layout, lay_out
from kit.job import Job
from kit.strength.opening_checks import actions, opening_checks, openings_of

HATCH = {"name": "hatch", "corner_mm": (380.0, 0.0), "size_mm": (160.0, 150.0)}


@pytest.fixture
def layout(job_of: Callable[..., Job]) -> Layout:
    """One case of 900 mm with a division at 430, over a hatch from 380 to 540 under its back."""
    job = job_of({"divisions_mm": (430.0,), "contents_kg": 85.0}, no_go=(HATCH,))
    return lay_out(job, job.bases[0], Footing(18.0, (18.0, 18.0), words=MEMBERS))


def profile_of(depth_mm: float = 44.0, over_mm: float = 39.0) -> pd.DataFrame:
    """Cut both members alike: so deep on the floor, so deep over the hatch."""
    along = np.array([0.0, 200.0, 371.0, 380.0, 460.0, 540.0, 549.0, 900.0])
    over = ["hatch" if 380 <= place <= 540 else "" for place in along]
    back = pd.DataFrame({"member": "B", "along_mm": along, "over": over})
    front = pd.DataFrame({"member": "F", "along_mm": along, "over": ""})
    both = pd.concat([back, front], ignore_index=True)
    return both.assign(depth_mm=np.where(both["over"] == "", depth_mm, over_mm))


@given(
    st.lists(st.tuples(st.integers(1, 399), st.integers(1, 900)), max_size=4),
    st.sampled_from([0.0, 0.05, 3.0]),
)
def test_moment_and_shear_are_those_of_the_line_of_shear(
    points: list[tuple[int, int]], own: float
) -> None:
    """Added up bit by bit, from the left: moment as the area under the shear (handbooks)."""
    span, step = 400.0, 0.05
    moment, shear = actions(span, [(float(a), float(p)) for a, p in points], own)
    middles = np.arange(step / 2, span, step)
    left = sum(p * (span - a) / span for a, p in points) + own * span / 2
    forces = left - own * middles - sum((p * (middles > a) for a, p in points), np.zeros(1))
    # Loads stand on the steps' edges, so that the sum is the integral; its top may lie inside one
    # step: off by at most a quarter of w times the step, squared.
    assert moment == pytest.approx(max(0.0, np.cumsum(forces * step).max()), rel=1e-9, abs=1e-2)
    ends = abs(left), abs(sum(p for _, p in points) + own * span - left)
    assert shear == pytest.approx(max(ends))  # round-off


def test_bending_of_what_is_left_by_hand(layout: Layout) -> None:
    (row,) = opening_checks(layout, profile_of(over_mm=29.0), 18.0, {"B": 0.0}, 1)
    # Crossings at 371 and 549; the division at 430 has 440 of 900 mm; 96 and 106 of 202 as in the
    # bearing of the frame.
    force = 9.81 * (1.35 * 30 + 1.5 * 85) * 440 / 900 * (256 - 160) / (256 - 54)
    moment = force * (430 - 371) * (549 - 430) / 178
    # EN 1995-1-1: kmod 0.7 (stored: long-term), gamma_M 1.3; EN 338: C16.
    assert row.value == pytest.approx(moment / (18 * 29**2 / 6) / (16 * 0.7 / 1.3))  # round-off
    assert row.subject == "B: over hatch, 178 mm, 29 mm left, bending"
    assert row.source.endswith("its deflection is not judged")
    assert (row.limit, row.verdict) == (1.0, "ok")


def test_a_heavy_member_counts_itself(layout: Layout) -> None:
    light, heavy = (
        next(opening_checks(layout, profile_of(over_mm=22.0), 18.0, {"B": own}, 1)).value
        for own in (0.0, 0.3)
    )
    # The moment at the load place: w a b / 2 more, 1.35 times (permanent), at kmod 0.7.
    more = 1.35 * 0.3 * 59 * 119 / 2
    added = more / (18 * 22**2 / 6) / (16 * 0.7 / 1.3)
    # The greatest moment stays under the load: the shear changes its sign there. Round-off.
    assert heavy - light == pytest.approx(added)


def test_where_little_is_left_shear_may_govern_and_is_referred(
    job_of: Callable[..., Job],
) -> None:
    # The division stands 12 mm beside its crossing, at 371: nearly all of it is shear.
    job = job_of({"divisions_mm": (383.0,), "contents_kg": 700.0}, no_go=(HATCH,))
    layout = lay_out(job, job.bases[0], Footing(18.0, (18.0, 18.0), words=MEMBERS))
    (row,) = opening_checks(layout, profile_of(over_mm=30.0), 18.0, {"B": 0.0}, 1)
    share = ((383 + 890) / 2 - (10 + 383) / 2) / 900
    force = 9.81 * (1.35 * 30 + 1.5 * 700) * share * (256 - 160) / (256 - 54)
    left = force * (549 - 383) / 178
    # EN 1995-1-1 eq. (6.13a), kcr 0.67; EN 338: 3.2 N/mm2.
    assert row.value == pytest.approx(1.5 * left / (0.67 * 18 * 30) / (3.2 * 0.7 / 1.3))
    assert row.subject.endswith("30 mm left, shear")
    assert row.verdict == "refer"


def test_a_division_that_stands_on_its_crossing_does_not_load_the_bridge(
    job_of: Callable[..., Job],
) -> None:
    # Two of 8 mm on one crossing at 364.5, beside the hatch; the second one's line is nearer to
    # the hatch than the crossing's, which carries it whole all the same: nothing is bridged.
    near = {"divisions_mm": (360.0, 369.0), "side_mm": 8.0, "contents_kg": 85.0}
    job = job_of(near, no_go=(HATCH,))
    layout = lay_out(job, job.bases[0], Footing(18.0, (18.0, 18.0), words=MEMBERS))
    (row,) = opening_checks(layout, profile_of(), 18.0, {"B": 0.0}, 1)
    assert layout.stands[0][1].x_mm == 364.5
    assert row.value == 0.0
    assert row.verdict == "ok"


def test_floor_that_nobody_read_is_not_judged(layout: Layout) -> None:
    profile = profile_of()
    profile.loc[4, "depth_mm"] = math.nan
    (row,) = opening_checks(layout, profile, 18.0, {"B": 0.0}, 1)
    assert (row.subject, row.verdict) == ("B: over hatch", "not_checked")
    assert math.isnan(row.value)
    assert math.isnan(row.limit)
    assert "not surveyed" in row.source


def test_each_bridged_stretch_is_found_with_the_least_between_its_crossings(
    layout: Layout,
) -> None:
    profile = profile_of()
    profile.loc[5, ["over", "depth_mm"]] = ["hatch and pipe", 37.5]
    (one,) = openings_of(layout.rows[0], [10.0, 371.0, 549.0, 890.0], profile)
    assert (one.left_mm, one.right_mm, one.depth_mm) == (371.0, 549.0, 37.5)
    assert one.areas == "hatch and hatch and pipe"
    assert not list(openings_of(layout.rows[1], [10.0, 371.0, 549.0, 890.0], profile))
