import csv
import datetime
import io
from dataclasses import replace
from pathlib import Path

import kit
from kit.as_built import as_built_plan, as_built_plan_csv
from kit.job.model import AsBuilt
from kit.parts import Answer


def test_supports_are_walked_row_by_row_and_the_first_is_read_again(reading_room: Answer) -> None:
    plan = as_built_plan(reading_room)
    names = plan["point"].tolist()
    assert names[:2] == ["B1", "B2"]
    assert names[9:12] == ["B10", "F10", "F9"]
    assert names[-5:] == ["D1", "D2", "D3", "D4", "B1"]
    assert set(names) == set(reading_room.supports["support"])
    assert plan["reading_mm"].isna().all()
    assert plan["setup"].unique().tolist() == ["T1"]


def test_the_benchmark_comes_first_where_there_is_one(market_counter: Answer) -> None:
    plan = as_built_plan(market_counter)
    first = plan.iloc[0]
    floor = market_counter.heights.points.set_index("point")
    assert first["point"] == market_counter.job.floor.benchmark
    assert first[["x_mm", "y_mm"]].tolist() == floor.loc[first["point"], ["x_mm", "y_mm"]].tolist()
    assert plan["point"].iloc[1] == plan["point"].iloc[-1] == "B1"


def test_read_twice_it_has_a_second_set_up(reading_room: Answer) -> None:
    plan = as_built_plan(reading_room, twice=True)
    once = as_built_plan(reading_room)
    assert plan["setup"].tolist() == ["T1"] * len(once) + ["T2"] * len(once)


def test_the_file_only_lacks_its_readings(reading_room: Answer) -> None:
    rows = list(csv.DictReader(io.StringIO(as_built_plan_csv(reading_room))))
    assert rows[0] == {
        "setup": "T1", "point": "B1", "x_mm": "37.5", "y_mm": "67.5", "reading_mm": "",
    }  # fmt: skip
    assert len(rows) == 25


def test_in_inches_the_file_comes_back_filled_in(reading_room: Answer, tmp_path: Path) -> None:
    job = reading_room.job.model_copy(update={"units": "in"})
    answer = replace(reading_room, job=job)
    rows = list(csv.DictReader(io.StringIO(as_built_plan_csv(answer))))
    # 37.5 / 25.4 = 1.47638 and 67.5 / 25.4 = 2.65748, to a thousandth.
    assert rows[0] == {
        "setup": "T1", "point": "B1", "x_in": "1.476", "y_in": "2.657", "reading_in": "",
    }  # fmt: skip
    filled = [row | {"reading_in": "42 5/8"} for row in rows]
    with (tmp_path / "read.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(filled)
    built = AsBuilt.model_validate(
        {
            "date": datetime.date(2026, 11, 20),
            "by": "Wren Alder",
            "instrument": "laser level",
            "survey": ({"kind": "staff", "file": "read.csv", "sd_mm": 0.3},),
        }
    )
    job = job.model_copy(update={"as_built": built, "folder": tmp_path})
    checked = kit.check_base(job, answer=replace(answer, job=job))
    assert len(checked.supports) == len(answer.supports)
    # Every reading is alike: no support is off the level, to the rounding of a sum.
    assert checked.supports["off_mm"].abs().max() < 1e-6


def test_every_way_of_building_has_a_plan(reading_room: Answer) -> None:
    for base in reading_room.job.bases[1:]:
        answer = kit.solve(reading_room.job, base.name, before=reading_room)
        assert len(as_built_plan(answer)) == len(answer.supports) + 1
