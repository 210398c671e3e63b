"""A folder, as a person types it."""

from pathlib import Path

import pytest

from kit.job import Refusal
from kit.show.practice.typed_folder import folder_named


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
