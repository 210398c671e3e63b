"""The workbook read back by openpyxl, which is not the library that writes it."""

import io
import math
import zipfile
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pandas as pd
import pytest
from openpyxl.worksheet.worksheet import Worksheet

import kit
from kit.job import Refusal
from kit.paper.workbook import MOST_LETTERS, column_width, letters_of, workbook_bytes
from kit.paper.workbook_columns import Column
from kit.parts import Answer
from kit.results import tables

DATA = Path(__file__).parents[2] / "data"

HOSTILE = '=HYPERLINK("x") <script>alert(1)</script> _x0041_ שלום مرحبا 👩‍👩‍👧‍👦'

#: Sheets that hold a table of the answer, and which; the first column of each tells no number.
SHEETS = {
    "heights": "heights.csv",
    "stacks": "stacks.csv",
    "screws": "screws.csv",
    "cuts": "cuts.csv",
    "take-off": "takeoff.csv",
    "work": "work.csv",
    "reactions": "reactions.csv",
    "spans": "spans.csv",
    "joists": "joists.csv",
    "units": "units.csv",
    "checks": "checks.csv",
    "feet": "feet.csv",
    "members": "members.csv",
    "profile": "profile.csv",
    "zones": "zones.csv",
}


def opened(content: bytes) -> dict[str, Worksheet]:
    book = openpyxl.load_workbook(io.BytesIO(content))
    return {sheet.title: sheet for sheet in book}


def cells(sheet: Worksheet) -> Iterator[object]:
    return (cell for row in sheet.iter_rows() for cell in row)


def column(sheet: Worksheet, head: str) -> list[object]:
    heads = [cell.value for cell in sheet[1]]
    at = heads.index(head)
    return [row[at].value for row in sheet.iter_rows(min_row=2)]


def known(value: object) -> object:
    """Return what a cell must hold: nothing where a number is not known."""
    if value is None or value is pd.NA or value == "":
        return None
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


@pytest.fixture(scope="module")
def sheets(reading_room: Answer) -> dict[str, Worksheet]:
    """The workbook of the reading room, read back."""
    return opened(workbook_bytes(reading_room))


@pytest.mark.parametrize("way", ["packers", "stacks", "feet", "ladder", "compound"])
def test_tables_of_all_ways_stand_in_it_to_the_last_digit(
    ways: dict[str, Answer], way: str
) -> None:
    answer = ways[way]
    sheets = opened(workbook_bytes(answer))
    found = tables(answer)
    there = {name for name, file in SHEETS.items() if file in found and len(found[file])}
    assert there == SHEETS.keys() & sheets.keys()
    for name in there:
        table = found[SHEETS[name]]
        for place, title in enumerate(table):
            wanted = [known(value) for value in table[title].tolist()]
            rows = sheets[name].iter_rows(min_row=2)
            held = [row[place].value for row in rows]
            # Not nearly: openpyxl reads back the very same floating-point numbers.
            assert held == wanted, (name, title)


def test_no_cell_is_a_formula_and_numbers_are_numbers(sheets: dict[str, Worksheet]) -> None:
    kinds = {cell.data_type for sheet in sheets.values() for cell in cells(sheet)}
    assert kinds == {"n", "s", "b"}
    heights = sheets["heights"]
    assert {type(value) for value in column(heights, "height [mm]")} <= {int, float}


def test_readings_stand_as_they_were_read(sheets: dict[str, Worksheet]) -> None:
    file = pd.read_csv(DATA / "reading-room" / "readings.csv", comment="#")
    sheet = sheets["readings"]
    assert column(sheet, "as read [mm]") == file["reading_mm"].tolist()
    assert column(sheet, "point") == file["point"].tolist()
    assert column(sheet, "y in plan [mm]") == pytest.approx(file["y_mm"].tolist())
    assert set(column(sheet, "kind")) == {"staff"}


def test_stack_of_a_support_is_the_sum_of_its_packers(
    sheets: dict[str, Worksheet], reading_room: Answer
) -> None:
    sheet = sheets["supports"]
    built = dict(
        zip(column(sheet, "support"), column(sheet, "stack as built up [mm]"), strict=True)
    )
    sums = reading_room.stacks.groupby("support")["thickness_mm"].sum()
    # Sums of the same numbers in another order.
    assert built == pytest.approx(sums.to_dict(), abs=1e-9)
    assert column(sheet, "packers from the floor up, printed [mm]")[0] == "18 + 18"


def test_inches_stand_beside_millimetres(inch_room: Answer) -> None:
    book = opened(workbook_bytes(inch_room))
    sheet = book["cuts"]
    mm, inches = column(sheet, "length [mm]"), column(sheet, "length [in]")
    off = column(sheet, "length: sixteenths less true [in]")
    assert (mm[0], mm[1]) == (3550.0, 450.0)
    # 450 / 25.4 = 17.71653…: 17 11/16 is 17.6875, which is 0.02903 less (worked by hand).
    assert column(sheet, "length [in, sixteenths]")[1] == "17 11/16"
    assert off[1] == pytest.approx(-0.029035, abs=5e-7)
    # A picometre is what a length in inches keeps.
    assert [25.4 * one for one in inches] == pytest.approx(mm, abs=1e-8)
    assert all(abs(one) <= 1 / 32 for one in off)
    heads = [cell.value for cell in book["screws"][1]]
    assert "length [in]" not in heads
    sizes = column(book["screws"], "length [mm]"), column(book["screws"], "length, as printed")
    # Metric screws in a job in inches stay metric.
    assert next(zip(*sizes, strict=True)) == (30.0, "30 mm")
    assert "point below floor [in]" in heads


