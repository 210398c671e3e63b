"""Where to read before anything is known: every stack, every end, doorways, and no gap too wide."""

from __future__ import annotations

import csv
import io
import math
import shutil
from itertools import pairwise
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import kit
from kit.answer import survey_floor
from kit.base.plan_file import plan_csv
from kit.base.plan_set_ups import set_ups
from kit.base.reading_plan import ONE_PLACE_MM, reading_plan
from kit.job import Refusal, read_job, save_job

DATA = Path(__file__).parents[2] / "data"
JOBS = ["reading-room", "boot-room", "market-counter"]


@pytest.fixture(params=JOBS)
def job(request):
    return read_job(DATA / request.param)


def test_every_support_is_read_where_it_stands(job):
    plan = reading_plan(job, job.bases[0])
    points = plan.points[["x_mm", "y_mm"]].to_numpy(dtype=float)
    for support in plan.layout.supports.to_dict("records"):
        apart = np.hypot(points[:, 0] - support["x_mm"], points[:, 1] - support["y_mm"])
        assert apart.min() < 1e-9, support["support"]
        assert "support" in plan.points["why"].iloc[int(np.argmin(apart))]


def test_rows_are_read_from_end_to_end_without_a_wide_gap(job):
    plan = reading_plan(job, job.bases[0])
    for row in plan.layout.rows:
        x, y = plan.layout.frames[row.run].to_own(plan.points["x_mm"], plan.points["y_mm"])
        on = np.sort(x[abs(y - row.y_mm) < ONE_PLACE_MM])
        on = on[(on > row.start_mm - ONE_PLACE_MM) & (on < row.end_mm + ONE_PLACE_MM)]
        assert on[0] - row.start_mm < ONE_PLACE_MM
        assert row.end_mm - on[-1] < ONE_PLACE_MM
        # A place taken over by a neighbouring line may stand a foot's width aside.
        assert np.diff(on).max() <= plan.spacing_mm + ONE_PLACE_MM


@pytest.mark.parametrize(
    ("name", "spacing"), [("reading-room", 400.0), ("boot-room", 600.0), ("market-counter", 600.0)]
)
def test_spacing_follows_the_floor(name, spacing):
    job = read_job(DATA / name)
    plan = reading_plan(job, job.bases[0])
    assert plan.spacing_mm == spacing
    assert f"more than {spacing:g} mm apart" in " ".join(plan.notes)
    finer = reading_plan(job, job.bases[0], spacing_mm=150)
    assert len(finer.points) > 1.5 * len(plan.points)


def test_close_joists_are_read_closer(tmp_path):
    shutil.copytree(DATA / "reading-room", tmp_path / "job")
    save_job(tmp_path / "job", {"floor.joists.centres_mm": 300})
    job = read_job(tmp_path / "job")
    assert reading_plan(job, job.bases[0]).spacing_mm == 300


def test_places_are_apart_and_names_are_unique(job):
    points = reading_plan(job, job.bases[0]).points
    assert points["point"].is_unique
    place = points[["x_mm", "y_mm"]].to_numpy(dtype=float)
    apart = np.hypot(*(place[:, None] - place[None]).transpose(2, 0, 1))
    assert apart[~np.eye(len(place), dtype=bool)].min() >= ONE_PLACE_MM


def test_a_place_has_the_name_of_the_stack_that_will_stand_there(job):
    plan = reading_plan(job, job.bases[0])
    at = plan.points.set_index("point")
    for support in plan.layout.supports.to_dict("records"):
        place = at.loc[f"at-{support['support']}"]
        assert (place["x_mm"], place["y_mm"]) == pytest.approx((support["x_mm"], support["y_mm"]))
    stacks = plan.points["why"].str.contains("support").sum()
    assert stacks == len(plan.layout.supports)


def test_doorways_are_read_at_both_ends_and_in_the_middle():
    job = read_job(DATA / "market-counter")
    points = reading_plan(job, job.bases[0]).points
    door = points[points["line"] == "side door"]
    assert sorted(door[["x_mm", "y_mm"]].to_numpy().tolist()) == [
        [-420.0, 60.0], [-420.0, 460.0], [-420.0, 860.0],
    ]  # fmt: skip
    assert set(door["why"]) == {"doorway"}


