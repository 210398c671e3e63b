import math
from collections import Counter
from dataclasses import dataclass
from threading import get_ident

import laspy
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.job import Refusal, ScanFrame
from kit.scan import gather as gathering
from kit.scan.cloud import open_cloud
from kit.scan.gather import gather

ARRAYS = ("ix", "iy", "iz", "count", "sum_z")


@dataclass(frozen=True)
class Points:
    """A cloud that is in memory, in millimetres."""

    places: np.ndarray
    name: str = "market-hall.csv"
    unit_mm: tuple[float, float, float] = (1.0, 1.0, 1.0)

    @property
    def points(self):
        return len(self.places)

    def pieces(self, points_at_once=1000, _tell=None):
        for i in range(0, len(self.places), points_at_once):
            x, y, z = np.array(self.places[i : i + points_at_once]).T
            yield x, y, z


def hall(count, seed=0):
    generator = np.random.default_rng(seed)
    x, y = generator.uniform(-700, 4300, count), generator.uniform(90, 2900, count)
    return np.column_stack([x, y, 0.01 * x + generator.normal(0, 3, count)])


def same(one, two):
    return all(np.array_equal(getattr(one, name), getattr(two, name)) for name in ARRAYS)


def by_hand(places, cell, slab):
    """Count boxes in plain Python: {(iy, ix, iz): (count, sum)}."""
    counts, sums = Counter(), Counter()
    for x, y, z in places.tolist():
        iz, part = divmod(math.floor(z * 1024), int(slab * 1024))
        key = (math.floor(y / cell), math.floor(x / cell), iz)
        counts[key] += 1
        sums[key] += part
    return [(*key, counts[key], sums[key]) for key in sorted(counts)]


@pytest.mark.parametrize(("cell", "slab"), [(50.0, 2.0), (37.5, 3.0), (5.0, 2.0), (400.0, 0.25)])
def test_boxes_as_plain_python_counts_them(cell, slab):
    places = hall(3000)
    found = gather(Points(places), cell, None, slab_mm=slab)
    rows = zip(found.iy, found.ix, found.iz, found.count, found.sum_z, strict=True)
    assert [tuple(map(int, row)) for row in rows] == by_hand(places, cell, slab)
    assert (found.points, found.left_out, found.notes) == (3000, 0, ())


@settings(max_examples=40, deadline=None)
@given(st.integers(1, 4000), st.integers(1, 5000), st.integers(0, 2**32), st.floats(-360, 360))
def test_same_to_the_last_bit_in_any_order_and_pieces(count, at_once, seed, degrees):
    places = hall(count + 40, seed)
    frame = ScanFrame(origin_mm=(120.5, -33.25), x_towards_deg=degrees, mirrored=True)
    whole = gather(Points(places), 50.0, frame, points_at_once=10_000)
    shuffled = Points(np.random.default_rng(seed).permutation(places))
    assert same(gather(shuffled, 50.0, frame, points_at_once=at_once), whole)


def test_mean_height_of_each_box():
    places = hall(2000, 5)
    found = gather(Points(places), 250.0, None)
    summed = float(np.sum(found.mean_mm * found.count))
    # Each height is rounded down by 1/2048 mm on the average, 1/1024 mm at most.
    assert summed == pytest.approx(places[:, 2].sum() - 2000 / 2048, abs=2000 / 2048 / 10)


def test_frame_flips_then_turns_then_moves():
    # Own (300, 200): flipped (300, -200); turned by 90, x towards +y: (200, 300); moved.
    one = np.array([[300.0, 200.0, 7.0], [900.0, 200.0, 7.0]])
    frame = ScanFrame(origin_mm=(1000.0, 50.0), x_towards_deg=90, mirrored=True, height_mm=40)
    found = gather(Points(one), 100.0, frame)
    assert (found.ix.tolist(), found.iy.tolist(), found.iz.tolist()) == ([12, 12], [3, 9], [23, 23])


def test_any_angle_turns_as_complex_numbers_do():
    places = hall(500, 7)
    frame = ScanFrame(origin_mm=(13.0, 8.0), x_towards_deg=31.7)
    turned = (places[:, 0] + 1j * places[:, 1]) * np.exp(1j * math.radians(31.7)) + 13 + 8j
    found = gather(Points(places), 40.0, frame)
    cells = Counter(zip(np.floor(turned.real / 40), np.floor(turned.imag / 40), strict=True))
    mine = Counter()
    for ix, iy, count in zip(found.ix, found.iy, found.count, strict=True):
        mine[float(ix), float(iy)] += int(count)
    assert mine == cells


