"""A floor that is within the limit, made of one that is nearly so."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kit.flatness.grind_chords import worst_gap_mm
from kit.flatness.grind_fill import fill_up
from kit.flatness.grind_programme import CLOSE_MM, Bounds
from kit.height_grid import Array
from kit.job import refuse


def repaired(
    height_mm: Array, change_mm: Array, steps: int, limit_mm: float, bounds: Bounds
) -> Array:
    """Return the lightest change found that brings a floor within the limit.

    Parameters
    ----------
    height_mm : (ny, nx) array
        Heights, nan in holes [mm].
    change_mm : (ny, nx) array
        A change that leaves some cells too far below a chord [mm].
    steps, limit_mm, bounds
        As for `least_change`.

    Returns
    -------
    (ny, nx) array
        A change within the limit and the bounds [mm].

    Raises
    ------
    Refusal
        Where neither way below gives one within the bounds.

    Notes
    -----
    One way fills on until nothing lies too low (`fill_up`). The other mixes the change with one
    that makes the floor a plane as far as it may: how far the worst cell lies below a chord is
    convex in the heights, so a share of (worst - limit) / (worst - worst of the plane) suffices.
    """
    known = np.isfinite(height_mm)
    sound = [
        one
        for one in _tries(height_mm, change_mm, steps, limit_mm, bounds)
        if bounds.allow(one.ravel()).all()
        and worst_gap_mm(np.where(known, height_mm + one, np.nan), steps) <= limit_mm + CLOSE_MM
    ]
    if not sound:
        found = "stopped before the floor was within the limit"
        raise refuse("grind and fill, rounds", found, "more rounds")
    return min(sound, key=lambda one: bounds.weigh(one.ravel()))


def _tries(
    height_mm: Array, change_mm: Array, steps: int, limit_mm: float, bounds: Bounds
) -> Iterator[Array]:
    known = np.isfinite(height_mm)
    changed = np.where(known, height_mm + change_mm, np.nan)
    filled = fill_up(changed, steps, limit_mm).height_mm
    yield np.where(known, filled - height_mm, 0.0)
    worst = worst_gap_mm(changed, steps)
    for level in _planes(height_mm):
        low, high = (
            each.reshape(height_mm.shape) for each in (-bounds.most_grind_mm, bounds.most_fill_mm)
        )
        flat = np.where(known, np.clip(level - height_mm, low, high), 0.0)
        left = worst_gap_mm(np.where(known, height_mm + flat, np.nan), steps)
        if left < limit_mm:
            share = min(1.0, max(0.0, (worst - limit_mm) / (worst - left)))
            yield (1 - share) * change_mm + share * flat


def _planes(height_mm: Array) -> Iterator[Array]:
    """Yield the plane that fits best, and the same let down below the floor and lifted above it."""
    rows, columns = np.nonzero(np.isfinite(height_mm))
    design = np.stack([np.ones(len(rows)), columns, rows], axis=1)
    given = height_mm[rows, columns]
    fit = np.linalg.lstsq(design, given, rcond=None)[0]
    across, down = np.meshgrid(np.arange(height_mm.shape[1]), np.arange(height_mm.shape[0]))
    level, left = fit[0] + fit[1] * across + fit[2] * down, given - design @ fit
    for shift in (0.0, float(left.min()), float(left.max())):
        yield level + shift
