"""What is typed: numbers, places, packers and choices as people write them, and what is refused."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.job import Refusal
from kit.practice.fields import Field, number, numbers, read_value, read_values, words

NUMBER = Field("out", "own error", unit="mm/m", least=-20, most=20)
PLACE = Field("at", "staff at", "place", "mm", least=-5000, most=9000)
PACKERS = Field("under", "packers", "packers", "mm", least=0, most=100)
CHOICE = Field("level", "level", "choice", choices=("short", "long"))


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("7", 7), ("-1.4", -1.4), ("−1.4", -1.4), ("+0,35", 0.35), ("  12.0 ", 12), (".5", 0.5),
        ("-.5", -0.5), ("3.", 3), ("3,", 3), ("-20", -20), ("20", 20), ("\u00a06,5\t", 6.5),
    ],
)  # fmt: skip
def test_one_number_with_point_comma_or_any_minus(text, value):
    assert read_value(NUMBER, text, "answer") == value


@pytest.mark.parametrize(
    "text",
    ["1200 350", "1200, 350", "1200; 350", "1200;350", " 1200\t350 ", "1200,0 350,0", "1200,  350.",
     "+1200 350,"],
)  # fmt: skip
def test_two_numbers_are_a_place(text):
    assert read_value(PLACE, text, "staff") == (1200.0, 350.0)


@pytest.mark.parametrize(
    ("text", "value"),
    [("", ()), ("  ", ()), ("18 1 6", (18, 1, 6)), ("2,4; 18", (2.4, 18)), ("0.5", (0.5,))],
)
def test_none_or_more_numbers_are_packers_from_the_floor_up(text, value):
    assert read_value(PACKERS, text, "stack") == value


def test_a_choice_is_taken_by_its_word():
    assert read_value(CHOICE, "long", "level") == "long"


@pytest.mark.parametrize(
    ("field", "text", "found", "allowed"),
    [
        (NUMBER, "", "nothing", "one number"),
        (NUMBER, "  ", "nothing", "one number"),
        (NUMBER, "two", "'two'", "one number"),
        (NUMBER, "1 2", "'1 2'", "one number"),
        (NUMBER, "1e1", "'1e1'", "one number"),
        (NUMBER, "nan", "'nan'", "one number"),
        (NUMBER, "1.2.3", "'1.2.3'", "one number"),
        (NUMBER, ",5", "',5'", "one number"),
        (NUMBER, "--5", "'--5'", "one number"),
        (NUMBER, "20.01", "'20.01'", "-20 to 20 mm/m"),
        (NUMBER, "-20.5", "'-20.5'", "-20 to 20 mm/m"),
        (NUMBER, "9" * 400, f"'{'9' * 400}'", "-20 to 20 mm/m"),
        (PLACE, "1200", "'1200'", "two numbers, x and y in mm, as 1200 350"),
        (PLACE, "1200,350", "'1200,350'", "two numbers, x and y in mm, as 1200 350"),
        (PLACE, "1200 ,350", "'1200 ,350'", "two numbers, x and y in mm, as 1200 350"),
        (PLACE, "1 200 350", "'1 200 350'", "two numbers, x and y in mm, as 1200 350"),
        (PLACE, "1200 left", "'1200 left'", "two numbers, x and y in mm, as 1200 350"),
        (PLACE, "1200 9001", "'1200 9001'", "-5000 to 9000 mm"),
        (PACKERS, "18,1,6", "'18,1,6'", "18.6 for one packer of 18.6 mm, 18 6 for two of 18 and 6"),
        (PACKERS, "18,6", "'18,6'", "18.6 for one packer of 18.6 mm, 18 6 for two of 18 and 6"),
        (PACKERS, "18 -1", "'18 -1'", "0 to 100 mm"),
        (PACKERS, "18mm", "'18mm'",
         "thicknesses from the floor up with spaces between, as 18 1 6; nothing for none"),
        (CHOICE, "", "nothing", "short | long"),
        (CHOICE, "Long", "'Long'", "short | long"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_by_name(field, text, found, allowed):
    with pytest.raises(Refusal) as refused:
        read_value(field, text, "the form")
    assert str(refused.value) == f"the form, {field.label}: found {found}; allowed: {allowed}"


def test_every_field_that_cannot_be_read_is_named_at_once():
    typed = {"out": "x", "level": "middling", "under": "2 3"}
    with pytest.raises(Refusal) as refused:
        read_values((NUMBER, PLACE, PACKERS, CHOICE), typed, "form")
    assert [problem.where for problem in refused.value.problems] == [
        "form, own error", "form, staff at", "form, level",
    ]  # fmt: skip


def test_values_come_by_their_keys_and_what_was_not_asked_is_left():
    typed = {"out": "-0,4", "at": "10 20", "under": "", "level": "short", "other": "?"}
    values = read_values((NUMBER, PLACE, PACKERS, CHOICE), typed, "form")
    assert set(values) == {"out", "at", "under", "level"}
    assert number(values, "out") == -0.4
    assert numbers(values, "at") == (10, 20)
    assert numbers(values, "under") == ()
    assert words(values, "level") == "short"


WRITTEN = st.decimals(-900, 900, allow_nan=False, allow_infinity=False, places=3)
MARKS = st.tuples(st.sampled_from([".", ","]), st.sampled_from(["-", "−"]))


def as_typed(value, marks) -> str:
    return str(value).replace(".", marks[0]).replace("-", marks[1])


@given(WRITTEN, MARKS)
def test_a_number_is_read_as_it_was_written(value, marks):
    field = Field("any", "any", least=-1000, most=1000)
    assert read_value(field, as_typed(value, marks), "form") == float(value)


@given(
    st.lists(WRITTEN, max_size=6), MARKS, st.sampled_from([" ", "  ", "; ", ";", ", ", "\t", " ; "])
)
def test_several_numbers_are_read_as_they_were_written(values, marks, between):
    field = Field("any", "any", "packers", least=-1000, most=1000)
    text = between.join(as_typed(value, marks) for value in values)
    if marks[0] == "." or ";" in text or not values:
        assert read_value(field, text, "form") == tuple(float(value) for value in values)
    else:  # a comma may part two packers as well
        with pytest.raises(Refusal, match="two of 18 and 6"):
            read_value(field, text, "form")
    place = Field("any", "any", "place", least=-1000, most=1000)
    if len(values) == 2:
        assert read_value(place, text, "form") == tuple(float(value) for value in values)
    else:
        with pytest.raises(Refusal, match="two numbers"):
            read_value(place, text, "form")


@given(st.text(max_size=20))
def test_any_text_is_read_or_refused(text):
    for field in (NUMBER, PLACE, PACKERS, CHOICE):
        try:
            value = read_value(field, text, "form")
        except Refusal as refusal:
            assert field.label in str(refusal)  # noqa: PT017 - either way is right
        else:
            assert isinstance(value, (float, str, tuple))


@pytest.mark.parametrize(
    ("field", "text", "allowed"),
    [
        (Field("at", "place", least=0), "-3", "0 or more"),
        (Field("at", "place", most=-2, unit="mm"), "7", "up to -2 mm"),
        (Field("at", "place"), "-2000000", "up to 1e+06"),
    ],
)
def test_a_bound_that_nobody_set_is_not_read_out(field, text, allowed):
    with pytest.raises(Refusal, match=rf"allowed: {re.escape(allowed)}$"):
        read_value(field, text, "form")
