"""How units stand with lift and settlement: by hand, mirrored, on three rows, half known."""

from __future__ import annotations

import math
from dataclasses import astuple, replace

import numpy as np
import pytest

from kit.job import Joists
from kit.strength.feet import feet_of
from kit.strength.joist_settlement import StackSag
from kit.strength.joists import JoistWork, NoJoists, Pressed, joists_under
from kit.strength.unit_work import settled_at, stand_units

#: Differences of heights of some mm, times a height of some 1,000 mm over a depth of 175 mm.
ROUND_OFF_MM = 1e-9

NO_JOISTS = NoJoists("no [floor.joists] given")

#: What each stack goes down by [mm]; the stacks stand at 37.5, 368.75, 700, 1131.25, 1562.5.
BACK = (12.6, 30.2, 49.0, 20.0, 5.0)
FRONT = (14.0, 22.0, 31.0, 9.0, 3.5)


def settling(**down):
    """Return joists of which only the settlement of the stacks matters."""
    given = Joists(along="y", width_mm=47.0, depth_mm=150.0, centres_mm=400.0, first_mm=0.0,
                   bearing_mm=(0.0, 3000.0), strength_class="C16")  # fmt: skip
    stacks = {name: StackSag(name, name[0], mm, 9 * mm) for name, mm in down.items()}
    pressed = [Pressed(name, name[0], 400.0, 900.0, 100.0, 0.0, 0.0) for name in down]
    work = joists_under(given, "boarded", pressed, 1)
    assert isinstance(work, JoistWork)
    return replace(work, stacks=stacks)


def of_rows(**rows):
    return {f"{row}{n}": mm for row, all_of in rows.items() for n, mm in enumerate(all_of, 1)}


@pytest.fixture
def stood(laid_out, laid_of):
    """Stand the units of a job on stacks that are off by the errors given [mm]."""

    def make(job, joists, lift=0.0, **errors):
        layout, _ = laid_out(job)
        _, laid = laid_of(job, **errors)
        every = dict.fromkeys(layout.supports["support"], 0.0) | errors
        return layout, stand_units(layout, laid, joists, layout.supports, lift, every)

    return make


@pytest.fixture
def pair(job_of):
    return job_of({"width_mm": 700.0}, {"height_mm": 1900.0})


def test_a_unit_goes_down_with_the_floor_under_its_corners(stood, pair):
    _, (one, _) = stood(pair, settling(**of_rows(B=BACK, F=FRONT)), B2=0.4, F1=-0.3)
    # sides at 10 mm, before the first stack, and at 690 mm, 321.25 mm along the 331.25 to the third
    left = 12.6, 14.0
    right = 30.2 + 18.8 * 321.25 / 331.25, 22.0 + 9.0 * 321.25 / 331.25
    along = (sum(right) - sum(left)) / 2 / 680 * 1100  # right side down: top to the right
    out = ((left[1] + right[1]) - (left[0] + right[0])) / 2 / 175 * 1100
    now, settled = one.consequence, one.settled
    assert now.lean_along_mm != 0
    assert settled.lean_along_mm == pytest.approx(now.lean_along_mm + along, abs=ROUND_OFF_MM)
    assert settled.lean_out_mm == pytest.approx(now.lean_out_mm + out, abs=ROUND_OFF_MM)
    wind = right[0] + left[1] - left[0] - right[1]
    assert settled.wind_mm == pytest.approx(now.wind_mm + wind, abs=ROUND_OFF_MM)
    assert settled.door_taper_mm == pytest.approx(abs(settled.wind_mm) * 1100 / 700)
    assert along == pytest.approx(42.5, abs=0.05)  # (48.43 + 30.73 - 26.6) / 2 / 680 * 1100


def test_a_lift_raises_the_front_by_its_share(stood, pair):
    joists = settling(**of_rows(B=BACK, F=FRONT))
    _, level = stood(pair, joists)
    _, lifted = stood(pair, joists, 2.5)
    for (one, other), height in zip(zip(level, lifted, strict=True), (1100, 1900), strict=True):
        back = -2.5 / 175 * height
        assert other.settled.lean_out_mm == pytest.approx(one.settled.lean_out_mm + back)
        assert other.consequence.lifted_lean_mm == pytest.approx(back)
        assert other.consequence.lean_out_mm == one.consequence.lean_out_mm
        assert other.settled.lifted_lean_mm == 0.0


