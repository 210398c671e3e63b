"""Invented records are real ones: played, marked and kept as an apprentice's are."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest

from kit.job import Refusal
from kit.practice.drills import DRILLS
from kit.practice.invented_class import GOES, invented_class
from kit.practice.record import Record
from kit.practice.records import Records, read_records
from kit.practice.records_file import keep


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return invented_class(tmp_path_factory.mktemp("invented") / "class")


@pytest.fixture(scope="module")
def records(home: Path) -> Records:
    return read_records(home)


def of(records: Records, nickname: str) -> list[Record]:
    return [one for one in records.attempts if one.nickname == nickname]


def test_four_trees_each_with_a_file_of_its_own(home: Path, records: Records) -> None:
    names = ["ash", "birch", "hazel", "rowan"]
    assert sorted(path.name for path in home.iterdir()) == [f"{name}.csv" for name in names]
    assert list(records.apprentices) == names
    assert {name: len(of(records, name)) for name in names} == {
        name: len(goes) for name, goes in GOES.items()
    }
    assert not records.refused


def test_ash_works_soundly(records: Records) -> None:
    for one in of(records, "ash"):
        assert one.mistakes == ()
        assert one.marks == 100 - 10 * one.hints  # by the rule: a hint costs 10
        assert (one.placements, one.seconds) == (one.good_placements, one.good_seconds)
    assert {one.drill for one in of(records, "ash")} <= {drill.key for drill in DRILLS}


def test_the_others_make_the_mistakes_that_they_are_said_to_make(records: Records) -> None:
    made = {
        name: [(one.drill, one.mistakes) for one in of(records, name) if one.mistakes]
        for name in ("birch", "hazel", "rowan")
    }
    assert made["birch"][:3] == [
        ("own_error", ("never_turned",)),
        ("own_error", ("never_turned",)),
        ("bad_reading", ("not_confirmed",)),
    ]
    assert made["birch"][-1] == ("as_built", ("not_checked_again",))
    assert made["hazel"][0] == ("own_error", ("wrong_sign",))
    assert ("book_run", ("not_closed",)) in made["hazel"]
    assert made["rowan"] == [("own_error", ("never_turned",))] * 2
    # Half the readings leave something of the floor unknown, whatever it is called.
    assert {drill for drill, _ in made["birch"] + made["hazel"]} >= {"few_readings"}


def test_a_floor_that_was_tried_again_counts_once(records: Records) -> None:
    again = [one for one in of(records, "hazel") if one.tries_before]
    assert [(one.drill, one.seed, one.marks) for one in again] == [("own_error", 15, 100)]
    assert again[0] not in records.first_tries


def test_it_is_the_same_everywhere_and_filling_twice_changes_nothing(
    home: Path, tmp_path: Path
) -> None:
    before = {path.name: path.read_bytes() for path in home.iterdir()}
    invented_class(home)
    invented_class(tmp_path / "other")
    for folder in (home, tmp_path / "other"):
        assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_it_is_quick(tmp_path: Path) -> None:
    start = time.process_time()
    invented_class(tmp_path / "class")
    # About one second on one core; promised for a demonstration: 2 s.
    assert time.process_time() - start < 2.0


def test_records_of_others_are_not_mixed_with_invented_ones(
    tmp_path: Path, unnamed: Callable[..., Record]
) -> None:
    keep(tmp_path / "class", unnamed(nickname="ash"))
    before = (tmp_path / "class" / "ash.csv").read_bytes()
    with pytest.raises(Refusal, match="found records of others, ash; allowed: a new or empty"):
        invented_class(tmp_path / "class")
    assert (tmp_path / "class" / "ash.csv").read_bytes() == before
    assert [path.name for path in (tmp_path / "class").iterdir()] == ["ash.csv"]


def test_a_folder_with_a_damaged_file_and_none_that_can_be_made_are_refused(tmp_path: Path) -> None:
    (tmp_path / "elm.csv").write_text("attempt\n=1\n", encoding="utf-8")
    with pytest.raises(Refusal, match=r"records of others, elm\.csv"):
        invented_class(tmp_path)
    cut = invented_class(tmp_path / "class") / "ash.csv"
    cut.write_bytes(cut.read_bytes()[:-9])
    with pytest.raises(Refusal, match=r"records of others, ash\.csv"):
        invented_class(tmp_path / "class")
    with pytest.raises(Refusal, match="a folder that can be written to"):
        invented_class(tmp_path / "not" / "there")
