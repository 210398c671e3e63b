"""Which heights straight edges leave open: they tell how the floor bends, not how it lies."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from kit.job.refusal import Problem
from kit.readings.equations import Floats, Model
from kit.readings.survey import Readings, names_in_words

#: Unknowns of a network whose open directions are looked for, to bound the time.
MOST_UNKNOWNS = 2000

#: A singular value below this share of the largest is zero but for rounding.
ZERO = 1e-10

#: A point that moves less than this in an open direction of length 1 does not move.
MOVES = 1e-7


def left_open(model: Model, readings: Readings, fixed: Mapping[str, float]) -> Problem | None:
    """Return what straight edges leave open, where a network cannot be solved for that reason.

    Parameters
    ----------
    model : Model
        Rows that do not determine all unknowns, though all are tied together.
    readings : Readings
        All tables.
    fixed : mapping of str to float
        Heights that are known, by point.

    Returns
    -------
    Problem or None
        None where no straight edge is the reason, or the network is too large to say.

    Notes
    -----
    A direction in which the unknowns can move and no reading changes is a null vector of the
    design matrix, here of the columns not held. Had from its singular values.
    """
    rows = readings.rows
    edges = rows[rows["kind"] == "straightedge"]
    if edges.empty or len(model.names) > MOST_UNKNOWNS:
        return None
    points = readings.places["point"].tolist()
    others = rows[rows["kind"] != "straightedge"]
    held = next(iter(fixed), others["point"].iloc[0] if len(others) else points[0])
    kept = np.flatnonzero(~((model.kinds == "height") & (model.names == held)))
    null = _null_space(model.design[:, kept].toarray())
    moves = np.zeros(len(model.names), dtype=bool)
    moves[kept] = abs(null).max(axis=1, initial=0.0) > MOVES
    open_points = [p for p, m in zip(points, moves[: len(points)], strict=True) if m]
    here = edges[edges["point"].isin(open_points)]
    if here.empty:
        return None
    first = here.iloc[0]
    return Problem(
        f"{first['survey']}, row {first['row']}, placement {first['setup']}",
        f"points {names_in_words(open_points)}, of which the straight edge tells no height: it"
        " shows how the floor bends under it, not how it falls",
        "two points of each straight edge, well apart, that staff, level or heights read too",
    )


def _null_space(design: Floats) -> Floats:
    _, singular, right = np.linalg.svd(design, full_matrices=True)
    rank = int(np.sum(singular > ZERO * singular.max(initial=0.0)))
    return np.asarray(right[rank:].T)