def test_mirrored_along_the_wall(job_of, stood, pair):
    back = job_of({"height_mm": 1900.0}, {"width_mm": 700.0})
    _, one = stood(pair, settling(**of_rows(B=BACK, F=FRONT)), 1.5, B1=0.6, F4=-0.2)
    down = of_rows(B=BACK[::-1], F=FRONT[::-1])
    _, other = stood(back, settling(**down), 1.5, B5=0.6, F2=-0.2)
    for here, there in zip(one, other[::-1], strict=True):
        along, out, wind, taper, _ = astuple(here.settled)[2:]
        mirrored = (-along, out, -wind, taper, 0.0)
        # bearers at rest by a solver of contact: 1e-7 mm, times a height over a depth
        assert astuple(there.settled)[2:] == pytest.approx(mirrored, abs=1e-5)
        assert abs(along) > 1


def test_without_joists_nothing_is_known_of_settlement(stood, pair):
    _, stands = stood(pair, NO_JOISTS, 2.5)
    for one in stands:
        assert all(math.isnan(value) for value in astuple(one.settled)[2:6])
        assert one.consequence.lifted_lean_mm < 0


def test_an_unknown_stack_leaves_the_units_beyond_its_neighbours_known(stood, pair):
    down = of_rows(B=BACK, F=FRONT)
    _, known = stood(pair, settling(**down))
    _, (first, second) = stood(pair, settling(**down | {"B5": math.nan}))
    assert math.isnan(second.settled.lean_along_mm)
    assert math.isnan(second.settled.wind_mm)
    assert first.settled == known[0].settled


def test_on_more_rows_it_settles_onto_those_that_stay_high(job_of, stood):
    """The third row of four stays up, the rest goes down: by the rule of `feet_of`."""
    job = job_of({"width_mm": 700.0, "depth_mm": 1500.0, "centre_of_gravity_mm": 800.0})
    down = {f"{row}{n}": 3.0 + n / 4 for row in "BMF" for n in range(1, 4)} | {
        "M4": 0.5, "M5": 0.5, "M6": 0.5, "M1": 3.0, "M2": 3.1, "M3": 3.2,
    }  # fmt: skip
    layout, (one,) = stood(job, settling(**down), 1.2)
    _, (flat,) = stood(job, NO_JOISTS)
    assert flat.hangs == one.hangs  # settlement makes no shim
    x = layout.supports["own_x_mm"]

    def settled(bearer, place):
        of = layout.supports["bearer"] == bearer
        lift = 1.2 * layout.lift_share(layout.row(bearer))
        return lift - np.interp(
            place, x[of], [down[name] for name in layout.supports["support"][of]]
        )

    feet = feet_of(layout.units[0], layout.rows, settled)
    slope = (feet.front_left_mm + feet.front_right_mm - feet.back_left_mm - feet.back_right_mm) / 2
    lean = -1100 * slope / (feet.front_y_mm - feet.back_y_mm)
    # stacks without errors: what the bearers sag under the sides is some hundredths
    assert one.settled.lean_out_mm == pytest.approx(flat.consequence.lean_out_mm + lean, abs=0.05)
    by_two = -1100 * (1.2 - 0.0) / 1355  # on back and front row alone it would be this
    assert abs(one.settled.lean_out_mm - by_two) > 0.5


def test_settlement_between_and_beyond_stacks():
    stacks = [(100.0, 2.0), (300.0, 3.0), (700.0, 1.0)]
    asked = [0.0, 100.0, 150.0, 300.0, 600.0, 900.0]
    found = [settled_at(stacks, x) for x in asked]
    assert found == pytest.approx(np.interp(asked, *zip(*stacks, strict=True)), abs=1e-12)
    half = [(100.0, 2.0), (300.0, math.nan), (700.0, 1.0)]
    assert [settled_at(half, x) for x in (50.0, 100.0, 700.0, 800.0)] == [2.0, 2.0, 1.0, 1.0]
    assert all(math.isnan(settled_at(half, x)) for x in (101.0, 300.0, 699.0))
