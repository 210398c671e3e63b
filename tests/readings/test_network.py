"""What no adjustment can use is refused by name."""

from __future__ import annotations

import pytest

from kit.job.refusal import Refusal
from kit.readings import Readings, adjust


def refused(readings, benchmark=None):
    with pytest.raises(Refusal) as caught:
        adjust(readings, benchmark, 0.0)
    return str(caught.value)


BOOK = {"S1": {"A": 1400.0, "B": 1402, "C": 1399}, "S2": {"C": 1300.0, "D": 1301}}


def test_a_setup_tied_to_nothing(staff):
    message = refused(
        staff({**BOOK, "S3": {"E": 1300.0, "F": 1304}, "S4": {"F": 1200.0, "G": 1199}})
    )
    assert len(message.splitlines()) == 1
    assert "readings.csv, row 7, set-up S3, S4" in message
    assert "points E, F, G" in message
    assert "S1" not in message


def test_each_loose_part_is_told(staff):
    message = refused(
        staff({**BOOK, "S3": {"E": 1300.0, "F": 1304}, "S4": {"H": 1200.0, "G": 1199}})
    )
    assert ["set-up S3" in line for line in message.splitlines()] == [True, False]
    assert ["points H, G" in line for line in message.splitlines()] == [False, True]


def test_the_part_without_the_benchmark_is_the_loose_one(staff):
    message = refused(staff({**BOOK, "S3": {"E": 1300.0, "F": 1304}}), "E")
    assert "set-up S1, S2" in message
    assert "points A, B, C, D" in message
    assert "the benchmark E" in message


def test_heights_tied_to_nothing(staff, network, table):
    rows = network(3, points=4, kinds=("heights",)).readings.tables[0].readings
    other = table(rows.assign(point="K" + rows["point"]), "kitchen.csv", "heights")
    message = refused(Readings((*staff(BOOK).tables, other)), "A")
    assert "kitchen.csv, row 2" in message
    assert "points KP" in message


def test_a_setup_with_one_reading(staff):
    message = refused(staff({**BOOK, "S9": {"B": 1111.0}}))
    assert "readings.csv, row 7, set-up S9" in message
    assert "one point only (B)" in message


def test_a_setup_that_reads_one_point_twice(staff, table):
    rows = staff({**BOOK, "S9": {"B": 1111.0}}).tables[0].readings
    again = table(rows.iloc[[*range(len(rows)), len(rows) - 1]], "readings.csv", "staff")
    assert "set-up S9" in refused(Readings((again,)))


def test_benchmark_that_is_not_read(staff):
    message = refused(staff(BOOK), "a")
    assert "floor.benchmark" in message
    assert "'a', which no table reads" in message


def test_fewer_than_three_points(staff):
    message = refused(staff({"S1": {"A": 1400.0, "B": 1402}}), "A")
    assert "2 points (A, B)" in message
    assert "at least 3" in message


def test_ties_may_run_through_any_kind(staff, network, table):
    rows = network(3, points=4, kinds=("heights",)).readings.tables[0].readings
    names = dict(zip(rows["point"], ["B", "C", "Y", "Z"], strict=False))
    tie = table(rows.assign(point=rows["point"].map(names)), "tie.csv", "heights")
    end = staff({"T1": {rows["point"].map(names).iloc[-1]: 900.0, "END": 901}}).tables[0]
    heights = adjust(Readings((*staff(BOOK).tables, tie, end)), "A", 0.0)
    assert "END" in heights.points["point"].tolist()


def test_a_place_does_not_tie_but_is_pointed_at(staff, table):
    rows = staff(BOOK).tables[0].readings
    grid = rows[rows["setup"] == "S1"].assign(setup="", observed_mm=[0.0, 1, 2])
    grid["point"] = ["x0 y0", "x400 y30", "x800 y120"]
    message = refused(Readings((*staff(BOOK).tables, table(grid, "g.csv", "grid"))), "D")
    assert "g.csv, row 2: found points x0 y0" in message
    assert "(x0 y0 stands where A does, under another name)" in message
