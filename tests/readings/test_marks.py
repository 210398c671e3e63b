"""What separates columns, and which decimal mark a table has."""

from __future__ import annotations

import pytest

from kit.readings.faults import Faults
from kit.readings.marks import NumberCell, decimal_comma, is_blank, separator, without_thousands


@pytest.mark.parametrize(
    ("text", "mark"),
    [
        ("a,b,c\n1,2,3", ","),
        ("a;b;c\n1,5;2;3", ";"),
        ("a\tb\tc\n1;2;3;4", "\t"),
        ("y, x;0;600,5;1200,5", ";"),  # three commas and three semicolons: the semicolon
        ("a;b\tc;d", ";"),
        ("a\tb;c", "\t"),
        ('"a,b,c";d', ";"),
        ('"a;b";"c;d",e,f', ","),  # no text in which semicolons separate, for RFC 4180
        (",,,\n;;\n\na;b", ";"),
        ("one column\n1,2", ","),
        ("", ","),
    ],
)
def test_separator(text, mark):
    assert separator(text) == mark


def test_blank():
    assert is_blank(())
    assert is_blank(("", " ", ",;\t", "\u00a0"))
    assert not is_blank(("", "0"))


def cells(*texts, unit="mm", low=-2e5, high=2e5):
    return [NumberCell(i + 2, "height", text, unit, low, high) for i, text in enumerate(texts)]


@pytest.mark.parametrize(
    ("texts", "comma"),
    [
        (("1", "2"), False), (("1.5", "2"), False), (("1,5", "2"), True), (("1,5", "x"), True),
        (("1,5", "2..5"), True), (("1,5e3", ""), True), (("3 5/8",), False),
        (("1,234", ",5"), True),
        (("1,234.5", "2.5"), False), (("1,234", "0,123"), True), (("1,234", "01,234"), True),
    ],
)  # fmt: skip
def test_decimal_comma(texts, comma):
    faults = Faults("t.csv")
    assert decimal_comma(cells(*texts), faults) is comma
    faults.stop()


@pytest.mark.parametrize(
    ("texts", "unit", "high", "doubtful"),
    [
        (("1,234",), "mm", 2e5, True),
        (("-1,234", "987"), "mm", 2e5, True),
        (("1,234",), "in", 2e5, True),
        (("1,234",), "cm", 2e5, True),
        (("1,234",), "m", 2e5, False),  # 1234 m is no floor
        (("1,234",), "ft", 2e5, False),
        (("1,234",), "mm", 500.0, False),  # nor is 1234 mm a gap
        (("1,234", "2,5"), "mm", 2e5, False),
    ],
)
def test_thousands_are_doubted_where_they_could_be(texts, unit, high, doubtful):
    faults = Faults("t.csv")
    assert decimal_comma(cells(*texts, unit=unit, high=high), faults)
    assert bool(faults.faults) is doubtful


@pytest.mark.parametrize(
    ("texts", "unit", "mark", "doubtful"),
    [
        (("600", "1.200", "2.400"), "mm", ";", True),
        (("600", "1.200", "2.400"), "mm", ",", False),  # there a point is the decimal mark
        (("600", "1.200", "2.45"), "mm", ";", False),
        (("0.600", "1.200"), "mm", ";", False),
        (("1412.500",), "mm", ";", False),
        (("1.200",), "m", ";", False),
    ],
)
def test_a_point_between_thousands_is_doubted_among_semicolons(texts, unit, mark, doubtful):
    faults = Faults("t.csv")
    assert not decimal_comma(cells(*texts, unit=unit, high=2e5), faults, mark)
    assert bool(faults.faults) is doubtful
    if doubtful:
        (problem,) = faults.told()
        assert problem.found.startswith("'1.200', which is 1200 mm or 1.200 mm")
        assert "1.2000 if it is the decimal mark" in problem.allowed


# Spaces, points, commas and apostrophes all stand between thousands somewhere (ISO 80000-1:2009,
# section 7.3.1, allows the small space only; from memory).
@pytest.mark.parametrize(
    ("text", "comma", "plain"),
    [
        ("1.234,5", False, "1234.5"), ("1.234,5", True, "1234,5"), ("1,234.5", False, "1234.5"),
        ("1,234,567", False, "1234567"), ("1.234.567,25", True, "1234567,25"),
        ("1 234", False, "1234"), ("1\u00a0234,5", False, "1234.5"), ("1\u2009234", True, "1234"),
        ("1'234.5", False, "1234.5"), ("1\u2019234", False, "1234"), ("-1 234.5", False, "-1234.5"),
        ("\N{MINUS SIGN}1.234,5", False, "-1234.5"), ("12 345 678", False, "12345678"),
        ("1.234", False, ""), ("1,234", True, ""), ("1234.5", False, ""), ("1 23", False, ""),
        ("3 5/8", False, ""), ("1..234,5", False, ""), ("", False, ""),
    ],
)  # fmt: skip
def test_what_to_write_without_marks_between_thousands(text, comma, plain):
    assert without_thousands(text, comma) == plain
