import os
import threading
import time
from pathlib import Path

import pytest

from kit.job import Refusal
from kit.job import one_writer as module
from kit.job.one_writer import one_writer

posix = pytest.mark.skipif(os.name != "posix", reason="the lock is POSIX's")


@posix
def test_one_after_the_other(tmp_path: Path) -> None:
    order: list[str] = []

    def second() -> None:
        with one_writer(tmp_path / "job.toml"):
            order.append("second")

    with one_writer(tmp_path / "job.toml"):
        other = threading.Thread(target=second)
        other.start()
        time.sleep(0.05)
        order.append("first")
    other.join()
    assert order == ["first", "second"]


@posix
@pytest.mark.parametrize(("name", "said"), [("job.toml", "job.toml"), ("a\nb.csv", "a\\nb.csv")])
def test_a_writer_that_never_ends_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, said: str
) -> None:
    monkeypatch.setattr(module, "LONGEST_WAIT_S", 0.05)
    place = tmp_path / name
    with one_writer(place), pytest.raises(Refusal) as refused, one_writer(place):
        pytest.fail("two writers at a time")
    assert str(refused.value) == (
        f"{said}: found another process that is writing it; allowed: one writer at a time"
    )


@posix
def test_only_what_a_killed_writer_left_is_cleared_away(tmp_path: Path) -> None:
    left = [".job.toml.unfinished-a1", ".job.toml.before.unfinished-b2"]
    kept = ["job.toml", "job.toml.before", ".job.toml.original", ".other.toml.unfinished-c3"]
    for name in left + kept:
        (tmp_path / name).write_text("x")
    (tmp_path / ".job.toml.unfinished-d4" / "inside").mkdir(parents=True)
    with one_writer(tmp_path / "job.toml"):
        assert {path.name for path in tmp_path.iterdir()} == set(kept)


def test_a_folder_without_locks_is_written_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def unknown(*_: object) -> None:
        raise OSError(95, "Operation not supported")

    if os.name == "posix":
        monkeypatch.setattr(module.fcntl, "flock", unknown)
    (tmp_path / ".job.toml.unfinished-a1").write_text("x")
    with one_writer(tmp_path / "job.toml"):
        # Somebody may be writing it: nothing tells.
        assert (tmp_path / ".job.toml.unfinished-a1").exists()
