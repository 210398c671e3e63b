"""Lines laid out: every one keeps the rules, they are spread, and give the readings needed."""

import itertools

import numpy as np
import pytest

from kit.flatness import Line, check_line, heights_along, lines_for, readings_needed
from kit.flatness.plan_distance import apart_mm, direction_degrees
from kit.job import MovementJoint, NoGo, Refusal

JOINT = MovementJoint(name="j", from_mm=(9000, -100), to_mm=(9000, 9100))
PIT = NoGo(name="pit", corner_mm=(11_000, 5000), size_mm=(400, 900))


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize(("joints", "holes"), [((), ()), ((JOINT,), (PIT,))])
def test_e1155_keeps_its_own_rules(hall, grid_of, turned, joints, holes):
    grid = grid_of(hall.height_mm.T) if turned else hall
    if turned:
        joints = [Line("j", one.from_mm[::-1], one.to_mm[::-1]) for one in joints]
        holes = [
            NoGo(name="p", corner_mm=h.corner_mm[::-1], size_mm=h.size_mm[::-1]) for h in holes
        ]
    lines = lines_for("E1155", grid, joints, holes)
    for k, line in enumerate(lines):
        assert check_line("E1155", line, grid, joints, holes, lines[:k]) == ()
        assert line.length_mm % 300 == pytest.approx(0, abs=1e-6)
        assert np.isfinite(heights_along(grid, line.from_mm, line.to_mm, 300).height_mm).all()
    readings = sum(round(line.length_mm / 300) + 1 - 10 for line in lines)
    assert readings >= readings_needed(grid.area_m2)
    assert {line.name[0] for line in lines} == {"X", "Y"}


def test_they_are_spread_equally(grid_of):
    lines = lines_for("E1155", grid_of(np.zeros((101, 201))))
    # 204 m², 2196 sq ft: 80 readings. Two rows and columns give 2 · 53 + 2 · 20 = 146, one each 73.
    assert [line.name for line in lines] == ["X1", "X2", "Y1", "Y2"]
    # Free from 550 to 9450 and 19,450 mm; strips of half of that have their middles here.
    assert [line.from_mm[1] for line in lines[:2]] == [2800, 7200]
    assert [line.from_mm[0] for line in lines[2:]] == pytest.approx([5300, 14_700], abs=50)
    assert [line.length_mm for line in lines] == [18_600, 18_600, 8700, 8700]


def test_a_joint_and_a_hole_part_a_row_into_lines(hall):
    lines = [line for line in lines_for("E1155", hall, [JOINT]) if line.name[0] == "X"]
    assert any(line.to_mm[0] <= 8400 for line in lines)
    assert any(line.from_mm[0] >= 9600 for line in lines)
    assert all(apart_mm(line, JOINT) >= 600 for line in lines)


def test_where_there_is_no_room_there_is_no_line(grid_of):
    assert lines_for("E1155", grid_of(np.zeros((12, 40)))) == ()
    # 1200 + 100 wide: one row of cells is clear on both sides.
    one = lines_for("E1155", grid_of(np.zeros((13, 60))))
    assert [(line.name, line.from_mm[1], line.length_mm) for line in one] == [("X1", 600, 4500)]


@pytest.mark.parametrize("standard", ["DIN 18202", "BS 8204"])
def test_the_others_lie_evenly_from_edge_to_edge(hall, grid_of, standard):
    h = hall.height_mm.copy()
    h[33:36, 48:53] = np.nan  # the column's hole reaches the row at 3500 mm
    grid = grid_of(h)
    lines = lines_for(standard, grid, [JOINT], [PIT])
    along_x = [line for line in lines if line.name[0] == "X"]
    rows = sorted({line.from_mm[1] for line in along_x})
    assert rows == [500, 1500, 2500, 3500, 4500, 5500, 6500, 7500, 8500]
    # The row through the hole is two lines, every other goes from side to side.
    ends = [(a.from_mm[0], a.to_mm[0], a.from_mm[1]) for a in along_x]
    assert [each[:2] for each in ends].count((0, 15_000)) == 8
    assert (0, 4700, 3500) in ends
    assert (5300, 15_000, 3500) in ends
    assert all(check_line(standard, line, grid) == () for line in lines)
    assert sum(line.name[0] == "Y" for line in lines) == 15


def test_no_two_lines_lie_along_each_other(hall):
    for standard in ("E1155", "DIN 18202"):
        for a, b in itertools.combinations(lines_for(standard, hall), 2):
            assert direction_degrees(a) != direction_degrees(b) or apart_mm(a, b) > 0


def test_a_standard_that_nobody_knows_is_refused(hall):
    with pytest.raises(Refusal, match="standard: found 'DIN 1'"):
        lines_for("DIN 1", hall)
