"""The made hall's floor in closed form."""

import hashlib
from dataclasses import replace

import numpy as np
import pytest

from kit.scan.made import Hump, make_hall
from kit.scan.made_draws import shares


def test_the_floor_is_the_sum_of_its_parts() -> None:
    hall = make_hall(3)
    bare = replace(hall, humps=(), joints=(), path=replace(hall.path, depth_mm=0.0))
    fall_x, fall_y = hall.fall_mm_per_m
    x, y = np.array([1000.0, 17_999.0, 18_001.0]), np.array([500.0, 2500.0, 2500.0])
    expected = (fall_x * x + fall_y * y) / 1000 + [0, 0, 120]
    assert bare.height_mm(x, y) == pytest.approx(expected, abs=6e-4)  # kept to 0.001 mm
    flat = replace(bare, fall_mm_per_m=(0.0, 0.0), humps=(Hump(4000, 2000, 9.0, 1000),))
    at = flat.height_mm(np.array([4000.0, 4500.0, 5000.0]), np.array([2000.0, 2000.0, 2000.0]))
    assert at.tolist() == pytest.approx([9.0, 4.5, 0.0], abs=6e-4)


def test_the_ramp_leads_up_to_the_bay() -> None:
    hall = replace(make_hall(3), humps=(), joints=(), fall_mm_per_m=(0.0, 0.0))
    hall = replace(hall, path=replace(hall.path, depth_mm=0.0))
    y = (hall.bay.ramp_from_mm + hall.bay.ramp_to_mm) / 2
    at = hall.height_mm(np.array([16_400.0, 16_875.0, 17_990.0, 18_500.0]), np.full(4, y))
    assert at.tolist() == pytest.approx([0, 30, 119.2, 120], abs=6e-4)
    assert hall.height_mm(np.array([17_990.0]), np.array([1000.0]))[0] == 0


def test_the_mean_over_a_cell_on_a_slope_is_its_middle() -> None:
    hall = replace(make_hall(4), humps=(), joints=())
    x, y = np.array([9000.0, 3000.0]), np.array([1500.0, 15_000.0])
    assert hall.mean_height_mm(x, y, 150.0) == pytest.approx(hall.height_mm(x, y), abs=2e-3)


def test_the_same_seed_is_the_same_hall() -> None:
    assert make_hall(7) == make_hall(7)
    assert make_hall(7) != make_hall(8)
    assert {thing.kind for thing in make_hall(7).things} == {
        "leg", "table top", "panel", "crate", "foot", "shin", "body",
    }  # fmt: skip


def test_shares_are_those_of_the_standard_hash() -> None:
    stream = hashlib.shake_256(b"a name").digest(24)
    words = [int.from_bytes(stream[k : k + 8], "little") >> 12 for k in (0, 8, 16)]
    assert shares("a name", 3).tolist() == [(word + 0.5) / 2**52 for word in words]
