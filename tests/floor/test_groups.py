import numpy as np
import pytest

from kit.floor.groups import gather
from kit.floor.likelihood import Unevenness


@pytest.fixture(scope="module")
def hall():
    generator = np.random.default_rng(7)
    x, y = generator.uniform(0, 9000, 1500), generator.uniform(0, 5000, 1500)
    x[:40], y[:40] = 4000.0, 777.0
    z, noise = generator.normal(0, 2, 1500), generator.uniform(0.1, 0.4, 1500)
    return x, y, z, noise, gather(x, y, z, noise, Unevenness(300.0, 4.0))


def readings_of(groups, row):
    if row < len(groups.order):
        return [int(groups.order[row])]
    return [one for part in groups.within(np.array([row])) for one in readings_of(groups, part)]


def test_every_reading_counts_once_however_far_the_groups_are_opened(hall):
    *_, groups = hall
    place = np.array([2000.0, 2300.0])
    for opening, most in ((0.2, 1500), (0.5, 700), (1.2, 300)):
        rows = groups.around(place, place, opening, every=True)
        assert sorted(one for row in rows for one in readings_of(groups, row)) == list(range(1500))
        assert len(rows) < most


def test_a_group_is_the_mean_of_its_readings(hall):
    x, y, z, noise, groups = hall
    row = int(groups.top[0])
    own = [readings_of(groups, part) for part in groups.within(np.array([row]))]
    part = groups.within(np.array([row]))[np.argmax([len(one) for one in own])]
    rows = np.array(max(own, key=len))
    weight = 1 / (noise[rows] + 1e-3 * noise.mean())
    weight /= weight.sum()
    assert groups.x_mm[part] == pytest.approx(weight @ x[rows], rel=1e-10)
    assert groups.y_mm[part] == pytest.approx(weight @ y[rows], rel=1e-10)
    assert groups.height_mm[part] == pytest.approx(weight @ z[rows], abs=1e-10)
    apart = np.hypot(x[rows] - groups.x_mm[part], y[rows] - groups.y_mm[part])
    assert groups.radius_mm[part] == pytest.approx(apart.max(), rel=1e-10)
    # The floor changes within it more than any mean of readings is doubtful by.
    assert groups.noise[part] == pytest.approx(weight**2 @ noise[rows] + 4.0, rel=1e-10)


def test_near_groups_are_opened_and_far_ones_are_small_for_their_distance(hall):
    *_, groups = hall
    low, high = np.array([1000.0, 1500.0]), np.array([1800.0, 2300.0])
    rows = groups.around(*np.array([low, high]).T, 0.4, every=True)
    x, y = groups.x_mm[rows], groups.y_mm[rows]
    dx = np.maximum(np.maximum(low[0] - x, x - high[0]), 0)
    dy = np.maximum(np.maximum(low[1] - y, y - high[1]), 0)
    joined = rows >= len(groups.order)
    apart = np.hypot(dx, dy) - groups.radius_mm[rows]
    assert np.all(2 * groups.radius_mm[rows][joined] <= 0.4 * apart[joined])
    assert joined.sum() > 50


def test_readings_of_one_place_are_never_told_apart(hall):
    *_, groups = hall
    place = np.array([4000.0]), np.array([777.0])
    settled = groups.around(*place, 0.4, every=False)
    assert len(groups.around(*place, 0.4, every=True)) - len(settled) >= 39


def test_no_group_holds_a_survey_whose_floor_is_all_but_a_plane(hall):
    x, y, z, noise, _ = hall
    groups = gather(x, y, z, noise, Unevenness(40_000.0, 1e-6))
    for place in (2000.0, 900_000.0):
        rows = groups.around(np.array([place]), np.array([place]), 0.5, every=False)
        assert 3 < len(rows) < 300
        # A strip of 9000 by 5000 mm spread evenly is 5000 broad.
        assert groups.broad_mm == pytest.approx(5000, rel=0.03)
        assert 2 * groups.radius_mm[rows].max() <= 0.5 * groups.broad_mm


def test_breadth_is_that_across_a_strip_however_it_runs():
    generator = np.random.default_rng(2)
    along, across = generator.uniform(0, 20_000, 4000), generator.uniform(0, 800, 4000)
    turn = np.radians(31.0)
    x = along * np.cos(turn) - across * np.sin(turn)
    y = along * np.sin(turn) + across * np.cos(turn)
    noise = np.full(4000, 0.04)
    groups = gather(x, y, np.zeros(4000), noise, Unevenness(9000.0, 1e-6))
    # 4,000 draws know the standard deviation of their breadth to a hundredth.
    assert groups.broad_mm == pytest.approx(800, rel=0.04)
