"""A room on the screen: one scale both ways, its figures carried along, numbers apart."""

from __future__ import annotations

from collections.abc import Callable
from xml.etree import ElementTree

import pytest

from kit.ink.svg import Picture
from kit.job import Refusal
from kit.show.practice.room_frame import TALLEST_PX, ground, room_frame, surround


def drawn(width_mm: float, depth_mm: float, width_px: float) -> str:
    frame = room_frame(width_mm, depth_mm, width_px)
    return Picture(width_px, frame.bottom_px, ground(frame) + surround(frame), "room").svg


@pytest.mark.parametrize("width_px", [300, 400, 1100])
@pytest.mark.parametrize("room", [(4200, 2400), (900, 1300), (11_500, 3000), (2000, 7600)])
def test_numbers_of_the_scales_keep_apart_and_inside(
    room: tuple[float, float],
    width_px: float,
    touching: Callable[[str], list[tuple[str, str]]],
    outside: Callable[[str], list[str]],
) -> None:
    svg = drawn(*room, width_px)
    assert touching(svg) == []
    assert outside(svg) == []


def test_the_room_carries_what_turns_a_place_on_the_screen_into_mm(
    classed: Callable[[str, str], list[ElementTree.Element]],
) -> None:
    frame = room_frame(4200, 2400, 731)
    (room,) = classed(drawn(4200, 2400, 731), "ufk-room")
    scale = float(room.get("data-px-per-mm", ""))
    left, top = float(room.get("data-left", "")), float(room.get("data-top", ""))
    assert (room.get("data-width-mm"), room.get("data-depth-mm")) == ("4200", "2400")
    x, y = frame.at((3150.0, 1275.0))
    # The scale is written to 1e-8 px/mm, corners to 1e-6 of their size.
    assert (x - left) / scale == pytest.approx(3150.0, abs=0.01)
    assert (y - top) / scale == pytest.approx(1275.0, abs=0.01)
    # The rectangle lies where its figures say; its own places are rounded to a tenth.
    assert float(room.get("x", "")) == pytest.approx(left, abs=0.1)
    assert float(room.get("width", "")) == pytest.approx(4200 * scale, abs=0.1)
    assert float(room.get("height", "")) == pytest.approx(2400 * scale, abs=0.1)


def test_numbers_stand_where_their_places_are(
    texts_of: Callable[[str], list[tuple[str, float, float, float, float]]],
) -> None:
    frame = room_frame(4200, 2400, 731)
    found = texts_of(drawn(4200, 2400, 731))
    across = {text: (left + right) / 2 for text, left, top, right, _ in found if 15 < top < 25}
    assert list(across) == ["0", "500", "1000", "1500", "2000", "2500", "3000", "3500", "4000"]
    for text, middle in across.items():
        # Places of letters are rounded to a tenth of a pixel.
        assert middle == pytest.approx(frame.at((float(text), 0))[0], abs=0.1)
    down = {
        text: (top + bottom) / 2 for text, _, top, right, bottom in found if right < frame.left_px
    }
    assert list(down) == ["0", "500", "1000", "1500", "2000"]
    for text, middle in down.items():
        assert middle == pytest.approx(frame.at((0, float(text)))[1], abs=0.1)


def test_a_deep_room_is_no_taller_than_a_screen() -> None:
    frame = room_frame(2000, 7600, 1100)
    assert frame.box.bottom - frame.box.top == pytest.approx(TALLEST_PX)
    assert frame.px_per_mm == pytest.approx(TALLEST_PX / 7600)


@pytest.mark.parametrize(
    ("room", "width_px", "found", "allowed"),
    [
        ((0, 0), 700, "0 x 0 mm", "a width and a depth"),
        ((3000, -1), 700, "3000 x -1 mm", "a width and a depth"),
        ((3000, 2000), 150, "150 px", "200 px or more"),
        ((3000, 2000), float("nan"), "nan px", "200 px or more"),
    ],
)
def test_what_cannot_be_drawn_is_refused(
    room: tuple[float, float], width_px: float, found: str, allowed: str
) -> None:
    with pytest.raises(Refusal) as refused:
        room_frame(*room, width_px)
    assert found in str(refused.value)
    assert allowed in str(refused.value)
