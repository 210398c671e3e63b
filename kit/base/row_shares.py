"""How a unit that stands on more than two rows shares its load among them."""

from __future__ import annotations

import math
from collections.abc import Sequence

from kit.base.runs import PlacedUnit, Row


def rows_under(placed: PlacedUnit, rows: Sequence[Row], side_mm: float | None = None) -> list[Row]:
    """Return the rows under a unit, from the wall into the room.

    Parameters
    ----------
    placed : PlacedUnit
        The unit at its place.
    rows : sequence of Row
        Of its base.
    side_mm : float, optional
        Centre line of the side or division that is asked of [mm], the unit's left side unless
        given: of a row that a movement joint parts, it stands on one part only.
    """
    name = (placed.run, placed.unit.name)
    at = placed.panels[0].x_mm if side_mm is None else side_mm
    return sorted(
        (
            row
            for row in rows
            if row.bears(at) and name in ((other.run, other.unit.name) for other in row.units)
        ),
        key=lambda row: row.y_mm,
    )


def rigid_shares(places_mm: Sequence[float], gravity_mm: float) -> tuple[float, ...]:
    """Share one load among rows as a rigid body on rows that yield alike.

    Parameters
    ----------
    places_mm : sequence of float
        The rows, ascending [mm]; two or more.
    gravity_mm : float
        Where the load acts, between the outer rows [mm].

    Returns
    -------
    tuple of float
        0 to 1 each and 1 in all; their middle is where the load acts.

    Notes
    -----
    Eq. (1): share = 1/n + (g - m) (y - m) / sum of (y - m)², m the mean of the places: the rule
    of the rigid pile cap (from memory); of two rows it is the lever rule. A row that would have
    to pull is left out, and the rest shares anew: the outermost one away from the load.

    Examples
    --------
    >>> rigid_shares((0.0, 100.0), 25.0)
    (0.75, 0.25)
    >>> [round(share, 6) for share in rigid_shares((0.0, 100.0, 200.0), 100.0)]
    [0.333333, 0.333333, 0.333333]
    """
    count = len(places_mm)
    middle = math.fsum(places_mm) / count
    spread = math.fsum((place - middle) ** 2 for place in places_mm)
    shares = [
        1 / count + (gravity_mm - middle) * (place - middle) / spread for place in places_mm
    ]  # Eq. (1)
    if count == 2 or min(shares) >= 0:
        return tuple(shares)
    if shares[0] < 0:
        return (0.0, *rigid_shares(places_mm[1:], gravity_mm))
    return (*rigid_shares(places_mm[:-1], gravity_mm), 0.0)
