"""The trainer's page: every table of the practice room, by titles, with units, nothing run."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest

from kit.job import Refusal
from kit.practice.drills import DRILLS
from kit.practice.invented_class import invented_class
from kit.practice.next_drill import RULE
from kit.practice.records import Records, read_records
from kit.practice.trainer import TrainersTable, trainers_table
from kit.show import trainer_page
from kit.show.practice.trainer_page import class_page


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = invented_class(tmp_path_factory.mktemp("page") / "class")
    (folder / "cy & <b>co.csv").write_text("attempt,when\n=1+1,<script>\n", encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def records(home: Path) -> Records:
    return read_records(home)


@pytest.fixture(scope="module")
def table(records: Records) -> TrainersTable:
    return trainers_table(records, DRILLS)


@pytest.fixture(scope="module")
def page(home: Path) -> str:
    return trainer_page(home).html


def rows_of(page: str, caption: str) -> list[list[str]]:
    """Return the cells of the table under a caption, head first."""
    (found,) = [
        one for one in re.findall(r"<table>.*?</table>", page) if f"<caption>{caption}<" in one
    ]
    return [
        [html.unescape(re.sub(r"<[^>]+>", "", cell)) for cell in re.findall(
            r"<t[hd][^>]*>(.*?)</t[hd]>", row)]
        for row in re.findall(r"<tr[^>]*>(.*?)</tr>", found)
    ]  # fmt: skip


def test_who_did_what_is_the_practice_rooms_table(page: str, table: TrainersTable) -> None:
    head, *rows = rows_of(page, "Who did what")
    assert head[5:7] == ["best mark [of 100]", "last mark [of 100]"]
    assert head[-1] == "last try [universal time]"
    for shown, row in zip(rows, table.who.to_dict("records"), strict=True):
        assert shown[:8] == [
            row["nickname"], row["title"], f"{row['tries']}", f"{row['floors']}",
            row["worst_grade"], f"{row['best_marks']}", f"{row['last_marks']}",
            f"{row['placements']}",
        ]  # fmt: skip
        assert shown[8:10] == [f"{row['good_placements']}", f"{row['hints']}"]
        # 2031-05-08T09:05:00Z is told to the minute.
        assert shown[10] == f"{row['last_try'][:10]} {row['last_try'][11:16]}"
    assert ["birch", "Your level's own error", "2", "2", "fair", "70", "60"] in [
        row[:7] for row in rows
    ]


def test_mistakes_are_told_by_their_titles(page: str, table: TrainersTable) -> None:
    _, *of_class = rows_of(page, "Commonest mistakes of the class")
    # Of the 28 tries 7 were at the high point, 9 at the own error and 2 at the run.
    assert of_class[0] == ["never turned the level round", "4", "18"]
    assert len(of_class) == len(table.class_mistakes)
    _, *of_each = rows_of(page, "Commonest mistakes of each")
    assert ["birch", "never turned the level round", "2", "4"] in of_each
    assert len(of_each) == len(table.mistakes)
    keys = {kind.key for drill in DRILLS for kind in drill.kinds if "_" in kind.key}
    keys |= {drill.key for drill in DRILLS if "_" in drill.key}
    assert not [key for key in keys if key in page]


def test_the_next_drill_has_its_reason_and_its_rule(page: str, table: TrainersTable) -> None:
    _, *rows = rows_of(page, "Next drill")
    assert rows == table.next[["nickname", "title", "grade", "why"]].to_numpy().tolist()
    assert html.escape(RULE) in page
    assert {row[0]: row[1] for row in rows} == {
        "ash": "Book a run and close it",
        "birch": "Your level's own error",
        "hazel": "Your level's own error",
        "rowan": "The high point under the base",
    }


def test_refused_files_are_named_first_and_last(page: str, table: TrainersTable) -> None:
    assert "⚠ Not in these figures: cy &amp; &lt;b&gt;co.csv." in page
    assert page.index("Not in these figures") < page.index("<svg")
    _, *rows = rows_of(page, "What is not in these figures")
    assert rows
    told = " ".join(cell for row in rows for cell in row)
    for problem in table.refused:
        assert problem.where in told
        assert problem.found in told
        assert problem.allowed in told


def test_the_picture_stands_above_the_table_of_its_numbers(page: str) -> None:
    assert page.count("<svg") == 1
    assert page.index("The class") < page.index("<svg") < page.index("Who did what")
    assert 'role="img" aria-label="Best first-try marks of 4 apprentices' in page


def test_nothing_of_a_file_is_markup_and_nothing_is_fetched(page: str) -> None:
    assert "<script" not in page
    assert "<b>co" not in page
    assert "src=" not in page
    assert "url(" not in page


def test_a_class_without_refused_files_says_nothing_of_them(tmp_path: Path) -> None:
    whole = trainer_page(invented_class(tmp_path / "class")).html
    assert "28 tries of 4 apprentices from 4 files." in whole
    assert "not in these figures" not in whole.lower()


def test_a_narrow_page_has_a_narrow_picture(records: Records) -> None:
    (wide,) = re.findall(r'<svg[^>]* width="(\d+)"', class_page(records, 400).html)
    assert wide == "400"


def test_only_refused_files_make_a_page_without_a_picture(tmp_path: Path) -> None:
    (tmp_path / "oak.csv").write_text("attempt\n=1\n", encoding="utf-8")
    html_ = trainer_page(tmp_path).html
    assert "<svg" not in html_
    assert "0 tries of 0 apprentices from 0 files." in html_
    assert "Not in these figures: oak.csv" in html_


def test_damaged_rows_are_named_and_whole_ones_shown(tmp_path: Path) -> None:
    folder = invented_class(tmp_path / "class")
    rowan = folder / "rowan.csv"
    rowan.write_bytes(rowan.read_bytes()[:-100])
    shown = trainer_page(folder).html
    assert "27 tries of 4 apprentices from 4 files." in shown
    assert "⚠ Of these files only the whole rows are in these figures: rowan.csv." in shown
    (_, (where, found, _)) = rows_of(shown, "What is not in these figures")
    assert where.startswith("rowan.csv, row 4, ")
    assert "breaks off there" in found


def test_no_folder_and_no_file_are_refused(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="a folder to be read"):
        trainer_page(tmp_path / "none")
    with pytest.raises(Refusal, match=r"no file ending in \.csv"):
        trainer_page(tmp_path)
