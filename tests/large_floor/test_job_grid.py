"""A job's floor in cells: of its scan, or of the surface between its readings."""

import shutil

import numpy as np
import pytest

import kit
from kit.answer import survey_floor
from kit.job import Refusal
from kit.large_floor.job_grid import grid_of_job
from kit.scan import make_hall, write_made_scan


def test_without_a_scan_the_surface_is_taken(hall, surveyed):
    found = grid_of_job(hall, surveyed, 200.0)
    assert found.source == "the surface between readings"
    # Readings lie 200 mm apart: no cell is further from one than half a diagonal, times √2.
    assert found.readings_mm.shape == found.grid.height_mm.shape
    assert 0 < np.nanmin(found.readings_mm) <= np.nanmax(found.readings_mm) <= 200.0
    grid = found.grid
    expected = surveyed.surface.predict([grid.x_mm[3]], [grid.y_mm[2]])
    assert grid.height_mm[2, 3] == pytest.approx(expected.height_mm[0], abs=1e-9)  # rounding


@pytest.fixture(scope="module")
def scanned(hall_folder, tmp_path_factory):
    folder = tmp_path_factory.mktemp("scans") / "scanned"
    shutil.copytree(hall_folder, folder)
    made = make_hall(3, length_mm=8000.0, width_mm=5000.0)
    write_made_scan(made, folder / "hall.ply", 250_000)
    (folder / "points.csv").write_text(
        "point,x_mm,y_mm,height_mm\n"
        + "".join(
            f"P{n},{x},{y},{made.height_mm(np.array([x]), np.array([y]))[0] + 500:.2f}\n"
            for n, (x, y) in enumerate([(911.0, 433.0), (5107.0, 611.0), (3303.0, 4111.0)])
        )
    )
    text = (folder / "job.toml").read_text()
    start, end = text.index("[[survey]]"), text.index("[[floor_step]]")
    surveys = (
        '[[survey]]\nkind = "scan"\nfile = "hall.ply"\ncell_mm = 200\n\n'
        '[[survey]]\nkind = "heights"\nfile = "points.csv"\n\n'
    )
    step = text.index("[[doorway]]")
    (folder / "job.toml").write_text(text[:start] + surveys + text[step:])
    assert end < step
    return made, kit.read_job(folder)


def test_a_scan_gives_its_cells_at_their_adjusted_heights(scanned):
    made, job = scanned
    survey = survey_floor(job)
    found = grid_of_job(job, survey)
    grid = found.grid
    assert (grid.cell_mm, found.source) == (200.0, "the scan hall.ply")
    assert np.array_equal(found.readings_mm, np.zeros(grid.height_mm.shape))
    x, y = np.meshgrid(grid.x_mm, grid.y_mm)
    off = grid.height_mm - made.mean_height_mm(x, y, 200.0)
    off -= np.nanmedian(off)  # the job's datum is its highest point
    known = grid.known
    # Cells of 250 points of 2 mm; what is larger lies at the step and the ramp, within a cell.
    assert np.median(np.abs(off[known])) < 0.5
    # The points of the other table tie the scan and are no cells of it.
    assert known.sum() == (survey.heights.residuals["survey"] == "hall.ply").sum() - 3


def test_the_tying_points_lie_off_the_cells(scanned):
    _, job = scanned
    names = set(survey_floor(job).heights.points["point"])
    assert {"P0", "P1", "P2"} <= names


def test_other_cells_are_the_same_floor(scanned):
    _, job = scanned
    survey = survey_floor(job)
    own, other = grid_of_job(job, survey).grid, grid_of_job(job, survey, 100.0).grid
    assert (own.cell_mm, other.cell_mm) == (200.0, 100.0)
    # Four cells of 100 mm lie in one of 200: their mean is its height, but for the scatter of
    # 60 points of 2 mm each.
    row, column = np.argwhere(own.known)[len(np.argwhere(own.known)) // 2]
    near_x = np.abs(other.x_mm - own.x_mm[column]) < 100
    near_y = np.abs(other.y_mm - own.y_mm[row]) < 100
    within = other.height_mm[np.ix_(near_y, near_x)]
    assert within.shape == (2, 2)
    assert np.nanmean(within) == pytest.approx(own.height_mm[row, column], abs=0.6)
    with pytest.raises(Refusal, match="cell_mm"):
        grid_of_job(job, survey, 3.0)
