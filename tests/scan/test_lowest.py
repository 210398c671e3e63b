"""The floor in made points whose floor is known, against clutter, noise, slope and steps."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray

from kit.job import Refusal
from kit.scan.found import ScanFloor
from kit.scan.layers import Layers
from kit.scan.lowest import find_floor
from kit.scan.states import COVERED, DOUBTFUL, FLOOR, UNSEEN

Array = NDArray[np.float64]
LayersOf = Callable[[Array, Array, Array, float], Layers]

CELL = 100.0


@dataclass(frozen=True)
class Room:
    """Points on a sloping, wavy floor and on what stands there, in square cells of 100 mm."""

    x: Array
    y: Array
    z: Array
    true: Array  # (n, n) mean height of the floor in each cell
    blocks: NDArray[np.bool_]  # (n, n) cells that a block covers whole


def floor_at(x: Array, y: Array, slope: float) -> Array:
    fall = slope * (0.8 * x + 0.6 * y) / 1000
    return fall + 6 * np.cos(x / 700) + 4 * np.sin(y / 900) - 300


def room(seed: int, points: int, noise: float, clutter: float, slope: float, n: int) -> Room:
    """Half the clutter is a table top, three tenths legs, the rest feet; 0.3 % lie under the floor.

    One cell in twenty is covered by a block 250 mm high, and shows no floor.
    """
    rng = np.random.default_rng(seed)
    many = points * n * n
    x, y = rng.random((2, many)) * n * CELL
    floor = floor_at(x, y, slope)
    noisy = rng.normal(0, noise, many)
    rise = np.zeros(many)
    kind = rng.random(many) / clutter
    rise = np.where(kind < 1.0, 100 * rng.random(many), rise)
    rise = np.where(kind < 0.8, 700 * rng.random(many), rise)
    rise = np.where(kind < 0.5, 720, rise)
    rise = np.where(rng.random(many) < 0.003, -20 - 500 * rng.random(many), rise)
    blocks = rng.random((n, n)) < 0.05
    on = blocks[(y // CELL).astype(int), (x // CELL).astype(int)]
    rise = np.where(on, np.where(rng.random(many) < 0.5, 250, 250 * rng.random(many)), rise)
    # The mean over a cell of each of the floor's parts, in closed form.
    edge = np.arange(n + 1) * CELL
    along = 6 * 700 * np.diff(np.sin(edge / 700)) / CELL
    across = -4 * 900 * np.diff(np.cos(edge / 900)) / CELL
    middle = edge[:-1] + CELL / 2
    fall = slope * (0.8 * middle[None, :] + 0.6 * middle[:, None]) / 1000
    true = fall + along[None, :] + across[:, None] - 300
    return Room(x, y, floor + rise + noisy, true, blocks)


def on_all(found: ScanFloor, values: Array, shape: tuple[int, int], nothing: float) -> Array:
    """Put a grid's values into all cells of the room."""
    whole = np.full(shape, nothing)
    ix, iy = (np.floor(each / CELL).astype(int) for each in (found.grid.x_mm, found.grid.y_mm))
    whole[np.ix_(iy, ix)] = values
    return whole


#: Points a cell, noise [mm], share of clutter, slope [mm/m], cells along a side.
CASES = [
    (30, 1.0, 0.1, 30.0, 36),
    (30, 2.0, 0.4, 0.0, 36),
    (30, 4.0, 0.25, 30.0, 36),
    (100, 4.0, 0.4, 10.0, 30),
    (300, 1.0, 0.4, 0.0, 26),
    (300, 2.0, 0.1, 30.0, 26),
    (3000, 1.0, 0.3, 30.0, 12),
    (3000, 4.0, 0.4, 20.0, 12),
]


@pytest.fixture(scope="module")
def told(layers_of: LayersOf) -> list[tuple[Array, Array, Room]]:
    """Heights and doubts, room by room."""
    result = []
    for seed, case in enumerate(CASES):
        one = room(seed, *case)
        found = find_floor(layers_of(one.x, one.y, one.z, CELL))
        shape = one.true.shape
        heights = on_all(found, found.grid.height_mm, shape, np.nan)
        result.append((heights, on_all(found, found.grid.sd_mm, shape, np.nan), one))
    return result


