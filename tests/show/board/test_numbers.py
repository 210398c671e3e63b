"""Boxes: what is typed is read or refused, never guessed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.job import Refusal
from kit.show.board.numbers import (
    parse_length,
    parse_lengths,
    parse_number,
    show_box,
    show_number,
)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("55", 55.0),
        (" 55.5 mm", 55.5),
        ("55,5", 55.5),
        ("-3", -3.0),
        ("−3.25", -3.25),
        (".5", 0.5),
        ("0,125", 0.125),
        ("1234.5", 1234.5),
    ],
)
def test_millimetres(text: str, mm: float) -> None:
    assert parse_length(text, "mm") == mm


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", "nothing"),
        ("five", "'five'"),
        ("1,250", "may mean two things"),
        ("12,345,678", "may mean two things"),
        ("5 5", "'5 5'"),
        ("1e3", "'1e3'"),
        ("nan", "'nan'"),
        ("--5", "'--5'"),
    ],
)
def test_what_is_no_length_is_refused(text: str, found: str) -> None:
    with pytest.raises(Refusal, match=found) as refused:
        parse_length(text, "mm")
    assert "such as 55.5" in refused.value.problems[0].allowed


def test_inches_with_fractions() -> None:
    assert parse_length("2 3/16", "in") == pytest.approx(55.5625)  # 35/16 of 25.4
    assert parse_length('1/2"', "in") == pytest.approx(12.7)
    assert parse_length("3 in", "in") == pytest.approx(76.2)
    with pytest.raises(Refusal):
        parse_length("2 3/", "in")


def test_several_lengths() -> None:
    assert parse_lengths("400; 740,5", "mm") == [400.0, 740.5]
    assert parse_lengths(" 400 740.5 ", "mm") == [400.0, 740.5]
    assert parse_lengths("15 3/4; 29 1/8", "in") == pytest.approx([400.05, 739.775])
    assert parse_lengths("", "mm") == []
    with pytest.raises(Refusal):
        parse_lengths("400; wide", "mm")


def test_numbers_name_what_is_allowed() -> None:
    assert parse_number("38,5", "kilograms") == 38.5
    with pytest.raises(Refusal, match="kilograms"):
        parse_number("heavy", "kilograms")


@given(st.floats(min_value=-200_000, max_value=200_000))
def test_what_a_box_shows_is_read_back_to_a_hundredth(mm: float) -> None:
    shown = show_box(mm, "mm")
    # half of a hundredth, and the last digit of a double at 200 m
    assert parse_length(shown, "mm") == pytest.approx(mm, abs=0.005 + 1e-9)
    assert not shown.endswith(".")
    assert shown != "-0"


def test_shown_numbers_are_as_a_person_writes_them() -> None:
    assert [show_number(v) for v in (38.0, 0.5, 12345.25, 0.0)] == ["38", "0.5", "12345.25", "0"]
    assert show_box(float("nan"), "mm") == ""
    assert show_box(55.5625, "in") == "2 3/16"
