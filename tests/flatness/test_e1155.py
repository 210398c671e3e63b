"""F numbers of a floor, line by line and together."""

import numpy as np
import pytest

from kit.flatness import (
    FNumber,
    Line,
    combine,
    e1155_of_floor,
    flatness_number,
    levelness_number,
    lines_for,
    numbers_along,
)
from kit.job import MovementJoint, Refusal


def test_every_line_is_told_by_its_stations(hall):
    lines = lines_for("E1155", hall)
    table = e1155_of_floor(hall, lines)
    assert table["line"].tolist() == [*(line.name for line in lines), "all lines"]
    assert set(table["state"]) == {"told"}
    for line, row in zip(lines, table.to_dict("records"), strict=False):
        columns = ((np.array([line.from_mm[0], line.to_mm[0]])) / 100).round().astype(int)
        rows = ((np.array([line.from_mm[1], line.to_mm[1]])) / 100).round().astype(int)
        if line.name[0] == "X":
            h = hall.height_mm[rows[0], columns[0] : columns[1] + 1 : 3]
        else:
            h = hall.height_mm[rows[0] : rows[1] + 1 : 3, columns[0]]
        assert row["stations"] == len(h)
        assert (row["q_readings"], row["z_readings"]) == (len(h) - 2, len(h) - 10)
        assert row["F_F"] == pytest.approx(flatness_number(h), rel=1e-9)
        assert row["F_L"] == pytest.approx(levelness_number(h), rel=1e-9)


def test_all_lines_together_weigh_by_readings(hall):
    table = e1155_of_floor(hall, lines_for("E1155", hall))
    lines, all_ = table.iloc[:-1], table.iloc[-1]
    for number, readings in (("F_F", "q_readings"), ("F_L", "z_readings")):
        each = [FNumber(f, r) for f, r in zip(lines[number], lines[readings], strict=True)]
        assert all_[number] == pytest.approx(combine(each).number)
        assert all_[readings] == lines[readings].sum()
        assert lines[number].min() < all_[number] < lines[number].max()


def test_a_line_that_the_rules_do_not_allow_is_not_checked(hall):
    joint = MovementJoint(name="M", from_mm=(9000, 0), to_mm=(9000, 9000))
    good = Line("good", (1000, 6000), (8200, 6000))
    drawn = [
        good,
        Line("near it", (1000, 6900), (8200, 6900)),
        Line("across", (6000, 1500), (12_000, 1500)),
        Line("out", (0, -500), (5000, -500)),
    ]
    table = e1155_of_floor(hall, drawn, [joint]).set_index("line")
    assert table["state"].tolist() == ["told", *["not checked"] * 4]
    assert table.loc["near it", "why"] == "it lies 900 mm from line good; 1200 mm are kept"
    assert table.loc["across", "why"] == "it crosses joint M"
    assert table.loc["out", "why"] == "it leaves the grid of heights"
    assert np.isnan(table.loc["across", "F_F"])
    # 25 stations give 15 readings; 137.2 m², 1476 sq ft, need 77.
    assert table.loc["all lines", "why"] == "15 readings; 77 at least are needed"


@pytest.mark.parametrize(
    ("cell", "readings", "why"),
    [
        (500.0, 0.0, "cells of 500 mm; 300 mm at most are needed"),
        (100.0, 450.0, "readings lie up to 450 mm apart; 300 mm at most are needed"),
    ],
)
def test_what_is_read_too_far_apart_is_not_checked(grid_of, cell, readings, why):
    grid = grid_of(np.zeros((60, 70)), cell)
    line = Line("A", (1000, 2000), (4900, 2000))
    table = e1155_of_floor(grid, [line], readings_mm=readings)
    assert table["why"].tolist() == [why, why]
    assert table["F_F"].isna().all()


def test_a_small_floor_is_no_test_section(grid_of):
    grid = grid_of(np.random.default_rng(0).normal(size=(40, 70)))
    table = e1155_of_floor(grid, lines_for("E1155", grid)).set_index("line")
    assert table.loc["X1", "state"] == "told"
    assert table.loc["all lines", "why"] == (
        "E1155, test section: found 28.0 m²; allowed: 29.7 m² or more"
    )


def test_no_line_is_no_number(grid_of):
    table = e1155_of_floor(grid_of(np.zeros((5, 5))), ())
    assert table["why"].tolist() == ["no line could be told"]


def test_stations_over_holes_are_refused(hall):
    with pytest.raises(Refusal, match="line H: found 1 stations over holes; allowed: none"):
        numbers_along(hall, Line("H", (2000, 3000), (8000, 3000)))
