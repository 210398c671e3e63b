"""Words on a practice plan: near, apart, led to where they had to go far."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from kit.ink.svg import Picture
from kit.show.board.label_places import Box
from kit.show.practice.plan_labels import NEAR_PX, Writer, line_boxes, place_box, rim_boxes


def place_of(drawn: str) -> tuple[float, float]:
    """Return the middle of the baseline [px]."""
    found = re.search(r'<text x="(\S+)" y="(\S+)"', drawn)
    assert found
    return float(found[1]), float(found[2])


def test_words_stand_where_they_are_wanted() -> None:
    x, y = place_of(Writer(Box(0, 0, 300, 200)).write("A", (120, 80)))
    assert (x, y - 3.6) == pytest.approx((120, 80), abs=0.1)  # 3.6 px from middle to baseline


def test_words_keep_off_words_and_marks(
    touching: Callable[[str], list[tuple[str, str]]],
) -> None:
    writer = Writer(Box(0, 0, 300, 200))
    writer.keep_off([place_box((120, 80))])
    drawn = [writer.write(f"reading {n}", (120, 80)) for n in range(9)]
    assert all(drawn)
    assert touching(Picture(300, 200, "".join(drawn), "").svg) == []
    for one in drawn:
        x, y = place_of(one)
        assert abs(x - 120) > 7 + 30 or abs(y - 3.6 - 80) > 7 + 5


def test_far_words_are_led_to_their_place() -> None:
    writer = Writer(Box(0, 0, 300, 200))
    near = [writer.write("reading", (120, 80)) for _ in range(9)]
    assert "<line" not in near[0]
    assert 'x1="120" y1="80"' in near[-1]


def test_words_that_may_not_go_far_are_left_out() -> None:
    writer = Writer(Box(0, 0, 300, 200))
    drawn = [writer.write("reading", (120, 80), far=False) for _ in range(30)]
    written = [place_of(one) for one in drawn if one]
    assert 1 < len(written) < 30
    assert all(abs(x - 120) <= NEAR_PX + 0.1 for x, _ in written)
    assert all(abs(y - 3.6 - 80) <= NEAR_PX + 0.1 for _, y in written)
    assert not any("<line" in one for one in drawn)


def test_no_room_and_no_words_write_nothing() -> None:
    assert Writer(Box(0, 0, 30, 20)).write("far too long", (15, 10)) == ""
    assert Writer(Box(0, 0, 300, 200)).write("", (15, 10)) == ""


def test_boxes_lie_along_what_they_stand_for() -> None:
    boxes = line_boxes((10, 20), (40, 60))  # 50 px long
    middles = [((b.left + b.right) / 2, (b.top + b.bottom) / 2) for b in boxes]
    assert middles[0] == (10, 20)
    assert middles[-1] == pytest.approx((40, 60))
    assert all(y - 20 == pytest.approx((x - 10) * 4 / 3) for x, y in middles)
    assert len(middles) == 8  # a box each 8 px at most
    left, top, right, bottom = Box(10, 20, 90, 60)
    assert {(b.left, b.top) for b in rim_boxes(Box(left, top, right, bottom))} == {
        (9, 19), (9, 59), (89, 19),
    }  # fmt: skip
