"""Files of made scans, read back by other libraries."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from kit.job import Refusal
from kit.scan.made import make_hall
from kit.scan.made_files import write_made_scan
from kit.scan.made_rays import points

HALL = make_hall(9, length_mm=9000, width_mm=7000)


def read_back(path: Path) -> np.ndarray:
    """Return x, y, z [m] with a library that is not the kit's own reader."""
    if path.suffix == ".csv":
        return pd.read_csv(path)[["x", "y", "z"]].to_numpy().T
    if path.suffix == ".ply":
        from plyfile import PlyData

        vertex = PlyData.read(path)["vertex"]
        return np.stack([vertex["x"], vertex["y"], vertex["z"]])
    import laspy

    file = laspy.read(path)
    return np.stack([file.x, file.y, file.z])


@pytest.mark.parametrize("kind", ["csv", "ply", "las", "laz"])
def test_what_is_written_is_the_scan(kind: str, tmp_path: Path) -> None:
    told: list[float] = []
    path = write_made_scan(HALL, tmp_path / f"hall.{kind}", 4321, seed=3, tell=told.append)
    (expected,) = points(HALL, 4321, 3)
    step = 1e-9 if kind == "ply" else 0.051  # half a tenth of a millimetre
    assert np.abs(read_back(path) * 1000 - np.stack(expected)).max() < step
    assert told[-1] == 1.0
    again = write_made_scan(HALL, tmp_path / f"again.{kind}", 4321, seed=3)
    assert again.read_bytes() == path.read_bytes()
    assert sorted(each.name for each in tmp_path.iterdir()) == [f"again.{kind}", f"hall.{kind}"]


def test_another_ending_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="file of a made scan"):
        write_made_scan(HALL, tmp_path / "hall.txt", 10)


def test_a_file_that_fails_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="points of a made scan"):
        write_made_scan(HALL, tmp_path / "hall.csv", 0)
    assert list(tmp_path.iterdir()) == []


def test_a_place_that_cannot_be_written_to_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")
    (tmp_path / "folder.csv").mkdir()
    (tmp_path / "hall.csv.part").write_text("mine too")
    for name in ("gone/hall.csv", "file/hall.csv", "folder.csv", "h" * 300 + ".csv"):
        with pytest.raises(Refusal, match=r"file of a made scan .* a file that can be written"):
            write_made_scan(HALL, tmp_path / name, 10)
    write_made_scan(HALL, tmp_path / "hall.csv", 10)
    there = sorted(each.name for each in tmp_path.iterdir())
    assert there == ["file", "folder.csv", "hall.csv", "hall.csv.part"]
    assert (tmp_path / "hall.csv.part").read_text() == "mine too"
