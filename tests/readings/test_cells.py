"""What counts as a number, as a length in each unit, and what a cell is called that is none."""

from __future__ import annotations

import pytest

from kit.readings.cells import CellError, Measure, number


@pytest.mark.parametrize(
    ("text", "value"),
    [("12", 12), ("-0.5", -0.5), (".5", 0.5), ("3.", 3), ("+1e3", 1000), ("\N{MINUS SIGN}4", -4)],
)
def test_numbers(text, value):
    assert number(text) == value


@pytest.mark.parametrize(
    "text",
    ["", "x", "1,5", "1 000", "1_000", "0x10", "nan", "-inf", "1e999", "\u0663", "3 5/8", "--1"],
)
def test_no_numbers(text):
    with pytest.raises(ValueError, match=r"empty cell|'|finite"):
        number(text)


@pytest.mark.parametrize(
    ("text", "mm"), [("3 5/8", 92.075), ("\N{MINUS SIGN}5/8", -15.875), ("2.5", 63.5), ("0", 0)]
)
def test_inches_become_millimetres(text, mm):
    assert Measure("in").length_mm(text) == pytest.approx(mm, abs=1e-9)  # kept to the picometre


@pytest.mark.parametrize("text", ["", "1e3", "3 5", "nan", "1/0"])
def test_no_inches(text):
    with pytest.raises(ValueError, match=r"empty cell|'"):
        Measure("in").length_mm(text)


# One inch is 25.4 mm and one foot 0.3048 m exactly: NIST SP 811 (2008), appendix B.8 (from memory).
@pytest.mark.parametrize(
    ("unit", "text", "mm"),
    [
        ("m", "1.4021", 1402.1), ("m", "-0.0035", -3.5), ("m", "1.402", 1402.0), ("m", "2e-3", 2.0),
        ("cm", "140.21", 1402.1), ("ft", "4.6", 1402.08), ("ft", "0.1", 30.48), ("in", "0.1", 2.54),
        ("in", "55 3/16", 1401.7625), ("mm", "1402.1000000001", 1402.1000000001),
    ],
)  # fmt: skip
def test_units_become_millimetres_exactly(unit, text, mm):
    assert Measure(unit).length_mm(text) == mm


@pytest.mark.parametrize(
    ("unit", "text", "mm"),
    [("mm", "1402,5", 1402.5), ("m", "1,4025", 1402.5), ("mm", ",5", 0.5), ("in", "3,625", 92.075),
     ("in", "3 5/8", 92.075), ("mm", "1402", 1402), ("mm", "\N{MINUS SIGN}3,5", -3.5)],
)  # fmt: skip
def test_decimal_comma(unit, text, mm):
    assert Measure(unit, decimal_comma=True).length_mm(text) == mm


@pytest.mark.parametrize("text", ["1.5", "1,5,3", "1,2.5"])
def test_no_point_beside_a_decimal_comma(text):
    with pytest.raises(CellError):
        Measure("mm", decimal_comma=True).length_mm(text)


@pytest.mark.parametrize("text", ["4'", "4 1/2", "4 ft", "4' 3\""])
def test_feet_are_decimal(text):
    with pytest.raises(CellError):
        Measure("ft").length_mm(text)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("=A1", "the formula '=A1'"),
        ("2030-05-08 00:00:00", "the date or time '2030-05-08 00:00:00', which a spreadsheet may"),
        ("08/05/30", "the date or time '08/05/30', which"),
        ("1.234,5", "'1.234,5', with a mark between thousands (write 1234.5)"),
        ("-3 mm", "'-3 mm'"),
    ],
)
def test_what_is_no_number_is_called_what_it_is(text, words):
    with pytest.raises(CellError) as caught:
        number(text)
    assert caught.value.found.startswith(words)
