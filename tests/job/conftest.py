"""An invented boot room that the tests of the job room read, spoil and save."""

from pathlib import Path

import pytest

BOOT_ROOM = """\
# Boot room, east wall: an invented job.
schema = 1
title = "Boot room, east wall"
units = "mm"

[floor]
kind = "boarded"
board_mm = 21
reserve_mm = 2

[floor.joists]
along = "y"
width_mm = 47
depth_mm = 195
centres_mm = 400
first_mm = 150
bearing_mm = [0, 3600]
strength_class = "C16"

[[survey]]
kind = "heights"
file = "heights.csv"

[[run]]
name = "A"
origin_mm = [0, 0]

  [[run.unit]]
  name = "boot bench"
  width_mm = 1100
  depth_mm = 420
  height_mm = 480
  divisions_mm = [350, 720]

  [[run.unit]]
  name = "coat tower"
  width_in = "23 5/8"
  depth_mm = 420
  height_mm = 2100

[[no_go]]
name = "floor hatch"
corner_mm = [1200, 60]
size_mm = [300, 250]

[[service]]
name = "heating pipe"
from_mm = [0, 300]
to_mm = [4000, 300]
depth_mm = 22

[[base]]
name = "oak bearers"
height_mm = [55, 75]
bearer = { width_mm = 45, thickness_mm = 20 }

[stock]
packers = [ {mm = 1}, {mm = 3}, {mm = 6, count = 40}, {in = "3/4", price = 0.22} ]
screws_mm = [30, 40]
"""


@pytest.fixture(scope="session")
def boot_room() -> str:
    return BOOT_ROOM


@pytest.fixture
def job_folder(tmp_path: Path) -> Path:
    (tmp_path / "job.toml").write_bytes(BOOT_ROOM.encode())
    return tmp_path
