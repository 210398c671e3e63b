"""Bands and level lines of a floor."""

from xml.etree import ElementTree

import numpy as np
import pytest

from kit.show.board.level_lines import band, level_line

#: A square with a square hole, and a triangle beside it; each ring ends where it began.
HOLED = np.array(
    [[0, 0], [9, 0], [9, 8], [0, 8], [0, 0], [3, 2], [3, 5], [6, 5], [6, 2], [3, 2]], dtype=float
)
TRIANGLE = np.array([[20, 0], [31, 0], [20, 7], [20, 0]], dtype=float)


def test_a_band_has_every_ring_of_every_part_once_and_holes_stay_open() -> None:
    node = ElementTree.fromstring(
        band(([HOLED, TRIANGLE], [np.array([0, 5, 10]), np.array([0, 4])]), "#abcdef")
    )
    d = node.get("d", "")
    assert (d.count("M"), d.count("Z")) == (3, 3)
    # The first place of a ring is not drawn a second time: the ring is closed instead.
    assert len(d.replace("Z", "").replace("M", " ").replace("L", " ").split()) == 2 * (4 + 4 + 3)
    assert node.get("fill-rule") == "evenodd"
    assert (node.get("fill"), node.get("stroke")) == ("#abcdef", "#abcdef")


def test_a_band_without_ground_is_nothing() -> None:
    assert band(([], []), "#abcdef") == ""


@pytest.mark.parametrize(
    ("level", "wide", "dashed"), [(-2.5, 0.9, True), (0.0, 2.0, False), (3.0, 0.9, False)]
)
def test_lines_below_nought_are_dashed_and_nought_is_heavier(
    level: float, wide: float, dashed: bool
) -> None:
    node = ElementTree.fromstring(level_line(level, [TRIANGLE, HOLED[:3]]))
    assert float(node.get("stroke-width", "")) == wide
    assert (node.get("stroke-dasharray") is not None) == dashed
    assert node.get("data-level") == f"{level:g}"
    assert node.get("d", "").count("M") == 2


def test_a_level_that_is_nowhere_has_no_line() -> None:
    assert level_line(1.0, []) == ""
