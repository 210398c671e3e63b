"""The marks on the plan: high point, rivals, the next reading, the least room under bearers."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from kit.answer import Answer
from kit.ink import paint
from kit.ink.lengths import length_with_unit, plan_length, small
from kit.ink.svg import element, halo, letters_px, path, words
from kit.ink.table import records
from kit.show.board.label_places import Box, Taken
from kit.show.board.plan_geometry import PlanFrame, PlanText, Point, axes
from kit.show.board.plan_ground import bearer_boxes, leader, sag_texts, title
from kit.show.board.plan_supports import label_boxes, packer_boxes, supports_data
from kit.show.board.plan_walls import wall_boxes
from kit.show.board.sag_mark import deepest_of, deepest_signs, mark_box

#: Outer radius of the star of the high point, of a rival's, and radius of the ring [px].
STAR_PX, RIVAL_PX, RING_PX = 10.0, 6.5, 9.0

#: Length of the mark of the least room under a bearer, beyond the bearer's edge [px].
_TICK_PX = 7.0


def mark_layer(answer: Answer, frame: PlanFrame) -> str:
    """Draw the high point with its certainty, its rivals, the next reading, the least room.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    frame : PlanFrame
        The plan.

    Returns
    -------
    str
        One ``<g>``.
    """
    parts = [
        *_ticks(answer, frame),
        *deepest_signs(answer.job, frame, answer.strength.joists),
        *_signs(answer, frame),
    ]
    for text in mark_texts(answer, frame):
        look = halo(text_anchor="middle", fill=paint.INK, font_weight=_weight(text))
        lead = leader(text.box, text.at, stroke=paint.INK)
        parts.append(lead + words(text.x, text.y, text.text, **look))
    return element("g", "".join(parts), class_="ufk-marks", pointer_events="none")


def _weight(text: PlanText) -> int:
    return 600 if text.kind == "high point" else 400


def mark_texts(answer: Answer, frame: PlanFrame) -> list[PlanText]:
    """Return the words beside the marks, on no support and on no other name.

    Parameters
    ----------
    answer, frame : Answer, PlanFrame
        As for `mark_layer`.

    Returns
    -------
    list of PlanText
        The high point's first, then the next reading's, then the rivals' shares, last how far
        the worst joist sags.
    """
    high = answer.high_point
    shown = supports_data(answer.layout, frame)
    layout = answer.layout
    taken = Taken(
        [
            *(text.box for text in frame.texts),
            *label_boxes(shown),
            *packer_boxes(layout, frame),
            *bearer_boxes(layout, frame),
            *wall_boxes(layout, frame),
        ]
    )
    asked = [("high point", f"high point, {percent(high.certainty)} certain", _high(answer))]
    if high.next_reading is not None:
        asked.append(("next", "read here next", high.next_reading))
    rivals = records(high.rivals)
    asked += [("rival", percent(one["share"]), (one["x_mm"], one["y_mm"])) for one in rivals]
    stars = [_star_box(frame.to_px(*place)) for _, _, place in asked]
    marked = [mark_box(one.at) for one in deepest_of(answer.job, frame, answer.strength.joists)]
    for box in (*stars, *marked):
        taken.add(box)
    texts = [
        PlanText(kind, text, text, *taken.place(text, near, frame.box), frame.to_px(*at))
        for (kind, text, at), near in zip(asked, _wanted(asked, frame), strict=True)
    ]
    besides = [*stars, *(text.box for text in texts)]
    joists = answer.strength.joists
    return [*texts, *sag_texts(answer.job, layout, frame, joists, besides)]


def _star_box(at: Point) -> Box:
    return Box(at[0] - STAR_PX, at[1] - STAR_PX, at[0] + STAR_PX, at[1] + STAR_PX)


def _wanted(asked: list[tuple[str, str, Point]], frame: PlanFrame) -> Iterator[Point]:
    """Yield where each text would best stand: those of high point and next reading drawn apart.

    So the thin line from one does not run through the other.
    """
    x_px = [frame.to_px(*at)[0] for _, _, at in asked]
    to_the_right = len(asked) == 1 or x_px[0] >= x_px[1]
    for number, (kind, text, at) in enumerate(asked):
        x, y = frame.to_px(*at)
        aside = letters_px(text) / 2 + 4 if kind != "rival" else 0.0
        yield (x + aside if (number == 0) == to_the_right else x - aside), y


def percent(share: float) -> str:
    """Return a share as a trade reads it."""
    return f"{share * 100:.0f} %"


def _high(answer: Answer) -> Point:
    return answer.high_point.x_mm, answer.high_point.y_mm


def _signs(answer: Answer, frame: PlanFrame) -> Iterator[str]:
    high, units = answer.high_point, answer.job.units
    for one in records(high.rivals):
        said = (
            f"rival of the high point: highest in {percent(one['share'])} of the draws, floor at"
            f" {length_with_unit(one['height_mm'], units)}"
        )
        look = {"fill": paint.PAPER, "stroke": paint.INK, "stroke_width": 1.3}
        at = frame.to_px(one["x_mm"], one["y_mm"])
        yield element("path", title(said), d=star(at, RIVAL_PX), class_="ufk-rival", **look)
    if high.next_reading is not None:
        x, y = frame.to_px(*high.next_reading)
        for colour, wide in ((paint.PAPER, 5.0), (paint.ACCENT, 2.4)):
            yield element(
                "circle",
                title("read here next: it tells most about the high point"),
                cx=x,
                cy=y,
                r=RING_PX,
                fill="none",
                stroke=colour,
                stroke_width=wide,
            )
    said = (
        f"high point, {percent(high.certainty)} certain: floor at"
        f" {length_with_unit(high.height_mm, units)} ± {small(high.sd_mm, units)}"
    )
    at, rim = frame.to_px(*_high(answer)), {"stroke": paint.PAPER, "stroke_width": 1.6}
    look = {"fill": paint.MARK, "class_": "ufk-high-point", **rim}
    yield element("path", title(said), d=star(at, STAR_PX), **look)


def star(middle: Point, radius: float) -> str:
    """Return the ``d`` of a star with five points."""
    points = []
    for number in range(10):
        away = radius if number % 2 == 0 else 0.42 * radius
        angle = math.pi * (number / 5 - 0.5)
        points.append((middle[0] + away * math.cos(angle), middle[1] + away * math.sin(angle)))
    return path(points, closed=True)


def _ticks(answer: Answer, frame: PlanFrame) -> Iterator[str]:
    """Mark where the least room is left under each bearer."""
    layout, units = answer.layout, answer.job.units
    half = layout.bearer_width_mm / 2 * frame.px_per_mm
    for one in records(answer.clearance):
        row = layout.row(one["bearer"])
        run = layout.frames[row.run]
        ((x, y),) = frame.own(run, [one["own_x_mm"]], [row.y_mm])
        _, (ox, oy) = axes(run)
        said = (
            f"least room under bearer {row.name}: {length_with_unit(one['least_mm'], units)}, at"
            f" {plan_length(one['own_x_mm'], units)} {units} along the run"
        )
        inward = 1 if row.label == "B" else -1
        near, far = inward * half, inward * (half + _TICK_PX)
        mark = [(x + ox * near, y + oy * near), (x + ox * far, y + oy * far)]
        look: dict[str, Any] = {"stroke": paint.INK, "stroke_width": 2.2, "class_": "ufk-least"}
        yield element("path", title(said), d=path(mark), **look)
