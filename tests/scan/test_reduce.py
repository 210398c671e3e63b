"""From a file to the floor in one call."""

from pathlib import Path

import numpy as np
import pytest

from kit.job import ScanFrame
from kit.scan.made import make_hall
from kit.scan.made_files import write_made_scan
from kit.scan.reduce import reduce_scan

HALL = make_hall(9, length_mm=9000, width_mm=7000)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("hall")
    for kind in ("las", "laz", "ply"):
        write_made_scan(HALL, place / f"hall.{kind}", 160_000)
    return place


def test_the_floor_is_that_of_the_hall(folder: Path) -> None:
    told: list[float] = []
    found = reduce_scan(folder / "hall.laz", "hall.laz", 200.0, tell=told.append)
    x, y = np.meshgrid(found.grid.x_mm, found.grid.y_mm)
    error = found.grid.height_mm - HALL.mean_height_mm(x, y, 200.0)
    # Cells of the ramp's and the bay's edge have no one height.
    assert abs(np.nanmedian(error)) < 0.05
    assert np.nanpercentile(np.abs(error), 95) < 1.8  # 2 mm of noise, 20 points or more
    assert found.points == 160_000
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_pieces_and_kind_of_file_do_not_matter(folder: Path) -> None:
    whole = reduce_scan(folder / "hall.laz", "hall.laz", 200.0)
    for name, at_once in (("hall.laz", 7_777), ("hall.las", 50_000)):
        other = reduce_scan(folder / name, name, 200.0, points_at_once=at_once)
        assert other.state.tobytes() == whole.state.tobytes()
        assert other.grid.height_mm.tobytes() == whole.grid.height_mm.tobytes()
        assert other.grid.sd_mm.tobytes() == whole.grid.sd_mm.tobytes()
        assert other.notes == whole.notes


def test_frame_and_unit_are_passed_on(folder: Path) -> None:
    plain = reduce_scan(folder / "hall.laz", "hall.laz", 200.0)
    frame = ScanFrame(origin_mm=(1000.0, -400.0), height_mm=55.0)
    moved = reduce_scan(folder / "hall.laz", "hall.laz", 200.0, frame=frame)
    assert moved.grid.x_mm[0] - plain.grid.x_mm[0] == pytest.approx(1000)
    assert moved.grid.y_mm[0] - plain.grid.y_mm[0] == pytest.approx(-400)
    assert np.nanmedian(moved.grid.height_mm - plain.grid.height_mm) == pytest.approx(55, abs=0.05)
    small = reduce_scan(folder / "hall.ply", "hall.ply", 200.0 * 0.3048, file_unit="ft")
    assert np.ptp(small.grid.x_mm) == pytest.approx(0.3048 * np.ptp(plain.grid.x_mm), rel=0.03)
