import csv
import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest

import kit
from kit.as_built import Checked, as_built_texts, check_base, record, write_as_built
from kit.job import Job, Refusal
from kit.parts import Answer

Staff = Callable[..., list[tuple[object, ...]]]


@pytest.fixture(scope="module")
def demo(reading_room: Answer) -> Checked:
    return check_base(reading_room.job, answer=reading_room)


def test_the_record_holds_what_is_signed(demo: Checked) -> None:
    found = record(demo)
    assert found["date"] == "2026-11-20"
    assert found["by"] == "Wren Alder"
    assert found["instrument"].startswith("laser level")
    assert found["tolerance_mm"] == 1.0
    assert found["supports"] == {"too close to tell": 6, "within": 16, "outside": 2}
    assert found["adjustment"]["benchmark"] is None
    assert found["adjustment"]["redundancy"] == demo.tops.heights.redundancy > 0
    assert found["adjustment"]["sigma0"] == demo.tops.heights.sigma0
    assert found["changes"]["opened"] == 2
    assert len(found["points"]) == 24
    assert found["approval"] in found["sentences"]


def test_the_files_give_every_figure_unrounded(demo: Checked) -> None:
    texts = as_built_texts(demo)
    assert list(texts) == ["as-built.csv", "as-built-units.csv", "changes.csv", "as-built.json"]
    rows = list(csv.DictReader(io.StringIO(texts["as-built.csv"])))
    assert [row["support"] for row in rows] == demo.supports["support"].tolist()
    assert [float(row["off_mm"]) for row in rows] == demo.supports["off_mm"].tolist()
    assert rows[0]["off_plan_mm"] == ""  # unknown
    changed = list(csv.DictReader(io.StringIO(texts["changes.csv"])))
    assert [row["support"] for row in changed if row["opened"] == "true"] == ["B5", "F8"]
    units = list(csv.DictReader(io.StringIO(texts["as-built-units.csv"])))
    assert [float(row["wind_mm"]) for row in units] == [one.wind_mm for one in demo.units]
    assert json.loads(texts["as-built.json"]) == json.loads(json.dumps(record(demo)))


def test_the_same_job_gives_the_same_files(reading_room: Answer, demo: Checked) -> None:
    again = check_base(reading_room.job, answer=reading_room)
    assert as_built_texts(again) == as_built_texts(demo)


def test_a_base_without_packers_has_no_file_of_changes(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    frame = kit.solve(reading_room.job, "ladder frame", before=reading_room)
    checked = check_base(as_read(frame, staff(frame, lambda _x, _y: 40.0)), answer=frame)
    texts = as_built_texts(checked)
    assert "changes.csv" not in texts
    assert json.loads(texts["as-built.json"])["changes"]["level_mm"] is None


def test_of_a_base_on_feet_the_changes_are_its_turns(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    feet = kit.solve(reading_room.job, "screw feet", before=reading_room)
    rows = staff(feet, lambda x, _y: 40.0 + 3 * (x > 3300))
    checked = check_base(as_read(feet, rows), answer=feet)
    texts = as_built_texts(checked)
    told = list(csv.DictReader(io.StringIO(texts["changes.csv"])))
    turned = {one["support"]: float(one["turn_mm"]) for one in told if one["turned"] == "true"}
    right = feet.supports["support"][feet.supports["x_mm"] > 3300]
    assert turned == pytest.approx(dict.fromkeys(right, -3.0), abs=1e-5)  # as booked
    figures = json.loads(texts["as-built.json"])["changes"]
    assert len(figures["turns"]) == len(feet.supports)
    assert figures["turns_level_mm"] == checked.changes.turns.level_mm


def test_hostile_names_are_no_formulas(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff
) -> None:
    who = '=HYPERLINK("x")<script>אב'
    job = as_read(reading_room, staff(reading_room, lambda _x, _y: 53.7), by=who)
    texts = as_built_texts(check_base(job, answer=reading_room))
    assert json.loads(texts["as-built.json"])["by"] == who
    assert "HYPERLINK" not in texts["as-built.csv"]


def test_files_are_written_and_the_jobs_own_tables_never_written_over(
    demo: Checked, reading_room: Answer, tmp_path: Path
) -> None:
    written = write_as_built(demo, tmp_path / "out")
    assert [path.name for path in written] == list(as_built_texts(demo))
    with pytest.raises(Refusal, match=r"own readings, as-built\.csv, which would be written over"):
        write_as_built(demo, reading_room.job.folder)


def test_changes_of_another_base_are_taken_away(
    reading_room: Answer, as_read: Callable[..., Job], staff: Staff, tmp_path: Path
) -> None:
    frame = kit.solve(reading_room.job, "ladder frame", before=reading_room)
    job = as_read(frame, staff(frame, lambda _x, _y: 40.0))
    (tmp_path / "changes.csv").write_text("of another base")
    write_as_built(check_base(job, answer=frame), tmp_path)
    assert not (tmp_path / "changes.csv").exists()
