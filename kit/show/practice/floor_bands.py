"""Humps and hollows of a practice floor as bands with level lines, and what it hides."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
from contourpy import FillType, LineType, contour_generator

from kit.ink import paint
from kit.ink.svg import element, halo, words
from kit.practice.draws import Floats
from kit.practice.floors import Patch, PracticeFloor
from kit.practice.moves import Place
from kit.show.board.label_places import TO_BASELINE_PX, Box, Taken, text_box
from kit.show.board.level_lines import Line, band, level_line
from kit.show.board.map_levels import Levels
from kit.show.practice.floor_map import floor_map
from kit.show.practice.looks import heated_zone, loose_board, soft_place
from kit.show.practice.room_frame import RoomFrame

#: A level line shorter than this carries no number; a longer one is tried in such steps [px].
_SHORTEST_PX, _TRY_PX = 46.0, 9.0


def bands(floor: PracticeFloor, frame: RoomFrame, levels: Levels) -> str:
    """Draw the bands of humps and hollows and their level lines.

    Parameters
    ----------
    floor : PracticeFloor
        As it carries, its fall taken off.
    frame : RoomFrame
        The plan.
    levels : Levels
        Where bands meet [mm].
    """
    field = floor_map(floor)
    drawn = []
    x, y = _px(field.x_mm, field.y_mm, frame)
    generator = contour_generator(
        x, y, field.residual_mm, fill_type=FillType.OuterOffset, line_type=LineType.Separate
    )
    for ends, tone in zip(levels.bands, levels.tones, strict=True):
        drawn.append(band(generator.filled(*ends), tone))
    for level in levels.values:
        drawn.append(level_line(level, [np.asarray(one) for one in generator.lines(level)]))
    return element("g", "".join(drawn), class_="ufk-map", pointer_events="none")


def level_numbers(
    floor: PracticeFloor, frame: RoomFrame, levels: Levels, taken: Taken
) -> Iterator[str]:
    """Write the numbers of the level lines [mm] where there is room for them."""
    field = floor_map(floor)
    x, y = _px(field.x_mm, field.y_mm, frame)
    generator = contour_generator(x, y, field.residual_mm, line_type=LineType.Separate)
    for number, level in enumerate(levels.values):
        if not levels.is_numbered(number):
            continue
        for one in generator.lines(level):
            place = _free_place(levels.text(level), np.asarray(one), frame, taken)
            if place is not None:
                look: dict[str, Any] = halo(
                    text_anchor="middle", fill=paint.INK, class_="ufk-level-number"
                )
                yield words(*place, levels.text(level), **look)


def _px(x_mm: Floats, y_mm: Floats, frame: RoomFrame) -> tuple[Floats, Floats]:
    x, y = frame.left_px + x_mm * frame.px_per_mm, frame.top_px + y_mm * frame.px_per_mm
    return np.asarray(x), np.asarray(y)


def _free_place(text: str, points: Line, frame: RoomFrame, taken: Taken) -> Place | None:
    """Return where a number stands on its line free of all else, and take it."""
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(points, axis=0).T)))
    if along[-1] < _SHORTEST_PX:
        return None
    at = np.linspace(0.0, along[-1], int(along[-1] / _TRY_PX) + 1)
    at = at[np.argsort(np.abs(at - along[-1] / 2), kind="stable")]
    x = np.interp(at, along, points[:, 0])
    y = np.interp(at, along, points[:, 1]) + TO_BASELINE_PX
    wanted = np.array([text_box(*place, text) for place in zip(x, y, strict=True)])
    best, free = taken.best(wanted, inside(frame))
    if not free:
        return None
    place = (float(x[best]), float(y[best]))
    taken.add(text_box(*place, text))
    return place


def inside(frame: RoomFrame) -> Box:
    """Return the room of letters: the room itself, but for its outline [px]."""
    left, top, right, bottom = frame.box
    return Box(left + 2, top + 2, right - 2, bottom - 2)


def patch_box(patch: Patch, frame: RoomFrame) -> Box:
    """Return where a patch of the floor lies [px]."""
    near = frame.at((patch.left_mm, patch.back_mm))
    far = frame.at((patch.left_mm + patch.width_mm, patch.back_mm + patch.depth_mm))
    return Box(*near, *far)


def hidden(floor: PracticeFloor, frame: RoomFrame) -> str:
    """Draw what nobody sees from above: heating, places that give, boards that move."""
    drawn = [heated_zone(patch_box(zone, frame)) for zone in floor.heated]
    drawn += [
        soft_place(frame.at((soft.x_mm, soft.y_mm)), soft.radius_mm * frame.px_per_mm)
        for soft in floor.soft
    ]
    drawn += [loose_board(patch_box(board.patch, frame)) for board in floor.loose]
    if not drawn:
        return ""
    left, top, right, bottom = frame.box
    # A picture within the picture cuts off what reaches beyond the room.
    return element(
        "svg", "".join(drawn), x=left, y=top, width=right - left, height=bottom - top,
        viewBox=f"{left:g} {top:g} {right - left:.1f} {bottom - top:.1f}", overflow="hidden",
        class_="ufk-hidden", pointer_events="none",
    )  # fmt: skip


def hidden_labels(floor: PracticeFloor, frame: RoomFrame) -> list[tuple[str, Place]]:
    """Return words for what it hides, and the place that each speaks of [px]."""
    said = []
    for board in floor.loose:
        left, top, right, bottom = patch_box(board.patch, frame)
        text = f"loose board, {board.proud_mm:.1f} mm proud"
        said.append((text, ((left + right) / 2, (top + bottom) / 2)))
    for soft in floor.soft:
        text = f"gives {soft.give_mm:.1f} mm underfoot"
        said.append((text, frame.at((soft.x_mm, soft.y_mm))))
    for zone in floor.heated:
        left, _, right, bottom = patch_box(zone, frame)
        said.append(("heating under the boards", ((left + right) / 2, bottom - 10)))
    return said
