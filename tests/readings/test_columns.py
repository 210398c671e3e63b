"""What counts as a number, and as a length."""

from __future__ import annotations

import pytest

from kit.readings.columns import length_mm, number


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
    assert length_mm(text, True) == pytest.approx(mm, abs=1e-9)  # kept to the picometre


@pytest.mark.parametrize("text", ["", "1e3", "3 5", "nan", "1/0"])
def test_no_inches(text):
    with pytest.raises(ValueError, match=r"empty cell|'"):
        length_mm(text, True)
