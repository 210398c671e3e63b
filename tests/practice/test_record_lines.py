from pathlib import Path

import pytest

from kit.job import Refusal
from kit.practice.record_lines import sheet_of_bytes, sheet_of_file


def rows(raw: bytes) -> tuple[list[int], list[tuple[int, str]]]:
    """Return the numbers of the rows that can be told, and the broken ones with their reason."""
    sheet, broken = sheet_of_bytes(raw, "ann.csv")
    return [row for row, _ in sheet.rows], [(one.row, one.problem.found) for one in broken]


def test_cells_are_told_with_the_numbers_of_their_rows() -> None:
    sheet, broken = sheet_of_bytes(b'\n;;\na; b ;c;\n1;"2\n2";3\n\n4;;\n', "ann.csv")
    assert (sheet.header, sheet.header_row, sheet.separator) == (("a", "b", "c"), 3, ";")
    assert sheet.rows == ((4, ("1", "2\n2", "3")), (7, ("4", "", "")))
    assert broken == ()


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("coding", ["utf-8-sig", "utf-16"])
def test_a_broken_row_hides_no_other(end: str, coding: str) -> None:
    text = end.join(["a,b,c", "1,2,3", '1,"2,3', "Zoë,2,3", '1,"2"2,3', "1,2"])
    told, broken = rows(text.encode(coding))
    assert told == [2, 4, 6]
    assert [row for row, _ in broken] == [3, 5]
    assert all(found.startswith("a broken row (") for _, found in broken)


def test_a_lost_quote_does_not_swallow_the_rows_below() -> None:
    # The quote of row 2 closes in row 4 as if all between were one cell.
    told, broken = rows(b'a,b,c\n1,"2,3\n4,5,6\n7,8",9,10\n11,12,13\n')
    assert told == [3, 4, 5]
    assert broken == [(2, "a broken row (4 cells over 3 lines)")]


def test_bytes_that_are_no_letters_break_their_own_row_only() -> None:
    told, broken = rows("a,b\n1,Zoë\n2,ok\n3,".encode().replace(b"\xab", b"") + b"\0\0")
    assert told == [3]
    assert broken == [(2, "bytes that are no letters"), (4, "bytes of zero")]
    # Where nothing had to be replaced, the sign for it is a letter like others.
    assert rows("a,b\n1,\ufffd\n".encode()) == ([2], [])


def test_many_broken_rows_are_read_in_time() -> None:
    # Each quote is looked for in the next lines only, not in the whole file.
    told, broken = rows(b"a,b\n" + b'1,"2\n' * 20_001 + b"1,2\n")
    assert told == [20_003]
    assert len(broken) == 20_001


@pytest.mark.parametrize(
    ("raw", "found"),
    [
        (b"", "an empty table"),
        (b"\n,,\n", "an empty table"),
        (b"PK\3\4\0\0", "a binary file"),
        (b'a,"b\n1,2\n', "row 1: found a broken row"),
        (b"a,b\n", "a header row and no records"),
        (b"a,b\n" + b",".join([b"1"] * 1_000_001), "more than 1000000 cells"),
    ],
)
def test_what_has_no_header_or_no_rows_is_refused(raw: bytes, found: str) -> None:
    with pytest.raises(Refusal, match=f"^ann.csv.*{found}"):
        sheet_of_bytes(raw, "ann.csv")


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    for path in (tmp_path, tmp_path / "none.csv"):
        with pytest.raises(Refusal, match="no ordinary file"):
            sheet_of_file(path, "ann.csv")