@pytest.mark.parametrize("case", range(len(CASES)))
def test_heights_are_right_within_their_doubt(
    told: list[tuple[Array, Array, Room]], case: int
) -> None:
    height, sd, one = told[case]
    points, noise, clutter, slope, n = CASES[case]
    seen = ~one.blocks & np.isfinite(height)
    error = (height - one.true)[seen]
    # What chance allows with every floor point: noise and the fall within a cell.
    fall = (slope + 9) / 1000 * CELL / np.sqrt(12)
    best = np.hypot(noise, fall) / np.sqrt(points * (1 - clutter))
    # Bias: the mean of n² cells is known to best/n; 0.02 of the noise for what clutter is left.
    assert abs(error.mean()) < 4 * best / n + 0.02 * noise
    assert np.sqrt(np.mean(error**2)) < 1.3 * best
    assert np.abs(error).max() < 6.5 * best
    # Of the seen floor at most one cell in 200 is lost.
    assert np.count_nonzero(~one.blocks & ~np.isfinite(height)) <= 0.005 * n * n
    # The doubt holds; of 130 cells the variance is known to 12 %, so those bounds are wider.
    wider = 0.0 if n > 20 else 0.25
    assert 0.8 - wider < np.var(error / sd[seen]) < 1.25 + wider


def test_standardised_errors_are_normal_all_told(told: list[tuple[Array, Array, Room]]) -> None:
    parts = []
    for height, sd, one in told:
        seen = ~one.blocks & np.isfinite(height)
        parts.append(((height - one.true) / sd)[seen])
    score = np.concatenate(parts)
    assert len(score) > 5000
    assert 0.9 < np.var(score) < 1.12  # 5,000 scores tell it to 2 %
    assert abs(np.mean(score)) < 0.06
    assert 0.935 < np.mean(np.abs(score) < 1.96) < 0.965


def test_clutter_is_hardly_ever_called_floor(layers_of: LayersOf) -> None:
    """Few points a cell are the worst case: 1 cell in 1,000, and off by no more than 15 mm."""
    wrong: list[float] = []
    cells = covered = 0
    for seed in range(12):
        one = room(100 + seed, 30, (1.0, 2.0, 4.0)[seed % 3], 0.1 + 0.1 * (seed % 4), 10.0, 30)
        found = find_floor(layers_of(one.x, one.y, one.z, CELL))
        height = on_all(found, found.grid.height_mm, one.true.shape, np.nan)
        called = one.blocks & np.isfinite(height)
        wrong += (height - one.true)[called].tolist()
        cells += one.blocks.size
        covered += int(one.blocks.sum())
    assert covered > 450
    assert len(wrong) < cells / 1000
    assert max(wrong, default=0.0, key=abs) < 15


