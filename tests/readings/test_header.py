"""Titles as people write them."""

from __future__ import annotations

import pytest

from kit.readings.header import is_without_unit, name_of, quantity_of


@pytest.mark.parametrize(
    ("title", "found"),
    [
        ("x_mm", ("x", "mm")), ("X [mm]", ("x", "mm")), ("x(m)", ("x", "m")), ("x m", ("x", "m")),
        ("x/mm", ("x", "mm")), ("Reading (inches)", ("reading", "inches")), ("x", ("x", "")),
        ("height in mm", ("height", "mm")), ("height_in", ("height", "in")), ("mm", ("mm", "")),
        ("height in", ("height", "in")), ("x [ells]", ("x", "ells")), ("", ("", "")),
        ("at_the_door_mm", ("at_the_door", "mm")), ("at the door [mm]", ("at_the_door", "mm")),
        ("x [mm", ("x_[mm", "")), ("x [mm)", ("x_[mm)", "")), ("read at", ("read_at", "")),
    ],
)  # fmt: skip
def test_quantity_of(title, found):
    assert quantity_of(title) == found


@pytest.mark.parametrize("title", ["setup", "Set-up", "SET UP", "set_up", " set-Up "])
def test_name_of(title):
    assert name_of(title) == "setup"


@pytest.mark.parametrize("title", ["x", "X", "xmm", "x-mm", "x.", "x_yd", "x [km]", "x ()", "x: m"])
def test_without_unit(title):
    # "x ()" names no unit and is no title of x either; it is told as a missing column.
    assert is_without_unit(title, "x") is (title != "x ()")


@pytest.mark.parametrize("title", ["x_mm", "x [in]", "x remark", "max_mm", "x2", "box"])
def test_not_without_unit(title):
    assert not is_without_unit(title, "x")
