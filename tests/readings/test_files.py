"""Files that hold no table, or hold it in an unusual dress."""

from __future__ import annotations

import codecs
import os
from pathlib import Path

import pytest

from kit.job.refusal import Refusal
from kit.readings.files import LARGEST_BYTES, find_table, read_sheet

TEXT = "point,x_mm,y_mm,height_mm\nFenêtre,0,0,1.5\nB,900,0,2\n"
CELLS = [("Fenêtre", "0", "0", "1.5"), ("B", "900", "0", "2")]


@pytest.mark.parametrize(
    "raw",
    [
        TEXT.encode(),
        codecs.BOM_UTF8 + TEXT.encode(),
        codecs.BOM_UTF16_LE + TEXT.encode("utf-16-le"),
        codecs.BOM_UTF16_BE + TEXT.encode("utf-16-be"),
        codecs.BOM_UTF16_LE + TEXT.replace(",", "\t").encode("utf-16-le"),
        TEXT.replace("\n", "\r\n").encode(),
        TEXT.replace("\n", "\r").encode(),
        TEXT.replace(",", ";").encode(),
        TEXT.replace(",", "\t").encode(),
        TEXT.replace(",0", " , 0 ").encode(),
        TEXT.replace("B", '"B"').encode(),
        TEXT.rstrip("\n").encode(),
    ],
)
def test_one_table_in_many_dresses(tmp_path, raw):
    (tmp_path / "t.csv").write_bytes(raw)
    sheet = read_sheet(tmp_path / "t.csv", "t.csv")
    assert sheet.header == ("point", "x_mm", "y_mm", "height_mm")
    assert list(sheet.rows) == [(2, CELLS[0]), (3, CELLS[1])]


def found(folder, name):
    with pytest.raises(Refusal) as caught:
        find_table(folder, name, "file")
    return str(caught.value)


def test_what_is_no_file(tmp_path):
    (tmp_path / "folder.csv").mkdir()
    os.mkfifo(tmp_path / "pipe.csv")
    assert found(tmp_path, "folder.csv") == (
        "file: found the folder 'folder.csv'; allowed: a CSV or XLSX file"
    )
    assert found(tmp_path, "none.csv") == (
        "file: found 'none.csv', which is not there; allowed: a CSV or XLSX file in the folder"
    )
    assert found(tmp_path, "pipe.csv") == (
        "file: found 'pipe.csv', which is no ordinary file; allowed: a CSV or XLSX file"
    )
    assert found(tmp_path, "../t.csv") == (
        "file: found '../t.csv'; allowed: a file inside the job folder"
    )
    assert "allowed: a file that can be read" in found(tmp_path, "t\0.csv")
    assert "allowed: a file that can be read" in found(tmp_path, "t" * 300 + ".csv")


@pytest.mark.parametrize("name", ["t.csv", "t.xlsx"])
def test_a_file_of_200_megabytes_is_not_opened(tmp_path, monkeypatch, name):
    (tmp_path / name).touch()
    os.truncate(tmp_path / name, 200_000_000)
    monkeypatch.setattr(Path, "read_bytes", lambda _: pytest.fail("it was opened"))
    assert found(tmp_path, name) == (
        f"{name}: found 200000000 bytes; allowed: at most {LARGEST_BYTES} bytes"
    )


def test_a_file_that_may_not_be_read(tmp_path, monkeypatch):
    (tmp_path / "t.csv").write_text(TEXT)

    def forbidden(_: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    # A test may run as a user who may read everything.
    monkeypatch.setattr(Path, "read_bytes", forbidden)
    with pytest.raises(Refusal) as caught:
        read_sheet(tmp_path / "t.csv", "t.csv")
    assert str(caught.value) == (
        "t.csv: found a file that cannot be read (Permission denied); allowed: a file that can be"
        " read"
    )


def test_more_cells_than_any_survey_has(tmp_path):
    (tmp_path / "t.csv").write_text(TEXT + "," * 1_100_000)
    with pytest.raises(Refusal, match="more than 1000000 cells"):
        read_sheet(tmp_path / "t.csv", "t.csv")
