"""Tables of a finished base: figures as the check has them, what is amiss marked."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from kit.as_built import Checked
from kit.as_built.changes import no_changes
from kit.as_built.feet_turns import NO_TURNS
from kit.ink.as_built_tables import (
    bag_table,
    change_table,
    changed_screws_table,
    tops_table,
    turn_table,
    unit_tops_table,
)
from kit.ink.lengths import NOTHING
from kit.ink.table import Table


def column(table: Table, head: str) -> list[str]:
    place = [one.text for one in table.heads].index(head)
    return [row[place] for row in table.rows]


def test_supports_are_told_to_a_hundredth(checked: Checked) -> None:
    table = tops_table(checked)
    assert column(table, "support") == checked.supports["support"].tolist()
    off = [float(text) for text in column(table, "off the level")]
    # Shown to 0.01 mm.
    assert off == pytest.approx(checked.supports["off_mm"].tolist(), abs=0.0051)
    worst = dict(zip(column(table, "support"), column(table, "off the level"), strict=True))
    assert worst["B5"][0] == "+"  # built too high, and F8 too low
    assert worst["F8"][0] == "-"
    assert column(table, "verdict")[4] == "✗ outside"
    amiss = checked.supports["verdict"].isin(["outside", "too close to tell"])
    assert table.bad == {*np.flatnonzero(amiss).tolist()}
    assert "off the planned height" not in [one.text for one in table.heads]
    assert table.note == (
        "Positive is high. The level is the one that brings most supports within 1 mm."
    )


def test_heights_of_the_job_are_told_where_they_are_known(checked: Checked) -> None:
    known = checked.supports.assign(off_plan_mm=checked.supports["off_mm"] - 1.25)
    datum = replace(checked.answer.datum, front_lift_mm=1.5)
    one = replace(
        checked,
        supports=known,
        tops=replace(checked.tops, benchmark="P1"),
        answer=replace(checked.answer, datum=datum),
    )
    table = tops_table(one)
    told = [float(text) for text in column(table, "off the planned height")]
    assert told == pytest.approx(known["off_plan_mm"].tolist(), abs=0.0051)
    assert table.note.endswith("within 1 mm, the planned front lift of 1.50 mm taken off.")


def test_what_was_not_read_is_a_dash_and_no_nought(checked: Checked) -> None:
    supports = checked.supports.copy()
    supports.loc[2, ["off_mm", "sd_mm"]] = np.nan
    supports.loc[2, ["verdict", "how"]] = ["not read", "not read"]
    supports.loc[3, "how"] = "between"
    rows = tops_table(replace(checked, supports=supports)).rows
    assert rows[2] == ("B3", "1000", "–", "–", "– not read")
    assert rows[3][-1] == "✓ within, between two readings"


def test_inches_are_thousandths_of_the_same_figures(inch_checked: Checked) -> None:
    table = tops_table(inch_checked)
    off = [25.4 * float(text) for text in column(table, "off the level")]
    # Shown to 0.001 in.
    assert off == pytest.approx(inch_checked.supports["off_mm"].tolist(), abs=0.0128)
    assert [head.unit for head in table.heads] == ["", "in", "in", "in", ""]
    assert "within 0.039 in" in table.note


def test_units_are_told_as_they_would_stand(checked: Checked) -> None:
    table = unit_tops_table(checked)
    assert column(table, "unit") == [one.unit for one in checked.units]
    leans = [float(text) for text in column(table, "top leans out")]
    assert leans == pytest.approx([one.lean_out_mm for one in checked.units], abs=0.0051)
    assert len({*column(table, "verdict")}) == 2
    assert table.bad == {0, 1, 2, 3}


def test_changes_name_packers_as_printed_and_the_other_level(checked: Checked) -> None:
    table = change_table(checked)
    assert [row[:5] for row in table.rows] == [
        ("B5", "18 6 18", "6", "3", "18 3 18"),
        ("F8", "18 6 18", "–", "3", "18 6 3 18"),
    ]
    up = replace(checked.changes, level_mm=checked.level.level_mm - 0.3)
    note = change_table(replace(checked, changes=up)).note
    assert "0.30 mm below the one that the table of supports is told against" in note
    before = {row[0]: float(row[-2]) for row in table.rows}
    off = {row[0]: float(row[2]) for row in tops_table(checked).rows}
    between = checked.changes.level_mm - checked.level.level_mm
    # Two figures shown to 0.01 mm.
    assert all(off[n] - before[n] == pytest.approx(between, abs=0.011) for n in before)


def test_feet_are_turned_up_or_down(inch_checked: Checked) -> None:
    table = pd.DataFrame({
        "support": ["B1", "B2", "F1"], "turned": [True, False, True], "turn_mm": [-2.54, 0.0, 1.27],
        "off_before_mm": [2.54, 0.1, -1.27], "off_after_mm": [0.0, 0.1, 0.0],
    })  # fmt: skip
    turns = replace(NO_TURNS, table=table, level_mm=inch_checked.level.level_mm)
    one = replace(inch_checked, changes=replace(no_changes(1.0), turns=turns))
    assert turn_table(one).rows == (
        ("B1", "down", "0.100", "+0.100", "0.000"),
        ("F1", "up", "0.050", "-0.050", "0.000"),
    )
    filled = turn_table(one, to_fill=True)
    assert [head.text for head in filled.heads][::6] == ["done", "read again"]
    assert [(row[0], row[-1]) for row in filled.rows] == [("☐", "________")] * 2


def test_a_table_to_be_filled_in_has_boxes_and_room(checked: Checked) -> None:
    plain, filled = change_table(checked), change_table(checked, to_fill=True)
    assert [head.text for head in filled.heads] == [
        "done", *(head.text for head in plain.heads), "read again",
    ]  # fmt: skip
    for row, of_plain in zip(filled.rows, plain.rows, strict=True):
        assert row == ("☐", *of_plain, "_" * 8)


def test_what_is_not_proven_is_not_called_so(checked: Checked) -> None:
    hurried = replace(checked, changes=replace(checked.changes, proven=False, unproven="changes"))
    assert "handled: proven" in change_table(checked).note
    assert "handled: not proven to be the fewest" in change_table(hurried).note


def test_a_bag_without_end_is_as_wanted(checked: Checked) -> None:
    bag = pd.DataFrame({"nominal_mm": [17.5, 3.0], "left_before": [np.inf, 9.0],
                        "left_after": [np.inf, 4.0]})  # fmt: skip
    table = bag_table(replace(checked, changes=replace(checked.changes, bag=bag)))
    assert table.rows == (("17.5", "as wanted", "as wanted"), ("3", "9", "4"))


def test_screws_of_changed_stacks_stop_short(checked: Checked) -> None:
    table = changed_screws_table(checked)
    assert {*column(table, "support")} == {"B5", "F8"}
    deep = [float(text) for text in column(table, "point below the floor")]
    assert all(
        0 < one <= float(most) for one, most in zip(deep, column(table, "may go"), strict=True)
    )
    none = checked.changes.screws.assign(length_mm=np.nan, point_below_floor_mm=np.nan)
    table = changed_screws_table(replace(checked, changes=replace(checked.changes, screws=none)))
    assert {*column(table, "length")} == {"–"}


def test_readings_that_contradict_are_told_with_their_rows(slipped: Checked) -> None:
    table = tops_table(slipped)
    (place,) = [n for n, row in enumerate(table.rows) if row[0] == "F3"]
    # Lines 14 and 39 of the file: the 13th reading of T1, and the 13th of T2 after T1's 25.
    told = "✗ readings contradict: read again (as-built.csv, rows 14 and 39)"
    assert table.rows[place][2:] == (NOTHING, NOTHING, told)
    assert place in table.bad


def test_a_stack_that_only_the_plan_knows_is_looked_at_first(
    checked: Checked, slipped: Checked
) -> None:
    named, planned = change_table(checked), change_table(slipped)
    assert not any("?" in row[1] for row in named.rows)
    assert "first look" not in named.note
    assert planned.rows
    assert all(row[1].endswith(" ?") and "?" not in row[4] for row in planned.rows)
    assert planned.note.startswith("With ?: only the plan says so; first look whether it stands")
