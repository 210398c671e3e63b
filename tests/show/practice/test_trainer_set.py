"""The part that writes a sheet: what a hand sets, what is written, what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from kit.job import Refusal
from kit.practice.class_set import class_set
from kit.practice.drills import DRILLS
from kit.practice.grades import GRADES
from kit.show.practice import trainer_set
from kit.show.practice.answers import answers_page
from kit.show.practice.paper_sheet import paper_page
from kit.show.practice.sheet import sheet_page
from kit.show.practice.trainer_set import SetPart, whole_seed, worked_set

QUICK = tuple(drill for drill in DRILLS if drill.key in ("own_error", "bad_reading", "as_built"))


@pytest.fixture
def part(tmp_path: Path) -> SetPart:
    part = SetPart(QUICK, f"{tmp_path / 'sheets'}")
    part.seed.value = "431"
    return part


def said(part: SetPart) -> str:
    return str(part.message.widget.value)


def test_every_control_has_a_name(part: SetPart) -> None:
    assert [tick.description for tick in part.ticks.values()] == [drill.title for drill in QUICK]
    boxes = (part.seed, part.grade, part.on_paper, part.folder)
    for control in (*boxes, part.button, part.all, part.none):
        assert control.description


def test_it_writes_what_the_command_writes(part: SetPart, tmp_path: Path) -> None:
    part.grade.value = "rough"
    part.button.click()
    out, of_class = tmp_path / "sheets", class_set(QUICK, 431, GRADES[2])
    texts = {path.name: path.read_text(encoding="utf-8") for path in out.iterdir()}
    assert texts == {
        "sheet-431-rough.html": sheet_page(of_class),
        "answers-431-rough.html": answers_page(of_class),
    }
    for name in texts:
        assert f"{out / name}" in said(part)
    assert "✓ Written" in said(part)
    assert not part.button.disabled


def test_a_choice_of_drills_is_kept_in_the_order_of_the_site(part: SetPart, tmp_path: Path) -> None:
    part.none.click()
    assert not any(tick.value for tick in part.ticks.values())
    part.ticks["as_built"].value = part.ticks["own_error"].value = True
    part.button.click()
    sheet = (tmp_path / "sheets" / "sheet-431-ordinary.html").read_text(encoding="utf-8")
    chosen = [drill for drill in QUICK if drill.key != "bad_reading"]
    assert sheet == sheet_page(class_set(chosen, 431, GRADES[1]))
    part.all.click()
    assert all(tick.value for tick in part.ticks.values())


def test_a_set_without_a_screen_leaves_out_what_wants_one(part: SetPart, tmp_path: Path) -> None:
    assert not part.on_paper.value
    assert part.able.value == ""
    part.on_paper.value = True
    as_built = next(drill.title for drill in QUICK if drill.key == "as_built")
    assert f"Left out, because they want the screen: {as_built}." in part.able.value
    part.button.click()
    able = [drill for drill in QUICK if drill.key != "as_built"]
    of_class = class_set(able, 431, GRADES[1], (as_built,))
    texts = {p.name: p.read_text(encoding="utf-8") for p in (tmp_path / "sheets").iterdir()}
    assert texts == {
        "paper-431-ordinary.html": paper_page(of_class),
        "paper-answers-431-ordinary.html": answers_page(of_class),
    }
    part.on_paper.value = False
    assert part.able.value == ""
    part.button.click()
    assert len(list((tmp_path / "sheets").iterdir())) == 4


def test_no_drill_for_paper_is_refused(part: SetPart, tmp_path: Path) -> None:
    part.choose(["as_built"])
    part.on_paper.value = True
    part.button.click()
    assert "to be worked without a screen: found as_built; allowed: high_point" in said(part)
    assert not list(tmp_path.iterdir())


def test_each_drill_is_told_while_it_is_worked(part: SetPart) -> None:
    told: list[str] = []
    part.message.widget.observe(lambda change: told.append(change["new"]), names="value")
    part.button.click()
    assert len(told) == len(QUICK) + 1
    for number, (words, drill) in enumerate(zip(told, QUICK, strict=False), start=1):
        assert f"Working: drill {number} of {len(QUICK)}" in words
        assert drill.title.split()[-1] in words


def test_a_file_that_is_there_stays_and_no_time_is_lost_over_it(
    part: SetPart, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*_: object) -> None:
        raise AssertionError

    monkeypatch.setattr(trainer_set, "worked_set", never)
    (tmp_path / "sheets").mkdir()
    mine = tmp_path / "sheets" / "answers-431-ordinary.html"
    mine.write_text("mine", encoding="utf-8")
    part.button.click()
    assert "✗ Nothing was written." in said(part)
    assert "a file answers-431-ordinary.html already; allowed: another folder" in said(part)
    assert "--out" not in said(part)
    assert [path.name for path in mine.parent.iterdir()] == [mine.name]
    assert mine.read_text(encoding="utf-8") == "mine"


def test_a_button_pressed_twice_says_the_same_twice(part: SetPart, tmp_path: Path) -> None:
    part.button.click()
    before = said(part)
    sheet = tmp_path / "sheets" / "sheet-431-ordinary.html"
    written = sheet.stat().st_mtime_ns
    part.button.click()
    assert said(part) == before
    assert sheet.stat().st_mtime_ns == written
    part.ticks["own_error"].value = False  # another sheet of the same name
    part.button.click()
    assert "already" in said(part)
    assert sheet.stat().st_mtime_ns == written


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("seed", "", "seed: found nothing; allowed: a whole number, 0 to 999999"),
        ("seed", "7.5", "allowed: a whole number, 0 to 999999"),
        ("folder", " ", "folder to write to: found nothing"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_written(
    part: SetPart, tmp_path: Path, name: str, value: str, words: str
) -> None:
    getattr(part, name).value = value
    part.button.click()
    assert "✗ Nothing was written." in said(part)
    assert words in said(part)
    assert not list(tmp_path.iterdir())


def test_no_drill_is_refused(part: SetPart, tmp_path: Path) -> None:
    part.none.click()
    part.button.click()
    assert "drills on the sheet: found none; allowed: one or more ticked" in said(part)
    assert not list(tmp_path.iterdir())


def test_a_folder_that_cannot_be_is_said(part: SetPart, tmp_path: Path) -> None:
    (tmp_path / "plain").write_text("a file", encoding="utf-8")
    for bad in (tmp_path / "plain", tmp_path / ("n" * 300)):
        part.folder.value = f"{bad}"
        part.button.click()
        assert "✗ Nothing was written." in said(part)
        assert "defect" not in said(part)


def test_drill_by_drill_is_the_same_set() -> None:
    told: list[tuple[int, str, int]] = []
    one = worked_set(QUICK, 12, GRADES[0], lambda *words: told.append(words))
    whole = class_set(QUICK, 12, GRADES[0])
    assert sheet_page(one) == sheet_page(whole)
    assert answers_page(one) == answers_page(whole)
    assert told == [(n, drill.title, 3) for n, drill in enumerate(QUICK, start=1)]


@pytest.mark.parametrize("typed", ["-1", "1000000", "0x7", "seven", "1e3", "٣", "7 1"])
def test_what_is_no_seed_is_refused(typed: str) -> None:
    with pytest.raises(Refusal, match="seed: found"):
        whole_seed(typed)


def test_seeds_are_read() -> None:
    assert [whole_seed(typed) for typed in (" 0 ", "007", "999999")] == [0, 7, 999_999]
