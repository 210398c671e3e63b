"""A practice room on the screen: one scale both ways, its wall at the top, and the scales."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from kit.ink import paint
from kit.ink.svg import LETTERS_PX, box, element, halo, letters_px, line, words
from kit.job import refuse
from kit.practice.moves import Place
from kit.show.board.label_places import TO_BASELINE_PX, Box
from kit.show.board.lettering import hatched

#: A plan is no wider than its picture and no taller than this; a picture narrower than the other
#: cannot be read [px].
TALLEST_PX, NARROWEST_PX = 640.0, 200.0

#: Steps of the scales of which the first is taken whose numbers keep apart [mm]; a room that is
#: no larger than the last starts at a finer one.
STEPS_MM, FINE_STEPS_MM, FINE_ROOM_MM = (500, 1000, 2000, 5000, 10_000), (100, 200), 1500.0

#: What the scales tell; written above them.
HEADING = "x along the wall, y into the room [mm]"

_HEAD_PX, _NUMBERS_PX, _WALL_PX, _RIGHT_PX, _BELOW_PX = 17.0, 17.0, 16.0, 22.0, 6.0

#: Between neighbouring numbers of a scale, and between small ticks [px].
_APART_PX, _TICKS_APART_PX, _TICK_PX, _SMALL_TICK_MM = 10.0, 5.0, 5.0, 100.0


@dataclass(frozen=True)
class RoomFrame:
    """Where a room lies on its picture.

    Parameters
    ----------
    width_mm, depth_mm : float
        Of the room [mm].
    left_px, top_px : float
        Its corner x 0, y 0 [px].
    px_per_mm : float
        The scale, both ways.
    width_px : float
        Of the picture [px].
    """

    width_mm: float
    depth_mm: float
    left_px: float
    top_px: float
    px_per_mm: float
    width_px: float

    def at(self, place: Place) -> Place:
        """Return where a place [mm] is drawn [px]."""
        return self.left_px + place[0] * self.px_per_mm, self.top_px + place[1] * self.px_per_mm

    @property
    def box(self) -> Box:
        """The room [px]."""
        return Box(self.left_px, self.top_px, *self.at((self.width_mm, self.depth_mm)))

    @property
    def bottom_px(self) -> float:
        """Lower end of room and scale [px]."""
        return self.box.bottom + _BELOW_PX


def room_frame(width_mm: float, depth_mm: float, width_px: float) -> RoomFrame:
    """Lay a room on a picture of a width.

    Parameters
    ----------
    width_mm, depth_mm : float
        Of the room [mm].
    width_px : float
        Of the picture [px].

    Raises
    ------
    Refusal
        Where there is no room, or the picture is too narrow to be read.
    """
    if not (width_mm > 0 and depth_mm > 0):
        found = f"a room of {width_mm:g} x {depth_mm:g} mm"
        raise refuse("plan", found, "a room with a width and a depth")
    if not width_px >= NARROWEST_PX:
        raise refuse("plan", f"{width_px:g} px wide", f"{NARROWEST_PX:g} px or more")
    left = round(letters_px(f"{depth_mm:.0f}") + _TICK_PX + 8)
    top = _HEAD_PX + _NUMBERS_PX + _WALL_PX
    scale = min((width_px - left - _RIGHT_PX) / width_mm, TALLEST_PX / depth_mm)
    return RoomFrame(width_mm, depth_mm, float(left), top, scale, width_px)


def ground(frame: RoomFrame) -> str:
    """Draw the empty room: a rectangle that carries the scale for whoever points at places."""
    left, top, right, bottom = frame.box
    return box(
        left, top, right - left, bottom - top, fill=paint.PAPER, class_="ufk-room",
        data_left=f"{left:g}", data_top=f"{top:g}", data_px_per_mm=f"{frame.px_per_mm:.8f}",
        data_width_mm=f"{frame.width_mm:g}", data_depth_mm=f"{frame.depth_mm:g}",
    )  # fmt: skip


def surround(frame: RoomFrame) -> str:
    """Draw the wall, the scales with their lines through the room, and the room's outline."""
    left, top, right, bottom = frame.box
    drawn = [
        words(2, 12, _heading(frame), fill=paint.INK),
        *_across(frame),
        *_down(frame),
        *_wall(frame),
        box(
            left, top, right - left, bottom - top,
            fill="none", stroke=paint.FAINT_INK, stroke_width=1,
        ),
    ]  # fmt: skip
    return element("g", "".join(drawn), class_="ufk-scales", pointer_events="none")


def _heading(frame: RoomFrame) -> str:
    return HEADING if letters_px(HEADING) <= frame.width_px - 4 else "x, y [mm]"


def _wall(frame: RoomFrame) -> Iterator[str]:
    left, top, right, _ = frame.box
    size = (left, top - _WALL_PX, right - left, _WALL_PX)
    yield box(*size, fill=paint.GRID, stroke=paint.FAINT_INK, stroke_width=1, class_="ufk-wall")
    yield hatched(*size, step_px=6, stroke=paint.FAINT_INK, stroke_width=0.8)
    look = halo(text_anchor="middle", fill=paint.INK, stroke_width=5)
    yield words((left + right) / 2, top - _WALL_PX / 2 + TO_BASELINE_PX, "wall", **look)


def _across(frame: RoomFrame) -> Iterator[str]:
    left, top, _, bottom = frame.box
    above = top - _WALL_PX
    widest = letters_px(f"{frame.width_mm:.0f}")
    for at in _steps(frame, frame.width_mm, widest + _APART_PX):
        x = left + at * frame.px_per_mm
        yield line(x, top, x, bottom, **_GRID)
        yield line(x, above - _TICK_PX, x, above, stroke=paint.INK, stroke_width=1)
        yield words(x, above - _TICK_PX - 2, f"{at:g}", text_anchor="middle", fill=paint.INK)
    for at in _small_steps(frame, frame.width_mm):
        x = left + at * frame.px_per_mm
        yield line(x, above - 3, x, above, stroke=paint.FAINT_INK, stroke_width=0.8)


def _down(frame: RoomFrame) -> Iterator[str]:
    left, top, right, _ = frame.box
    for at in _steps(frame, frame.depth_mm, LETTERS_PX + 4):
        y = top + at * frame.px_per_mm
        yield line(left, y, right, y, **_GRID)
        yield line(left - _TICK_PX, y, left, y, stroke=paint.INK, stroke_width=1)
        place = (left - _TICK_PX - 3, y + TO_BASELINE_PX)
        yield words(*place, f"{at:g}", text_anchor="end", fill=paint.INK)
    for at in _small_steps(frame, frame.depth_mm):
        y = top + at * frame.px_per_mm
        yield line(left - 3, y, left, y, stroke=paint.FAINT_INK, stroke_width=0.8)


_GRID: dict[str, Any] = {"stroke": paint.INK, "stroke_opacity": 0.12, "stroke_width": 1}


def _steps(frame: RoomFrame, long_mm: float, apart_px: float) -> list[float]:
    small = max(frame.width_mm, frame.depth_mm) <= FINE_ROOM_MM
    steps = (*FINE_STEPS_MM, *STEPS_MM) if small else STEPS_MM
    step = next((s for s in steps if s * frame.px_per_mm >= apart_px), steps[-1])
    return [float(at) for at in range(0, int(long_mm) + 1, step)]


def _small_steps(frame: RoomFrame, long_mm: float) -> list[float]:
    if _SMALL_TICK_MM * frame.px_per_mm < _TICKS_APART_PX:
        return []
    return [_SMALL_TICK_MM * n for n in range(int(long_mm / _SMALL_TICK_MM) + 1)]
