"""Lengths in plan that a reading depends on: a spirit level's span, a place along a straight edge.

Both are in metres, so that what multiplies them is a slope in millimetres a metre.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from kit.readings.equations import Floats


def span_m(rows: pd.DataFrame, places: pd.DataFrame) -> Floats:
    """Return the distance of the two ends of each spirit-level reading [m], (rows,).

    Parameters
    ----------
    rows : DataFrame
        ``point``, ``start`` (empty where a reading has one end), ``x_mm``, ``y_mm`` of the point.
    places : DataFrame
        ``x_mm``, ``y_mm`` by point.

    Returns
    -------
    (rows,) array
        0 for readings with one end.
    """
    two = (rows["start"] != "").to_numpy()
    span = np.zeros(len(rows))
    start = places.loc[rows["start"][two], ["x_mm", "y_mm"]].to_numpy(dtype=float)
    step = rows.loc[two, ["x_mm", "y_mm"]].to_numpy(dtype=float) - start
    span[two] = np.hypot(step[:, 0], step[:, 1]) / 1000
    return span


def along_edge_m(rows: pd.DataFrame) -> Floats:
    """Return how far along its straight edge each gap lies, from the middle [m], (rows,).

    Parameters
    ----------
    rows : DataFrame
        ``kind``, ``station`` (the placement), ``x_mm``, ``y_mm``.

    Returns
    -------
    (rows,) array
        Along the line that fits the placement's places best; 0 for other kinds of readings.
    """
    along = np.zeros(len(rows))
    for at, place in _placements(rows):
        along[at] = place @ _direction(place) / 1000
    return along


def beside_edge_mm(rows: pd.DataFrame) -> Floats:
    """Return how far beside the middle line of its straight edge each gap lies [mm], (rows,)."""
    beside = np.zeros(len(rows))
    for at, place in _placements(rows):
        x, y = _direction(place)
        beside[at] = place @ np.array([-y, x])
    return beside


def _placements(rows: pd.DataFrame) -> list[tuple[Floats, Floats]]:
    """Return the row numbers of each placement, and its places from their middle [mm]."""
    edge = rows[rows["kind"] == "straightedge"]
    found = []
    for at in edge.groupby("station", sort=False).indices.values():
        place = edge[["x_mm", "y_mm"]].to_numpy(dtype=float)[at]
        found.append((edge.index.to_numpy()[at], place - place.mean(axis=0)))
    return found


def _direction(place: Floats) -> Floats:
    """Return the unit vector along which places from their middle spread most, (2,)."""
    direction = np.linalg.svd(place, full_matrices=False)[2][0]
    largest = int(np.argmax(abs(direction)))
    return np.asarray(direction * np.sign(direction[largest]))
