"""Thousands of readings at a bounded cost: only those nearby are conditioned on."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from kit.floor.conditioning import Conditioned
from kit.floor.places import Array

Rows = NDArray[np.intp]

#: Readings spread over the whole survey that every neighbourhood shares: they hold the trend.
ANCHORS = 60
#: Readings about the middle of a tile, and about each of its places.
ABOUT_TILE = 160
ABOUT_PLACE = 12
#: Places that share a neighbourhood, and the tile's side in median spacings.
TILE_PLACES = 64
TILE_SPACINGS = 4.0
#: Readings that a joint covariance is conditioned on.
JOINT_READINGS = 1500
#: Share of a sample that is spread over the survey; the rest lies in close patches.
SPREAD_SHARE = 0.4
PATCH = 30


def sample(x_mm: Array, y_mm: Array, size: int, seed: int) -> Rows:
    """Return rows of a seeded sample: some spread out, the rest in patches of neighbours.

    Notes
    -----
    Spread readings alone would say nothing of the unevenness at the spacing of the readings.
    """
    generator = np.random.default_rng(seed)
    places = np.column_stack([x_mm, y_mm])
    spread = generator.choice(len(places), int(size * SPREAD_SHARE), replace=False)
    centres = places[generator.choice(len(places), (size - len(spread)) // PATCH, replace=False)]
    patches = cKDTree(places).query(centres, k=PATCH)[1]
    return np.union1d(spread, patches.ravel()).astype(np.intp)


def anchors(count: int) -> Rows:
    """Return rows of a seeded handful of readings, spread over all of them."""
    return np.sort(np.random.default_rng(0).choice(count, ANCHORS, replace=False))


def predict_in_tiles(
    conditioned_on: Callable[[Rows], Conditioned],
    readings: tuple[Array, Array],
    x_mm: Array,
    y_mm: Array,
    side_mm: float,
) -> tuple[Array, Array]:
    """Return heights and standard deviations at places, each tile from its own neighbourhood.

    Parameters
    ----------
    conditioned_on : callable
        Gives the kriging from some rows of the readings.
    readings : two (n,) arrays
        Places of the readings [mm].
    x_mm, y_mm : (m,) array
        Places [mm].
    side_mm : float
        Side of a tile [mm].
    """
    tree = cKDTree(np.column_stack(readings))
    shared = anchors(len(readings[0]))
    height, sd = np.empty(len(x_mm)), np.empty(len(x_mm))
    for tile in _tiles(x_mm, y_mm, side_mm):
        places = np.column_stack([x_mm[tile], y_mm[tile]])
        about = tree.query(places.mean(axis=0), k=ABOUT_TILE)[1]
        beside = tree.query(places, k=ABOUT_PLACE)[1].ravel()
        rows = np.unique(np.concatenate([about, beside, shared]))
        height[tile], sd[tile] = conditioned_on(rows).predict(x_mm[tile], y_mm[tile])
    return height, sd


def _tiles(x_mm: Array, y_mm: Array, side_mm: float) -> Iterator[Rows]:
    """Yield the rows of the places that share a tile, at most 64 at a time."""
    squares = np.column_stack([np.floor(x_mm / side_mm), np.floor(y_mm / side_mm)])
    _, tile = np.unique(squares, axis=0, return_inverse=True)
    order = np.argsort(tile, kind="stable")
    for rows in np.split(order, np.flatnonzero(np.diff(tile[order])) + 1):
        for first in range(0, len(rows), TILE_PLACES):
            yield rows[first : first + TILE_PLACES]


def nearest_rows(readings: tuple[Array, Array], x_mm: Array, y_mm: Array) -> Rows:
    """Return the rows of the 1,500 readings nearest to any of the places, anchors among them."""
    places = cKDTree(np.column_stack([x_mm, y_mm]))
    near = np.asarray(places.query(np.column_stack(readings))[0])
    shared = anchors(len(near))
    near[shared] = -1.0
    return np.sort(np.argpartition(near, JOINT_READINGS)[:JOINT_READINGS])
