"""``python -m kit plan``: a list to carry, written once, and ``where_next`` on the demo jobs."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest

from kit.__main__ import main
from kit.answer import survey_floor
from kit.job import read_job
from kit.methods.packers import PACKERS
from kit.where_next import where_next

DATA = Path(__file__).parents[1] / "data"


def test_the_plan_needs_no_readings_and_overwrites_nothing(tmp_path, capsys):
    shutil.copytree(DATA / "reading-room", tmp_path / "job")
    (tmp_path / "job" / "readings.csv").unlink()
    out = tmp_path / "plan.csv"
    assert main(["plan", str(tmp_path / "job"), "--out", str(out)]) == 0
    said = capsys.readouterr()
    assert "47 places, 60 readings from 2 set-ups." in said.out
    written = out.read_bytes()
    assert written.startswith(b"setup,point,x_mm,y_mm,reading_mm,")
    assert main(["plan", str(tmp_path / "job"), "--out", str(out)]) == 2
    assert capsys.readouterr().err == (
        "plan.csv: found a file of that name already; allowed: a name that is free\n"
    )
    assert out.read_bytes() == written
    assert sorted(p.name for p in tmp_path.iterdir()) == ["job", "plan.csv"]


def test_an_unknown_base_or_folder_is_refused(tmp_path, capsys):
    job, out = str(DATA / "boot-room"), str(tmp_path / "plan.csv")
    assert main(["plan", job, "--base", "stilts", "--out", out]) == 2
    assert "'stilts'" in capsys.readouterr().err
    assert main(["plan", job, "--out", str(tmp_path / "nowhere" / "plan.csv")]) == 2
    assert "cannot be written" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["reading-room", "boot-room", "market-counter"])
def test_where_next_names_supports_and_lowers_the_doubt(name):
    job = read_job(DATA / name)
    base = job.bases[0]
    survey = survey_floor(job)
    ground = PACKERS.look_under(job, survey, PACKERS.lay_out(job, base), base)
    found = where_next(job, survey, ground)
    assert list(found["order"]) == list(range(1, len(found) + 1))
    assert set(found["near"]) <= set(ground.supports["support"])
    assert set(found["helps"]) <= set(ground.supports["support"])
    assert (found["mean_after_mm"] < found["mean_before_mm"]).all()
    if name != "boot-room":  # a grid of 300 mm knows the floor already
        assert len(found) == 6
        before = ground.supports["floor_sd_mm"].mean()
        # Prediction and joint covariance are two ways to one number.
        assert found["mean_before_mm"].iloc[0] == pytest.approx(before, rel=1e-6)


def test_no_place_to_read_lies_in_a_no_go_area():
    job = read_job(DATA / "boot-room")
    base = job.bases[0]
    survey = survey_floor(job)
    ground = PACKERS.look_under(job, survey, PACKERS.lay_out(job, base), base)
    found = where_next(job, survey, ground, count=40)
    (x0, y0), (dx, dy) = job.no_go[0].corner_mm, job.no_go[0].size_mm
    inside = found["x_mm"].between(x0, x0 + dx) & found["y_mm"].between(y0, y0 + dy)
    assert not inside.any()
    assert np.isfinite(found[["x_mm", "y_mm"]].to_numpy(dtype=float)).all()
