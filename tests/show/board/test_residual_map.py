"""The map of humps and hollows: levels, where their lines run, what was not surveyed."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from types import SimpleNamespace
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from kit.answer import Answer
from kit.floor import fit_plane
from kit.floor.surface import fit_surface
from kit.ink.paint import HOLLOW_TO_HUMP, lightness
from kit.show.board.map_key import map_key
from kit.show.board.map_levels import Levels, levels_of, tone
from kit.show.board.plan_frame import PlanFrame, frame_of
from kit.show.board.plan_walls import behind_walls
from kit.show.board.residual_map import floor_field, map_layer


def nodes(inner: str, name: str) -> list[ElementTree.Element]:
    root = ElementTree.fromstring(f'<svg xmlns="http://www.w3.org/2000/svg">{inner}</svg>')
    return [node for node in root.iter() if node.get("class") == name]


def points(node: ElementTree.Element) -> np.ndarray[Any, np.dtype[np.float64]]:
    at = [float(number) for number in re.findall(r"-?[\d.]+", node.get("d", ""))]
    return np.array(at).reshape(-1, 2)


def bump(x: Any, y: Any) -> Any:
    """Return a floor that falls 2 mm/m along x and rises 1 mm/m along y, with one hump [mm]."""
    away = ((x - 1700) / 620) ** 2 + ((y - 260) / 430) ** 2
    return 11.0 - 0.002 * x + 0.001 * y + 6.0 * np.exp(-away)


@pytest.fixture(scope="module")
def humped(demos: dict[str, Answer]) -> tuple[Answer, Any]:
    """Return the reading room on a floor with one hump, and its residuals, worked out apart."""
    x, y = (
        grid.ravel()
        for grid in np.meshgrid(np.linspace(-100, 4100, 29), [-60, 90, 240, 410, 560, 700.0])
    )
    z = bump(x, y)
    noise = np.full(len(x), 1e-4)
    survey = demos["reading-room"].survey
    made = replace(
        survey,
        plane=fit_plane(x, y, z),
        surface=fit_surface(x, y, z, noise),
        heights=SimpleNamespace(points=survey.heights.points),  # only places of readings are asked
    )
    design = np.column_stack([np.ones_like(x), x, y])
    best = np.linalg.lstsq(design, z, rcond=None)[0]
    return replace(
        demos["reading-room"], survey=made
    ), lambda u, v: bump(u, v) - (best[0] + best[1] * u + best[2] * v)


# ---- levels -------------------------------------------------------------------------------


def test_levels_are_round_few_and_hold_zero(reading_room: Answer) -> None:
    levels = levels_of(reading_room.survey, "mm")
    # Residuals from -2.59 to +3.91 mm.
    assert levels.values == (-2, -1, 0, 1, 2, 3)
    inches = levels_of(reading_room.survey, "in")
    # -0.102 to +0.154 in: of the steps 0.02 gives 13 levels, 0.05 gives 6.
    assert inches.values == (-0.1, -0.05, 0, 0.05, 0.1, 0.15)
    assert inches.text(0.05) == "+0.05"
    assert inches.text(-0.1) == "−0.10"


def test_every_second_line_is_numbered_and_zero_is(reading_room: Answer) -> None:
    levels = levels_of(reading_room.survey, "mm")
    assert [levels.is_numbered(n) for n in range(6)] == [True, False, True, False, True, False]
    few = Levels((-0.5, 0.0, 0.5), 0.5, "mm")
    assert all(few.is_numbered(n) for n in range(3))


def test_bands_are_lighter_the_higher_and_leave_nothing_out() -> None:
    levels = Levels((-2.0, -1.0, 0.0, 1.0), 1.0, "mm")
    assert levels.bands[0] == (-math.inf, -2)
    assert levels.bands[-1] == (1, math.inf)
    assert [low for low, _ in levels.bands[1:]] == [high for _, high in levels.bands[:-1]]
    light = [lightness(colour) for colour in levels.tones]
    assert (np.diff(light) > 2).all()
    assert levels.band_texts() == ["under −2", "−2 to −1", "−1 to 0", "0 to +1", "over +1"]


def test_tones_are_those_of_the_kit() -> None:
    assert [tone(share) for share, _ in HOLLOW_TO_HUMP] == [colour for _, colour in HOLLOW_TO_HUMP]
    # Halfway between #6f8db5 and #94a8bd.
    assert tone(0.125) in ("#829ab9", "#819ab9", "#829bb9", "#819bb9")


# ---- lines --------------------------------------------------------------------------------


@pytest.mark.parametrize("width", [620, 1040])
def test_level_lines_run_where_the_floor_has_that_residual(
    humped: tuple[Answer, Any], width: int
) -> None:
    answer, residual = humped
    frame = frame_of(answer.job, answer.layout, width)
    lines = {
        float(n.get("data-level", "")): n for n in nodes(map_layer(answer, frame), "ufk-level")
    }
    assert len(lines) >= 5
    for level, line in lines.items():
        x_mm, y_mm = frame.to_mm(*points(line).T)
        value = residual(x_mm, y_mm)
        steep = (
            np.hypot(
                residual(x_mm + 1, y_mm) - residual(x_mm - 1, y_mm),
                residual(x_mm, y_mm + 1) - residual(x_mm, y_mm - 1),
            )
            / 2
        )
        # Where the floor is steep enough for the place of a line to mean something: 1.5 px, from
        # straight lines across squares of 7 px; beyond the readings the kriging is on its own.
        inside = (x_mm > 0) & (x_mm < 4000) & (y_mm > 0) & (y_mm < 600) & (steep > 5e-4)
        away_px = np.abs(value - level)[inside] / steep[inside] * frame.px_per_mm
        assert inside.any(), level
        assert away_px.max() < 1.5, level


def test_line_of_the_hump_crosses_its_axis_where_the_sum_says(humped: tuple[Answer, Any]) -> None:
    answer, residual = humped
    frame = frame_of(answer.job, answer.layout, 1040)
    lines = {
        float(n.get("data-level", "")): n for n in nodes(map_layer(answer, frame), "ufk-level")
    }
    level = max(lines)
    # Halve the interval from the middle of the hump to where it has died away.
    low, high = 1700.0, 3000.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if residual(middle, 260.0) > level else (low, middle)
    at = frame.to_px(low, 260.0)
    near = np.hypot(*(points(lines[level]) - at).T).min()
    # The line's own corners are up to 7 px apart.
    assert near < 4.5


def test_zero_is_thicker_and_hollows_are_dashed(reading_room: Answer) -> None:
    frame = frame_of(reading_room.job, reading_room.layout, 1040)
    lines = {
        float(n.get("data-level", "")): n
        for n in nodes(map_layer(reading_room, frame), "ufk-level")
    }
    assert float(lines[0].get("stroke-width", "")) > float(lines[1].get("stroke-width", ""))
    dashed = {level for level, node in lines.items() if node.get("stroke-dasharray")}
    assert dashed == {level for level in lines if level < 0}
    assert dashed


def test_numbers_stand_on_their_lines(demos: dict[str, Answer]) -> None:
    answer = demos["boot-room"]
    frame = frame_of(answer.job, answer.layout, 1040)
    drawn = map_layer(answer, frame)
    levels = levels_of(answer.survey, "mm")
    lines = {levels.text(float(n.get("data-level", ""))): n for n in nodes(drawn, "ufk-level")}
    numbers = nodes(drawn, "ufk-level-number")
    assert len(numbers) >= 5
    for number in numbers:
        at = float(number.get("x", "")), float(number.get("y", "")) - 3.6
        corners = points(lines[number.text or ""])
        # The middle of the letters lies on the line, whose corners are up to 12 px apart.
        assert np.hypot(*(corners - at).T).min() < 8


def test_between_its_places_the_field_follows_the_surface(demos: dict[str, Answer]) -> None:
    for answer in demos.values():
        frame = frame_of(answer.job, answer.layout, 1040)
        field = floor_field(answer.survey, frame)
        row, column = np.nonzero(~np.ma.getmaskarray(field.residual_mm))
        x_mm, y_mm = frame.to_mm(field.x_px[column], field.y_px[row])
        height, _ = answer.surface.predict(x_mm, y_mm)
        exact = height - answer.plane.height_mm(x_mm, y_mm)
        off = np.abs(field.residual_mm[row, column] - exact)
        # A tenth of the bands' smallest step on these floors, 0.5 mm.
        assert float(off.max()) < 0.05


# ---- what was not surveyed ----------------------------------------------------------------


def test_hatching_lies_where_nothing_was_surveyed_and_nowhere_else(reading_room: Answer) -> None:
    frame = frame_of(reading_room.job, reading_room.layout, 1040)
    (hatch,) = nodes(map_layer(reading_room, frame), "ufk-open")
    strokes = points(hatch).reshape(-1, 2, 2)
    along = np.linspace(0, 1, 40)[:, None, None]
    drawn = (strokes[:, 0] * (1 - along) + strokes[:, 1] * along).reshape(-1, 2)

    def known_px(x: Any, y: Any) -> Any:
        return reading_room.surface.surveyed(*frame.to_mm(x, y))

    # Looked at on squares of 7 px: an edge is true to 5 px, half of their diagonal.
    steps = [(5, 0), (-5, 0), (0, 5), (0, -5), (4, 4), (-4, 4), (4, -4), (-4, -4)]
    around = [known_px(drawn[:, 0] + dx, drawn[:, 1] + dy) for dx, dy in steps]
    assert not np.all(around, axis=0).any()
    x, y = (grid.ravel() for grid in np.meshgrid(np.arange(10, 1030, 9.0), np.arange(10, 215, 9.0)))
    open_ = ~np.any([known_px(x + dx, y + dy) for dx, dy in [(0, 0), *steps]], axis=0)
    assert open_.sum() > 500
    for place in np.column_stack([x, y])[open_]:
        # Lines are 8 px apart across and down, 5.7 px straight across; their ends reach 2 px less.
        assert np.hypot(*(drawn - place).T).min() < 6


def test_the_map_ends_where_the_survey_ends(reading_room: Answer) -> None:
    frame = frame_of(reading_room.job, reading_room.layout, 1040)
    bands = nodes(map_layer(reading_room, frame), "ufk-band")
    x_mm, y_mm = frame.to_mm(*np.concatenate([points(band) for band in bands]).T)
    # Half the readings' spacing of 180 mm beyond them, and no further; drawn to a tenth of a px.
    assert x_mm.max() <= 3980 + 90 + 0.5
    assert y_mm.max() <= 420 + 90 + 0.5


def test_nothing_is_shown_behind_the_walls(demos: dict[str, Answer]) -> None:
    def hidden(answer: Answer, frame: PlanFrame, x: float, y: float) -> bool:
        points = answer.survey.heights.points
        read = points["x_mm"].to_numpy(), points["y_mm"].to_numpy()
        at = frame.to_px(x, y)
        boxes = [
            (
                min(p[0] for p in part),
                max(p[0] for p in part),
                min(p[1] for p in part),
                max(p[1] for p in part),
            )
            for part in behind_walls(answer.job, answer.layout, frame, read)
        ]
        return any(a <= at[0] <= b and c <= at[1] <= d for a, b, c, d in boxes)

    boots = demos["boot-room"]
    frame = frame_of(boots.job, boots.layout, 1040)
    assert hidden(boots, frame, 1000, -50)  # behind the back wall
    assert hidden(boots, frame, 3650, 1500)  # behind the return wall
    assert hidden(boots, frame, -60, 1200)  # behind the wall at the left end
    assert not hidden(boots, frame, 3300, 1000)  # under the lockers of the return wall
    assert not hidden(boots, frame, 1500, 1700)
    market = demos["market-counter"]
    frame = frame_of(market.job, market.layout, 1040)
    # The floor inside the side door was read, beyond the short wall at the counter's left end.
    assert not hidden(market, frame, -420, 300)


# ---- key ----------------------------------------------------------------------------------


@pytest.mark.parametrize("width", [340, 620, 1040])
def test_key_tells_every_band_and_wraps(reading_room: Answer, width: int) -> None:
    frame = frame_of(reading_room.job, reading_room.layout, width)
    picture = map_key(reading_room, frame, width)
    said = [node.text for node in ElementTree.fromstring(picture.svg).iter() if node.text]
    texts = levels_of(reading_room.survey, "mm").band_texts()
    assert [text for text in said if text in texts] == texts
    assert "not surveyed" in said
    assert picture.width_px <= width
    for text in texts:
        assert text in picture.words
    assert " mm" in picture.words


def test_key_explains_only_what_is_there(demos: dict[str, Answer]) -> None:
    def said(demo: str) -> list[str]:
        answer = demos[demo]
        frame = frame_of(answer.job, answer.layout, 1040)
        svg = ElementTree.fromstring(map_key(answer, frame, 1040).svg)
        return [node.text or "" for node in svg.iter()]

    # The boot room's bearers are each one piece.
    assert "joint of a bearer" in said("reading-room")
    assert "joint of a bearer" not in said("boot-room")
