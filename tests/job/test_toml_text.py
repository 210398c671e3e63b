import os
from pathlib import Path

import pytest

from kit.job import read_job
from kit.job.refusal import Refusal
from kit.job.toml_text import parse

PLAIN = "plain text, saved as UTF-8 without a byte order mark"


def told(job: str | Path) -> str:
    with pytest.raises(Refusal) as refused:
        read_job(job)
    return str(refused.value)


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    assert told(tmp_path / "attic").endswith(
        "attic: found no such folder; allowed: a job's folder, with job.toml in it"
    )


def test_a_file_instead_of_a_folder(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("x")
    assert "notes.txt: found a file; allowed: a job's folder" in told(tmp_path / "notes.txt")


def test_a_path_with_a_null_in_it() -> None:
    assert "no such folder" in told("a\0b")


def test_a_folder_without_a_job(tmp_path: Path) -> None:
    assert told(tmp_path).startswith("job.toml: found no such file in ")
    assert told(tmp_path / "job.toml").startswith("job.toml: found no such file in ")


def test_a_job_file_that_is_a_folder(tmp_path: Path) -> None:
    (tmp_path / "job.toml").mkdir()
    assert told(tmp_path) == "job.toml: found a folder of that name; allowed: a text file"


@pytest.mark.skipif(os.name != "posix", reason="pipes with names are POSIX")
def test_a_job_file_that_is_a_pipe(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "job.toml")
    assert "something that is not a file" in told(tmp_path)


def test_a_job_file_of_gigantic_size(tmp_path: Path) -> None:
    with (tmp_path / "job.toml").open("wb") as file:
        file.truncate(6_000_000)
    assert told(tmp_path) == "job.toml: found 6000000 bytes; allowed: at most 5000000 bytes"


def test_a_link_that_leads_nowhere(tmp_path: Path) -> None:
    (tmp_path / "job.toml").symlink_to(tmp_path / "gone.toml")
    assert "no such file" in told(tmp_path)


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        (b"", "job.toml: found an empty file; allowed: a job file that begins with schema = 1"),
        (b" \n\t\n", "job.toml: found an empty file; allowed: a job file that begins with"),
        (
            b"\xef\xbb\xbfschema = 1\n",
            f"job.toml, line 1: found a byte order mark before the first letter; allowed: {PLAIN}",
        ),
        (
            "schema = 1\n".encode("utf-16"),
            f"job.toml, line 1: found text saved as UTF-16 or UTF-32; allowed: {PLAIN}",
        ),
        (
            "schema = 1\n".encode("utf-16-le"),
            f"job.toml, line 1: found binary data; allowed: {PLAIN}",
        ),
        (
            b'schema = 1\ntitle = "caf\xe9"\n',
            f"job.toml, line 2: found a byte that is not UTF-8 (0xe9); allowed: {PLAIN}",
        ),
        (b"a = 1\n\nb = 2\n\x00\x01", f"job.toml, line 4: found binary data; allowed: {PLAIN}"),
        (b"\x89PNG\r\n", "job.toml, line 1: found a byte that is not UTF-8 (0x89); allowed"),
    ],
)
def test_bytes_that_are_no_text(tmp_path: Path, raw: bytes, message: str) -> None:
    (tmp_path / "job.toml").write_bytes(raw)
    assert told(tmp_path).startswith(message)


# Examples that TOML v1.0.0 (toml.io/en/v1.0.0) itself calls invalid, with the line at fault.
@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("key = # INVALID", 1),
        ('first = "Tom" last = "Preston-Werner" # INVALID', 1),
        ("= 'no key name'", 1),
        ('name = "Tom"\nname = "Pradyun"', 2),
        ('spelling = "favorite"\n"spelling" = "favourite"', 2),
        ("fruit.apple = 1\nfruit.apple.smooth = true", 2),
        ("invalid_float_1 = .7", 1),
        ("\ninvalid_float_2 = 7.", 2),
        ("invalid_float_3 = 3.e+20", 1),
        ('[fruit]\napple = "red"\n\n[fruit]\norange = "orange"', 4),
        ('[fruit]\napple = "red"\n\n[fruit.apple]\ntexture = "smooth"', 4),
        ('[product]\ntype = { name = "Nail" }\ntype.edible = false', 3),
        ("fruit = []\n[[fruit]]", 2),
    ],
)
def test_what_the_standard_calls_invalid(text: str, line: int) -> None:
    with pytest.raises(Refusal) as refused:
        parse(text)
    (problem,) = refused.value.problems
    assert problem.where == f"job.toml, line {line}"


def test_windows_line_ends_count_as_one_line() -> None:
    with pytest.raises(Refusal) as refused:
        parse("a = 1\r\nb = 2\r\nc 3\r\n")
    assert str(refused.value) == (
        "job.toml, line 3: found a line without =: c 3; "
        "allowed: key = value, or a [table] in square brackets"
    )


@pytest.mark.parametrize("text", ["a = " + "[" * 5000, "a = " + "[" * 100 + "]" * 100])
def test_nesting_without_end(text: str) -> None:
    with pytest.raises(Refusal):
        parse(text)


def test_dotted_keys_without_end() -> None:
    with pytest.raises(Refusal, match="nested more than 12 deep"):
        parse(".".join("a" * 5000) + " = 1")
