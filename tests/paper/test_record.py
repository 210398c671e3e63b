"""The record of a finished base: what it says first, that nothing is lost, that it is harmless."""

from __future__ import annotations

import io
import json
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest

import kit
from kit.as_built import Checked
from kit.base.cautions import NO_APPROVAL
from kit.ink.as_built_words import verdict_words
from kit.job import Refusal
from kit.paper.document import Document, Figure, Grid, Heading, Points, Signatures, Words
from kit.paper.html_page import html_page
from kit.paper.pdf import pdf_bytes
from kit.paper.record import RECORD_FILES, record, write_record
from kit.parts import Answer

Built = Callable[..., Checked]


def uneven(name: str, x: float) -> float:
    return 0.4 * math.sin(x / 700) + {"F3": 2.6, "B8": 2.6, "F6": -2.2}.get(name, 0.0)


def flat(_: str, x: float) -> float:
    return 0.2 * math.sin(x / 700)


def text_of(document: Document) -> str:
    pages = pypdf.PdfReader(io.BytesIO(pdf_bytes(document))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def grids_of(document: Document) -> dict[str, Grid]:
    return {part.table.title: part for part in document.parts if isinstance(part, Grid)}


def points_of(document: Document) -> list[str]:
    return [line for part in document.parts if isinstance(part, Points) for line in part.lines]


def test_the_verdict_stands_first_in_large_letters(checked: Checked) -> None:
    title, first, approval = record(checked).parts[:3]
    assert title == Heading("Record of the finished base: Chapel reading room, north wall")
    assert isinstance(first, Figure)
    large = [mark.text for mark in first.drawing.marks if getattr(mark, "size_mm", 0.0) >= 6.5]
    # The two stacks that were built wrong; `as-built.csv` says which.
    assert large == ["✗ outside", "✗ outside", "open 2 stacks"]
    assert isinstance(approval, Words)
    assert approval.strong
    assert approval.text == NO_APPROVAL


def test_it_says_who_read_what_when_and_against_what(checked: Checked) -> None:
    assert grids_of(record(checked))["The reading"].table.rows == (
        ("base", "bearers on packers (bearers on packer stacks)"),
        ("read on", "2026-11-20"),
        ("read by", "Wren Alder"),
        ("instrument", "laser level with detector, staff read to 0.1 mm"),
        ("tolerance", "1 mm either way, off one level"),
        ("supports read", "24 of 24"),
        ("tables read", checked.tops.heights.understood[0]),
        ("the readings agree", "sigma0 0.90 (1: as well as their sd says; more: less well)"),
    )


def test_no_sentence_and_no_caution_is_lost(checked: Checked) -> None:
    paper = record(checked)
    said = [*points_of(paper), *(p.text for p in paper.parts if isinstance(p, Words))]
    in_table = [line for line in checked.sentences if line.startswith(("B5: ", "F8: "))]
    assert len(in_table) == 2
    for line in (*checked.sentences, *checked.cautions):
        assert said.count(line) == (0 if line in in_table else 1)


def test_changes_are_ticked_and_read_again(checked: Checked) -> None:
    grids = grids_of(record(checked))
    change = grids["What to change"]
    assert change.letters_mm >= 3.5  # read at arm's length (common practice, no source)
    assert [row[:2] for row in change.table.rows] == [("☐", "B5"), ("☐", "F8")]
    assert all(row[-1].strip("_") == "" and row[-1] for row in change.table.rows)
    screws = grids["Screws of the changed stacks"].table
    assert {row[0] for row in screws.rows} == {"B5", "F8"}
    (bag,) = [grid.table for title, grid in grids.items() if title == "In the bag"]
    # B5 gives a 6 and takes a 3; F8 takes a 3: of 32 threes 30 stay, of 46 sixes there are 47.
    assert ("3", "32", "30") in bag.rows
    assert ("6", "46", "47") in bag.rows


def test_signatures_approve_no_floor(checked: Checked, reading_room: Answer, built: Built) -> None:
    (signed,) = [part for part in record(checked).parts if isinstance(part, Signatures)]
    assert "2026-11-20 by Wren Alder" in signed.lines[0]
    assert len(signed.lines) == 3
    assert signed.lines[-1].endswith("approves no floor and no structure.")
    (other,) = [
        part
        for part in record(built(reading_room, uneven, tolerance_mm=0.2, left=())).parts
        if isinstance(part, Signatures)
    ]
    assert other.lines[-1].endswith("approves no floor and no structure.")


def test_a_level_base_asks_for_nothing(reading_room: Answer, built: Built) -> None:
    paper = record(built(reading_room, flat))
    assert not {"What to change", "In the bag", "Screws of the changed stacks"} & {*grids_of(paper)}
    assert "No stack has to be opened." in points_of(paper)
    assert "all 24" in text_of(paper)
    (signed,) = [part for part in paper.parts if isinstance(part, Signatures)]
    assert len(signed.lines) == 2


def test_where_no_change_helps_it_says_why(reading_room: Answer, built: Built) -> None:
    nothing_left = {"tolerance_mm": 0.2, "left": ({"mm": 18.0, "count": 3},)}
    checked = built(reading_room, uneven, **nothing_left)
    paper = record(checked)
    assert not checked.changes.possible
    assert verdict_words(checked)[2].word == "no change helps"
    assert any(line.startswith("No change of packers") for line in points_of(paper))
    assert "What to change" not in grids_of(paper)
    (signed,) = [part for part in paper.parts if isinstance(part, Signatures)]
    outside = int((checked.supports["verdict"] == "outside").sum())
    assert outside
    assert f"with {outside} of 24 supports outside the tolerance" in signed.lines[-1]


@pytest.mark.parametrize(
    ("method", "word"),
    [("feet", "turn 1 foot"), ("ladder", "plane or shim"), ("compound", "grind or fill")],
)
def test_a_base_on_no_packers_has_no_bag(
    ways: dict[str, Answer], built: Built, method: str, word: str
) -> None:
    checked = built(ways[method], lambda n, x: flat(n, x) + 3.0 * (n == "F3"))
    paper = record(checked)
    turned = {"What to turn"} if method == "feet" else set()
    tables = {"The reading", "Supports as read", "Units as they would stand"}
    assert set(grids_of(paper)) == tables | turned
    assert verdict_words(checked)[2].word == word
    assert "F3" in verdict_words(checked)[2].why
    assert word in text_of(paper)


def test_supports_that_nobody_read_are_named(reading_room: Answer, built: Built) -> None:
    unread = ("B4", "F9", "F10", "D4")
    checked = built(reading_room, lambda n, x: math.nan if n in unread else flat(n, x))
    assert verdict_words(checked)[0].word == "– not all read"
    rows = grids_of(record(checked))["Supports as read"].table.rows
    assert {row[0] for row in rows if row[-1] == "– not read"} == {*unread}
    assert any("B4, F9, F10, D4" in line for line in checked.cautions)


def test_an_inch_job_is_told_in_thousandths(inch_room: Answer, built: Built) -> None:
    checked = built(inch_room, uneven, tolerance_mm=1.0)
    paper = record(checked)
    assert verdict_words(checked)[0].about == "supports within 0.039 in of one level"
    # 1 mm is 0.039 in; as sixteenths it would read 1/16 in, more than half as much again.
    assert any("within 1 mm (0.039 in) of one level" in line for line in points_of(paper))
    heads = [head.unit for head in grids_of(paper)["Supports as read"].table.heads]
    assert heads == ["", "in", "in", "in", ""]


HOSTILE = '=HYPERLINK("x") <script>alert(1)</script> שלום 👩‍👩‍👧‍👦'


def test_hostile_names_are_letters_and_a_long_title_stands_whole(
    reading_room: Answer, built: Built
) -> None:
    checked = built(reading_room, uneven, by=HOSTILE, instrument=f"{HOSTILE[:30]} العربية")
    title = f"{HOSTILE} {'long ' * 1900}end of title"
    job = checked.answer.job.model_copy(update={"title": title})
    paper = record(replace(checked, answer=replace(checked.answer, job=job)))
    html = html_page(paper)
    assert "<script>" not in html
    assert html.count("&lt;script&gt;") >= 3
    assert Words(title) in paper.parts
    read = text_of(paper)
    assert "end of title" in read
    assert '=HYPERLINK("x") <script>alert(1)</script>' in read
    assert len(paper.title) < 120
    assert read.index("open ") < 400  # the verdict is not pushed down by the title


def test_the_same_check_gives_the_same_bytes_and_spares_readings(
    checked: Checked, tmp_path: Path
) -> None:
    first = {path.name: path.read_bytes() for path in write_record(checked, tmp_path)}
    assert list(first) == [*RECORD_FILES]
    again = {path.name: path.read_bytes() for path in write_record(checked, tmp_path)}
    assert first == again
    assert json.loads(first["as-built.json"])["verdict"] == "outside"
    (tmp_path / "as-built.csv").write_text("readings")
    with pytest.raises(Refusal, match=r"readings, as-built\.csv"):
        write_record(replace(checked, folder=tmp_path), tmp_path)
    assert (tmp_path / "as-built.csv").read_text() == "readings"


def test_what_another_base_left_is_taken_away(
    checked: Checked, ways: dict[str, Answer], built: Built, tmp_path: Path
) -> None:
    write_record(checked, tmp_path)
    assert (tmp_path / "changes.csv").is_file()
    names = {path.name for path in write_record(built(ways["ladder"], flat), tmp_path)}
    assert names == {*RECORD_FILES} - {"changes.csv"}
    assert {path.name for path in tmp_path.iterdir()} == names


def test_a_solved_answer_is_not_solved_again(reading_room: Answer) -> None:
    assert kit.check_base(reading_room.job, answer=reading_room).answer is reading_room


def test_what_contradicts_stands_on_the_first_page(slipped: Checked) -> None:
    page = pypdf.PdfReader(io.BytesIO(pdf_bytes(record(slipped)))).pages[0].extract_text()
    first = " ".join(page.split())
    assert "✗ readings contradict" in first
    assert "F3 (as-built.csv, rows 14 and 39)" in first
    assert "first read F3 again" in first
    (signed,) = [part for part in record(slipped).parts if isinstance(part, Signatures)]
    assert "Read again, and judged anew, where the readings contradict: F3." in signed.lines
    looked = [line for line in points_of(record(slipped)) if "first look whether" in line]
    assert len(looked) == slipped.changes.opened > 0
