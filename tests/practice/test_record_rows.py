from collections.abc import Callable
from dataclasses import replace

import pytest

from kit.job import Refusal
from kit.practice.record import COLUMNS, Record
from kit.practice.record_lines import sheet_of_bytes
from kit.practice.record_rows import records_of


def text_of(*records: Record, header: tuple[str, ...] = COLUMNS, mark: str = ",") -> str:
    rows = [mark.join(record.cells.get(name, "") for name in header) for record in records]
    return "\n".join([mark.join(header), *rows]) + "\n"


def read(text: str) -> tuple[Record, ...]:
    records, damaged = records_of(sheet_of_bytes(text.encode(), "ann.csv")[0])
    assert not damaged
    return records


def problems_of(text: str) -> list[str]:
    """Return what damaged rows, or the header, are refused for."""
    try:
        _, damaged = records_of(sheet_of_bytes(text.encode(), "ann.csv")[0])
    except Refusal as refusal:
        return [str(problem) for problem in refusal.problems]
    for one in damaged:
        assert one.problem.where.startswith(f"ann.csv, row {one.row}")
    return [str(one.problem) for one in damaged]


def test_what_was_written_is_read_again(named: Callable[..., Record]) -> None:
    records = (named(mistakes=("out", "never_turned"), nickname="Zoë"), named(mistakes=(), marks=0))
    assert read(text_of(*records)) == records


def test_order_of_columns_others_and_marks_of_the_table_do_not_matter(
    named: Callable[..., Record],
) -> None:
    record = named()
    header = ("remark", *COLUMNS[::-1])
    for mark in ("\t", ";"):
        assert read(text_of(record, header=header, mark=mark)) == (record,)
    comma = text_of(record, mark=";").replace("130.5", "130,5").replace("95.0", "95")
    assert read(comma) == (record,)


@pytest.mark.parametrize(
    ("column", "cell", "found", "allowed"),
    [
        ("when", "08/05/2031 09:30", "'08/05/2031 09:30'", "2031-05-08T09:30:00Z"),
        ("when", "2031-02-30T09:30:00Z", "'2031-02-30T09:30:00Z'", "universal time"),
        ("nickname", "=1+1", "'=1+1'", "a letter first"),
        ("nickname", "../x", "'../x'", "no address"),
        ("drill", "Own Error", "'Own Error'", "the key of a drill"),
        ("edition", "0", "'0'", "a whole number, 1 to 9999"),
        ("grade", "awful", "'awful'", "fair | ordinary | rough"),
        ("seed", "-1", "'-1'", "a whole number, 0 to 999999"),
        ("seed", "7.5", "'7.5'", "a whole number, 0 to 999999"),
        ("tries_before", "", "an empty cell", "a whole number, 0 to 100000"),
        ("marks", "101", "'101'", "a whole number, 0 to 100"),
        ("marks", "=2+3", "the formula '=2+3'", "the value itself"),
        ("placements", "nan", "'nan'", "a whole number"),
        ("hints", "1e9", "'1e9'", "a whole number, 0 to 100000"),
        ("seconds", "-3", "'-3'", "seconds, 0 to 10000000"),
        ("good_seconds", "long", "'long'", "seconds"),
        ("mistakes", "out+out", "'out+out'", "each once"),
        ("mistakes", "+out", "'+out'", "keys of kinds"),
        ("token", "12345e67", "'12345e67'", "letters"),
        ("attempt", "x" * 32, f"'{'x' * 32}'", "32 letters from a to p"),
        ("marks", "8" * 10_000, "8888", "a whole number"),
    ],
)
def test_a_damaged_cell_is_told_by_row_and_column(
    named: Callable[..., Record], column: str, cell: str, found: str, allowed: str
) -> None:
    whole, spoilt = named(seed=3), named(seed=4).cells | {column: cell}
    text = text_of(whole) + ",".join(spoilt.values()) + "\n"
    (problem,) = problems_of(text)
    assert problem.startswith(f"ann.csv, row 3, {column}: found {found}")
    assert allowed in problem.partition("allowed: ")[2]
    assert len(problem) < 400


