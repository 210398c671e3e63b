"""What boards bear under the edge of a frame that lies on them along its length."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from kit.base.checks import Check
from kit.base.layout import Layout
from kit.base.no_go import SAME_PLACE_MM, closed_stretches
from kit.base.runs import Row
from kit.base.supports import Stand
from kit.job import Floor, NoGo
from kit.strength.bearing import Contact, bearing_ratio
from kit.strength.bearing_checks import design_loads
from kit.strength.pieces import Apart
from kit.strength.timber import kmod, timber_class
from kit.strength.worst import Worst, ratio_check, worst_of

#: Length of a member's edge that carries what comes down at one crossing [mm], less where the
#: next crossing or the member's end is nearer (common practice, no source).
EDGE_BEARS_MM = 100.0

_CHECK = "bearing of frame on board"
_SOURCE = (
    f"EN 1995-1-1 6.1.5, EN 338; EN 1990 Eq. 6.10; a crossing bears on {EDGE_BEARS_MM:g} mm of"
    " edge at most (common practice); no spread, kc,90 of 1"
)


def edge_checks(
    layout: Layout,
    apart: Apart,
    edge_mm: float,
    floor: Floor,
    service_class: int,
    no_go: Iterable[NoGo] = (),
) -> Iterator[Check]:
    """Yield what boards bear under each row of a frame; nothing on a solid floor.

    Parameters
    ----------
    layout : Layout
        Rows and supports.
    apart : Apart
        What each support carries.
    edge_mm : float
        Thickness of the members [mm].
    floor : Floor
        Kind and boards.
    service_class : int
        Of the room.
    no_go : iterable of NoGo
        Areas over which the members are cut clear: no edge bears there.
    """
    areas = tuple(no_go)
    if floor.kind == "solid":
        return
    loads = {one.support: design_loads(one) for one in apart.alone}
    for row, stands in zip(layout.rows, layout.stands, strict=True):
        if floor.board_strength_class is None or floor.board_mm is None:
            why, where = "no floor.board_strength_class given", f"{row.name}: all of it"
            yield Check(_CHECK, where, math.nan, math.nan, "of design", "not_checked", why)
            continue
        board = timber_class(floor.board_strength_class)
        closed = closed_stretches(row, layout.frames[row.run], edge_mm, areas)
        names = [str(name) for name in layout.on_bearer(row.name)["support"]]
        ratios = (
            Worst(
                # Nobody says which way the boards run: nothing is added to the contact's length.
                bearing_ratio(
                    force,
                    Contact(length, edge_mm, floor.board_mm, 0.0, 0.0, 0.0, 0.0),
                    board,
                    kmod(service_class, duration),
                ),
                f"at {name}, on {length:.0f} mm",
            )
            for name, length in zip(names, edge_lengths_mm(row, stands, closed), strict=True)
            for duration, force in loads[name]
        )
        yield ratio_check(_CHECK, row.name, worst_of(ratios), _SOURCE)


def edge_lengths_mm(
    row: Row, stands: Sequence[Stand], closed: Iterable[tuple[float, float, str]] = ()
) -> list[float]:
    """Return the length of edge that carries each crossing of a row [mm].

    Parameters
    ----------
    row : Row
        For the member's ends.
    stands : sequence of Stand
        Its crossings, from left to right.
    closed : iterable of (from, to, name)
        Stretches in which the member is cut clear of the floor [mm].

    Returns
    -------
    list of float
        `EDGE_BEARS_MM` about the crossing, as far as the member's end, half way to the next
        crossing, and the edge of a closed stretch.
    """
    places = [stand.x_mm for stand in stands]
    middles = [(a + b) / 2 for a, b in pairwise(places)]
    half = EDGE_BEARS_MM / 2
    lows = (row.start_mm, *middles)
    highs = (*middles, row.end_mm)
    shut = tuple(closed)
    found = []
    for x, low, high in zip(places, lows, highs, strict=True):
        left = max([low, *(end for _, end, _ in shut if end <= x + SAME_PLACE_MM)])
        right = min([high, *(start for start, _, _ in shut if start >= x - SAME_PLACE_MM)])
        found.append(min(half, x - left) + min(half, right - x))
    return found
