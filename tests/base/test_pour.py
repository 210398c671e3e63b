"""How much compound lies over a floor: volumes, depths, bags, and where its mass presses."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import simpson, trapezoid

from kit.base.pour import LUMP_MM, ZonePour, bags_of, lumps_of, pour_into, powder_kg, zone_table
from kit.base.pour_zones import Zone
from kit.base.runs import Frame
from kit.job import Compound, Joists

Floats = NDArray[np.float64]

COMPOUND = Compound.model_validate(
    {
        "least_mm": 3.0,
        "greatest_mm": 40.0,
        "powder_kg_per_l": 1.65,
        "set_kg_per_l": 1.9,
        "bag_kg": 20.0,
        "waste_percent": 8.0,
        "drying": ({"to_mm": 9.0, "days": 1.0}, {"to_mm": 40.0, "days": 5.0}),
    }
)

JOISTS = Joists(
    along="y",
    width_mm=50.0,
    depth_mm=200.0,
    centres_mm=360.0,
    first_mm=70.0,
    bearing_mm=(0.0, 3000.0),
    strength_class="C16",
)

STRAIGHT = Frame((0.0, 0.0), 0.0)
TURNED = Frame((400.0, -120.0), 30.0)
BENCH = Zone("bench", "A", "bench", STRAIGHT, 0.0, 830.0, 340.0, (False, False), (18, 8))
PRESS = Zone("press", "A", "press", TURNED, 830.0, 1990.0, 485.0, (False, True), (24, 10))


def tilted(x: Floats, y: Floats) -> Floats:
    return 2.0 + 0.004 * x - 0.011 * y


def bowl(x: Floats, y: Floats) -> Floats:
    return 1e-5 * (x - 300.0) ** 2 - 3e-5 * (y - 410.0) ** 2 + 2e-5 * x * y


def wave(x: Floats, y: Floats) -> Floats:
    return np.asarray(1.5 * np.sin(2 * np.pi * x / 640.0) * np.cos(2 * np.pi * y / 710.0))


def floor_of(zone: Zone, height: Callable[[Floats, Floats], Floats]) -> Floats:
    return height(*zone.own_grid())


def test_over_a_plane_the_volume_is_area_times_depth_at_the_middle() -> None:
    (poured,) = pour_into((PRESS,), floor_of(PRESS, tilted), 20.0)
    middle = 20.0 - float(tilted(np.array(1410.0), np.array(242.5)))
    assert poured.mean_mm == pytest.approx(middle, rel=1e-12)  # round-off
    assert poured.volume_l == pytest.approx(1.160 * 0.485 * middle, rel=1e-12)  # round-off


def test_over_a_paraboloid_the_volume_is_the_closed_integral() -> None:
    (poured,) = pour_into((BENCH,), floor_of(BENCH, bowl), 20.0)
    a, b = 830.0, 340.0
    along = ((a - 300.0) ** 3 + 300.0**3) / 3 * b  # of (x - 300)^2
    out = ((b - 410.0) ** 3 + 410.0**3) / 3 * a  # of (y - 410)^2
    both = a**2 * b**2 / 4  # of x y
    closed = 20.0 * a * b - (1e-5 * along - 3e-5 * out + 2e-5 * both)
    assert poured.volume_l == pytest.approx(closed * 1e-6, rel=1e-12)  # round-off


@pytest.mark.parametrize("zone", [BENCH, PRESS])
def test_volumes_are_those_of_a_reference_library_on_the_same_places(zone: Zone) -> None:
    floor = floor_of(zone, wave)
    (poured,) = pour_into((zone,), floor, 12.0)
    x, y = zone.own_grid()
    depth = (12.0 - floor).reshape(zone.shape)
    along = simpson(depth, x=x.reshape(zone.shape)[0], axis=1)
    whole = float(simpson(along, x=y.reshape(zone.shape)[:, 0]))
    assert poured.volume_l == pytest.approx(whole * 1e-6, rel=1e-12)  # round-off


@pytest.mark.parametrize("zone", [BENCH, PRESS])
def test_over_a_wave_the_volume_is_as_near_as_the_error_bound_says(zone: Zone) -> None:
    (poured,) = pour_into((zone,), floor_of(zone, wave), 12.0)
    x = np.linspace(zone.left_mm, zone.right_mm, 2001)
    y = np.linspace(0.0, zone.front_mm, 1001)
    depth = 12.0 - wave(*np.meshgrid(x, y))
    fine = float(trapezoid(trapezoid(depth, x, axis=1), y)) * 1e-6
    steps = zone.width_mm / zone.intervals[0] / 640.0, zone.front_mm / zone.intervals[1] / 710.0
    bound = (2 * np.pi) ** 4 / 180 * 1.5 * zone.area_m2 * sum(step**4 for step in steps)
    # The fine sum itself is off by less than 1e-6 of the volume (trapezoids, steps under 1 mm).
    assert abs(poured.volume_l - fine) < bound + 1e-6 * fine
    assert bound < 1e-3 * poured.volume_l


def test_each_zone_has_its_own_floor_and_the_depths_of_its_corners() -> None:
    floors = [floor_of(BENCH, tilted), floor_of(PRESS, tilted)]
    bench, press = pour_into((BENCH, PRESS), np.concatenate(floors), 20.0)
    # A plane is highest at right back, lowest at left front: 2 + 0.004 x - 0.011 y; one sum in
    # another order, so round-off.
    assert bench.least_mm == pytest.approx(18.0 - 0.004 * 830, abs=1e-12)
    assert bench.greatest_mm == pytest.approx(18.0 + 0.011 * 340, abs=1e-12)
    assert press.least_mm == pytest.approx(18.0 - 0.004 * 1990, abs=1e-12)
    assert press.greatest_mm == pytest.approx(18.0 - 0.004 * 830 + 0.011 * 485, abs=1e-12)
    assert (bench.zone, press.zone) == (BENCH, PRESS)


def test_parts_of_a_pour_weigh_what_it_weighs_about_its_own_centre() -> None:
    floors = [floor_of(BENCH, bowl), floor_of(PRESS, tilted)]
    floor = np.concatenate(floors)
    lumps = list(lumps_of((BENCH, PRESS), floor, 20.0, 1.9, JOISTS))
    poured = pour_into((BENCH, PRESS), floor, 20.0)
    for one, own_floor in zip(poured, floors, strict=True):
        own = [lump for lump in lumps if lump.zone is one.zone]
        mass = math.fsum(lump.mass_kg for lump in own)
        assert mass == pytest.approx(one.volume_l * 1.9, rel=1e-12)  # round-off
        weights = one.zone.weights_mm2() * (20.0 - own_floor)
        own_x, own_y = (float(weights @ at / weights.sum()) for at in one.zone.own_grid())
        x, y = one.zone.frame.to_site(own_x, own_y)
        middle = [
            math.fsum(lump.mass_kg * place / mass for lump, place in zip(own, at, strict=True))
            for at in ([lump.x_mm for lump in own], [lump.y_mm for lump in own])
        ]
        assert middle == pytest.approx([float(x), float(y)], abs=1e-6)  # round-off of metres


def test_each_part_lies_between_two_joists_and_is_short_along_them() -> None:
    level = np.zeros(BENCH.places)
    lumps = list(lumps_of((BENCH,), level, 10.0, 2.0, JOISTS))
    # Joists at x = 70, 430, 790: 0 to 70, 360, 360, and the rest to 830; y below 300 and above.
    bays = [(0, 70), (70, 430), (430, 790), (790, 830)]
    places = [(lump.x_mm, lump.y_mm) for lump in lumps]
    found = [next(n for n, (a, b) in enumerate(bays) if a <= x <= b) for x, _ in places]
    assert found == [0, 0, 1, 1, 2, 2, 3, 3]
    assert [y > LUMP_MM for _, y in places] == [False, True] * 4


def test_each_joist_takes_of_the_parts_what_it_takes_of_every_bit() -> None:
    floor = floor_of(PRESS, wave)
    lumps = list(lumps_of((PRESS,), floor, 20.0, 1.9, JOISTS))
    x, _ = PRESS.frame.to_site(*PRESS.own_grid())
    bits = list(zip(x, PRESS.weights_mm2() * (20.0 - floor) * 1.9e-6, strict=True))
    for joist in (790.0, 1150.0, 1510.0, 1870.0):
        # The lever rule between joists: all over it, nothing at its neighbours.
        taken = math.fsum(kg * max(0.0, 1 - abs(at - joist) / 360.0) for at, kg in bits)
        parts = math.fsum(
            lump.mass_kg * max(0.0, 1 - abs(lump.x_mm - joist) / 360.0) for lump in lumps
        )
        assert parts == pytest.approx(taken, rel=1e-12)  # round-off
        assert taken > 0


def test_powder_and_bags_by_hand() -> None:
    one, other = ZonePour(BENCH, 7.5, 4.0, 8.0), ZonePour(PRESS, 21.0, 6.0, 31.0)
    # Products in another order: round-off.
    assert powder_kg(COMPOUND, one) == pytest.approx(7.5 * 1.65 * 1.08, rel=1e-12)
    # (7.5 + 21) l, 1.65 kg/l, 8 % more: 50.787 kg, 2.54 bags of 20 kg
    assert bags_of(COMPOUND, (one, other)) == 3
    # Each zone by itself takes 1 and 2 bags: bags are opened for all of them together.
    small = ZonePour(PRESS, 14.0, 6.0, 31.0)
    assert bags_of(COMPOUND, (one, small)) == 2  # 38.3 kg; alone 13.4 and 24.9 kg, so 1 + 2


def test_no_bag_is_opened_for_round_off() -> None:
    full = ZonePour(BENCH, 60.0 / 1.65 / 1.08 * (1 + 1e-13), 4.0, 8.0)
    assert bags_of(COMPOUND, (full,)) == 3
    assert bags_of(COMPOUND, (ZonePour(BENCH, full.volume_l + 1e-6, 4.0, 8.0),)) == 4


def test_the_table_of_zones() -> None:
    table = zone_table(COMPOUND, (ZonePour(BENCH, 1.6, 4.0, 9.0), ZonePour(PRESS, 9.0, 6.0, 9.1)))
    press = table.iloc[1]
    assert list(press[["zone", "run", "unit"]]) == ["press", "A", "press"]
    # Products of a few figures in another order, here and below: round-off.
    assert press["area_m2"] == pytest.approx(0.5626, rel=1e-12)
    assert press["mass_kg"] == pytest.approx(9.0 * 1.9, rel=1e-12)
    assert press["powder_kg"] == pytest.approx(9.0 * 1.65 * 1.08, rel=1e-12)
    assert press["bags"] == pytest.approx(9.0 * 1.65 * 1.08 / 20.0, rel=1e-12)
    assert press["mean_mm"] == pytest.approx(9.0 / 0.5626, rel=1e-12)
    assert list(table["dry_days"]) == [1.0, 5.0]
    assert list(table["greatest_mm"]) == [9.0, 9.1]
