"""Names in a picture of a survey: near what they name, on nothing else that must be read."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

from kit.ink.escape import chart_text, cut_text
from kit.ink.paint import INK
from kit.ink.svg import letters_px
from kit.show.board.label_places import TO_BASELINE_PX, Box, Taken
from kit.show.large_floor.cell_map import LEAST_PX, TALLEST_PX, WIDE_PX
from kit.show.large_floor.floor_marks import BoxMm, FloorMarks, clipped
from kit.show.large_floor.network import Network, Place
from kit.show.large_floor.walk_chart import ABOUT_MM

#: Width that the drawing has on a narrow page (800 px) beside its prompts; size of a set-up, a
#: point, a point that something hangs on, a number [px].
NARROW_PX, SETUP_PX, POINT_PX, RING_PX, NUMBER_PX = 560.0, 12.0, 4.0, 9.0, 19.0

#: Letters of a name at most; words further away are led to what they name [px].
NAME_LETTERS, LED_PX = 12, 17.0

#: What keeps names off a line: boxes of this size, so far apart [px].
LINE_PX, ALONG_PX = 3.0, 8.0

#: How much wider bold letters are than plain ones (measured on the faces in use); height of a
#: name on its ground [px].
BOLD, NAME_PX = 1.1, 16.0

#: Names stay so far from the axes [px].
EDGE_PX = 5.0

#: Rounds beyond expectation that are marked at most: the worst.
MOST_MARKED = 12

Boxes = list[Box]
ToPx = Callable[[Place], Place]


def edges_of(box: np.ndarray[Any, np.dtype[np.float64]]) -> BoxMm:
    """Return the edges of the drawing about all places of a box (n, 2) [mm]."""
    (left, back), (right, front) = box.min(axis=0) - ABOUT_MM, box.max(axis=0) + ABOUT_MM
    return float(left), float(right), float(back), float(front)


def names_of(
    net: Network, box: np.ndarray[Any, np.dtype[np.float64]], marks: FloorMarks
) -> list[dict[str, Any]]:
    """Return the names of set-ups, of points that something hangs on, and of the floor's marks.

    Parameters
    ----------
    net : Network
    box : (n, 2) array
        All places that are drawn [mm].
    marks : FloorMarks
        Drawn and named too: the other names keep off them.
    """
    left, right, back, front = edges_of(box)
    deep = min(max(WIDE_PX * (front - back) / (right - left), LEAST_PX), TALLEST_PX)
    scale = min(NARROW_PX / (right - left), deep / (front - back))
    within = Box(
        EDGE_PX, EDGE_PX, scale * (right - left) - EDGE_PX, scale * (front - back) - EDGE_PX
    )

    def to_px(place: Place) -> Place:
        return scale * (place[0] - left), scale * (place[1] - back)

    taken = Taken([*_marks(net, to_px), *_mark_boxes(marks, edges_of(box), to_px)])
    named = [
        _name(cut_text(name, NAME_LETTERS), place, to_px(place), taken, within)
        for name, place in (*net.setups.items(), *net.tie_places.items())
    ]
    return [*named, *marks.names(edges_of(box))]


def _mark_boxes(marks: FloorMarks, edges: BoxMm, to_px: ToPx) -> Iterator[Box]:
    """Yield what keeps names off steps of the floor, and off the names of steps and areas."""
    for step in marks.steps:
        for one, other in clipped(step.from_mm, step.to_mm, edges):
            for x, y in (to_px(place) for place in _along(one, other, to_px)):
                yield Box(x - LINE_PX, y - LINE_PX, x + LINE_PX, y + LINE_PX)
    for note in marks.names(edges):
        x, y = to_px((note["x"], note["y"]))
        wide = BOLD * letters_px(note["text"].removeprefix("<b>").removesuffix("</b>"), 11) + 2
        left = (
            x + note["xshift"] - wide * {"left": 0.0, "center": 0.5, "right": 1.0}[note["xanchor"]]
        )
        middle = y - note["yshift"] - (NAME_PX / 2 if note["yanchor"] == "bottom" else 0.0)
        yield Box(left, middle - NAME_PX / 2, left + wide, middle + NAME_PX / 2)


def _marks(net: Network, to_px: ToPx) -> Boxes:
    sized = [(place, SETUP_PX + 4) for place in net.setups.values()]
    ties = net.tie_places
    sized += [
        (place, RING_PX + 4 if name in ties else POINT_PX) for name, place in net.points.items()
    ]
    sized += [(net.middle(one), NUMBER_PX + 2) for one in net.beyond[:MOST_MARKED]]
    lines = [(net.setups[one], net.setups[other]) for one, other in net.shared]
    lines += net.weak_lines()
    sized += [(place, LINE_PX) for ends in lines for place in _along(*ends, to_px)]
    found = []
    for place, size in sized:
        x, y = to_px(place)
        found.append(Box(x - size / 2, y - size / 2, x + size / 2, y + size / 2))
    return found


def _along(one: Place, other: Place, to_px: ToPx) -> Iterator[Place]:
    """Yield places along a line, so near each other that no letter passes between them."""
    (x1, y1), (x2, y2) = to_px(one), to_px(other)
    count = math.ceil(math.hypot(x2 - x1, y2 - y1) / ALONG_PX)
    for share in np.linspace(0.0, 1.0, count + 1).tolist():
        yield one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1])


def _name(text: str, place: Place, near: Place, taken: Taken, within: Box) -> dict[str, Any]:
    x, baseline = taken.place(text, near, within)
    dx, dy = x - near[0], baseline - TO_BASELINE_PX - near[1]
    note = {
        "x": place[0],
        "y": place[1],
        "text": f"<b>{chart_text(text)}</b>",
        "font": {"size": 11, "color": INK},
        "borderpad": 0,
        "bgcolor": "rgba(255,255,255,0.72)",
    }
    if math.hypot(0.5 * dx, dy) <= LED_PX:
        # The chart counts shifts upwards, the plan downwards.
        return note | {"showarrow": False, "xshift": dx, "yshift": -dy}
    led = {"arrowhead": 0, "standoff": SETUP_PX / 2 + 1, "arrowwidth": 0.8, "arrowcolor": INK}
    return note | led | {"showarrow": True, "ax": dx, "ay": dy}
