"""Tables whose heads are read off their columns' names."""

import numpy as np
import pandas as pd
import pytest

from kit.show.large_floor.frame_table import frame_table

FRAME = pd.DataFrame(
    {
        "class": ["SR1", "beyond"],
        "x_mm": [1234.4, np.nan],
        "departure_mm": [3.456, -0.001],
        "area_m2": [12.3456, 0.0],
        "share": [0.9876, 0.0],
        "fall_mm_per_m": [2.345, 0.5],
        "litres": [7.25, np.inf],
        "kept": [True, False],
        "count": [3, 40],
    }
)


def test_every_share_is_in_percent():
    table = frame_table("Classes", pd.DataFrame({"share_checked": [0.756, np.nan]}))
    assert (table.heads[0].text, table.heads[0].unit) == ("share checked", "%")
    assert table.rows == (("75.6",), ("–",))


def test_millimetres():
    table = frame_table("Classes", FRAME, note="As read.")
    assert [(head.text, head.unit) for head in table.heads] == [
        ("class", ""), ("x", "mm"), ("departure", "mm"), ("area", "m²"), ("share", "%"),
        ("fall", "mm/m"), ("volume", "l"), ("kept", ""), ("count", ""),
    ]  # fmt: skip
    assert table.rows[0] == ("SR1", "1234", "3.46", "12.35", "98.8", "2.35", "7.2", "yes", "3")
    assert table.rows[1] == ("beyond", "–", "0.00", "0.00", "0.0", "0.50", "no limit", "no", "40")
    assert table.note == "As read."
    assert not table.heads[0].wide
    assert table.heads[8].right


def test_inches_turn_lengths_and_nothing_else():
    row = frame_table("Classes", FRAME, "in").rows[0]
    assert row[1] == "48 5/8"  # 1234.4 / 25.4 = 48.598, in sixteenths
    assert row[2] == f"{3.456 / 25.4:.3f}"
    assert row[3] == "12.35"
    assert row[5] == "2.35"


def test_some_columns_in_another_order():
    table = frame_table("Classes", FRAME, columns=("count", "class"))
    assert table.rows == (("3", "SR1"), ("40", "beyond"))


def test_an_unknown_column_is_no_table():
    with pytest.raises(KeyError):
        frame_table("Classes", FRAME, columns=("colour",))


def test_long_texts_may_take_several_lines():
    why = pd.DataFrame({"why": ["not twice a whole number of 100 mm cells", ""]})
    assert frame_table("Checks", why).heads[0].wide


def test_a_name_is_only_letters():
    frame = pd.DataFrame({"name": ["<script>alert(1)</script>"]})
    assert "<script>" not in frame_table("x", frame).html