def test_job_in_millimetres_names_no_inch(sheets: dict[str, Worksheet]) -> None:
    heads = [str(cell.value) for sheet in sheets.values() for cell in sheet[1]]
    assert not [head for head in heads if "[in" in head]


def hostile(answer: Answer, **changes: object) -> Answer:
    job = answer.job
    first, *others = job.runs[0].units
    named = first.model_copy(update={"name": HOSTILE[:80]})
    second = others[0].model_copy(update={"name": "<r><t>rich</t></r>"})
    run = job.runs[0].model_copy(update={"units": (named, second, *others[1:])})
    return kit.solve(job.model_copy(update={"runs": (run, *job.runs[1:]), **changes}))


def test_hostile_texts_stand_whole_and_run_nothing(reading_room: Answer) -> None:
    title = (HOSTILE + " ") * 160
    notes = "@SUM(A1)\n" + "😀" * 19_000 + "\n+1\n-2"
    answer = hostile(reading_room, title=title.strip(), notes=notes)
    sheets = opened(workbook_bytes(answer))
    first = sheets["overview"]
    held: dict[str, str] = {}
    for what, text in zip(column(first, "figure"), column(first, "value"), strict=True):
        name = str(what).removesuffix(", continued")
        held[name] = held.get(name, "") + str(text)
    assert held["job"] == title.strip()
    assert held["notes"] == notes
    assert column(sheets["units"], "unit")[:2] == [HOSTILE[:80], "<r><t>rich</t></r>"]
    every = [cell for sheet in sheets.values() for cell in cells(sheet)]
    assert "f" not in {cell.data_type for cell in every}
    assert not [cell for cell in every if cell.hyperlink]


def test_a_text_that_no_cell_holds_is_refused(reading_room: Answer) -> None:
    table = pd.DataFrame({"item": ["x" * (MOST_LETTERS + 1)], "count": [3]})
    with pytest.raises(Refusal, match="32768 letters"):
        workbook_bytes(reading_room, (("to buy", table),))


def test_letters_beyond_the_first_plane_count_twice() -> None:
    assert (letters_of("aש"), letters_of("a😀")) == (2, 3)


def test_further_sheets_get_names_that_a_workbook_takes(reading_room: Answer) -> None:
    table = pd.DataFrame({"item": ["packer"], "size_mm": [17.8], "spare_count": [4]})
    names = ["to buy", "TO BUY", "a/b:c*d?[e]" * 5, "History", "'", "to buy"]
    sheets = opened(workbook_bytes(reading_room, [(name, table) for name in names]))
    added = [name for name in sheets if [c.value for c in sheets[name][1]][-1] == "spare count"]
    assert added[:2] == ["to buy", "TO BUY 2"]
    assert added[3:] == ["History sheet", "sheet", "to buy 3"]
    assert len(added[2]) <= 31
    assert not set(added[2]) & set("[]:*?/\\")
    assert list(sheets).index("to buy") == list(sheets).index("take-off") + 1


def test_sheets_are_set_up_to_be_read_and_printed(boot_room: Answer) -> None:
    for name, sheet in opened(workbook_bytes(boot_room)).items():
        assert sheet.freeze_panes == "B2", name
        assert sheet.auto_filter.ref == sheet.dimensions, name
        assert sheet.print_title_rows == "$1:$1", name
        assert (sheet.page_setup.paperSize, sheet.page_setup.fitToHeight) == (9, 0), name
        assert sheet.sheet_properties.pageSetUpPr.fitToPage, name
        assert len([cell.value for cell in sheet[1]]) == len({cell.value for cell in sheet[1]})


def test_formats_show_few_digits_of_whole_numbers(sheets: dict[str, Worksheet]) -> None:
    supports = sheets["supports"]
    heads = [cell.value for cell in supports[1]]
    shown = dict(zip(heads, (cell.number_format for cell in supports[2]), strict=True))
    assert shown["height of the floor [mm]"] == "0.0"
    assert shown["floor: doubt, 1 sd [mm]"] == "0.00"
    assert shown["stack less wanted, + high [mm]"] == "+0.00;-0.00;0.00"
    assert shown["load [N]"] == "0"


def test_width_holds_the_cells_and_each_word_of_the_head() -> None:
    assert column_width(Column("x", (1234567.25,), "0.00")) == len("1234567.25") + 1
    assert column_width(Column("redundancy, 0 to 1", (0.5,), "0.0")) == len("redundancy,") + 3 + 1
    assert column_width(Column("text", ("word " * 100,))) == 60


def test_same_bytes_each_time_without_a_date(reading_room: Answer) -> None:
    # In another process: test_hostile, of all papers.
    content = workbook_bytes(reading_room)
    assert workbook_bytes(reading_room) == content
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        assert {one.date_time for one in packed.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert b"2000-01-01" in packed.read("docProps/core.xml")
