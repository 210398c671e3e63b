import datetime

import pytest

from kit.job.keys import fields_of
from kit.job.model import Base, Job, Run, Stock, Unit
from kit.job.wording import clean, describe, one_of, place, show_value

RAW = {
    "run": [
        {"name": "A", "unit": [{"name": "low bookcase 1"}, {"name": "twin"}, {"name": "twin"}]},
        {"unit": [{}]},
    ],
    "survey": [{"file": "readings.csv"}],
    "stock": {"packers": [{"mm": 1}], "screws_mm": [30, 40]},
}


@pytest.mark.parametrize(
    ("path", "words"),
    [
        (("title",), "title"),
        (("floor", "joists", "along"), "floor.joists.along"),
        (("run", 0, "unit", 0, "width_mm"), 'run A, unit "low bookcase 1", width_mm'),
        (("run", 0, "unit", 2, "name"), "run A, unit 3, name"),
        (("run", 1, "unit", 0, "depth_mm"), "run 2, unit 1, depth_mm"),
        (("survey", 0, "kind"), 'survey "readings.csv", kind'),
        (("stock", "packers", 0, "mm"), "stock, packer 1, mm"),
        (("stock", "screws_mm", 1), "stock.screws_mm, value 2"),
        (("base", 4, "bearer", "width_mm"), "base, value 5, bearer.width_mm"),
    ],
)
def test_place(path: tuple[str | int, ...], words: str) -> None:
    assert place(RAW, path) == f"job.toml, {words}"


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (900, "900"),
        (1.5, "1.5"),
        (True, "true"),
        ("900", '"900"'),
        ("a\tb", '"a\\tb"'),
        ([1, [True]], "[1, [true]]"),
        ({}, "an empty table"),
        ({"a": 1}, "a table"),
        (float("nan"), "nan"),
        (-(10**31), "a whole number of more than 30 digits"),
        (datetime.date(2031, 5, 4), "the date or time 2031-05-04"),
        (datetime.time(7, 30), "the date or time 07:30:00"),
    ],
)
def test_show_value(value: object, words: str) -> None:
    assert show_value(value) == words


def test_a_number_that_cannot_even_be_written_out() -> None:
    assert show_value(10**5000) == "a whole number of more than 30 digits"


def test_long_texts_are_cut() -> None:
    assert clean("x" * 61) == "x" * 60 + "…"
    assert clean("x" * 60) == "x" * 60


@pytest.mark.parametrize(
    ("part", "key", "written", "words"),
    [
        (Unit, "width_mm", "width_mm", "a number above 0 up to 200000 mm"),
        (Unit, "mass_kg", "mass_kg", "a number from 0 to 100000 kg"),
        (Run, "direction_deg", "direction_deg", "a number from -360 to 360 degrees"),
        (Run, "left_wall", "left_wall", "true or false"),
        (Run, "unit", "unit", "tables headed [[run.unit]], in double brackets, at least one"),
        (Base, "max_pieces", "max_pieces", "a whole number from 1 to 20"),
        (Base, "front_lift_mm", "front_lift_mm", 'a number from -50 to 50 mm, or "settlement"'),
        (Base, "bearer", "bearer", "a table headed [base.bearer]"),
        (Job, "units", "units", '"mm" or "in"'),
        (Job, "no_go", "no_go", "tables headed [[no_go]], in double brackets"),
        (
            Stock,
            "packer_size_mm",
            "packer_size_mm",
            "a list of 2, each a number above 0 up to 200000 mm",
        ),
        (
            Unit,
            "width_mm",
            "width_in",
            'inches such as 3.625, "3 5/8", "3-5/8" or "5/8", above 0 up to 7874 in',
        ),
    ],
)
def test_describe(part: type[Unit], key: str, written: str, words: str) -> None:
    assert describe(written, fields_of(part)[key]) == words


def test_alternatives() -> None:
    assert one_of(["a"]) == "a"
    assert one_of(["a", "b", "c"]) == "a, b or c"