def test_the_plinth_is_read_along_its_face():
    job = read_job(DATA / "boot-room")
    plan = reading_plan(job, job.bases[0])
    line = plan.points[plan.points["line"] == "B plinth"]
    _, out = plan.layout.frames["B"].to_own(line["x_mm"], line["y_mm"])
    assert out == pytest.approx(420 - 40)  # the bench's depth less the set-back


def test_a_no_go_area_is_left_out_and_said(tmp_path):
    shutil.copytree(DATA / "boot-room", tmp_path / "job")
    job = read_job(tmp_path / "job")
    plan = reading_plan(job, job.bases[0], spacing_mm=100)
    hatch = job.no_go[0]
    x, y = plan.points["x_mm"], plan.points["y_mm"]
    inside = x.between(hatch.corner_mm[0], hatch.corner_mm[0] + hatch.size_mm[0]) & y.between(
        hatch.corner_mm[1], hatch.corner_mm[1] + hatch.size_mm[1]
    )
    assert not inside.any()
    assert any("places that a no-go area takes away" in note for note in plan.notes)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"spacing_mm": 0.0}, "spacing_mm: found 0 mm"),
        ({"spacing_mm": math.nan}, "spacing_mm: found nan mm"),
        ({"farthest_sight_mm": -1.0}, "farthest_sight_mm: found -1 mm"),
        ({"again": "never"}, "again: found 'never'; allowed: ends or supports or all"),
    ],
)
def test_what_is_no_plan_is_refused(given, words):
    job = read_job(DATA / "boot-room")
    with pytest.raises(Refusal, match=words):
        reading_plan(job, job.bases[0], **given)


def test_a_short_sight_leaves_no_set_up_with_one_place():
    job = read_job(DATA / "market-counter")
    for sight in (300, 500, 700, 1200):
        plan = reading_plan(job, job.bases[0], farthest_sight_mm=sight)
        assert plan.readings.groupby("setup")["point"].nunique().min() >= 2


def test_a_doorway_named_like_a_formula_is_chalked_without_it(tmp_path):
    shutil.copytree(DATA / "market-counter", tmp_path / "job")
    save_job(tmp_path / "job", {"doorway[0].name": "=side door"})
    job = read_job(tmp_path / "job")
    points = reading_plan(job, job.bases[0]).points["point"]
    assert sum(point.startswith("side-door-") for point in points) == 3


@pytest.mark.parametrize(("again", "least"), [("ends", 3), ("supports", 20), ("all", 30)])
def test_the_second_round_reads_again_what_is_asked(job, again, least):
    plan = reading_plan(job, job.bases[0], again=again)
    second = plan.readings[plan.readings["setup"] == "S2"]
    assert len(second) >= least
    assert second["why"].str.endswith("read again").all()
    if again == "supports":
        assert len(second) == plan.points["why"].str.contains("support").sum()
    if again == "all":
        assert set(second["point"]) == set(plan.points["point"])
    first = plan.readings[plan.readings["setup"] == "S1"]
    # The first place closes the set-up: a stand that moved shows.
    assert first["point"].iloc[0] == first["point"].iloc[-1]


def test_a_long_floor_has_set_ups_that_share_places():
    points = pd.DataFrame(
        {
            "x_mm": np.arange(0, 70_000, 700.0),
            "y_mm": 100.0,
            "line": "B",
            "why": "support",
        }
    )
    numbers = set_ups(points, 15_000, "ends")
    assert len(numbers) == 6  # 69.3 m in three stretches of at most 30 m, each read twice
    for one, other in pairwise(numbers[:3]):
        assert len(set(one) & set(other)) >= 3
    assert set().union(*numbers[:3]) == set(range(100))


