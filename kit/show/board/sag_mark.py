"""The mark on the plan of the deepest place of the joist that sags most."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from kit.base.layout import Layout
from kit.ink import paint
from kit.ink.lengths import plan_length, small
from kit.ink.svg import element, letters_px, path
from kit.job import Job
from kit.show.board.label_places import Box, Taken
from kit.show.board.plan_geometry import PlanFrame, PlanText, Point
from kit.show.board.plan_joists import Strip, joist_strips, joist_words, shaded
from kit.show.board.plan_supports import label_boxes, packer_boxes, supports_data
from kit.show.board.plan_walls import wall_boxes
from kit.strength.joists import JoistSag, JoistWork, NoJoists

#: A sag less than this is none worth a mark [mm].
_NO_SAG_MM = 0.005

#: Half the size of the mark of the deepest place, and how far from the picture's edge it points
#: to one beyond [px].
MARK_PX, _EDGE_PX = 5.5, 9.0

#: How often the arrow is drawn back by half its size to come clear of names.
_STEPS_BACK = 12


@dataclass(frozen=True)
class Deepest:
    """Where the worst joist sags most, as far as the plan shows it.

    Parameters
    ----------
    at : tuple of float
        The place, or the end of the joist in the picture from which it is further on [px].
    towards : tuple of float
        Unit vector along the joist to a place beyond the picture; 0, 0 where it is in it.
    text, full : str
        What is written beside it, and what is said of it.
    """

    at: Point
    towards: Point
    text: str
    full: str

    @property
    def seen(self) -> bool:
        """Whether the place is in the picture."""
        return self.towards == (0.0, 0.0)


def deepest_of(job: Job, frame: PlanFrame, joists: JoistWork | NoJoists) -> list[Deepest]:
    """Find where the worst joist sags most.

    Parameters
    ----------
    job : Job
        Its units and joists.
    frame : PlanFrame
        The plan.
    joists : JoistWork or NoJoists

    Returns
    -------
    list of Deepest
        One; none where no sag is known or where the plan does not show that joist.
    """
    work, units = shaded(job, joists), job.units
    computed = [] if isinstance(work, NoJoists) else [j for j in work.joists if j.computed]
    worst = max(computed, key=lambda joist: joist.greatest_final_mm, default=None)
    if isinstance(work, NoJoists) or worst is None or worst.greatest_final_mm < _NO_SAG_MM:
        return []
    shown = [one for one in joist_strips(work.given, frame) if one.number == worst.number]
    most = f"sags {small(worst.greatest_final_mm, units)} {units}"
    where = f"{work.given.along} = {plan_length(worst.greatest_at_mm, units)} {units}"
    said = f"{joist_words(work, worst.number, units)}, at {where}; no other joist sags more"
    return [_deepest(one, worst, frame, (most, where, said)) for one in shown]


def _deepest(
    strip: Strip, worst: JoistSag, frame: PlanFrame, said: tuple[str, str, str]
) -> Deepest:
    (start, end), at = strip.along_mm, worst.greatest_at_mm
    most, where, full = said
    if start <= at <= end:
        return Deepest(strip.place(frame, at, strip.middle_mm), (0.0, 0.0), most, full)
    away = 1.0 if at > end else -1.0
    towards = (0.0, away) if strip.upright else (away, 0.0)
    # Not only that it is further on, but where: nobody measures beyond the edge of a picture.
    text = f"{most} at {where}"
    return Deepest(_clear(strip, frame, end if at > end else start, away), towards, text, full)


def _clear(strip: Strip, frame: PlanFrame, edge_mm: float, away: float) -> Point:
    """Return the place of the arrow: at the picture's edge, or as near to it as no name stands."""
    names = [text.box for text in frame.texts]
    places = [
        strip.place(frame, edge_mm - away * back / frame.px_per_mm, strip.middle_mm)
        for back in (_EDGE_PX + step * MARK_PX for step in range(_STEPS_BACK))
    ]
    return next((at for at in places if not _hides(mark_box(at), names)), places[0])


def _hides(mark: Box, names: Iterable[Box]) -> bool:
    return any(
        mark.left < name.right
        and name.left < mark.right
        and mark.top < name.bottom
        and name.top < mark.bottom
        for name in names
    )


def deepest_signs(job: Job, frame: PlanFrame, joists: JoistWork | NoJoists) -> Iterator[str]:
    """Draw the mark of the deepest place, as `deepest_of` finds it."""
    for one in deepest_of(job, frame, joists):
        yield element("g", deepest_mark(one.at, one.towards), class_="ufk-deepest")


def deepest_mark(at: Point, towards: Point = (0.0, 0.0)) -> str:
    """Return a diamond at a place, or an arrow's head that points on to one [px]."""
    (x, y), (dx, dy), size = at, towards, MARK_PX
    if towards == (0.0, 0.0):
        corners = [(x - size, y), (x, y - size), (x + size, y), (x, y + size)]
    else:
        tip, back = (x + size * dx, y + size * dy), (x - size * dx, y - size * dy)
        corners = [(back[0] - size * dy, back[1] + size * dx), tip]
        corners += [(back[0] + size * dy, back[1] - size * dx)]
    rim = {"stroke": paint.PAPER, "stroke_width": 1.6}
    return element("path", d=path(corners, closed=True), fill=paint.INK, **rim)


def mark_box(at: Point) -> Box:
    """Return the room that the mark takes [px]."""
    return Box(at[0] - MARK_PX, at[1] - MARK_PX, at[0] + MARK_PX, at[1] + MARK_PX)


def deepest_texts(
    job: Job,
    layout: Layout,
    frame: PlanFrame,
    joists: JoistWork | NoJoists,
    keep_off: Iterable[Box],
) -> list[PlanText]:
    """Lay out the words beside the deepest place: on no name, no stack and nothing else given.

    Parameters
    ----------
    job, layout, frame, joists : Job, Layout, PlanFrame, JoistWork or NoJoists
        As for the plan.
    keep_off : iterable of Box
        What they must keep off too [px].

    Returns
    -------
    list of PlanText
        One; none where `deepest_of` finds nothing.
    """
    taken = Taken(
        [
            *(text.box for text in frame.texts),
            *label_boxes(supports_data(layout, frame)),
            *packer_boxes(layout, frame),
            *wall_boxes(layout, frame),
            *keep_off,
        ]
    )
    texts = []
    for one in deepest_of(job, frame, joists):
        x, y = one.at
        taken.add(mark_box(one.at))
        aside = letters_px(one.text) / 2 + MARK_PX + 4
        near = (x + aside if x < frame.width_px / 2 else x - aside), y
        place = taken.place(one.text, near, frame.box)
        texts.append(PlanText("sag", one.text, one.full, *place, one.at))
    return texts
