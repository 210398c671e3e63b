"""What a spreadsheet program would run.

The characters are those of OWASP, "CSV Injection" (from memory): = + - @, tab, carriage return,
and, in later versions, line feed and the wide forms.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.readings.formulas import inert, is_formula, is_formula_for_number

LIVE = ["=1+1", "@SUM(A1)", "-2+3+cmd|' /C x'!A0", "+A1", "-P1", '=HYPERLINK("http://x.invalid")']
LIVE += ["\uff1d1+1", "\uff20x", "=", "@"]


@pytest.mark.parametrize("text", LIVE)
def test_formulas(text):
    assert is_formula(text)
    assert inert(text) == f"'{text}"


@pytest.mark.parametrize(
    "text", ["", "P1", "-3.5", "+2", "-3,5", "-1e-5", "'=1", " =1", "3-1", "é"]
)
def test_plain_text_stays_what_it_is(text):
    assert not is_formula(text)
    assert inert(text) == text


@pytest.mark.parametrize("text", ["\t=1", "\n=1", "-", "+"])
def test_what_only_writing_guards_against(text):
    assert not is_formula(text)
    assert inert(text) == f"'{text}"


@pytest.mark.parametrize("text", ["-3 mm", "-3 9/8", "- 3", "-1 234,5", "-inf", '+12"', "-nan"])
def test_a_slip_of_the_pen_is_no_formula(text):
    assert not is_formula_for_number(text)


@pytest.mark.parametrize("text", ["-2+3", "=B2", "@B2", "-B2", "+SUM(A1)", "-(3)"])
def test_a_formula_in_place_of_a_number(text):
    assert is_formula_for_number(text)


def test_a_carriage_return_begins_no_row():
    assert inert("by door\r=1\r\nx") == "by door\n=1\nx"
    assert inert("\r=1") == "'\n=1"


@given(st.text(max_size=20))
def test_nothing_written_begins_like_a_formula(text):
    written = inert(text)
    assert written.endswith(text.replace("\r\n", "\n").replace("\r", "\n"))
    assert not is_formula(written)
    assert written[:1] not in {"=", "@", "\t", "\r", "\n"}
