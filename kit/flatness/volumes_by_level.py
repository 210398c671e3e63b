"""Hollow and hump of a floor that steps: each level against its own datum, and all together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from kit.flatness.along import HasEnds
from kit.flatness.by_level import levels
from kit.flatness.volume_zones import WHOLE
from kit.flatness.volumes import Side, Volumes, datum_of_balance, volumes
from kit.height_grid import HeightGrid


class Told(NamedTuple):
    """Hollow and hump, and the datum [mm]; nan where parts of it have different ones."""

    volumes: Volumes
    datum_mm: float


def volumes_by_level(
    grid: HeightGrid, datum_mm: float | None = None, steps: Sequence[HasEnds] = ()
) -> dict[str, Told]:
    """Tell hollow and hump level by level.

    Parameters
    ----------
    grid : HeightGrid
        The floor.
    datum_mm : float or None
        Datum of all levels [mm]; unless given, each is told against the one where its own hollows
        and humps balance.
    steps : sequence of HasEnds
        Lines along which the floor steps: see `kit.flatness.by_level`.

    Returns
    -------
    dict
        By the words for each level (``before step 'X'``), then ``whole floor``: their sum. Only
        that where the floor has one level.

    Raises
    ------
    Refusal
        Where no cell has a height, or the datum is not finite.

    Notes
    -----
    The floor between a cell on one level and its neighbour on another is told of neither: each
    level ends half a cell beyond its outermost middles.
    """
    told = {}
    for one in levels(grid, steps):
        datum = datum_of_balance(one.grid) if datum_mm is None else datum_mm
        told[one.words] = Told(volumes(one.grid, datum, cells=one.cells), datum)
    if len(told) == 1:
        return {WHOLE: next(iter(told.values()))}
    whole = together([one.volumes for one in told.values()])
    return told | {WHOLE: Told(whole, math.nan if datum_mm is None else datum_mm)}


def together(parts: Sequence[Volumes]) -> Volumes:
    """Return hollow and hump of parts of a floor that have no cell in common, as one.

    Parameters
    ----------
    parts : sequence of Volumes
        Each told of a grid without the others' heights, so that their doubts are independent, and
        against a datum without a doubt.

    Returns
    -------
    Volumes
        Volumes and areas added up, doubts in squares; of the greatest depths the greatest.
    """
    return Volumes(
        _side([one.fill for one in parts]),
        _side([one.cut for one in parts]),
        sum(one.area_m2 for one in parts),
        sum(one.holes_m2 for one in parts),
        0.0,
    )


def _side(parts: Sequence[Side]) -> Side:
    litres, area = sum(one.litres for one in parts), sum(one.area_m2 for one in parts)
    litres_sd = math.hypot(*(one.litres_sd for one in parts))
    area_sd = math.hypot(*(one.area_sd_m2 for one in parts))
    if area <= 0:
        return Side(litres, litres_sd, area, area_sd, *[math.nan] * 6)
    mean = litres / area
    mean_sd = math.sqrt(sum(_variance(one, mean) for one in parts)) / area
    # Where a greatest depth lies on no cell of its own part it is nan: never the greatest.
    deepest = max(parts, key=lambda one: np.nan_to_num(one.greatest_mm, nan=-math.inf))
    place = (deepest.greatest_mm, deepest.greatest_sd_mm, deepest.x_mm, deepest.y_mm)
    return Side(litres, litres_sd, area, area_sd, mean, mean_sd, *place)


def _variance(one: Side, mean_mm: float) -> float:
    """Return the variance of litres - mean · area [l²]: the slope of the mean of all parts.

    A part tells those of its litres V, its area A and of V - m A, m its own mean; from them
    follows what V and A have in common.
    """
    volume, area = one.litres_sd**2, one.area_sd_m2**2
    if not one.area_m2 > 0 or not one.mean_mm > 0:
        return volume + mean_mm**2 * area
    own = one.mean_mm
    in_common = (volume + own**2 * area - (one.mean_sd_mm * one.area_m2) ** 2) / (2 * own)
    return max(0.0, volume + mean_mm**2 * area - 2 * mean_mm * in_common)
