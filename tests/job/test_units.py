import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.job.refusal import Refusal
from kit.job.units import (
    fraction_of_inches,
    inches_to_mm,
    mm_to_inches,
    parse_inches,
    show_length,
)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("3 5/8", 3.625),
        ("3-5/8", 3.625),
        ("3 - 5/8", 3.625),
        ("5/8", 0.625),
        ("9/8", 1.125),
        ("2.5", 2.5),
        (".5", 0.5),
        ("12", 12.0),
        (" 3  5/8 in", 3.625),
        ('3 5/8"', 3.625),
        ("-3 5/8", -3.625),
        ("+1/2", 0.5),
        (7, 7.0),
        (3.625, 3.625),
    ],
)
def test_parse_inches(text: str | float, inches: float) -> None:
    assert parse_inches(text) == inches


@pytest.mark.parametrize(
    "text",
    [
        *("", "in", "3 9/8", "3 8/8", "1/0", "3/", "/8", "3 5 8", "3,5", "1e3", "5'", "600 mm"),
        *("--3", "- - 3", "3 -5/8 1", "3 5/8 5/8", "nan", "inf", "½", "३", "3.5/8", "0x10"),
        "9" * 12,
    ],
)
def test_parse_inches_refuses(text: str) -> None:
    with pytest.raises(Refusal, match="inches such as"):
        parse_inches(text)


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf, True])
def test_parse_inches_refuses_numbers_that_are_none(number: float) -> None:
    with pytest.raises(Refusal):
        parse_inches(number)


# One inch is 25.4 mm exactly: international yard and pound agreement, 1959; NIST SP 811 (2008),
# appendix B.8 (the value is from memory). Decimal equivalents of fractions as in any engineer's
# handbook (from memory); softwood sizes 38, 89 and 235 mm are the nominal 1 1/2, 3 1/2 and
# 9 1/4 in of DOC PS 20, which rounds them to whole millimetres (from memory).
@pytest.mark.parametrize(
    ("text", "mm", "within"),
    [
        ("1", 25.4, 0.0),
        ("1/64", 0.396875, 0.0),
        ("5/8", 15.875, 0.0),
        ("3 5/8", 92.075, 0.0),
        ("39.37007874", 1000.0, 1e-6),  # the inches have eight places: 5e-9 in is 1.3e-7 mm
        ("1 1/2", 38.0, 0.5),  # the standard's own rounding
        ("3 1/2", 89.0, 0.5),
        ("9 1/4", 235.0, 0.5),
    ],
)
def test_inches_to_mm_against_published_pairs(text: str, mm: float, within: float) -> None:
    assert abs(inches_to_mm(parse_inches(text)) - mm) <= within


def test_conversion_leaves_no_crumbs() -> None:
    assert inches_to_mm(0.1) == 2.54


@pytest.mark.parametrize(
    ("mm", "units", "text"),
    [
        (92.075, "in", "3 5/8 in"),
        (-92.075, "in", "-3 5/8 in"),
        (15.875, "in", "5/8 in"),
        (101.6, "in", "4 in"),
        (0.0, "in", "0 in"),
        (-0.2, "in", "0 in"),
        (25.3, "in", "1 in"),
        (0.79375, "in", "1/16 in"),
        (92.075, "mm", "92.1 mm"),
        (55.0, "mm", "55.0 mm"),
        (-0.04, "mm", "0.0 mm"),
        (-3.26, "mm", "-3.3 mm"),
    ],
)
def test_show_length(mm: float, units: str, text: str) -> None:
    assert show_length(mm, "in" if units == "in" else "mm") == text


@pytest.mark.parametrize("mm", [math.nan, math.inf])
@pytest.mark.parametrize("units", ["mm", "in"])
def test_show_length_refuses_what_is_no_length(mm: float, units: str) -> None:
    with pytest.raises(Refusal, match="finite"):
        show_length(mm, "in" if units == "in" else "mm")


@given(st.integers(-200_000, 200_000), st.sampled_from([2, 4, 8, 16, 32, 64]))
@settings(deadline=None, derandomize=True)
def test_fractions_come_back(count: int, parts: int) -> None:
    assert parse_inches(fraction_of_inches(count / parts, parts)) == count / parts


@given(st.integers(-200_000 * 16, 200_000 * 16))
@settings(deadline=None, derandomize=True)
def test_shown_inches_come_back(sixteenths: int) -> None:
    mm = inches_to_mm(sixteenths / 16)
    assert inches_to_mm(parse_inches(show_length(mm, "in"))) == mm


@given(st.floats(-200_000, 200_000))
@settings(deadline=None, derandomize=True)
def test_shown_inches_are_the_nearest_sixteenth(mm: float) -> None:
    back = inches_to_mm(parse_inches(show_length(mm, "in")))
    # Half a sixteenth is 0.79375 mm; 1e-6 mm covers the picometre of each conversion.
    assert abs(back - mm) <= 25.4 / 32 + 1e-6


@given(st.integers(-200_000_000_000, 200_000_000_000))
@settings(deadline=None, derandomize=True)
def test_micrometres_survive_a_visit_to_inches(micrometres: int) -> None:
    mm = round(micrometres / 1e6, 6)
    assert inches_to_mm(mm_to_inches(mm)) == mm
