"""A small hall with a hollow, a hump and a hole: unequal in both directions."""

import numpy as np
import pandas as pd
import pytest

import kit
from kit.answer import survey_floor
from kit.height_grid import HeightGrid
from kit.levels import part_into_zones


@pytest.fixture(scope="session")
def hall():
    x, y = 50.0 + 100.0 * np.arange(60), 150.0 + 100.0 * np.arange(40)
    at_x, at_y = np.meshgrid(x, y)
    height = 0.002 * at_x - 0.001 * at_y
    height -= 7.0 * np.exp(-(((at_x - 1500) / 400) ** 2) - ((at_y - 1300) / 500) ** 2)
    height += 4.0 * np.exp(-(((at_x - 4200) / 500) ** 2) - ((at_y - 2900) / 300) ** 2)
    height[30:34, 8:15] = np.nan
    known = np.isfinite(height)
    return HeightGrid(x, y, height, np.where(known, 0.3, np.nan), 40 * known.astype(int))


STALLS = """
schema = 1
title = "Market hall, stalls on two levels"
[floor]
kind = "solid"
services = "no_fixings"
[[survey]]
kind = "heights"
file = "h.csv"
sd_mm = 0.1
[[floor_step]]
name = "old wall"
from_mm = [2050, -100]
to_mm = [2050, 5000]
[[movement_joint]]
name = "J1"
from_mm = [1300, 900]
to_mm = [1300, -50]
clear_mm = 20
[stock]
packers = [{mm = 1}, {mm = 2}, {mm = 5}, {mm = 10}, {mm = 20}]
packer_size_mm = [75, 45]
[[base]]
name = "stalls"
height_mm = [30, 200]
max_stack_mm = 110
max_pieces = 12
end_inset_mm = 5
bearer = { thickness_mm = 22, width_mm = 45 }
levels = { most = 3, step_mm = [100, 200], ramp_mm_per_m = 60, ramp_room_mm = 1600 }
[[run]]
name = "A"
origin_mm = [0, 0]
"""
STALL = '[[run.unit]]\nname = "{}"\nwidth_mm = {}\ndepth_mm = 500\nheight_mm = 900\nmass_kg = 30\n'


@pytest.fixture(scope="session")
def stalls(tmp_path_factory):
    """Seven stalls over a step of the floor of 150 mm, and two counters on its upper part."""
    folder = tmp_path_factory.mktemp("stalls")
    units = "".join(
        STALL.format(f"stall {n}", 600) + "gap_before_mm = 100\n" * (n > 1) for n in range(1, 8)
    )
    units += '[[run]]\nname = "B"\norigin_mm = [300, 2500]\n'
    units += STALL.format("long counter", 900) + STALL.format("till $1$ <b>", 400)
    (folder / "job.toml").write_text(STALLS + units)
    along = [*np.arange(0, 2000, 300), 2000, 2040, 2060, 2100, *np.arange(2400, 5001, 300)]
    x, y = (g.ravel() for g in np.meshgrid(along, [-20, 200, 420, 640, 2450, 2800, 3100]))
    height = np.where(x < 2050, 0.0, -150.0) - 0.001 * x - 0.002 * y
    told = {"point": [f"P{n}" for n in range(len(x))], "x_mm": x, "y_mm": y, "height_mm": height}
    pd.DataFrame(told).to_csv(folder / "h.csv", index=False)
    job = kit.read_job(folder)
    return job, survey_floor(job)


@pytest.fixture(scope="session")
def zones(stalls):
    """The stalls in as many zones as take the least packing."""
    return part_into_zones(*stalls)


NET = """
schema = 1
title = "Market hall, four set-ups"
[floor]
kind = "solid"
services = "no_fixings"
[[survey]]
kind = "staff"
file = "r.csv"
sd_mm = 0.5
[stock]
packers = [{mm = 1}, {mm = 5}]
packer_size_mm = [75, 45]
[[run]]
name = "A"
origin_mm = [500, 0]
[[run.unit]]
name = "stall"
width_mm = 600
depth_mm = 400
height_mm = 900
mass_kg = 30
[[base]]
name = "stalls"
height_mm = [30, 200]
"""
#: S1 and S2 share three points, S2 and S-3 two (a round of which misses), S4 hangs on A-4 alone.
PLACES = {
    "A-1": (0, 0), "A-2": (3000, 0), "A-3": (3000, 2500), "A-4": (9000, 2500), "A-5": (9000, 400),
    "A-6": (6000, 5000), "A-7": (12000, 5200), "A-8": (0, 4000),
}  # fmt: skip
READ = {
    "S1": ("A-1", "A-2", "A-3", "A-8"),
    "S2": ("A-1", "A-2", "A-3", "A-5", "A-6"),
    "S-3": ("A-5", "A-6", "A-4"),
    "S4": ("A-4", "A-7"),
}
SIGHT = {"S1": 1500.0, "S2": 1420.0, "S-3": 1610.0, "S4": 1333.0}
HEIGHT = {name: -3.0 * n - 0.5 * n * n for n, name in enumerate(PLACES)}
SLIP = 4.0  # of S-3 at A-6


@pytest.fixture(scope="session")
def four_setups(tmp_path_factory):
    """Job and heights of four set-ups, worked out by hand."""
    folder = tmp_path_factory.mktemp("net")
    (folder / "job.toml").write_text(NET)
    rows = [
        (setup, name, *PLACES[name], SIGHT[setup] - HEIGHT[name])
        for setup, names in READ.items()
        for name in names
    ]
    table = pd.DataFrame(rows, columns=["setup", "point", "x_mm", "y_mm", "reading_mm"])
    slip = (table["setup"] == "S-3") & (table["point"] == "A-6")
    table.loc[slip, "reading_mm"] += SLIP
    table.to_csv(folder / "r.csv", index=False)
    job = kit.read_job(folder)
    return job, survey_floor(job).heights
