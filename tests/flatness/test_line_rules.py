"""Why a drawn line may not be used, rule by rule."""

import numpy as np
import pytest

from kit.flatness import LINE_RULES, Line, check_line, readings_needed
from kit.flatness.line_rules import longest_side_degrees
from kit.job import MovementJoint, NoGo, Refusal

JOINT = MovementJoint(name="by the stage", from_mm=(9000, 0), to_mm=(9000, 9000))
PIT = NoGo(name="pit", corner_mm=(11_000, 5000), size_mm=(400, 900))


def line(*ends):
    return Line("L", ends[:2], ends[2:])


@pytest.mark.parametrize(
    ("drawn", "reasons"),
    [
        (line(1000, 1500, 4900, 1500), ()),
        # Cells reach 50 mm beyond their middles: 600 mm from the outline is 550 from the first.
        (line(550, 1500, 4900, 1500), ()),
        (line(540, 1500, 4900, 1500),
         ("it comes within 590 mm of an edge or a hole; 600 mm are kept",)),
        (line(1000, 500, 4900, 500),
         ("it comes within 550 mm of an edge or a hole; 600 mm are kept",)),
        (line(1000, 1500, 4200, 1500),
         ("it is 3200 mm long; 3300 mm at least are needed",)),
        (line(1000, 3000, 7000, 3000), ("it crosses a hole or the floor's edge",)),
        (line(1000, 1000, 4000, 4000), ()),
        (line(1000, 5000, 4000, 2000), ()),
        (line(1000, 1000, 1000, 5000), ()),
        (line(1000, 1000, 4400, 2000),
         ("it runs at 16.4 degrees to the longest side; parallel, square or 45 degrees",)),
        (line(6000, 1500, 12_000, 1500), ("it crosses joint by the stage",)),
        (line(8500, 1500, 8500, 7000),
         ("it comes within 500 mm of joint by the stage; 600 mm are kept",)),
        (line(8400, 1500, 8400, 7000), ()),
        (line(10_000, 4500, 14_000, 4500),
         ("it comes within 500 mm of hole pit; 600 mm are kept",)),
        (line(10_000, 5500, 14_000, 5500), ("it comes within 0 mm of hole pit; 600 mm are kept",)),
        (line(10_000, 8000, 14_000, 8000), ("it lies 1100 mm from line Y; 1200 mm are kept",)),
        (line(13_000, 1000, 13_000, 6000), ()),
        (line(1, 1, 16_000, 1), ("it leaves the grid of heights",)),
    ],
)  # fmt: skip
def test_e1155(hall, drawn, reasons):
    beside = Line("Y", (10_000, 6900), (14_000, 6900))
    assert check_line("E1155", drawn, hall, [JOINT], [PIT], [beside]) == reasons


def test_every_reason_is_told_at_once(hall):
    found = check_line("E1155", line(8900, 100, 9300, 250), hall, [JOINT])
    assert [reason.split()[1] for reason in found] == ["is", "runs", "comes", "crosses"]


def test_a_hole_is_as_near_as_shapely_has_it(hall):
    """The hole of x 4750 to 5250, y 2750 to 3250 mm, its cells' edges included."""
    for y, kept in ((3850, True), (3840, False), (2150, True), (2160, False)):
        assert (check_line("E1155", line(2000, y, 7000, y), hall) == ()) is kept


def test_the_other_standards_restrict_no_place(hall):
    for standard in ("DIN 18202", "BS 8204"):
        assert check_line(standard, line(0, 0, 15_000, 0), hall, [JOINT], [PIT]) == ()
        assert check_line(standard, line(0, 0, 2000, 1000), hall) == ()
        assert check_line(standard, line(0, 0, 0, 9100), hall) == ("it leaves the grid of heights",)
    assert check_line("BS 8204", line(0, 0, 1999, 0), hall) == (
        "it is shorter than the 2000 mm edge",
    )
    assert check_line("DIN 18202", line(0, 0, 199, 0), hall) == (
        "it is shorter than 200 mm, two cells",
    )


def test_the_longest_side_may_lie_along_y(hall, grid_of):
    assert longest_side_degrees(hall) == 0
    tall = grid_of(hall.height_mm.T)
    assert longest_side_degrees(tall) == 90
    h = np.full((30, 90), np.nan)
    h[:, 5:20] = 0  # the grid lies along x, its floor along y
    assert longest_side_degrees(grid_of(h)) == 90


def test_readings_needed():
    foot = 0.3048**2
    # From memory; the first two by hand, 80 from 1600 to 2400 sq ft, then A/30.
    asked = [readings_needed(a * foot) for a in (320, 900, 1600, 2000, 2400, 3000, 9001)]
    assert asked == [36, 60, 80, 80, 80, 100, 301]
    with pytest.raises(Refusal, match=r"found 29.0 m²; allowed: 29.7 m² or more"):
        readings_needed(29.0)


def test_every_rule_says_where_it_is_from():
    assert {rule.standard for rule in LINE_RULES} == {"E1155", "DIN 18202", "BS 8204"}
    assert {rule.source for rule in LINE_RULES} == {"from memory", "common practice, no source"}


def test_a_standard_that_nobody_knows_is_refused(hall):
    with pytest.raises(Refusal, match="standard: found 'E 99'; allowed: E1155, DIN 18202, BS 8204"):
        check_line("E 99", line(0, 0, 1, 1), hall)