@pytest.fixture
def scan(tmp_path):
    header = laspy.LasHeader(point_format=3, version="1.2")
    header.scales, header.offsets = [1e-4, 2.5e-4, 1e-4], [0.3, -0.7, 0.11]
    data = laspy.LasData(header)
    data.x, data.y, data.z = hall(30_000, 9).T / 1000
    data.write(tmp_path / "hall.laz")
    return open_cloud(tmp_path / "hall.laz", "hall.laz", None)


@pytest.mark.parametrize("degrees", [0, 90, 180, 270, -90, 360])
@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("at_once", [700, 30_000])
def test_whole_numbers_give_what_their_places_give(scan, degrees, mirrored, at_once):
    frame = ScanFrame(
        own_zero=(0.37, -1.2, 0.05),
        origin_mm=(77.7, 1.3),
        x_towards_deg=degrees,
        mirrored=mirrored,
        height_mm=3.3,
    )
    quick = gather(scan, 50.0, frame, points_at_once=at_once)
    x, y, z = (np.concatenate(values) for values in zip(*scan.pieces(), strict=True))
    slow = Points(np.column_stack([x, y, z]), unit_mm=(1000.0,) * 3)
    assert same(quick, gather(slow, 50.0, frame))
    assert quick.points == 30_000


def test_progress_is_told_by_the_calling_thread_and_ends_at_one(scan):
    told = []
    gather(scan, 50.0, None, points_at_once=7000, tell=lambda s: told.append((s, get_ident())))
    assert [share for share, _ in told] == sorted(share for share, _ in told)
    assert (len(told), told[-1]) == (5, (1.0, get_ident()))


def test_places_that_are_none_or_far_are_left_out_and_told():
    places = hall(50)
    places[3, 1], places[8, 2], places[9, 0] = np.nan, np.inf, 250_000.0
    found = gather(Points(places), 50.0, None, points_at_once=7)
    assert same(found, gather(Points(np.delete(places, [3, 8, 9], axis=0)), 50.0, None))
    assert (found.points, found.left_out) == (47, 3)
    assert "2 points were left out, as x, y or z is missing" in found.notes[0]
    assert "1 points were left out, as they lie more than 200 m off" in found.notes[1]


def problem_of(places, unit=1.0, cell=50.0, frame=None):
    with pytest.raises(Refusal) as caught:
        gather(Points(places, unit_mm=(unit,) * 3), cell, frame)
    (problem,) = caught.value.problems
    return problem


def test_millimetres_taken_for_metres():
    problem = problem_of(hall(100) * 1000, unit=1000.0)
    assert problem.where == "market-hall.csv"
    assert 'file_unit = "mm"' in problem.allowed


def test_metres_taken_for_millimetres():
    problem = problem_of(hall(100) / 1000)
    assert problem.found.startswith("a whole scan within 4.9")
    assert "file_unit" in problem.allowed


def test_a_scan_in_a_countrys_grid_names_the_zero_it_needs():
    grid = hall(200) + np.array([450_000_000.0, 5_411_000_000.0, 300_000.0])
    problem = problem_of(grid, unit=1000.0)
    assert "frame.own_zero = [450001, 5411001, 300]" in problem.allowed
    frame = ScanFrame(own_zero=(450_000.0, 5_411_000.0, 300.0))
    # Exact in doubles: the zero is whole, the sums are below 2^53 of the last bit.
    near = grid - [450_000_000.0, 5_411_000_000.0, 300_000.0]
    assert same(
        gather(Points(grid, unit_mm=(1000.0,) * 3), 50.0, frame), gather(Points(near), 50.0, None)
    )


def test_no_number_at_all():
    assert "no point whose x, y and z are numbers" in problem_of(np.full((3, 3), np.nan)).found


def test_cells_that_are_too_small(monkeypatch):
    assert "5 mm or more" in problem_of(hall(10), cell=0.5).allowed
    monkeypatch.setattr(gathering, "MOST_BOXES", 100)
    problem = problem_of(hall(2000), cell=10.0)
    assert (problem.where, problem.allowed) == ("market-hall.csv, cell_mm", "a cell_mm above 10 mm")


def test_what_reading_refuses_comes_through(tmp_path):
    path = tmp_path / "hall.csv"
    path.write_text("x,y,z\n1,2,3\n1,2,oak\n")
    with pytest.raises(Refusal, match="row 3: found 'oak' for z"):
        gather(open_cloud(path, "hall.csv", None), 50.0, None)
