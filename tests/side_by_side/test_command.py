"""``python -m kit compare`` on the demo jobs, and what it refuses."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from kit.__main__ import main
from kit.job import Refusal
from kit.side_by_side.command import weights_of

DATA = Path(__file__).parents[2] / "data"
ROOM = str(DATA / "reading-room")
PAIR = ["--bases", "bearers on packers", "screw feet"]


def test_it_says_what_came_of_it_and_writes_the_turning_points(tmp_path, capsys) -> None:
    out = tmp_path / "out"
    words = ["compare", ROOM, *PAIR, "--floors", "20", "--weights", "cost=2", "hours=1"]
    assert main([*words, "--out", str(out)]) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[0] == ("Chapel reading room, north wall: bearers on packers beside screw feet")
    assert said[1].startswith("Neither is better in all: bearers on packers is better in ")
    assert any("of the 20 floors drawn that fit these readings" in line for line in said)
    assert sum(line.startswith("By your weights: ") for line in said) == 1
    # What can hurt someone is said here too, with the sentence that nothing is approved.
    assert sum("it approves no floor and no structure" in line for line in said) == 1
    assert any(line.startswith("- screw feet: Feet hold a unit up, not in place") for line in said)
    turning = pd.read_csv(out / "turning.csv")
    assert {"fall of the floor", "contents of all units", "longest span"} <= set(turning["setting"])
    page = (out / "comparison.html").read_text(encoding="utf-8")
    assert "screw feet" in page
    assert "<script" not in page


def test_the_same_base_twice(tmp_path) -> None:
    words = ["compare", ROOM, "--bases", "screw feet", "screw feet", "--floors", "5"]
    assert main([*words, "--no-turning", "--out", str(tmp_path)]) == 0
    table = pd.read_csv(tmp_path / "comparison.csv")
    assert list(table.columns)[2:4] == ["screw feet", "screw feet (again)"]
    assert set(table["better"].dropna()) == {"no difference"}
    assert (tmp_path / "screw feet (again)" / "summary.json").exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--bases", "screw feet", "jacks"], "--bases: found 'jacks'; allowed: one of 'bearers on"),
        ([*PAIR, "--weights", "cost"], "--weights: found 'cost'; allowed: MEASURE=NUMBER"),
        ([*PAIR, "--weights", "luck=1"], "measure: found 'luck'; allowed: one of"),
        ([*PAIR, "--floors", "0"], "floors: found 0; allowed: 1 or more"),
    ],
)
def test_what_it_refuses_and_then_writes_nothing(tmp_path, capsys, words, said: str) -> None:
    out = tmp_path / "out"
    assert main(["compare", ROOM, *words, "--no-turning", "--out", str(out)]) == 2
    assert capsys.readouterr().err.startswith(said)
    assert not out.exists()


def test_a_base_that_cannot_be_built_is_refused_by_name(tmp_path, capsys) -> None:
    """The floor hatch of the boot room lies under a locker's side: nothing bridges it."""
    import shutil

    shutil.copytree(DATA / "boot-room", tmp_path / "job")
    path = tmp_path / "job" / "job.toml"
    text = path.read_text(encoding="utf-8")
    stacks = '[[base]]\nname = "stacks"\nmethod = "stacks"\nheight_mm = [50, 70]\n\n[stock]'
    path.write_text(text.replace("[stock]", stacks), encoding="utf-8")
    words = ["compare", str(tmp_path / "job"), "--bases", "bearers on packers", "stacks"]
    assert main([*words, "--out", str(tmp_path / "out")]) == 2
    assert "no_go 'floor hatch'" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_weights_are_read_from_words() -> None:
    assert weights_of(["cost=2", "hours=0.5"]) == {"cost": 2.0, "hours": 0.5}
    with pytest.raises(Refusal, match="'cost' a second time"):
        weights_of(["cost=2", "cost=3"])
    with pytest.raises(Refusal, match="MEASURE=NUMBER"):
        weights_of(["cost=two"])
