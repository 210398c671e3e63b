"""How much contents a base carries before it passes a limit: in proportion, and solved again."""

from __future__ import annotations

import pytest

import kit
from kit.side_by_side import turning_points
from kit.side_by_side.limits import limit_table
from kit.side_by_side.measures import measures_of
from kit.side_by_side.settings import settings_of


def loaded(comparison):
    (setting,) = [one for one in settings_of(comparison.a, comparison.b) if one.key == "load"]
    (sweep,) = turning_points(comparison, [setting])
    return sweep


def test_feet_pass_their_makers_figure_where_proportion_says(packers_and_feet) -> None:
    """Own mass and contents press on the worst foot in proportion to what they are.

    Reference: the straight line through the load at no contents and at the job's contents.
    """
    sweep = loaded(packers_and_feet)
    (limit,) = [one for one in sweep.limits if one.name == packers_and_feet.names[1]]
    idle = [c for c in packers_and_feet.b.strength.checks if c.check == "load on foot, others idle"]
    worst = max(idle, key=lambda one: one.value)
    # 1.35 of each unit's own mass, 1.5 of its contents; the atlas case has the worst foot.
    own, contents = 1.35 * 52.0, 1.5 * 140.0
    of_own = worst.value * own / (own + contents)
    times = (worst.limit - of_own) / (worst.value - of_own)
    low, high = sorted((limit.within[0], limit.beyond[0]))
    assert low <= times * sweep.setting.now <= high
    assert limit.within[1] >= 0 > limit.beyond[1]
    assert limit.within[0] < limit.beyond[0] < sweep.setting.now
    assert high - low <= sweep.setting.high / 200 + 1e-9


def test_both_ends_are_jobs_that_were_solved(packers_and_feet) -> None:
    sweep = loaded(packers_and_feet)
    (limit,) = [one for one in sweep.limits if one.name == packers_and_feet.names[1]]
    job = packers_and_feet.b.job
    for contents, margin in (limit.within, limit.beyond):
        runs = tuple(
            run.model_copy(
                update={
                    "units": tuple(
                        unit.model_copy(update={"contents_kg": unit.contents_kg * contents / 455})
                        for unit in run.units
                    )
                }
            )
            for run in job.runs
        )
        answer = kit.solve(job.model_copy(update={"runs": runs}), packers_and_feet.b.base.name)
        found = {one.key: one.value for one in measures_of(answer)}["least_margin"]
        assert found == pytest.approx(margin, abs=1e-6)


def test_the_table_has_a_row_for_each(packers_and_feet) -> None:
    sweep = loaded(packers_and_feet)
    table = limit_table(sweep.limits)
    assert len(table) == len(sweep.limits) >= 1
    row = table.iloc[-1]
    assert (row["base"], row["setting"], row["now"]) == ("screw feet", "contents of all units", 455)
    assert (row["within"], row["margin_within_percent"]) == sweep.limits[-1].within


def test_prices_pass_no_limit(packers_and_feet) -> None:
    (setting,) = [
        one for one in settings_of(packers_and_feet.a, packers_and_feet.b) if one.key == "fall"
    ]
    (sweep,) = turning_points(packers_and_feet, [setting])
    assert sweep.limits == ()
