"""Scans of made halls: where points lie, and the floor that comes back from them."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from kit.job import Refusal
from kit.scan.layers import Layers
from kit.scan.lowest import find_floor
from kit.scan.made import MadeHall, SetUp, Thing, make_hall
from kit.scan.made_rays import points

Array = NDArray[np.float64]


def all_points(hall: MadeHall, count: int, seed: int = 0, at_once: int = 10**9) -> Array:
    return np.concatenate([np.stack(piece) for piece in points(hall, count, seed, at_once)], axis=1)


def test_the_same_points_however_many_at_once() -> None:
    hall = make_hall(2, length_mm=9000, width_mm=7000)
    whole = all_points(hall, 230_000, 5)
    assert whole.shape == (3, 230_000)
    pieces = list(points(hall, 230_000, 5, 70_001))
    assert [len(x) for x, _, _ in pieces] == [70_001] * 3 + [19_997]
    assert np.concatenate([np.stack(each) for each in pieces], axis=1).tobytes() == whole.tobytes()
    assert not np.array_equal(all_points(hall, 1000, 6), whole[:, :1000])


def test_points_lie_on_floor_walls_roof_and_things() -> None:
    hall = replace(make_hall(2), noise_mm=1e-9, stray_share=0.0)
    x, y, z = all_points(hall, 150_000)
    rise = z - hall.height_mm(x, y)
    on = np.abs(rise) < 0.02
    on |= np.abs(rise - hall.pool.low_mm) < 0.02  # mirrored in the wet
    on |= np.minimum.reduce([x, y, hall.length_mm - x, hall.width_mm - y]) < 0.02
    on |= np.abs(z - hall.roof_mm) < 0.02
    on |= np.abs(x - hall.bay.x_mm) < 0.02
    for thing in hall.things:
        inside = (x > thing.left_mm - 0.02) & (x < thing.right_mm + 0.02)
        # Things stand level: the floor under their middle may be some mm off that at the point.
        inside &= (y > thing.back_mm - 0.02) & (y < thing.front_mm + 0.02)
        on |= inside & (rise > thing.low_mm - 30) & (rise < thing.high_mm + 30)
    # What is left meets the sides of the ramp, and the step where it is neither ramp nor face.
    ramp = hall.bay
    near_ramp = (x > ramp.x_mm - ramp.ramp_mm - 500) & (x < ramp.x_mm + 500)
    assert np.all(on | near_ramp)
    assert 0.2 < np.mean(np.abs(rise) < 0.02) < 0.8
    assert np.all((x >= 0) & (x <= hall.length_mm) & (y >= 0) & (y <= hall.width_mm))


def test_shadow_lies_behind_a_block() -> None:
    block = Thing("crate", 4000, 3500, 4500, 4500, 0, 1500)
    hall = replace(
        make_hall(2, length_mm=9000, width_mm=7000),
        things=(block,), set_ups=(SetUp(2000, 4000),), stray_share=0.0, noise_mm=0.1,
    )  # fmt: skip
    x, y, z = all_points(hall, 100_000)
    floor = np.abs(z - hall.height_mm(x, y)) < 1
    behind = floor & (x > 4550) & (x < 6500) & (np.abs(y - 4000) < 450)
    before = floor & (x > 2500) & (x < 3950) & (np.abs(y - 4000) < 450)
    assert behind.sum() == 0
    assert before.sum() > 500


def test_nothing_to_scan_is_refused() -> None:
    with pytest.raises(Refusal, match="points of a made scan"):
        next(points(make_hall(1), 0))


@pytest.mark.parametrize(("seed", "noise", "cell"), [(1, 2.0, 200.0), (6, 4.0, 250.0)])
def test_the_floor_of_a_hall_comes_back(
    layers_of: Callable[..., Layers], seed: int, noise: float, cell: float
) -> None:
    """Stalls, people, walls, shadows, stray points, a ramp, a bay and a wet floor."""
    hall = make_hall(seed, noise_mm=noise)
    found = find_floor(layers_of(*all_points(hall, 900_000, seed), cell))
    x, y = np.meshgrid(found.grid.x_mm, found.grid.y_mm)
    true = hall.mean_height_mm(x, y, cell, 6)
    # A cell that the edge of ramp or bay runs through has no one height.
    bay = hall.bay
    beside = np.minimum(np.abs(y - bay.ramp_from_mm), np.abs(y - bay.ramp_to_mm)) < cell
    on_ramp = (x > bay.x_mm - bay.ramp_mm - cell) & (x < bay.x_mm + cell)
    even = (np.abs(x - bay.x_mm) > cell) & ~(beside & on_ramp)
    known = found.grid.known & even
    error = (found.grid.height_mm - true)[known]
    score = error / found.grid.sd_mm[known]
    area = known.sum() * cell**2 / 1e6
    assert area > 0.9 * 24 * 16  # stalls, shadows and walls take the rest
    assert abs(error.mean()) < 0.03
    assert np.sqrt(np.mean(error**2)) < 0.35 * noise
    # Fewer than 1 cell in 1,000 takes a wall for floor, off by what a slope of 1 in 10 allows.
    assert np.abs(error).max() < 0.1 * cell
    assert np.mean(np.abs(error) > 3 * noise) < 1e-3
    assert 0.8 < np.var(score) < 1.25
    assert 0.93 < np.mean(np.abs(score) < 1.96) < 0.97
    # Under a stall's crate no floor is told, in the wet nothing is lost.
    crates = [thing for thing in hall.things if thing.kind == "crate"]
    for crate in crates:
        inside = (x - cell / 2 > crate.left_mm) & (x + cell / 2 < crate.right_mm)
        inside &= (y - cell / 2 > crate.back_mm) & (y + cell / 2 < crate.front_mm)
        assert not np.any(inside & found.grid.known)
    wet = (np.abs(x - hall.pool.left_mm - 450) < 250) & (np.abs(y - hall.pool.back_mm - 350) < 250)
    assert np.all(found.grid.known[wet])
