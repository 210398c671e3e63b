"""All papers in one go: all or none, nothing left over, the same bytes, readings never touched."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from kit.buying import buying_list
from kit.job import Refusal
from kit.paper import sheets
from kit.paper.sheets import PAPERS, Choices, papers, write_sheet
from kit.parts import Answer


@pytest.fixture(scope="module")
def made(ways: dict[str, Answer]) -> dict[str, str | bytes]:
    """All papers of the reading room on bearers."""
    return papers(ways["packers"], Choices(pitch_mm=250.0))


@pytest.fixture
def small(made_rooms: dict[str, Answer]) -> Answer:
    """One stool box, without a plinth."""
    return made_rooms["small"]


def test_a_base_has_the_papers_that_it_has_a_use_for(made: dict[str, Any]) -> None:
    assert list(made) == list(PAPERS)
    begins = {"pdf": b"%PDF-", "xlsx": b"PK", "html": "<!DOCTYPE html>", "csv": "", "dxf": "  0"}
    for name, content in made.items():
        assert content.startswith(begins[name.split(".")[1]])
    heights = made["plinth.csv"].splitlines()
    # A place at every 250 mm of 4,000 mm, besides the ends of boards and sides.
    assert 4000 / 250 < len(heights) < 4000 / 100


def test_papers_tell_their_progress(small: Answer) -> None:
    told: list[tuple[str, int, int]] = []
    first = papers(small, on_progress=lambda *one: told.append(one))
    assert {*PAPERS} - {*first} == {"plinth.pdf", "plinth.csv"}
    floors = [done for what, done, _ in told if what == "floors for the buying list"]
    assert floors == sorted(floors)
    assert len(floors) > 1
    assert [what for what, *_ in told if what in PAPERS] == list(first)
    assert told[-1] == ("done", len(PAPERS), len(PAPERS))
    assert all(0 <= done <= of for _, done, of in told)


def write(answer: Answer, out: Path, contents: Any, monkeypatch: Any) -> list[Path]:
    """Write papers that are made already."""
    monkeypatch.setattr(sheets, "papers", lambda *_, **__: contents)
    return write_sheet(answer, out)


def test_leftovers_of_another_base_are_taken_away(
    reading_room: Answer, made: dict[str, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "new" / "papers"
    written = write(reading_room, out, made, monkeypatch)
    assert written == [out / name for name in PAPERS]
    (out / "notes.txt").write_text("the fitter's own")
    no_plinth = {name: content for name, content in made.items() if "plinth" not in name}
    write(reading_room, out, no_plinth, monkeypatch)
    assert {path.name for path in out.iterdir()} == {*no_plinth, "notes.txt"}


def test_all_are_written_or_none(
    reading_room: Answer, made: dict[str, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "workbook.xlsx").mkdir()  # a folder where a file must go
    with pytest.raises(Refusal, match=r"workbook\.xlsx"):
        write(reading_room, tmp_path, made, monkeypatch)
    assert [path.name for path in tmp_path.iterdir()] == ["workbook.xlsx"]


@pytest.mark.parametrize("table", ["survey", "as_built"])
def test_readings_are_never_written_over(
    reading_room: Answer,
    made: dict[str, Any],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    table: str,
) -> None:
    job = reading_room.job
    assert job.as_built is not None
    if table == "survey":
        named: Any = {"surveys": (job.surveys[0].model_copy(update={"file": "plinth.csv"}),)}
    else:
        one = job.as_built.surveys[0].model_copy(update={"file": "plinth.csv"})
        named = {"as_built": job.as_built.model_copy(update={"surveys": (one,)})}
    (tmp_path / "plinth.csv").write_text("readings")
    answer = replace(reading_room, job=job.model_copy(update={"folder": tmp_path, **named}))
    with pytest.raises(Refusal, match=r"readings, plinth\.csv"):
        write(answer, tmp_path, made, monkeypatch)
    assert (tmp_path / "plinth.csv").read_text() == "readings"
    assert len(list(tmp_path.iterdir())) == 1


@pytest.mark.parametrize(
    ("choice", "said"),
    [
        ({"pitch_mm": 0.0}, "pitch_mm: found 0 mm; allowed: 10 to 1000 mm"),
        ({"pitch_mm": float("nan")}, "pitch_mm: found nan mm; allowed: 10 to 1000 mm"),
        ({"certainty": 2.0}, "certainty: found 2; allowed: 0.5 to 0.995"),
        ({"certainty": 0.996}, "certainty: found 0.996; allowed: 0.5 to 0.995"),
    ],
)
def test_what_cannot_be_kept_is_refused_by_its_key(choice: dict[str, float], said: str) -> None:
    with pytest.raises(Refusal, match=re.escape(said)):
        Choices(**choice)


def test_the_most_certain_list_can_be_made(small: Answer) -> None:
    most = float(re.findall(r"to (0\.\d+)", _refusal(certainty=1.0))[0])
    assert buying_list(small, certainty=most).reached >= most
    with pytest.raises(Refusal, match="floors"):
        buying_list(small, certainty=most + 0.001)


def _refusal(**choice: float) -> str:
    with pytest.raises(Refusal) as refused:
        Choices(**choice)
    return str(refused.value)