@pytest.mark.parametrize("again", ["ends", "supports", "all"])
@pytest.mark.parametrize("sight", [2000, 700, 400])
def test_no_set_up_is_left_with_one_place(job, sight, again):
    """One reading ties nothing, so the table would be refused when it comes back filled in."""
    readings = reading_plan(job, job.bases[0], farthest_sight_mm=sight, again=again).readings
    places = readings.groupby("setup", sort=False)["point"].nunique()
    assert places.min() >= 2
    assert list(places.index) == [f"S{i}" for i in range(1, len(places) + 1)]


def filled(plan, rng) -> str:
    """Read the plan on an invented floor."""
    rows = list(csv.DictReader(io.StringIO(plan_csv(plan))))
    line = {"S1": 1400.0, "S2": 1371.5}
    for row in rows:
        x, y = float(row["x_mm"]), float(row["y_mm"])
        height = -2.1 * x / 1000 + 1.4 * y / 1000 + 2 * math.sin(x / 700)
        row["reading_mm"] = f"{line[row['setup']] - height + rng.normal(0, 0.3):.1f}"
    out = io.StringIO()
    writer = csv.DictWriter(out, rows[0].keys())
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def test_the_plan_once_filled_in_is_a_survey_on_which_the_base_stands(tmp_path):
    shutil.copytree(DATA / "reading-room", tmp_path / "job")
    job = read_job(tmp_path / "job")
    plan = reading_plan(job, job.bases[0], again="supports")
    (tmp_path / "job" / "readings.csv").write_text(filled(plan, np.random.default_rng(2)))
    job = read_job(tmp_path / "job")
    heights = survey_floor(job).heights
    assert len(heights.points) == len(plan.points)
    checked = heights.residuals["redundancy"] > 0.1
    assert checked.sum() > 0.8 * (2 * plan.points["why"].str.contains("support").sum())
    answer = kit.solve(job)
    # Every support is read itself, from two set-ups: none is known worse than one reading.
    assert answer.supports["floor_sd_mm"].max() < 0.5


def test_in_inches_the_plan_comes_back_filled_in(tmp_path):
    shutil.copytree(DATA / "reading-room", tmp_path / "job")
    text = (tmp_path / "job" / "job.toml").read_text().replace('units = "mm"', 'units = "in"')
    (tmp_path / "job" / "job.toml").write_text(text)
    job = read_job(tmp_path / "job")
    plan = reading_plan(job, job.bases[0])
    rows = list(csv.DictReader(io.StringIO(plan_csv(plan, "in"))))
    names = ["setup", "point", "x_in", "y_in", "reading_in", "line", "along_in", "out_in", "why"]
    assert list(rows[0]) == names
    # As a tape is read, on a level floor that falls to the right by a thousandth.
    for row in rows:
        row["reading_in"] = f"{55.25 + float(row['x_in']) / 1000 + (row['setup'] == 'S2'):.4f}"
    with (tmp_path / "job" / "readings.csv").open("w", newline="") as file:
        writer = csv.DictWriter(file, names)
        writer.writeheader()
        writer.writerows(rows)
    points = survey_floor(read_job(tmp_path / "job")).heights.points.set_index("point")
    planned = plan.points.set_index("point")
    assert len(points) == len(planned)
    for name in ("x_mm", "y_mm"):
        # Places are rounded to a thousandth of an inch.
        off = points[name] - planned.loc[points.index, name]
        assert off.abs().max() <= 0.0005 * 25.4 + 1e-9
    fall = points["height_mm"] + points["x_mm"] / 1000
    # Four decimals of an inch are written.
    assert fall.max() - fall.min() <= 0.0002 * 25.4


def test_the_file_has_no_reading_in_it_and_plain_numbers():
    job = read_job(DATA / "boot-room")
    rows = list(csv.DictReader(io.StringIO(plan_csv(reading_plan(job, job.bases[0])))))
    assert all(row["reading_mm"] == "" for row in rows)
    assert list(rows[0])[:5] == ["setup", "point", "x_mm", "y_mm", "reading_mm"]
    assert all(float(row["x_mm"]) == round(float(row["x_mm"]), 1) for row in rows)
