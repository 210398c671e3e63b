"""Files of several folders written together, never over readings; left-overs of other methods."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

import kit
from kit.job import Job, Refusal
from kit.parts import Answer
from kit.results import OF_ONE_METHOD, refuse_readings, result_texts, write_files, write_results
from kit.results_files import take_away

DATA = Path(__file__).parents[1] / "data"
METHODS = ("packers", "stacks", "feet", "ladder", "compound")


@pytest.fixture(scope="module")
def job() -> Job:
    return kit.read_job(DATA / "reading-room")


@pytest.fixture(scope="module")
def answers(job: Job) -> dict[str, Answer]:
    return {base.method: kit.solve(job, base.name) for base in job.bases}


def files_under(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): path.read_text(encoding="utf-8")
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_files_of_several_folders_are_written_together(tmp_path: Path) -> None:
    texts = {"a.csv": "1\n", "bearers/summary.json": "{}\n", "screw feet/in/b.csv": "2\n"}
    out = tmp_path / "new" / "out"
    assert write_files(texts, out) == [out / name for name in texts]
    assert files_under(out) == texts


def a_file_for_a_folder(out: Path) -> None:
    (out / "feet").write_text("mine")


def a_folder_for_a_file(out: Path) -> None:
    (out / "z.csv").mkdir()


@pytest.mark.parametrize(
    ("prepare", "said"),
    [
        (a_file_for_a_folder, "a file where the folder feet must go"),
        (a_folder_for_a_file, "a folder where the file z.csv must go"),
    ],
)
def test_what_is_in_the_way_is_refused_before_anything_is_replaced(
    tmp_path: Path, prepare: Callable[[Path], None], said: str
) -> None:
    (tmp_path / "a.csv").write_text("old")
    prepare(tmp_path)
    before = files_under(tmp_path)
    with pytest.raises(Refusal, match=said):
        write_files(
            {"a.csv": "new", "ladder/c.csv": "1", "feet/b.csv": "2", "z.csv": "3"}, tmp_path
        )
    assert files_under(tmp_path) == before
    assert not (tmp_path / "ladder").exists()


@pytest.mark.parametrize("name", ["../a.csv", "/tmp/a.csv", "b/../../a.csv", ""])
def test_a_name_that_leads_out_of_the_folder_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(Refusal, match="a name within the folder"):
        write_files({"b.csv": "1", name: "2"}, tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_no_target_may_be_a_table_of_readings(job: Job, tmp_path: Path) -> None:
    refuse_readings(job, [tmp_path / "readings.csv", job.folder / "notes.csv"])
    roundabout = job.folder / ".." / job.folder.name / "readings.csv"
    with pytest.raises(Refusal, match=r"the job's own readings, readings\.csv"):
        refuse_readings(job, [tmp_path / "a.csv", roundabout])


def test_no_table_of_another_way_of_building_stays_beside_an_answer(
    answers: dict[str, Answer], tmp_path: Path
) -> None:
    (tmp_path / "photos.csv").write_text("mine")
    for method in ("ladder", "feet", "compound", "packers", "ladder"):
        write_results(answers[method], tmp_path)
        left = set(files_under(tmp_path)) - {"photos.csv"}
        assert left == set(result_texts(answers[method]))
    assert (tmp_path / "photos.csv").read_text() == "mine"


def test_every_table_that_only_one_way_has_is_known(answers: dict[str, Answer]) -> None:
    assert set(answers) == set(METHODS)
    own = {name for answer in answers.values() for name in answer.details}
    assert own == set(OF_ONE_METHOD)


def test_readings_called_like_another_ways_table_stay(
    answers: dict[str, Answer], job: Job, tmp_path: Path
) -> None:
    called = tuple(one.model_copy(update={"file": "zones.csv"}) for one in job.surveys)
    own = job.model_copy(update={"folder": tmp_path, "surveys": called})
    (tmp_path / "zones.csv").write_text("readings")
    (tmp_path / "feet.csv").write_text("of another base")
    write_results(replace(answers["packers"], job=own), tmp_path)
    assert (tmp_path / "zones.csv").read_text() == "readings"
    assert not (tmp_path / "feet.csv").exists()
    with pytest.raises(Refusal, match=r"the job's own readings, zones\.csv"):
        write_results(replace(answers["compound"], job=own), tmp_path)


def test_folders_are_not_taken_away(job: Job, tmp_path: Path) -> None:
    (tmp_path / "feet.csv").mkdir()
    take_away(job, [tmp_path / "feet.csv", tmp_path / "nothing.csv"])
    assert (tmp_path / "feet.csv").is_dir()


def test_the_tables_are_those_of_the_answer(answers: dict[str, Answer], tmp_path: Path) -> None:
    write_results(answers["ladder"], tmp_path)
    profile = pd.read_csv(tmp_path / "profile.csv", keep_default_na=False)
    told = answers["ladder"].details["profile.csv"]
    assert profile["depth_mm"].tolist() == told["depth_mm"].tolist()


def test_a_folder_whose_name_is_too_long_or_leads_in_a_circle_is_refused(
    job: Job, tmp_path: Path
) -> None:
    circle = tmp_path / "circle"
    circle.symlink_to(circle)
    for out in (tmp_path / ("n" * 300), circle):
        with pytest.raises(Refusal, match=r"--out .* a folder that can be written to"):
            write_files({"zones.csv": "x"}, out)
    with pytest.raises(Refusal, match="links that lead nowhere"):
        refuse_readings(job, [circle / "zones.csv"])
    assert list(tmp_path.iterdir()) == [circle]
