"""The key of two elevations: only what is drawn in either."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from kit.ink import paint
from kit.ink.escape import cut_text
from kit.ink.svg import box, element, line, path
from kit.show.board.elevation_frame import unknown_stretches
from kit.show.board.lettering import SWATCH_PX, Swatch, hatched
from kit.show.section import BAND_SD
from kit.show.two_bases.row_view import RowView


def key_of(views: tuple[RowView, ...]) -> Iterator[tuple[Swatch, str]]:
    """Yield what the key shows: only what is drawn."""
    if any(view.has_slabs for view in views):
        yield _packer_swatch, "packers, the thinner the darker"
    if any(view.has_bearer for view in views):
        yield _bearer_swatch, "bearer"
    if any(view.feet for view in views):
        yield _foot_swatch, "screw foot"
    if any(view.body is not None for view in views):
        yield _body_swatch, "lies on the floor along its length"
        yield _crossing_swatch, "side, division or rung over it"
    yield _floor_swatch, "floor as it is expected"
    yield _doubt_swatch, f"its doubt, ±{BAND_SD:g} standard deviations"
    if any(unknown_stretches(view.part) for view in views):
        yield _hatch_swatch(paint.FAINT_INK), "not surveyed"
    closed = dict.fromkeys(name for view in views for _, _, name in view.part.closed)
    if closed:
        yield _hatch_swatch(paint.NO_GO), cut_text(f"no-go area: {', '.join(closed)}", 60)
    yield _top_swatch, "base top"
    if len(views) > 1:
        yield _other_swatch, "top of the other base"
    yield _allowed_swatch, "heights allowed"


def _packer_swatch(x: float, y: float) -> str:
    thin, middle, thick = paint.packer_tones((1.0, 2.0, 3.0))
    rim: dict[str, Any] = {"stroke": paint.INK, "stroke_width": 0.8}
    return (
        box(x, y, 18, 2, fill=thin, **rim)
        + box(x, y + 2, 18, 3, fill=middle, **rim)
        + box(x, y + 5, 18, 5, fill=thick, **rim)
    )


def _bearer_swatch(x: float, y: float) -> str:
    grain = path([(x, y + 3.3), (x + 18, y + 3.3)]) + path([(x, y + 6.7), (x + 18, y + 6.7)])
    bar = box(x, y, *SWATCH_PX, fill=paint.TIMBER, stroke=paint.TIMBER_LINE)
    return bar + element("path", d=grain, stroke=paint.TIMBER_LINE, stroke_width=0.4)


def _hatch_swatch(stroke: str) -> Swatch:
    return lambda x, y: (
        box(x, y, *SWATCH_PX, fill="none", stroke=stroke)
        + hatched(x, y, *SWATCH_PX, step_px=5, stroke=stroke)
    )


def _body_swatch(x: float, y: float) -> str:
    filled = box(x, y, *SWATCH_PX, fill=paint.TIMBER, stroke=paint.INK)
    return filled + hatched(x, y, *SWATCH_PX, step_px=6, stroke=paint.INK, stroke_width=0.5)


def _foot_swatch(x: float, y: float) -> str:
    stem = box(x + 7, y, 4, 10, fill=paint.PAPER, stroke=paint.INK)
    return stem + box(x + 2, y + 7, 14, 3, fill=paint.INK)


def _crossing_swatch(x: float, y: float) -> str:
    return line(x + 9, y - 1, x + 9, y + 11, stroke=paint.INK, stroke_width=2.2)


def _floor_swatch(x: float, y: float) -> str:
    ground = box(x, y + 3, SWATCH_PX[0], SWATCH_PX[1] - 3, fill=paint.FLOOR)
    return ground + line(x, y + 3, x + 18, y + 3, stroke=paint.FLOOR_LINE, stroke_width=2)


def _doubt_swatch(x: float, y: float) -> str:
    edge: dict[str, Any] = {
        "stroke": paint.FLOOR_LINE,
        "stroke_width": 0.7,
        "stroke_dasharray": "2 2",
    }
    return box(x, y, *SWATCH_PX, fill=paint.DOUBT, **edge)


def _top_swatch(x: float, y: float) -> str:
    return line(x, y + 5, x + 18, y + 5, stroke=paint.ACCENT, stroke_width=2)


def _other_swatch(x: float, y: float) -> str:
    look = {"stroke": paint.ACCENT, "stroke_width": 1.2, "stroke_dasharray": "1 4"}
    return line(x, y + 5, x + 18, y + 5, **look)


def _allowed_swatch(x: float, y: float) -> str:
    bracket = path([(x + 6, y + 10), (x + 12, y + 10), (x + 12, y), (x + 6, y)])
    return element("path", d=bracket, fill="none", stroke=paint.FAINT_INK, stroke_width=1.4)
