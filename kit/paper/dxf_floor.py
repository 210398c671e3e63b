"""The floor in a drawing file: readings, contours, high point, joists, walls, what stays free."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kit.answer import Answer
from kit.base.layout import Layout
from kit.floor import Surface
from kit.ink.lengths import Units, length, length_with_unit, small
from kit.ink.table import records
from kit.job import Job, Joists, Run
from kit.job.units import MM_PER_INCH
from kit.paper.dxf_pencil import LETTERS_MM, MOVEMENT_JOINTS, Pencil
from kit.paper.dxf_room import Place

Floats = NDArray[np.float64]

#: Steps of the contours in the job's units, of which the first that gives few enough is taken.
STEPS = {
    "mm": (0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0),
    "in": (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0),
}

#: Contours at most: more are not read.
MOST_CONTOURS = 12

#: Places of the grid that the contours are found on, about.
_GRID = 2500

#: Letters of readings and contours [mm].
_SMALL_MM = 14.0

#: How far a wall is drawn beyond a run's ends and in front of its units [mm].
BEYOND_MM = 250.0

#: Units of another run this near to an end stand where a wall would be drawn [mm].
_BESIDE_MM = 15.0


def draw_room(pencil: Pencil, answer: Answer) -> None:
    """Draw walls, skirtings, doorways, areas to stay free, services and joists.

    Parameters
    ----------
    pencil : Pencil
        Draws.
    answer : Answer
        Its job, and the layout that the walls belong to.
    """
    job, layout = answer.job, answer.layout
    for run in job.runs:
        _walls(pencil, run, layout)
    for door in job.doorways:
        pencil.line("DOORWAYS", door.from_mm, door.to_mm)
        pencil.name("DOORWAYS", door.name, _middle(door.from_mm, door.to_mm))
    for area in job.no_go:
        (x, y), (wide, deep) = area.corner_mm, area.size_mm
        corners = [(x, y), (x + wide, y), (x + wide, y + deep), (x, y + deep)]
        pencil.outline("NO_GO", corners)
        pencil.name("NO_GO", f"{area.name}\nno {area.forbids}", (x + wide / 2, y + deep / 2))
    _services(pencil, job)
    if job.movement_joints:
        pencil.has_joints()
    for joint in job.movement_joints:
        layer = MOVEMENT_JOINTS.name
        pencil.line(layer, joint.from_mm, joint.to_mm)
        said = f"movement joint: {joint.name}"
        pencil.name(layer, said, _middle(joint.from_mm, joint.to_mm))
    if job.floor.joists is not None:
        for number, corners in enumerate(joist_outlines(job.floor.joists, across(answer)), 1):
            pencil.outline("JOISTS", corners)
            if number == 1:
                said = f"joists, centres {length_with_unit(job.floor.joists.centres_mm, job.units)}"
                pencil.name("JOISTS", said, _middle(corners[2], corners[3]))


def _walls(pencil: Pencil, run: Run, layout: Layout) -> None:
    own, back = layout.frames[run.name], -run.skirting_mm
    left = 0.0 if run.left_wall else -BEYOND_MM
    right = run.length_mm + (0.0 if run.right_wall else BEYOND_MM)
    if run.skirting_mm:
        x, y = own.to_site([left, right, right, left], [back, back, 0.0, 0.0])
        pencil.outline("SKIRTINGS", zip(x, y, strict=True))
    strips = [((left, right), (back, back))]
    deep = max(unit.depth_mm for unit in run.units) + BEYOND_MM
    for at, there in ((left, run.left_wall), (right, run.right_wall)):
        strips += [((at, at), (back, _free_depth(run, layout, at, deep)))] if there else []
    for x_mm, y_mm in strips:
        start, end = zip(*own.to_site(x_mm, y_mm), strict=True)
        pencil.line("WALLS", start, end)


def _free_depth(run: Run, layout: Layout, at_mm: float, deep_mm: float) -> float:
    """Return how far a wall at a run's end reaches before another run's units stand there."""
    own, free = layout.frames[run.name], deep_mm
    for placed in layout.units:
        if placed.run == run.name:
            continue
        ends, deep = [placed.left_mm, placed.right_mm], placed.unit.depth_mm
        x, y = own.to_own(*layout.frames[placed.run].to_site(ends * 2, [0.0, 0.0, deep, deep]))
        if x.min() - _BESIDE_MM < at_mm < x.max() + _BESIDE_MM and y.max() > 0:
            free = min(free, max(float(y.min()) - _BESIDE_MM, -run.skirting_mm))
    return free


def _services(pencil: Pencil, job: Job) -> None:
    for service in job.services:
        pencil.line("SERVICES", service.from_mm, service.to_mm)
        if service.clear_mm:
            pencil.outline("SERVICES", strip(service.from_mm, service.to_mm, service.clear_mm))
        deep, clear = (
            length_with_unit(mm, job.units) for mm in (service.depth_mm, service.clear_mm)
        )
        said = f"{service.name}\n{deep} deep, screws keep {clear} away"
        pencil.name("SERVICES", said, service.to_mm)


def strip(start: Place, end: Place, half: float) -> list[Place]:
    """Return the outline of a line made wide by as much on each side, and longer at both ends."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    size = math.hypot(dx, dy)
    ax, ay = (dx / size * half, dy / size * half) if size else (half, 0.0)
    (x0, y0), (x1, y1) = (start[0] - ax, start[1] - ay), (end[0] + ax, end[1] + ay)
    return [(x0 - ay, y0 + ax), (x1 - ay, y1 + ax), (x1 + ay, y1 - ax), (x0 + ay, y0 - ax)]


