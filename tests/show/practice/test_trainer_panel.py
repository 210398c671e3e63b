"""The trainer's panel without a browser: a folder typed, a class shown, refusals in words."""

from __future__ import annotations

from pathlib import Path

import pytest

from kit.practice.drills import DRILLS
from kit.practice.invented_class import invented_class
from kit.show import Trainer, trainer_page


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return invented_class(tmp_path_factory.mktemp("panel") / "class")


def said(panel: Trainer) -> str:
    return str(panel.of_class.message.widget.value)


def test_a_folder_given_is_shown_at_once(home: Path) -> None:
    panel = Trainer(f"{home}", "/somewhere")
    assert panel.of_class.page.value == trainer_page(home).html
    assert f"✓ 4 files of {home} read." in said(panel)
    assert panel.of_set.folder.value == "/somewhere"


def test_nothing_is_read_before_a_person_asks(home: Path) -> None:
    panel = Trainer()
    assert panel.of_class.page.value == ""
    assert said(panel) == ""
    panel.of_class.folder.value = f"  {home} "
    assert panel.of_class.page.value == ""
    panel.of_class.button.click()
    assert panel.of_class.page.value == trainer_page(home).html


def test_an_empty_box_is_not_the_folder_of_the_notebook(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(home)
    panel = Trainer()
    panel.of_class.button.click()
    assert "✗ There is nothing to show. folder of records: found nothing" in said(panel)
    assert panel.of_class.page.value == ""


def test_a_refusal_takes_away_what_is_no_longer_asked_for(home: Path, tmp_path: Path) -> None:
    panel = Trainer(f"{home}")
    panel.of_class.folder.value = f"{tmp_path / 'nowhere'}"
    panel.of_class.button.click()
    assert "✗ There is nothing to show." in said(panel)
    assert "nowhere" in said(panel)
    panel.of_class.room.wide_px = 500
    assert panel.of_class.page.value == ""
    assert not panel.of_class.button.disabled


def test_refused_files_are_told_beside_the_button_too(tmp_path: Path) -> None:
    folder = invented_class(tmp_path / "class")
    (folder / "oak.csv").write_text("attempt\n=1\n", encoding="utf-8")
    panel = Trainer(f"{folder}")
    assert f"⚠ 4 files of {folder} read; 1 file refused, and named below." in said(panel)
    assert "oak.csv" in panel.of_class.page.value
    ash = folder / "ash.csv"
    ash.write_bytes(ash.read_bytes()[:-40])
    panel.of_class.button.click()
    assert f"⚠ 4 files of {folder} read; 1 file damaged in part, 1 file refused, and" in said(panel)


def test_files_that_came_since_are_read_when_the_button_is_pressed(tmp_path: Path) -> None:
    folder = invented_class(tmp_path / "class")
    rowan = (folder / "rowan.csv").read_bytes()
    (folder / "rowan.csv").unlink()
    panel = Trainer(f"{folder}")
    assert "25 tries of 3 apprentices" in panel.of_class.page.value
    (folder / "rowan.csv").write_bytes(rowan)
    panel.of_class.button.click()
    assert "28 tries of 4 apprentices" in panel.of_class.page.value


@pytest.mark.parametrize(("room_px", "wide"), [(1400, "960"), (420, "400"), (200, "320")])
def test_the_picture_follows_the_width_of_the_page(home: Path, room_px: int, wide: str) -> None:
    panel = Trainer(f"{home}")
    panel.of_class.room.wide_px = room_px
    assert f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}"' in panel.of_class.page.value


def test_all_drills_of_the_kit_can_be_chosen() -> None:
    assert list(Trainer().of_set.ticks) == [drill.key for drill in DRILLS]


def test_a_notebook_can_show_it() -> None:
    assert "application/vnd.jupyter.widget-view+json" in Trainer()._repr_mimebundle_()