def test_plain_ways_fail_where_this_holds(told: list[tuple[Array, Array, Room]]) -> None:
    """The lowest point of a cell is a stray one; the median goes with what stands there."""
    height, _, one = told[3]
    n = len(one.true)
    cell = (one.y // CELL).astype(int) * n + (one.x // CELL).astype(int)
    order = np.lexsort((one.z, cell))
    size = np.bincount(cell, minlength=n * n)
    first = np.cumsum(size) - size
    lowest = one.z[order][first].reshape(n, n)
    median = one.z[order][first + size // 2].reshape(n, n)
    seen = ~one.blocks & np.isfinite(height)

    def rms(plain: Array) -> float:
        return float(np.sqrt(np.mean((plain - one.true)[seen] ** 2)))

    assert rms(height) < 0.7
    assert rms(lowest) > 50 * rms(height)
    assert rms(median) > 5 * rms(height)
    # Under a block both have a height all the same.
    assert (median - one.true)[one.blocks].min() > 50


def test_the_order_of_points_plays_no_part(layers_of: LayersOf) -> None:
    one = room(21, 60, 2.0, 0.3, 12.0, 14)
    turned = np.random.default_rng(1).permutation(len(one.x))
    first = find_floor(layers_of(one.x, one.y, one.z, CELL))
    second = find_floor(layers_of(one.x[turned], one.y[turned], one.z[turned], CELL))
    assert first.grid.height_mm.tobytes() == second.grid.height_mm.tobytes()
    assert first.grid.sd_mm.tobytes() == second.grid.sd_mm.tobytes()
    assert first.state.tobytes() == second.state.tobytes()
    assert first.notes == second.notes


def plates(
    *parts: tuple[float, float, float, float, float], density: float = 60.0, noise: float = 1.5
) -> tuple[Array, Array, Array]:
    """Return points on level rectangles: left, back, right, front, height [mm]."""
    rng = np.random.default_rng(len(parts))
    columns = []
    for left, back, right, front, height in parts:
        many = int((right - left) * (front - back) / CELL**2 * density)
        place = rng.random((2, many)) * [[right - left], [front - back]] + [[left], [back]]
        columns.append(np.vstack([place, height + rng.normal(0, noise, many)]))
    x, y, z = np.concatenate(columns, axis=1)
    return x, y, z


def state_at(found: ScanFloor, x: float, y: float) -> int:
    column = int(np.argmin(np.abs(found.grid.x_mm - x)))
    return int(found.state[int(np.argmin(np.abs(found.grid.y_mm - y))), column])


def height_at(found: ScanFloor, x: float, y: float) -> float:
    column = int(np.argmin(np.abs(found.grid.x_mm - x)))
    return float(found.grid.height_mm[int(np.argmin(np.abs(found.grid.y_mm - y))), column])


def test_a_dais_is_a_level_of_the_floor_and_is_named(layers_of: LayersOf) -> None:
    x, y, z = plates((0, 0, 3000, 4000, 10), (3000, 0, 4200, 4000, 290))
    found = find_floor(layers_of(x, y, z, CELL))
    assert height_at(found, 3650, 1250) == pytest.approx(290, abs=1.2)  # 6 sd of 60 points
    assert height_at(found, 1250, 3650) == pytest.approx(10, abs=1.2)
    assert any("A level of 4.8 m², 280 mm above the floor" in note for note in found.notes)


def test_a_lower_bay_is_a_level_too(layers_of: LayersOf) -> None:
    x, y, z = plates((0, 0, 3000, 4000, 10), (3000, 0, 3700, 4000, -150))
    found = find_floor(layers_of(x, y, z, CELL))
    assert height_at(found, 3350, 1250) == pytest.approx(-150, abs=1.2)
    assert any("160 mm below the floor" in note for note in found.notes)


def test_a_stage_is_left_out_and_named(layers_of: LayersOf) -> None:
    x, y, z = plates((0, 0, 3000, 4000, 10), (3000, 0, 4200, 4000, 610))
    found = find_floor(layers_of(x, y, z, CELL))
    assert found.grid.x_mm.max() < 3000
    assert any("600 mm above the floor" in note and "left out" in note for note in found.notes)


def test_a_box_and_a_large_table_are_no_floor(layers_of: LayersOf) -> None:
    """A box of 0.5 m² is too small for a level; a table of 5 m² is too high."""
    x, y, z = plates(
        (0, 0, 1000, 5000, 0),
        (1000, 0, 5000, 1000, 0),
        (1000, 4000, 5000, 5000, 0),
        (4000, 1000, 5000, 4000, 0),
        (1000, 1000, 4000, 2700, 720),
        (1000, 3000, 2000, 3500, 200),
    )
    found = find_floor(layers_of(x, y, z, CELL))
    assert state_at(found, 2550, 1850) == COVERED
    assert state_at(found, 1550, 3250) == COVERED
    assert state_at(found, 3050, 3250) == UNSEEN
    assert state_at(found, 550, 3250) == FLOOR
    assert found.grid.known.sum() == 100 * 25 - 30 * 30
    assert found.removed["area_m2"].tolist() == pytest.approx([5.1, 0.5])
    assert any("720 mm above the floor" in note and "left out" in note for note in found.notes)


def test_a_roof_larger_than_the_floor_is_no_floor(layers_of: LayersOf) -> None:
    x, y, z = plates((1000, 500, 3000, 2000, 40), (0, 0, 3300, 2900, 4100))
    found = find_floor(layers_of(x, y, z, CELL))
    assert found.grid.known.sum() == 20 * 15
    assert height_at(found, 2050, 1050) == pytest.approx(40, abs=1.2)
    assert any("hang more than 2200 mm" in note for note in found.notes)


def test_reflections_under_the_floor_are_stray_however_dense(layers_of: LayersOf) -> None:
    x, y, z = plates((0, 0, 3000, 2000, 0), (700, 600, 1900, 1300, -320))
    found = find_floor(layers_of(x, y, z, CELL))
    assert np.all(found.state == FLOOR)
    assert height_at(found, 1250, 950) == pytest.approx(0, abs=1.2)
    (under,) = found.removed.itertuples()
    assert under.where == "under"
    assert under.area_m2 == pytest.approx(12 * 7 / 100)
    assert (under.x_mm, under.y_mm) == pytest.approx((1300, 950))


def test_floor_behind_a_shadow_goes_on(layers_of: LayersOf) -> None:
    x, y, z = plates(
        (0, 0, 2000, 3000, 0), (2900, 700, 3900, 1400, 9), (2900, 1800, 3900, 2500, 60)
    )
    found = find_floor(layers_of(x, y, z, CELL))
    assert state_at(found, 3450, 1050) == FLOOR
    assert state_at(found, 2450, 1050) == UNSEEN
    assert (
        state_at(found, 3450, 2150) == COVERED
    )  # 60 mm up and 0.7 m²: something that stands there


def test_two_levels_in_one_cell_are_doubtful(layers_of: LayersOf) -> None:
    """The edge of a bay at x = 2,050 runs through the middle of cells."""
    x, y, z = plates((0, 0, 2050, 3000, 0), (2050, 0, 4000, 3000, 120))
    found = find_floor(layers_of(x, y, z, CELL))
    assert np.all(found.state[:, 20] == DOUBTFUL)
    assert np.all(np.delete(found.state, 20, axis=1) == FLOOR)


def test_a_ramp_joins_levels_without_a_word(layers_of: LayersOf) -> None:
    """1 in 12 is a slope; the level behind it is higher than any step may be."""
    x, y, z = plates((0, 0, 2000, 1500, 0), (2000, 0, 6800, 1500, 0), (6800, 0, 8500, 1500, 0))
    z += np.clip((x - 2000) / 12, 0, 400)
    found = find_floor(layers_of(x, y, z, CELL))
    assert np.all(found.state == FLOOR)
    assert height_at(found, 8050, 750) == pytest.approx(400, abs=1.2)
    assert height_at(found, 4450, 750) == pytest.approx(2450 / 12, abs=2.2)  # 8 mm within the cell
    assert not any("level of" in note for note in found.notes)


@pytest.mark.parametrize("many", [0, 3, 2000])
def test_no_floor_is_refused(layers_of: LayersOf, many: int) -> None:
    """Nothing, three points, and a cloud of dust."""
    place = np.random.default_rng(many).random((3, max(many, 1))) * 3000
    layers = layers_of(*place, CELL)
    if not many:
        empty = np.empty(0, dtype=np.int64)
        layers = Layers(CELL, 2.0, empty, empty, empty, empty, empty, 0, 0)
    with pytest.raises(Refusal, match="floor in the scan"):
        find_floor(layers)


def test_progress_rises_to_the_end(layers_of: LayersOf) -> None:
    one = room(5, 40, 2.0, 0.2, 8.0, 12)
    shares: list[float] = []
    find_floor(layers_of(one.x, one.y, one.z, CELL), tell=shares.append)
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert len(shares) >= 4


def test_the_notes_say_what_was_found(layers_of: LayersOf) -> None:
    one = room(8, 100, 2.0, 0.25, 10.0, 20)
    found = find_floor(layers_of(one.x, one.y, one.z, CELL))
    said = " ".join(found.notes)
    assert f"{100 * 20 * 20:,} points in cells of 100 mm" in said
    area = 4.0 - one.blocks.sum() / 100
    assert f"{area:.1f} m² of floor" in said
    assert "approves no floor" in said
