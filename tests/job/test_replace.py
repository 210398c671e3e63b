import os
import sys
from pathlib import Path
from types import FrameType

import pytest

from kit.job import replace
from kit.job.replace import replace_keeping, replace_whole

OLD, NEW = b"old " * 5_000, b"new " * 7_000


def test_the_new_takes_the_place_of_the_old(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_bytes(OLD)
    replace_keeping(path, OLD, NEW)
    assert path.read_bytes() == NEW
    assert {p.name for p in tmp_path.iterdir()} == {"job.toml", "job.toml.before"}
    assert (tmp_path / "job.toml.before").read_bytes() == OLD


@pytest.mark.skipif(os.name != "posix", reason="rights and links are POSIX")
def test_rights_and_links_stay(tmp_path: Path) -> None:
    (tmp_path / "kept").mkdir()
    kept, path = tmp_path / "kept" / "job.toml", tmp_path / "job.toml"
    kept.write_bytes(OLD)
    kept.chmod(0o640)
    path.symlink_to(kept)
    replace_keeping(path, OLD, NEW)
    assert path.is_symlink()
    assert kept.read_bytes() == NEW
    assert kept.stat().st_mode & 0o777 == 0o640


def test_a_file_is_put_in_its_place_with_nothing_kept_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "ann.csv"
    for content in (OLD, NEW):
        replace_whole(path, content)
        assert path.read_bytes() == content
        assert [p.name for p in tmp_path.iterdir()] == ["ann.csv"]


@pytest.mark.skipif(os.name != "posix", reason="rights and links are POSIX")
def test_a_new_file_is_for_all_to_read_and_an_old_one_keeps_its_rights(tmp_path: Path) -> None:
    path, link = tmp_path / "ann.csv", tmp_path / "link.csv"
    replace_whole(path, OLD)
    assert path.stat().st_mode & 0o777 == 0o644
    path.chmod(0o600)
    link.symlink_to(path)
    replace_whole(link, NEW)
    assert link.is_symlink()
    assert path.read_bytes() == NEW
    assert path.stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize("broken", ["fsync", "replace"])
@pytest.mark.parametrize("call", [1, 2])
def test_a_disk_that_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, broken: str, call: int
) -> None:
    path = tmp_path / "job.toml"
    path.write_bytes(OLD)
    real, calls = getattr(os, broken), iter(range(1, 99))

    def failing(*args: object) -> object:
        if next(calls) == call:
            raise OSError(28, "No space left on device")
        return real(*args)

    monkeypatch.setattr(os, broken, failing)
    with pytest.raises(OSError, match="No space"):
        replace_keeping(path, OLD, NEW)
    assert path.read_bytes() == OLD
    assert {p.name for p in tmp_path.iterdir()} <= {"job.toml", "job.toml.before"}


@pytest.mark.skipif(not hasattr(os, "fork"), reason="a process is needed that dies")
def test_a_crash_at_every_line_leaves_whole_files(tmp_path: Path) -> None:
    path, before = tmp_path / "job.toml", tmp_path / "job.toml.before"
    seen: set[bytes] = set()
    for line in range(200):
        path.write_bytes(OLD)
        before.unlink(missing_ok=True)
        finished = die_at_line(line, path)
        assert path.read_bytes() in {OLD, NEW}
        assert not before.exists() or before.read_bytes() == OLD
        seen.add(path.read_bytes())
        if finished:
            break
    assert finished
    assert line > 15  # the crash did go through the lines
    assert seen == {OLD, NEW}


def die_at_line(number: int, path: Path) -> bool:
    """Replace in a child that stops dead at a line; tell whether it lived to the end."""
    child = os.fork()
    if child == 0:
        left = iter(range(number, -1, -1))

        def trace(frame: FrameType, event: str, _: object) -> object:
            if frame.f_code.co_filename != replace.__file__:
                return None
            if event == "line" and next(left) == 0:
                os._exit(1)
            return trace

        sys.settrace(trace)  # type: ignore[arg-type]
        replace_keeping(path, OLD, NEW)
        os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0
