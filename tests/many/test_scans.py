"""Many scans at once: the grids of one by one, to the last bit."""

import numpy as np
import pandas as pd
import pytest

from kit.job import Refusal, ScanFrame
from kit.many import ScanTask, reduce_many
from kit.scan import make_hall, reduce_scan, write_made_scan


@pytest.fixture(scope="module")
def tasks(tmp_path_factory):
    folder = tmp_path_factory.mktemp("scans")
    hall = make_hall(4, length_mm=7000.0, width_mm=5000.0)
    for name, seed in (("one.laz", 1), ("two.ply", 2)):
        write_made_scan(hall, folder / name, 120_000, seed=seed)
    frame = ScanFrame(origin_mm=(300.0, -150.0), x_towards_deg=90.0, mirrored=True)
    return (
        ScanTask(folder / "one.laz", 200.0),
        ScanTask(folder / "gone.laz", 200.0),
        ScanTask(folder / "two.ply", 250.0, "m", frame),
    )


@pytest.fixture(scope="module")
def alone(tasks):
    return reduce_many(tasks)


def test_one_by_one_is_each_by_itself(tasks, alone):
    task = tasks[2]
    expected = reduce_scan(task.path, "two.ply", 250.0, file_unit="m", frame=task.frame)
    np.testing.assert_array_equal(alone[2].grid.height_mm, expected.grid.height_mm)
    assert isinstance(alone[1], Refusal)
    assert "gone.laz" in str(alone[1])


def test_a_cluster_gives_the_same_bits(tasks, alone, two):
    told = []
    found = reduce_many(tasks, two, told.append)
    assert [isinstance(one, Refusal) for one in found] == [False, True, False]
    assert str(found[1]) == str(alone[1])
    for one, other in ((found[0], alone[0]), (found[2], alone[2])):
        for name in ("x_mm", "y_mm", "height_mm", "sd_mm", "count"):
            np.testing.assert_array_equal(getattr(one.grid, name), getattr(other.grid, name))
        pd.testing.assert_frame_equal(one.removed, other.removed, check_exact=True)
        assert one.notes == other.notes
    assert told[-1] == 1.0
