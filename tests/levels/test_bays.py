"""Bays of a run: the search's zones have the supports and windows of the zones as built."""

import numpy as np
import pytest

from kit.base.stack_rules import to_units
from kit.job import NoGo, Refusal
from kit.levels.bays import bays_of_run
from kit.levels.exact import look_under_zone, packing_of
from kit.levels.ramps import too_steep
from kit.levels.run_parts import part_of_run

RUN = {"name": "A", "widths": [700, 900, 1400, 500, 800], "gap": 4}


def offsets_of(floors, first, last):
    zone = floors[first : last + 1]
    ways = [
        floor.bay.way(left=place > 0, right=place < len(zone) - 1)
        for place, floor in enumerate(zone)
    ]
    return np.sort(np.concatenate([way.offset for way in ways]))


@pytest.fixture(scope="module")
def rolling(hall):
    return hall(
        lambda x, y: 4 * np.sin(x / 900) - 0.003 * x + 0.002 * y,
        [RUN],
        reach=(4400, 800),
        front_lift_mm=1.5,
    )


def test_every_zone_of_the_search_is_the_zone_as_built(rolling) -> None:
    job, survey = rolling
    floors = bays_of_run(job, survey, job.bases[0], job.runs[0], 1.5)
    for first in range(5):
        for last in range(first, 5):
            exact = look_under_zone(job, survey, job.bases[0], job.runs[0], (first, last))
            wanted = np.sort(exact.bay.ways[0].offset)
            found = offsets_of(floors, first, last)
            # same supports; units of one depth, so that only a stack in the middle of a bay may
            # stand a few mm aside where the bay ends otherwise: 5 mm/m of floor make 0.05 mm
            assert len(found) == len(wanted), (first, last)
            assert np.abs(found - wanted).max() < to_units(0.05)
            low = max(floor.bay.low for floor in floors[first : last + 1])
            reach = max(floor.bay.reach for floor in floors[first : last + 1])
            assert abs(low - exact.bay.low) < to_units(0.05)  # another grid of places
            assert abs(reach - exact.bay.reach) < to_units(0.05)


def test_a_zone_does_not_end_over_a_no_go_area(rolling) -> None:
    job, survey = rolling
    area = NoGo(name="drain", corner_mm=(650.0, 0.0), size_mm=(120.0, 600.0))
    job = job.model_copy(update={"no_go": (area,)})
    floors = bays_of_run(job, survey, job.bases[0], job.runs[0], 0.0)
    first, second = floors[0].bay, floors[1].bay
    assert "drain" in first.way(left=False, right=False).why_not
    assert first.way(left=False, right=True).why_not == ""
    assert "drain" in second.way(left=False, right=True).why_not
    assert second.way(left=True, right=True).why_not == ""


def test_a_part_of_a_run_stands_where_it_stood(rolling) -> None:
    run = rolling[0].runs[0].model_copy(update={"origin_mm": (50.0, 20.0), "direction_deg": 90.0})
    part = part_of_run(run, 2, 3, "AZ2")
    # 4 + 700 + 4 + 900 + 4 along the run, which runs out from the wall
    assert part.origin_mm == pytest.approx((50.0, 20.0 + 1612.0))
    assert (part.left_wall, part.right_wall) == (False, False)
    assert [unit.gap_before_mm for unit in part.units] == [0, 4]
    whole = part_of_run(run, 0, 4)
    assert (whole.left_wall, whole.right_wall) == (True, True)
    assert whole.origin_mm == run.origin_mm
    assert whole.units == run.units


def test_a_floor_not_read_is_refused(rolling) -> None:
    job, survey = rolling
    run = job.runs[0].model_copy(update={"origin_mm": (3000.0, 0.0)})
    with pytest.raises(Refusal, match="not surveyed"):
        bays_of_run(job, survey, job.bases[0], run, 0.0)


def test_a_ramp_of_the_floor_under_a_bay_is_named(hall) -> None:
    # 150 mm down over the second unit's 1000 mm; stacks of 8 to 40 mm take 38 mm with tolerance
    job, survey = hall(
        lambda x, _: -np.clip(x - 900, 0, 900) * 0.15,
        [{"name": "A", "widths": [900, 900, 600]}],
        reach=(2500, 800),
        xs=np.arange(0, 2501, 100.0),
        max_stack_mm=40.0,
    )
    base = job.bases[0]
    floors = bays_of_run(job, survey, base, job.runs[0], 0.0)
    (words,) = too_steep(floors, packing_of(job, base).rules)
    assert "'stall 2'" in words
    assert floors[1].fall_mm == pytest.approx(130, abs=8)  # 135 less half a packer at each end
    assert floors[0].fall_mm < 8
