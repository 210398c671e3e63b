"""What the floor is like: plane, surface between the readings, surveyed part, high point."""

from kit.floor.extent import Extent
from kit.floor.high_point import HighPoint, find_high_point
from kit.floor.moments import Moments, PlaneOfMany, fit_plane_of_many
from kit.floor.plane import Extreme, Plane, fit_plane
from kit.floor.robust import fit_plane_robust
from kit.floor.row_noise import RowNoise
from kit.floor.surface import Prediction, Surface, fit_surface

__all__ = [
    "Extent",
    "Extreme",
    "HighPoint",
    "Moments",
    "Plane",
    "PlaneOfMany",
    "Prediction",
    "RowNoise",
    "Surface",
    "find_high_point",
    "fit_plane",
    "fit_plane_of_many",
    "fit_plane_robust",
    "fit_surface",
]
