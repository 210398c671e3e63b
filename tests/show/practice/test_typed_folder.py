"""A folder, as a person types it."""

from pathlib import Path

import pytest

from kit.job import Refusal
from kit.show.practice.typed_folder import check_writable, folder_named


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("", "nothing"),
        ("   ", "nothing"),
        ("/tmp/a\0b", r"'/tmp/a\\x00b'"),
        ("~nobody-of-that-name/a", "'~nobody-of-that-name/a'"),
    ],
)
def test_what_names_no_folder_is_refused(typed: str, found: str) -> None:
    with pytest.raises(Refusal, match=f"records: found {found}"):
        folder_named("records", typed)


def test_a_persons_own_folder_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", "/home/somebody")
    assert folder_named("records", " ~/class ") == Path("/home/somebody/class")


def test_a_folder_that_can_be_written_or_made_is_taken_and_nothing_is_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for folder in (tmp_path, tmp_path / "new", Path("new"), Path()):
        check_writable("records", folder)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_cannot_be_written_or_made_is_refused_by_what_is_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("x")
    (tmp_path / "loose end").symlink_to(tmp_path / "nothing")
    for folder, found in (
        ("no/such", "and no folder .*/no to make it in"),
        ("file", "which is no folder"),
        ("file/new", "which is no folder"),
        ("loose end", "which is no folder"),
    ):
        with pytest.raises(Refusal, match=f"records: found .*{found}; allowed: a folder that can"):
            check_writable("records", tmp_path / folder)
    monkeypatch.setattr("os.access", lambda path, _: path != tmp_path)
    with pytest.raises(Refusal, match="where nothing can be written"):
        check_writable("records", tmp_path)
    with pytest.raises(Refusal, match="where nothing can be written"):
        check_writable("records", tmp_path / "new")
