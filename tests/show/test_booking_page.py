"""A booking sheet is shown with both reductions, its checks in words, and no tag from a name."""

from __future__ import annotations

import html
import re
from dataclasses import replace

import pytest

from kit.readings.booking import reduce_booking
from kit.readings.booking_lines import BookingLine
from kit.show.booking_page import allowance_table, booking_page, booking_table, slip_table

NASTY = "<script>alert('x')</script> & \"bench\""

#: An invented line through a chapel's reading room, 3.5 mm too high at its end.
SHEET = [
    BookingLine("sill", 1312.0, height_mm=500.0),
    BookingLine("step", intermediate_mm=1498.0, fall_mm=186.0, height_mm=314.0),
    BookingLine(NASTY, 1207.0, foresight_mm=1391.0, rise_mm=107.0, height_mm=421.0),
    BookingLine("bolt", foresight_mm=1120.0, fall_mm=87.0, height_mm=334.0),
]


def plain(page: str) -> str:
    return html.unescape(re.sub(r"<[^>]+>", " ", re.sub(r"<style>.*?</style>", "", page)))


def test_lines_sums_and_the_slip() -> None:
    table = booking_table(reduce_booking(SHEET, 500.0, 504.5))
    heads = [head.text for head in table.heads]
    rows = [dict(zip(heads, row, strict=True)) for row in table.rows]
    assert [row["height by collimation"] for row in rows[:4]] == [
        "500.0",
        "314.0",
        "421.0",
        "508.0",
    ]
    assert [row["height by rise and fall"] for row in rows[:4]] == [
        row["height by collimation"] for row in rows[:4]
    ]
    assert [row["height of collimation"] for row in rows[:4]] == ["1812.0", "", "1628.0", ""]
    assert [row["height, distributed"] for row in rows[:4]] == ["500.0", "312.2", "419.2", "504.5"]
    assert [row["correction"] for row in rows[:4]] == ["0.00", "-1.75", "-1.75", "-3.50"]
    assert [row["as written"] for row in rows[:4]] == ["✓", "✓", "✓", "✗ slip"]
    assert table.bad == {3}
    sums = rows[4]
    assert (sums["back"], sums["fore"], sums["rise"], sums["fall"]) == (
        "2519.0",
        "2511.0",
        "194.0",
        "186.0",
    )


def test_nothing_is_said_of_what_nobody_wrote() -> None:
    bare = [replace(line, rise_mm=float("nan"), fall_mm=float("nan")) for line in SHEET]
    bare = [replace(line, height_mm=float("nan")) for line in bare]
    sheet = reduce_booking(bare, 500.0)
    assert "as written" not in [head.text for head in booking_table(sheet).heads]
    page = plain(booking_page(sheet).html)
    assert "stands on the sheet" not in page
    assert "height, not distributed" in page
    assert "not checked" in page


def test_checks_stand_in_words() -> None:
    page = plain(booking_page(reduce_booking(SHEET, 500.0, 504.5)).html)
    assert "rises less falls 8 mm, last height less first 8 mm: ✓ ok" in page
    assert "a rise booked as a fall" in page
    assert "Misclosure +3.5 mm, allowed 7.1 mm" in page
    assert "✓ within" in page


def test_a_name_is_shown_and_never_run() -> None:
    page = booking_page(reduce_booking(SHEET, 500.0, name=NASTY)).html
    assert "<script" not in page
    assert "&lt;script&gt;" in page


@pytest.mark.parametrize(
    ("units", "height", "allowed"), [("mm", "334.0", "7.07"), ("in", "13.150", "0.278")]
)
def test_units(units: str, height: str, allowed: str) -> None:
    sheet = reduce_booking(SHEET, 500.0, 504.5)
    assert slip_table(sheet, units).rows[1][3] == height
    assert allowance_table(sheet, units).rows[0][2] == allowed
    assert all(head.unit in {"", units} for head in booking_table(sheet, units).heads)
