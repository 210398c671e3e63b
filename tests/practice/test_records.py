import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from kit.job import Refusal
from kit.practice import records as module
from kit.practice.record import COLUMNS, Record
from kit.practice.records import MOST_PROBLEMS, Records, read_records
from kit.practice.records_file import keep

Make = Callable[..., Record]


@pytest.fixture
def folder(tmp_path: Path, unnamed: Make) -> Path:
    home = tmp_path / "class"
    for record in (
        unnamed(when="2031-05-09T08:00:00Z", seed=1, marks=90),
        unnamed(when="2031-05-08T08:00:00Z", seed=2, marks=40),
        unnamed(when="2031-05-10T08:00:00Z", seed=2, marks=95),
        unnamed(when="2031-05-08T09:00:00Z", nickname="bo", seed=2, marks=60),
    ):
        keep(home, record)
    return home


def marks(records: Records) -> list[int]:
    return [one.marks for one in records.attempts]


def test_files_are_joined_in_the_order_of_time(folder: Path) -> None:
    records = read_records(folder)
    assert marks(records) == [40, 60, 90, 95]
    assert records.files == ("ann.csv", "bo.csv")
    assert records.apprentices == {"ann": "ann", "bo": "bo"}
    assert [one.marks for one in records.first_tries] == [40, 60, 90]
    table = records.table
    assert list(table.columns) == [*COLUMNS, "first_try"]
    assert table["first_try"].tolist() == [True, True, True, False]
    assert table["mistakes"].tolist() == ["out"] * 4


def test_copies_count_once_wherever_they_lie(folder: Path, unnamed: Make) -> None:
    (folder / "monday").mkdir()
    shutil.copy(folder / "ann.csv", folder / "monday" / "ann (2).csv")
    shutil.copy(folder / "ann.csv", folder / "ann - Copy.CSV")
    (folder / "tuesday").mkdir()
    keep(folder / "tuesday", unnamed(when="2031-05-08T07:00:00Z", seed=2, marks=15))
    deeper = folder / "monday" / "far"
    keep(deeper, unnamed(marks=1))
    (folder / "._ann.csv").write_bytes(b"\0\5")  # what some machines put beside a file
    (folder / "notes.txt").write_text("not a table")
    records = read_records(folder)
    assert records.files == ("ann - Copy.CSV", "ann.csv", "bo.csv", "monday/ann (2).csv",
                             "tuesday/ann.csv")  # fmt: skip
    assert marks(records) == [15, 40, 60, 90, 95]
    # Kept on two machines as a first try each: only the earlier one is.
    assert [one.marks for one in records.first_tries if one.nickname == "ann"] == [15, 90]
    assert not records.refused


def test_a_try_with_others_before_that_are_not_here_is_no_first_one(
    folder: Path,
) -> None:
    path = folder / "ann.csv"
    lines = path.read_text().splitlines(keepends=True)
    path.write_text(lines[0] + lines[3])
    assert [(one.nickname, one.marks) for one in read_records(folder).first_tries] == [("bo", 60)]


def test_whole_rows_are_shown_and_damaged_ones_named(folder: Path) -> None:
    text = (folder / "ann.csv").read_text()
    (folder / "ann.csv").write_text(text.replace(",90,", ",91,")[:-20])
    (folder / "cy.csv").write_bytes(b"PK\3\4\0\0")
    records = read_records(folder)
    assert marks(records) == [40, 60]
    assert records.files == ("ann.csv", "bo.csv")
    assert records.damaged_files == ("ann.csv",)
    assert records.refused_files == ("cy.csv",)
    first, second, third = (str(problem) for problem in records.refused)
    assert first.startswith("ann.csv, row 2, attempt: found ")
    assert second.startswith("ann.csv, row 4, token: found ")
    assert third.startswith("cy.csv: found a binary file")
    (folder / "whole").mkdir()
    (folder / "whole" / "ann.csv").write_text(text)
    assert marks(read_records(folder)) == [40, 60, 90, 95]


def test_of_many_damaged_rows_the_first_are_named_and_the_others_counted(
    folder: Path, named: Make
) -> None:
    cells = ",".join((named().cells | {"marks": "x"}).values())
    with (folder / "bo.csv").open("a") as file:
        file.write(f"{cells}\n" * (MOST_PROBLEMS + 7))
    records = read_records(folder)
    assert marks(records) == [40, 60, 90, 95]
    assert len(records.refused) == MOST_PROBLEMS + 1
    assert str(records.refused[0]).startswith("bo.csv, row 3, marks: found 'x'")
    assert str(records.refused[-1]).startswith("bo.csv: found 7 more damaged rows")


def test_a_folder_that_stays_shut_is_named(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (folder / "shut").mkdir()
    seen = module._seen

    def denied(place: Path) -> list[Path]:
        if place.name == "shut":
            raise PermissionError(13, "Permission denied")
        return seen(place)

    monkeypatch.setattr(module, "_seen", denied)
    records = read_records(folder)
    assert marks(records) == [40, 60, 90, 95]
    assert records.refused_files == ("shut",)
    assert [str(one) for one in records.refused] == [
        "shut: found Permission denied; allowed: a folder to be read"
    ]


def test_one_attempt_under_two_nicknames_is_told(folder: Path) -> None:
    text = (folder / "ann.csv").read_text()
    (folder / "dee.csv").write_text(text.replace(",ann,", ",dee,"))
    records = read_records(folder)
    assert records.refused_files == ("dee.csv",)
    assert str(records.refused[0]) == (
        "dee.csv, nickname: found 'dee' for an attempt that is of 'ann' in ann.csv;"
        " allowed: one nickname for the copies of one attempt"
    )
    # Renamed in every copy it is another person's, and read.
    (folder / "ann.csv").unlink()
    assert read_records(folder).apprentices == {"bo": "bo", "dee": "dee"}


def test_the_latest_way_of_writing_a_nickname_is_shown(folder: Path, unnamed: Make) -> None:
    keep(folder, unnamed(when="2031-06-01T08:00:00Z", nickname="ANN"))
    assert read_records(folder).apprentices == {"ann": "ANN", "bo": "bo"}


def test_a_folder_without_records_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match=r"found no file ending in \.csv"):
        read_records(tmp_path)
    with pytest.raises(Refusal, match="a folder to be read"):
        read_records(tmp_path / "none")


def test_equal_moments_are_ordered_by_tries(named: Make) -> None:
    earlier = named(marks=3)
    later = replace(earlier, marks=4).named(1)
    records = Records((earlier, later), ())
    assert [one.marks for one in records.first_tries] == [3]
