"""A small hall of two levels: a grid of heights, a step at 4 m, lockers over it."""

from pathlib import Path

import numpy as np
import pytest

JOB = """schema = 1
title = "Boot hall"

[floor]
kind = "solid"
services = "no_fixings"

[[survey]]
kind = "grid"
file = "grid.csv"
sd_mm = 0.3

[[floor_step]]
name = "sill"
from_mm = [4000, 0]
to_mm = [4000, 3000]

[[doorway]]
name = "door"
from_mm = [0, 1500]
to_mm = [0, 2500]

[[run]]
name = "A"
origin_mm = [200, 0]
{units}
[[base]]
name = "bearers on packers"
height_mm = [45, 90]
max_stack_mm = 90
levels = {{ most = 3, step_mm = [60, 200] }}

[stock]
packers = [ {{mm = 1}}, {{mm = 2}}, {{mm = 5}}, {{mm = 10}}, {{mm = 20}} ]
"""

UNIT = """
  [[run.unit]]
  name = "locker {number}"
  width_mm = 900
  depth_mm = 450
  height_mm = 1800
  mass_kg = 40
  contents_kg = 50
  gap_before_mm = {gap}
"""


def floor_mm(x, y):
    """Return a fall, a hollow about 1500, 1400, and a step of 130 mm at x = 4000."""
    hollow = -6.0 * np.exp(-(((x - 1500) / 500) ** 2) - ((y - 1400) / 400) ** 2)
    return 0.0015 * x - 0.0008 * y + hollow + 130.0 * (x >= 4000)


@pytest.fixture(scope="session")
def hall_folder(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("halls") / "boot-hall"
    folder.mkdir()
    draw = np.random.default_rng(15)
    x, y = np.arange(100, 7000, 200), np.arange(0, 3001, 200)
    lines = [",".join(["y_mm \\ x_mm", *map(str, x)])]
    for row in y:
        heights = floor_mm(x, row) + draw.normal(0, 0.2, len(x))
        lines.append(",".join([str(row), *(f"{h:.2f}" for h in heights)]))
    (folder / "grid.csv").write_text("\n".join(lines) + "\n")
    units = "".join(UNIT.format(number=n + 1, gap=200 if n == 4 else 0) for n in range(7))
    (folder / "job.toml").write_text(JOB.format(units=units))
    return folder


@pytest.fixture(scope="session")
def hall(hall_folder):
    import kit

    return kit.read_job(hall_folder)


@pytest.fixture(scope="session")
def surveyed(hall):
    from kit.answer import survey_floor

    return survey_floor(hall)
