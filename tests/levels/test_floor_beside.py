"""Ramps where the floor steps, by hand: a step of 130 mm on a floor that falls both ways."""

import numpy as np
import pytest

from kit.base.runs import Frame
from kit.floor.stepped import StepLine, fit_stepped_surface
from kit.levels.floor_beside import floor_beside

FALL, OUT = 0.004, -0.002


def floor(x, y):
    return FALL * x + OUT * y - 130.0 * (x > 4000)


def surface(edge_mm=4000.0, steps=True, front=2000.0):
    along = np.array([0, 900, 1800, 2700, 3600, 3950, 4050, 4400, 5300, 6200, 7100.0])
    x, y = (g.ravel() for g in np.meshgrid(along, np.linspace(0, front, 5)))
    lines = [StepLine("sill", (edge_mm, 0.0), (edge_mm, 3000.0))] if steps else []
    return fit_stepped_surface(x, y, floor(x, y), np.full(len(x), 1e-4), lines)


RUN = Frame((200.0, 0.0), 0.0)


@pytest.mark.parametrize("edge_mm", [4000.0, 3999.992, 157.4803 * 25.4, 157.48 * 25.4])
def test_a_ramp_leads_over_a_step_typed_in_mm_or_in_inches(edge_mm) -> None:
    # the step lies on the very edge of the gap, as typed; in inches 8 thousandths of a mm beside
    beside = floor_beside(surface(edge_mm), RUN, 450.0, (3600.0, 3800.0))
    assert beside.named
    assert beside.steps
    # by hand: 130 mm less the fall over the 10 mm between the two places read
    assert beside.rise_mm == pytest.approx(-130 + 10 * FALL, abs=0.1)
    ramp = beside.ramp(surface(edge_mm), 80.0, 1500.0)
    assert ramp.rise_mm == pytest.approx(129.96, abs=0.1)
    assert ramp.needed_mm == pytest.approx(129.96 / 0.08, abs=1.3)  # 0.1 mm of rise
    line = ramp.profile
    assert line[["x_mm", "y_mm"]].iloc[0].tolist() == pytest.approx([4000, 1050], abs=0.01)
    assert line["x_mm"].iloc[-1] == pytest.approx(4000 + 129.96 / 0.08, abs=1.3)
    own = floor(line["x_mm"].clip(lower=4005), 1050.0)  # the lower floor all along
    assert line["floor_mm"].to_numpy() == pytest.approx(own.to_numpy(), abs=0.1)
    assert line["above_mm"].iloc[0] == pytest.approx(130, abs=0.2)
    assert not ramp.fits
    assert "room for 1500 mm only" in ramp.words


def test_a_ramp_goes_down_to_the_left_in_a_run_the_other_way_round() -> None:
    turned = Frame((6000.0, 0.0), 180.0)  # its fronts are at negative y; read there too
    along = np.linspace(0, 7000, 15)
    x, y = (g.ravel() for g in np.meshgrid(along, np.linspace(-2000, 0, 5)))
    x = np.where(x == 4000, 3900, np.where(x == 4500, 4200, x))  # none within 100 mm of the edge
    lines = [StepLine("sill", (4000.0, -3000.0), (4000.0, 0.0))]
    found = fit_stepped_surface(x, y, floor(x, y), np.full(len(x), 1e-4), lines)
    beside = floor_beside(found, turned, 450.0, (1950.0, 2050.0))
    assert beside.rise_mm == pytest.approx(130 - 10 * FALL, abs=0.1)
    ramp = beside.ramp(found, 80.0, np.inf)
    assert ramp.fits
    assert ramp.profile["x_mm"].iloc[-1] > 4000 + 1600  # still down on to the lower floor
    assert ramp.profile["y_mm"].to_numpy() == pytest.approx(-1050)


def test_no_ramp_where_the_floor_does_not_step() -> None:
    beside = floor_beside(surface(), RUN, 450.0, (1900.0, 2000.0))  # the step is 1800 mm away
    assert not beside.steps
    assert beside.rise_mm == pytest.approx(FALL * 110, abs=0.1)
    assert beside.why_none(-60.4) == (
        "the floor does not step here: no ramp is needed to walk along; the base tops differ by"
        " 60 mm"
    )


def test_a_step_that_is_not_named_is_seen_within_the_gap() -> None:
    beside = floor_beside(surface(steps=False), RUN, 450.0, (3740.0, 3860.0))
    assert not beside.named
    assert beside.steps
    # the surface rings beside an edge that it is not told of: a fifth of the step
    assert beside.rise_mm == pytest.approx(-130, abs=26)


def test_a_gap_wide_enough_falls_without_a_step() -> None:
    # 4 mm a metre over 3 m is 12 mm, more than a step's 10, and gentler than 1 in 20
    beside = floor_beside(surface(), RUN, 450.0, (100.0, 3100.0))
    assert abs(beside.rise_mm) > 10
    assert not beside.steps


def test_the_floor_is_looked_at_nearer_where_it_was_not_surveyed_further_out() -> None:
    near = floor_beside(surface(front=800.0), RUN, 450.0, (3600.0, 3800.0))
    assert near.line.origin_mm[1] == pytest.approx(750)  # 300 mm in front, not 600
    assert near.steps
    none = floor_beside(surface(front=400.0), RUN, 900.0, (3600.0, 3800.0))
    assert not none.known
    assert "was not surveyed here" in none.why_none(60.0)
