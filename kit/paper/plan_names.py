"""The names on a plan: of units, areas, services, doorways, the high point and the supports.

A name that finds no room where it belongs stands in the plan's key by a number, whole.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kit.answer import Answer
from kit.ink.lengths import length, plan_length
from kit.ink.table import records
from kit.paper.label_places import Box, Taken, bounds, column, lines_within
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import Letters, Mark, Place
from kit.paper.plan_view import SITE, Places, View
from kit.paper.text_lines import single_line

_SMALL = 2.5

#: Places within a box that a name is tried at, as shares of its width and height.
_ACROSS = (0.5, 0.35, 0.65, 0.2, 0.8)
_DOWN = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.12, 0.88)


class Namer:
    """Puts names on a plan, and keeps a key of those that found no room.

    Parameters
    ----------
    view : View
        The plan.
    taken : Taken
        What letters must keep off.
    """

    def __init__(self, view: View, taken: Taken) -> None:
        self.view = view
        self.taken = taken
        self.marks: list[Mark] = []
        self.key: list[str] = []
        self._number = 0

    def put(self, tries: Iterator[Sequence[Letters]]) -> bool:
        """Put lines of letters at the first place that is free, and tell whether one was."""
        found = self.taken.first(tries)
        self.marks += found
        return bool(found)

    def name_area(self, text: str, where: str, corners: Places) -> None:
        """Name what has room of its own: within it, or by a number.

        Parameters
        ----------
        text : str
            Its name.
        where : str
            Where it is, for the key, if not even a number finds room.
        corners : tuple of Place
            Of what is seen of it [mm of paper]; nothing is named where nothing is seen.
        """
        if not corners:
            return
        room = bounds(corners)
        if self.put(_within(text, room, (3.5, 3.0, _SMALL))):
            return
        self._by_number(text, where, _within(str(self._number + 1), room, (3.5, _SMALL)))

    def name_line(self, text: str, where: str, ends: Places) -> None:
        """Name a line: beside it, or by a number; nothing where nothing of it is seen."""
        if not ends:
            return
        if self.put(_beside_line(text, ends)):
            return
        self._by_number(text, where, _beside_line(str(self._number + 1), ends))

    def _by_number(self, text: str, where: str, tries: Iterator[Sequence[Letters]]) -> None:
        if self.put(tries):
            self._number += 1
            where = str(self._number)
        self.key.append(f"{where}: {text}")

    def name_place(self, text: str, at: Place, off: Place, *, far: bool = False) -> bool:
        """Name a place: above, below or beside what is drawn there.

        Parameters
        ----------
        text : str
        at : Place
            Its middle [mm of paper].
        off : tuple of float
            Half of how wide and tall what is drawn there is [mm].
        far : bool
            Whether there is no other such place for which it could be taken: it is bold, and may
            stand further off.

        Returns
        -------
        bool
            Whether there was room.
        """
        return self.put(_around(text, at, off, far=far))


def _within(text: str, room: Box, sizes: Sequence[float]) -> Iterator[Sequence[Letters]]:
    """Yield places of a name within a box, the largest letters first, in at most three lines."""
    wide, tall = room.right - room.left, room.bottom - room.top
    for size in sizes:
        lines = lines_within(text, size, max(wide - 1.5, 1.0))
        if " ".join(lines).split() != text.split():
            continue  # a word would be torn
        if len(lines) > 3 or len(lines) * size * 1.25 > tall:
            continue
        if any(letters_wide_mm(line, size) > wide - 1.0 for line in lines):
            continue
        half = max(letters_wide_mm(line, size) for line in lines) / 2 + 0.5
        for down in _DOWN:
            for across in _ACROSS:
                x = min(max(room.left + across * wide, room.left + half), room.right - half)
                yield column((x, room.top + down * tall), lines, size, halo=True)


def _beside_line(text: str, ends: Places) -> Iterator[Sequence[Letters]]:
    """Yield places of a name beside a line: along it where it stands upright, else above it."""
    (x0, y0), (x1, y1) = ends[0], ends[-1]
    upright = abs(y1 - y0) > abs(x1 - x0)
    for share in (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9):
        x, y = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
        if upright:
            for off in (-1.3, 3.0):
                yield (Letters((x + off, y), text, _SMALL, "middle", 90.0, halo=True),)
        for off in (-1.2, 2.9):
            yield (Letters((x, y + off), text, _SMALL, "middle", halo=True),)
        yield (Letters((x + 1.3, y + 0.7), text, _SMALL, "start", halo=True),)
        yield (Letters((x - 1.3, y + 0.7), text, _SMALL, "end", halo=True),)


def _around(text: str, at: Place, off: Place, *, far: bool) -> Iterator[Sequence[Letters]]:
    (x, y), bold = at, far
    for out in (0.9, 1.7, 2.8, 4.0) if far else (0.9, 1.7):
        for aside in (0.0, 1.5, -1.5, *((4.0, -4.0, 8.0, -8.0) if far else ())):
            for up in (y - off[1] - out, y + off[1] + out + 0.75 * _SMALL):
                yield (Letters((x + aside, up), text, _SMALL, "middle", bold=bold, halo=True),)
        base = y + 0.27 * _SMALL
        yield (Letters((x + off[0] + out, base), text, _SMALL, "start", bold=bold, halo=True),)
        yield (Letters((x - off[0] - out, base), text, _SMALL, "end", bold=bold, halo=True),)


def support_boxes(answer: Answer, view: View) -> list[Box]:
    """Return the upright boxes of all supports that a view shows [mm of paper]."""
    along, across = (size / 2 for size in answer.layout.packer_size_mm)
    found = []
    for one in records(answer.supports):
        x, y, of = float(one["own_x_mm"]), float(one["own_y_mm"]), answer.layout.frames[one["run"]]
        corners = view.rectangle(of, (x - along, x + along), (y - across, y + across))
        found += [bounds(corners)] if corners else []
    return found


def put_names(answer: Answer, namer: Namer, run: str = "") -> None:
    """Name all that a plan shows, but the supports; units of one run where it is named."""
    view, units = namer.view, answer.job.units
    high = view.places(SITE, [answer.high_point.x_mm], [answer.high_point.y_mm])[0]
    if view.shows(high):
        namer.taken.take(Box(*high, *high).grown(1.7))
    for placed in answer.layout.units:
        if run not in ("", placed.run):
            continue
        x = placed.left_mm, placed.right_mm
        of = answer.layout.frames[placed.run]
        where = f"from {plan_length(x[0], units)} to {plan_length(x[1], units)} {units}"
        where = f"run {placed.run}, {where}" if len(answer.job.runs) > 1 else where
        corners = view.rectangle(of, x, (0.0, placed.unit.depth_mm))
        namer.name_area(placed.unit.name, where, corners)
    if view.shows(high) and not namer.name_place("high point", high, (1.9, 1.9), far=True):
        namer.key.append("black star: the high point")
    _areas(answer, namer)
    for service in answer.job.services:
        depth = length(service.depth_mm, units)
        ends = view.line(SITE, service.from_mm, service.to_mm)
        namer.name_line(f"{depth} {units} deep: {service.name}", "thick dashed line", ends)
    for door in answer.job.doorways:
        namer.name_line(door.name, "doorway", view.line(SITE, door.from_mm, door.to_mm))
    for joint in answer.job.movement_joints:
        ends = view.line(SITE, joint.from_mm, joint.to_mm)
        namer.name_line(f"movement joint: {joint.name}", "thick dash-dotted line", ends)


def _areas(answer: Answer, namer: Namer) -> None:
    for area in answer.job.no_go:
        (x, y), (wide, deep) = area.corner_mm, area.size_mm
        corners = namer.view.rectangle(SITE, (x, x + wide), (y, y + deep))
        namer.name_area(f"no {area.forbids}: {area.name}", "hatched area", corners)


def name_supports(answer: Answer, namer: Namer, run: str = "") -> None:
    """Name the supports that find room; of one run where it is named."""
    along, across = (size / 2 for size in answer.layout.packer_size_mm)
    half = along / namer.view.scale, across / namer.view.scale
    for one in records(answer.supports):
        at = namer.view.places(SITE, [float(one["x_mm"])], [float(one["y_mm"])])[0]
        if namer.view.shows(at) and run in ("", str(one["run"])):
            namer.name_place(str(one["support"]), at, half)


def key_lines(key: Sequence[str]) -> list[str]:
    """Return a key's entries as lines: side by side, one that is read from the right alone."""
    lines: list[str] = []
    for entry in key:
        alone = bool(single_line(entry).levels)
        if alone or not lines or single_line(lines[-1]).levels:
            lines.append(entry)
        else:
            lines[-1] += f"; {entry}"
    return lines
