"""Which floor a notebook shows: the job's scan, a made one, or the surface between readings."""

import shutil
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import kit
from kit.answer import survey_floor
from kit.large_floor.shown_floor import Changes, floor_of, least_change, made_floor, zero_of

JOB = """
schema = 1
title = "Library, one wall"
[floor]
kind = "solid"
services = "no_fixings"
{benchmark}
[[survey]]
kind = "heights"
file = "h.csv"
sd_mm = 0.3
{scan}
[stock]
packers = [{{mm = 1}}, {{mm = 5}}]
packer_size_mm = [75, 45]
[[run]]
name = "A"
[[run.unit]]
name = "shelf"
width_mm = 900
depth_mm = 400
height_mm = 1800
[[base]]
name = "base"
height_mm = [30, 120]
"""
SCAN = '[[survey]]\nkind = "scan"\nfile = "s.csv"\nsd_mm = 1\ncell_mm = 150\n'


def written(folder, apart_mm, scan="", benchmark=""):
    """A floor of 4.8 m by 3.6 m with a hump of 14 mm near (2000, 1500)."""
    folder.mkdir(exist_ok=True)
    (folder / "job.toml").write_text(JOB.format(scan=scan, benchmark=benchmark))
    x, y = (
        g.ravel() for g in np.meshgrid(np.arange(0, 4801, apart_mm), np.arange(0, 3601, apart_mm))
    )
    height = 14 * np.exp(-(((x - 2000) / 500) ** 2) - ((y - 1500) / 600) ** 2)
    names = [f"P{n}" for n in range(len(x))]
    pd.DataFrame({"point": names, "x_mm": x, "y_mm": y, "height_mm": height}).to_csv(
        folder / "h.csv", index=False
    )
    return kit.read_job(folder)


def test_without_a_scan_the_surface_is_shown_and_said(tmp_path):
    job = written(tmp_path / "a", 300)
    told = []
    floor = floor_of(job, survey_floor(job), told.append)
    assert floor.made == ()
    assert "This job has no scan" in floor.notes[0]
    assert floor.zero == "the highest point read"
    assert told[-1] == 1.0
    # Between readings 300 mm apart a hump of 14 mm is told to half a millimetre.
    row, column = np.unravel_index(np.nanargmax(floor.grid.height_mm), floor.grid.height_mm.shape)
    assert (floor.grid.x_mm[column], floor.grid.y_mm[row]) == pytest.approx((2000, 1500), abs=150)
    assert np.nanmax(floor.readings_mm) > 0
    assert floor.in_cells(250.0).grid.cell_mm == 250.0


def test_a_scan_of_the_job_is_used_in_cells_that_the_edge_fits(tmp_path):
    folder = tmp_path / "b"
    folder.mkdir()
    x, y = (g.ravel() for g in np.meshgrid(np.arange(10, 4800, 20.0), np.arange(10, 3600, 20.0)))
    pd.DataFrame({"x_mm": x, "y_mm": y, "z_mm": 0.001 * x}).to_csv(folder / "s.csv", index=False)
    job = written(folder, 600, SCAN)
    floor = floor_of(job, survey_floor(job))
    assert floor.source == "the scan s.csv"
    assert floor.grid.cell_mm == 100.0  # not its own 150: half of 2 m is no whole number of them
    assert not floor.readings_mm[floor.grid.known].any()
    assert not any("no scan" in note for note in floor.notes)


def test_heights_are_above_a_benchmark_where_one_is_named(tmp_path):
    job = written(tmp_path / "c", 600, benchmark='benchmark = "P3"')
    assert zero_of(job) == "the zero of the benchmark P3"


def test_the_made_scan_is_of_the_made_hall():
    floor = made_floor(200_000)
    (hall,) = floor.made
    x, y = np.meshgrid(floor.grid.x_mm, floor.grid.y_mm)
    error = (floor.grid.height_mm - hall.mean_height_mm(x, y, 100.0))[floor.grid.known]
    assert np.sqrt(np.mean(error**2)) < 2.0  # few points a cell: twice what a full scan keeps
    assert "made" in floor.notes[0]


def test_only_the_market_hall_has_a_made_scan(tmp_path, monkeypatch):
    def made(points, tell):
        raise LookupError(points, tell)

    monkeypatch.setattr("kit.large_floor.shown_floor.made_floor", made)
    shutil.copytree(Path(__file__).parents[2] / "data" / "market-hall", tmp_path / "market-hall")
    job = kit.read_job(tmp_path / "market-hall")
    with pytest.raises(LookupError, match="1500000, None"):
        floor_of(job, None)


def test_the_least_change_or_why_not(tmp_path):
    near = written(tmp_path / "near", 250)
    floor = floor_of(near, survey_floor(near))
    changes = least_change(floor, near, 5.0)
    (one,) = changes.found
    assert one.worst_before_mm > 5.0 >= one.worst_after_mm - 1e-6
    assert changes.left_out == ""
    far = written(tmp_path / "far", 2400)
    none = least_change(floor_of(far, survey_floor(far)), far, 5.0)
    assert none.found == ()
    assert "Not told" in none.why_not
    assert Changes((one,), area_m2=one.grid.area_m2 + 3).left_out.startswith("3 m² of ")
