"""Distances in plan: of lines to lines, to places and to rectangles."""

from __future__ import annotations

from typing import Protocol

import numpy as np

from kit.flatness.along import HasEnds, Place
from kit.height_grid import Array

#: Directions within this of each other are one [degrees].
ONE_DIRECTION_DEGREES = 0.5


class HasCorner(Protocol):
    """A rectangle of the plan: a column, a pit, a no-go area of a job."""

    @property
    def corner_mm(self) -> Place:
        """Place of its corner nearest to x 0, y 0 [mm]."""

    @property
    def size_mm(self) -> tuple[float, float]:
        """Its size along x and y [mm]."""


def to_places_mm(line: HasEnds, x_mm: Array, y_mm: Array) -> Array:
    """Return the distances (n,) of places to a line between its ends [mm]."""
    (ax, ay), (bx, by) = line.from_mm, line.to_mm
    dx, dy = bx - ax, by - ay
    square = dx * dx + dy * dy or 1.0
    share = np.clip(((x_mm - ax) * dx + (y_mm - ay) * dy) / square, 0.0, 1.0)
    return np.asarray(np.hypot(x_mm - ax - share * dx, y_mm - ay - share * dy))


def apart_mm(one: HasEnds, other: HasEnds) -> float:
    """Return the distance between two lines [mm]; 0 where they cross or touch."""
    if _cross(one, other):
        return 0.0
    ends = [
        to_places_mm(a, *(np.array(each) for each in zip(b.from_mm, b.to_mm, strict=True)))
        for a, b in ((one, other), (other, one))
    ]
    return float(np.min(ends))


def to_rectangle_mm(line: HasEnds, rectangle: HasCorner) -> float:
    """Return the distance of a line to a rectangle [mm]; 0 where it meets or lies in it."""
    (left, near), (wide, deep) = rectangle.corner_mm, rectangle.size_mm
    x, y = line.from_mm
    if left <= x <= left + wide and near <= y <= near + deep:
        return 0.0
    corners = [
        (left, near), (left + wide, near), (left + wide, near + deep), (left, near + deep),
    ]  # fmt: skip
    sides = zip(corners, [*corners[1:], corners[0]], strict=True)
    return min(apart_mm(line, _Side(*side)) for side in sides)


def places_to_rectangle_mm(rectangle: HasCorner, x_mm: Array, y_mm: Array) -> Array:
    """Return the distances (n,) of places to a rectangle [mm]; 0 inside."""
    (left, near), (wide, deep) = rectangle.corner_mm, rectangle.size_mm
    across = np.maximum(np.maximum(left - x_mm, x_mm - left - wide), 0.0)
    out = np.maximum(np.maximum(near - y_mm, y_mm - near - deep), 0.0)
    return np.asarray(np.hypot(across, out))


def direction_degrees(line: HasEnds) -> float:
    """Return a line's direction from +x towards +y, 0 up to 180: both ways along it are one."""
    (ax, ay), (bx, by) = line.from_mm, line.to_mm
    return float(np.degrees(np.arctan2(by - ay, bx - ax)) % 180.0)


def turned_degrees(one_degrees: float, other_degrees: float) -> float:
    """Return by how much two directions differ, 0 to 90 degrees."""
    turned = abs(one_degrees - other_degrees) % 180.0
    return min(turned, 180.0 - turned)


class _Side:
    def __init__(self, from_mm: Place, to_mm: Place) -> None:
        self.from_mm, self.to_mm = from_mm, to_mm


def _cross(one: HasEnds, other: HasEnds) -> bool:
    """Tell whether two lines cross between their ends."""
    sides = [
        _turn(a.from_mm, a.to_mm, b.from_mm) * _turn(a.from_mm, a.to_mm, b.to_mm)
        for a, b in ((one, other), (other, one))
    ]
    return sides[0] < 0 and sides[1] < 0


def _turn(a: Place, b: Place, c: Place) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
