"""The map of a practice floor: level lines lie where the floor has their level."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
from scipy.interpolate import RegularGridInterpolator

from kit.ink.paint import INK, lightness
from kit.ink.svg import Picture
from kit.practice.floors import PracticeFloor
from kit.show.board.label_places import Taken
from kit.show.practice.floor_bands import bands, hidden, hidden_labels, level_numbers
from kit.show.practice.floor_map import floor_map, levels_over
from kit.show.practice.room_frame import RoomFrame, room_frame

Numbers = Callable[[str], list[float]]
Classed = Callable[[str, str], list[ElementTree.Element]]


@pytest.fixture(scope="module")
def frame(made: PracticeFloor) -> RoomFrame:
    return room_frame(made.width_mm, made.depth_mm, 820)


def whole(inner: str) -> str:
    return Picture(820, 700, inner, "map").svg


def test_level_lines_lie_on_their_levels(
    made: PracticeFloor, frame: RoomFrame, classed: Classed, numbers_in: Numbers
) -> None:
    one, levels = floor_map(made), levels_over((floor_map(made),))
    svg = whole(bands(made, frame, levels))
    residual = RegularGridInterpolator((one.y_mm, one.x_mm), one.residual_mm, bounds_error=False,
                                       fill_value=None)  # fmt: skip
    lines = classed(svg, "ufk-level")
    assert len(lines) >= 4
    for line in lines:
        x, y = np.array(numbers_in(line.get("d", ""))).reshape(-1, 2).T
        x_mm = (x - frame.left_px) / frame.px_per_mm
        y_mm = (y - frame.top_px) / frame.px_per_mm
        # Places are rounded to 0.05 px, 0.3 mm of floor, which rises at most 12 mm a metre.
        expected = float(line.get("data-level", ""))
        assert residual(np.column_stack([y_mm, x_mm])) == pytest.approx(expected, abs=0.01)


def test_bands_fill_the_room_once(
    made: PracticeFloor, frame: RoomFrame, classed: Classed, numbers_in: Numbers
) -> None:
    svg = whole(bands(made, frame, levels_over((floor_map(made),))))
    area = 0.0
    for band in classed(svg, "ufk-band"):
        for ring in band.get("d", "").split("Z")[:-1]:
            x, y = np.array(numbers_in(ring)).reshape(-1, 2).T
            area += (x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2  # holes count against it
    room = (frame.box.right - frame.box.left) * (frame.box.bottom - frame.box.top)
    assert abs(area) == pytest.approx(room, rel=2e-3)  # corners are rounded to a tenth of a pixel


def test_tones_rise_and_carry_black_letters(made: PracticeFloor, rough: PracticeFloor) -> None:
    tones = levels_over((floor_map(made), floor_map(rough))).tones
    light = [lightness(tone) for tone in tones]
    assert all(b - a > 2 for a, b in pairwise(light))
    assert min(light) - lightness(INK) > 40


def test_numbers_stand_on_their_own_lines(
    made: PracticeFloor, frame: RoomFrame, touching: Callable[[str], list[tuple[str, str]]]
) -> None:
    one, levels = floor_map(made), levels_over((floor_map(made),))
    numbers = list(level_numbers(made, frame, levels, Taken()))
    assert len(numbers) >= 3
    assert touching(whole("".join(numbers))) == []
    residual = RegularGridInterpolator((one.y_mm, one.x_mm), one.residual_mm)
    for number in numbers:
        text = ElementTree.fromstring(number)
        x, y = float(text.get("x", "")), float(text.get("y", "")) - 3.6  # to the letters' middle
        at = ((y - frame.top_px) / frame.px_per_mm, (x - frame.left_px) / frame.px_per_mm)
        said = float((text.text or "").replace("−", "-"))
        # A number stands at a corner of its line, rounded as those are.
        assert float(residual(at)) == pytest.approx(said, abs=0.02)


def test_what_is_hidden_is_drawn_where_it_is(
    made: PracticeFloor, frame: RoomFrame, classed: Classed
) -> None:
    svg = whole(hidden(made, frame))
    for name, patch in (("ufk-loose", made.loose[0].patch), ("ufk-heated", made.heated[0])):
        (shape,) = classed(svg, name)
        left, top = frame.at((patch.left_mm, patch.back_mm))
        found = [float(shape.get(key, "")) for key in ("x", "y", "width", "height")]
        size = (patch.width_mm * frame.px_per_mm, patch.depth_mm * frame.px_per_mm)
        assert found == pytest.approx([left, top, *size], abs=0.06)  # rounded to a tenth
    (ring,) = classed(svg, "ufk-soft")
    found = [float(ring.get(key, "")) for key in ("cx", "cy", "r")]
    assert found == pytest.approx([*frame.at((1500, 1700)), 700 * frame.px_per_mm], abs=0.06)


def test_what_is_hidden_is_named_with_figures(made: PracticeFloor, frame: RoomFrame) -> None:
    assert [text for text, _ in hidden_labels(made, frame)] == [
        "loose board, 2.7 mm proud",
        "gives 1.3 mm underfoot",
        "heating under the boards",
    ]