def across(answer: Answer) -> tuple[Floats, Floats]:
    """Return places in x and y that the plan covers: units and readings."""
    points = answer.heights.points
    corners = [
        answer.layout.frames[one.run].to_site(
            [one.left_mm, one.right_mm] * 2, [0.0, 0.0, one.unit.depth_mm, one.unit.depth_mm]
        )
        for one in answer.layout.units
    ]
    x = np.concatenate([points["x_mm"].to_numpy(dtype=float), *(x for x, _ in corners)])
    y = np.concatenate([points["y_mm"].to_numpy(dtype=float), *(y for _, y in corners)])
    return x, y


def joist_outlines(joists: Joists, places: tuple[Floats, Floats]) -> Iterator[list[Place]]:
    """Yield the outline of each joist under the places, from bearing to bearing.

    Parameters
    ----------
    joists : Joists
        ``job.floor.joists``.
    places : tuple of (n,) array
        x and y that the plan covers [mm].
    """
    sideways = places[0] if joists.along == "y" else places[1]
    half, first, each = joists.width_mm / 2, joists.first_mm, joists.centres_mm
    low = max(0, math.ceil((float(sideways.min()) - half - first) / each))
    high = math.floor((float(sideways.max()) + half - first) / each)
    start, end = joists.bearing_mm[0], joists.bearing_mm[-1]
    for number in range(low, high + 1):
        at = first + number * each
        corners = [(at - half, start), (at + half, start), (at + half, end), (at - half, end)]
        yield corners if joists.along == "y" else [(y, x) for x, y in corners]


def draw_floor(pencil: Pencil, answer: Answer, found: Contours) -> None:
    """Draw readings, high point and contours, each at its own height.

    Parameters
    ----------
    pencil : Pencil
        Draws.
    answer : Answer
        Its survey and its high point.
    found : Contours
        Of its surface.
    """
    units, high = answer.job.units, answer.high_point
    at = high.x_mm, high.y_mm
    pencil.point("HIGH_POINT", at, high.height_mm)
    pencil.circle("HIGH_POINT", at, 18.0)
    said = f"high point {_height(high.height_mm, units)}, sd {small(high.sd_mm, units)}"
    pencil.name("HIGH_POINT", f"{said}\n{high.certainty:.0%} certain", (at[0], at[1] + 60.0))
    for one in records(answer.heights.points):
        place = one["x_mm"], one["y_mm"]
        pencil.point("READINGS", place, one["height_mm"])
        label = f"{one['point']}\n{_height(one['height_mm'], units)}"
        pencil.name("READINGS", label, (place[0], place[1] + 1.7 * _SMALL_MM), size_mm=_SMALL_MM)
    for level, lines in found.lines:
        for places in lines:
            _contour(pencil, places, level, units)