def test_a_cell_that_could_be_but_is_another_one_is_told(named: Callable[..., Record]) -> None:
    record = named(marks=58)
    (problem,) = problems_of(text_of(replace(record, marks=98)))
    assert problem.startswith(f"ann.csv, row 2, attempt: found '{record.attempt}', the name of")
    cut = text_of(named(token="k" * 26)).rstrip()[:-1]  # a copy that broke off one letter too early
    assert "a cell of this one was changed" in problems_of(cut)[0]


def test_a_trainer_may_tell_two_of_one_nickname_apart(named: Callable[..., Record]) -> None:
    (found,) = read(text_of(replace(named(), nickname="ann two")))
    assert found.nickname == "ann two"


def test_whole_rows_are_read_and_of_each_other_one_the_first_problem_is_told(
    named: Callable[..., Record],
) -> None:
    one, other = named(seed=3), named(seed=4)
    spoilt = ",".join((named().cells | {"marks": "x", "seed": "y"}).values())
    text = text_of(one) + f"{spoilt}\n" * 2 + ",".join(other.cells.values())
    records, damaged = records_of(sheet_of_bytes(text.encode(), "ann.csv")[0])
    assert records == (one, other)
    assert [(bad.row, bad.problem.where) for bad in damaged] == [
        (3, "ann.csv, row 3, seed"), (4, "ann.csv, row 4, seed"),
    ]  # fmt: skip


def test_a_row_that_breaks_off_is_told_by_where_it_does(named: Callable[..., Record]) -> None:
    record, last = named(seed=3, token="k" * 24), named(seed=4, token="m" * 24)
    text = text_of(record, last).rstrip("\n")
    whole = len(text_of(record).rstrip("\n"))
    for length in range(whole + 2, len(text)):  # wherever it breaks off within its cells
        records, damaged = records_of(sheet_of_bytes(text[:length].encode(), "ann.csv")[0])
        assert records == (record,)
        assert [one.row for one in damaged] == [3]
    after_grade = text[: text.rindex(",4,85,")]
    assert problems_of(after_grade) == [
        "ann.csv, row 3, grade: found a row that breaks off there, after 4 of 16 cells; allowed:"
        " the row as the kit wrote it"
    ]


def test_formulas_in_columns_of_others_and_loose_cells_are_told(
    named: Callable[..., Record],
) -> None:
    record = named()
    strange = text_of(record, header=(*COLUMNS, "remark"))
    assert read(strange.rstrip("\n") + "did well\n") == (record,)
    (problem,) = problems_of(strange.rstrip("\n") + '"=HYPERLINK(""http://a.example"")"\n')
    assert problem.startswith("ann.csv, row 2, remark: found the formula '=HYPERLINK(")
    (problem,) = problems_of(text_of(record).rstrip("\n") + ",more\n")
    assert problem == "ann.csv, row 2: found 17 cells; allowed: 16 cells, as the header has"


def test_a_header_that_is_none_is_told(named: Callable[..., Record]) -> None:
    record = named()
    without = text_of(record, header=tuple(one for one in COLUMNS if one != "attempt"))
    assert problems_of(without) == [
        "ann.csv, row 1: found no column attempt; allowed: the columns of a file of records, in"
        " any order"
    ]
    twice = text_of(record, header=(*COLUMNS, "marks"))
    assert problems_of(twice) == [
        "ann.csv, row 1: found the column marks twice; allowed: each column once"
    ]
    assert "the formula '=A1'" in problems_of(text_of(record, header=(*COLUMNS, "=A1")))[0]
    assert problems_of("house,garden\n1,2\n") == [
        "ann.csv, row 1: found no column when, nickname, drill and 13 more; allowed: the columns of"
        " a file of records, in any order"
    ]
    assert problems_of(text_of()) == [
        "ann.csv: found a header row and no records; allowed: one row a record below the header"
    ]
