"""One reading of column names for the screen and for print."""

import pandas as pd
import pytest

from kit.practice.drills import DRILLS
from kit.practice.grades import GRADES
from kit.show.practice.column_heads import UNITS, head_and_unit
from kit.show.practice.marks import frame_table
from kit.show.practice.plain_table import head_words


@pytest.mark.parametrize(
    ("column", "head", "unit"),
    [
        ("x_mm", "x", "mm"),
        ("board x_mm", "board x", "mm"),
        ("own_error_mm_per_m", "own error", "mm/m"),
        ("presses_n_per_mm2", "presses", "N/mm²"),
        ("sag_mm_per_kn", "sag", "mm/kN"),
        ("weighs_kg_per_m", "weighs", "kg/m"),
        ("load_N", "load", "N"),
        ("work_minutes", "work", "min"),
        ("waits_days", "waits", "days"),
        ("area_m2", "area", "m²"),
        ("gap_95_mm", "gap 95", "mm"),
        ("from_point", "from point", ""),
        ("sum", "sum", ""),
        ("F_L", "F L", ""),
        ("mm", "mm", ""),
        ("_mm", " mm", ""),
    ],
)
def test_a_name_is_taken_apart_alike_on_screen_and_in_print(
    column: str, head: str, unit: str
) -> None:
    assert head_and_unit(column) == (head, unit)
    (shown,) = frame_table("t", pd.DataFrame({column: [1.5]})).heads
    assert (shown.text, shown.unit) == (head, unit)
    assert head_words(column) == (f"{head} [{unit}]" if unit else head)


@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.key)
def test_no_head_of_a_drill_keeps_a_unit_in_its_words(drill) -> None:
    task = drill.set_up(41, GRADES[1])
    tables = [*task.given.tables, *task.worked.tables]
    tables += [table for one in task.worked.done for table in one.seen.tables]
    for _, frame in tables:
        for column in map(str, frame.columns):
            words, unit = head_and_unit(column)
            last = column.rpartition("_")[2]
            assert bool(unit) == (last in UNITS and "_" in column)
            assert "_" not in words