def _height(mm: float, units: Units) -> str:
    """Return a height: tenths of a millimetre, thousandths of an inch."""
    return length(mm, units) if units == "mm" else small(mm, units)


def _contour(pencil: Pencil, places: Floats, level_mm: float, units: Units) -> None:
    closed = len(places) > 3 and bool(np.array_equal(places[0], places[-1]))
    kept = places[:-1] if closed else places
    pencil.path("FLOOR_CONTOURS", kept.tolist(), closed=closed, height_mm=level_mm)
    if np.hypot(*np.diff(places, axis=0).T).sum() > 8 * LETTERS_MM:
        x, y = places[len(places) // 2].tolist()
        pencil.name("FLOOR_CONTOURS", level_text(level_mm, units), (x, y), size_mm=_SMALL_MM)


def level_text(level_mm: float, units: Units) -> str:
    """Return the height of a contour in the job's units, decimals of an inch in inches."""
    value = level_mm / MM_PER_INCH if units == "in" else level_mm
    return f"{round(value, 4) + 0.0:+g}" if round(value, 4) else "0"


def contour_step(low_mm: float, high_mm: float, units: Units) -> float:
    """Return the distance of contours between two heights [mm]: a round one in the job's units."""
    unit = MM_PER_INCH if units == "in" else 1.0
    steps = [step * unit for step in STEPS[units]]
    few = (s for s in steps if math.floor(high_mm / s) - math.ceil(low_mm / s) < MOST_CONTOURS)
    return next(few, steps[-1])


@dataclass(frozen=True)
class Contours:
    """Lines of equal height over the surveyed floor.

    Parameters
    ----------
    step_mm : float
        Height from one to the next [mm].
    lines : tuple of (float, tuple of (n, 2) array)
        Each height [mm], and the places of its lines [mm].
    """

    step_mm: float
    lines: tuple[tuple[float, tuple[Floats, ...]], ...]


def contours(surface: Surface, units: Units) -> Contours:
    """Return the contours of the surveyed floor.

    Parameters
    ----------
    surface : Surface
        The floor; where it was not surveyed there are none.
    units : {"mm", "in"}
        Of the job, in which their distance is a round number.
    """
    from contourpy import contour_generator  # noqa: PLC0415 - with the drawing itself

    grid_x, grid_y = _grid(surface)
    flat = grid_x.ravel(), grid_y.ravel()
    known = surface.surveyed(*flat)
    heights = np.full(known.shape, np.nan)
    heights[known] = surface.predict(flat[0][known], flat[1][known]).height_mm
    low, high = float(np.nanmin(heights)), float(np.nanmax(heights))
    step = contour_step(low, high, units)
    masked = np.ma.masked_invalid(heights.reshape(grid_x.shape))
    found = contour_generator(grid_x, grid_y, masked)
    numbers = range(math.ceil(low / step), math.floor(high / step) + 1)
    return Contours(step, tuple((n * step, _long(found.lines(n * step))) for n in numbers))


def _long(lines: Iterable[Any]) -> tuple[Floats, ...]:
    """Return the lines that have a length."""
    arrays = (np.asarray(one, dtype=float) for one in lines)
    return tuple(one for one in arrays if len(one) > 1)


def _grid(surface: Surface) -> tuple[Floats, Floats]:
    x, y = surface.x_mm, surface.y_mm
    each = math.sqrt(float(np.ptp(x)) * float(np.ptp(y)) / _GRID)
    grid_x, grid_y = np.meshgrid(_even(x, each), _even(y, each))
    return grid_x, grid_y


def _even(values: Floats, each: float) -> Floats:
    low, high = float(values.min()), float(values.max())
    return np.linspace(low, high, max(2, math.ceil((high - low) / each) + 1))


def _middle(start: Place, end: Place) -> Place:
    return (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
