"""A stiff unit on supports of unequal height: three or more carry it, over the others it hangs.

Nothing bends: the unit comes to rest where its centre of gravity lies lowest. Places are in the
run's own frame; heights against the level that was meant, positive = high.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from kit.base.layout import Layout
from kit.base.row_shares import rows_under
from kit.base.runs import Floats, PlacedUnit
from kit.base.supports import Stand
from kit.job import refuse
from kit.strength.springs import spring_shares

#: A gap below this is round-off [mm].
TOUCHES_MM = 1e-7

#: Shares of the load below this are round-off.
_NOTHING = 1e-9

#: Three supports whose triangle is smaller than this share of their extent squared are in line.
_IN_LINE = 1e-6


@dataclass(frozen=True)
class Prop:
    """One place at which a unit stands: a side or division over a support.

    Parameters
    ----------
    support, row : str
        Name of the support and of its row.
    x_mm, y_mm : float
        The place in the run's own frame [mm].
    thickness_mm : float
        Of the side or division [mm].
    """

    support: str
    row: str
    x_mm: float
    y_mm: float
    thickness_mm: float


@dataclass(frozen=True, eq=False)
class Rest:
    """How a stiff body lies on its supports.

    Parameters
    ----------
    height_mm : float
        Of its underside under its centre of gravity [mm].
    slope : tuple of float
        How it rises along the run and out into the room [mm/mm].
    gaps_mm : array of shape (supports,)
        Between each support and its underside [mm].
    shares : array of shape (supports,)
        Of its weight, 0 to 1 and 1 in all.
    """

    height_mm: float
    slope: tuple[float, float]
    gaps_mm: Floats
    shares: Floats


@dataclass(frozen=True, eq=False)
class StiffUnit:
    """A unit and how it lies on its supports as a stiff body."""

    placed: PlacedUnit
    props: tuple[Prop, ...]
    rest: Rest

    def height_mm(self, x_mm: float, y_mm: float) -> float:
        """Return how high its underside lies at a place of the run's own frame [mm]."""
        x, y = gravity_of(self.placed)
        along, out = self.rest.slope
        return self.rest.height_mm + along * (x_mm - x) + out * (y_mm - y)


def gravity_of(placed: PlacedUnit) -> tuple[float, float]:
    """Return the centre of gravity of a unit in plan, midway along it, own frame [mm]."""
    middle = placed.left_mm + placed.unit.width_mm / 2
    return middle, placed.unit.centre_of_gravity_from_back_mm


def props_of(layout: Layout, placed: PlacedUnit, *, fixed: bool = False) -> tuple[Prop, ...]:
    """Return where a unit stands, row by row from the wall, from left to right.

    Parameters
    ----------
    layout : Layout
    placed : PlacedUnit
        One of its units.
    fixed : bool
        Whether supports are fixed to the unit, so that they press on it where they are, and not
        where sides and divisions press on them.
    """
    return _props(placed, layout, _by_row(layout), fixed=fixed)


def _by_row(layout: Layout) -> dict[str, list[tuple[str, Stand]]]:
    """Return the supports of each row with their names, from left to right."""
    names = iter(layout.supports["support"].tolist())  # in the order of rows and stands
    return {
        row.name: [(str(next(names)), stand) for stand in stands]
        for row, stands in zip(layout.rows, layout.stands, strict=True)
    }


def _props(
    placed: PlacedUnit,
    layout: Layout,
    by_row: Mapping[str, Sequence[tuple[str, Stand]]],
    *,
    fixed: bool,
) -> tuple[Prop, ...]:
    thick = {panel.x_mm: panel.thickness_mm for panel in placed.panels}
    return tuple(
        Prop(name, row.name, stand.x_mm if fixed else line, row.y_mm, thick[line])
        for row in rows_under(placed, layout.rows)
        for name, stand in by_row[row.name]
        for line in stand.lines
        if line in thick
    )


def stand_stiff(places_mm: Floats, tops_mm: Floats, gravity_mm: tuple[float, float]) -> Rest:
    """Lay a stiff body on supports that only press.

    Parameters
    ----------
    places_mm : array of shape (supports, 2)
        Where the supports are [mm].
    tops_mm : array of shape (supports,)
        Their heights [mm].
    gravity_mm : tuple of float
        The centre of gravity in plan, within the outline of the supports [mm].

    Returns
    -------
    Rest

    Raises
    ------
    Refusal
        Where the centre of gravity is outside the outline of the supports, or all are in line.

    Notes
    -----
    The underside z = a + b x + c y, with x and y from the centre of gravity, has the least
    potential energy::

        minimise a,   a + b x_i + c y_i >= t_i for all i                  (1)

    Its dual is the equilibrium of forces that only press::

        maximise sum f_i t_i,   sum f_i (1, x_i, y_i) = (1, 0, 0),   f_i >= 0     (2)

    so that it stands on that triangle about the centre of gravity that is highest there (linear
    programming, strong duality). Where several planes are lowest, it rocks, and the one with the
    largest gap is taken, as it is the one to fear. Where more than three supports touch, they
    share as equal springs that cannot pull: of all forces of (2) on them those with the least sum
    of squares.
    """
    about = places_mm - np.asarray(gravity_mm)
    triples, shares = _triangles(about)
    heights = (shares * tops_mm[triples]).sum(axis=1)
    highest = float(heights.max())  # Eq. (2)
    best = np.flatnonzero(heights >= highest - _NOTHING)
    corners = about[triples[best]]
    edges, rises = corners[:, 1:] - corners[:, :1], tops_mm[triples[best]]
    slopes = np.linalg.solve(edges, (rises[:, 1:] - rises[:, :1])[..., None])[..., 0]
    gaps = highest + slopes @ about.T - tops_mm
    lies = gaps.min(axis=1) >= min(-TOUCHES_MM, float(gaps.min(axis=1).max()))
    one = int(np.where(lies, gaps.max(axis=1), -np.inf).argmax())
    gap = np.where(gaps[one] < TOUCHES_MM, 0.0, gaps[one])
    carried = np.zeros(len(tops_mm))
    touching = np.flatnonzero(gap == 0)
    carried[touching] = spring_shares(about[touching])
    return Rest(highest, (float(slopes[one, 0]), float(slopes[one, 1])), gap, carried)


def greatest_shares(places_mm: Floats, gravity_mm: tuple[float, float]) -> Floats:
    """Return the greatest share of the weight that can come on each support, others being idle.

    Parameters
    ----------
    places_mm : array of shape (supports, 2)
    gravity_mm : tuple of float
        As for `stand_stiff`.

    Returns
    -------
    array of shape (supports,)
        However little the supports differ in height, any triangle about the centre of gravity may
        be the one that carries.
    """
    triples, shares = _triangles(places_mm - np.asarray(gravity_mm))
    greatest = np.zeros(len(places_mm))
    np.maximum.at(greatest, triples, shares)
    return greatest


@lru_cache(maxsize=64)
def _triples(count: int) -> NDArray[np.intp]:
    found = np.array(list(combinations(range(count), 3)), dtype=np.intp).reshape(-1, 3)
    found.flags.writeable = False
    return found


def _triangles(about_mm: Floats) -> tuple[NDArray[np.intp], Floats]:
    """Return all triangles about the origin, and what each corner carries of a weight there."""
    triples = _triples(len(about_mm))
    a, b, c = (about_mm[triples[:, corner]] for corner in range(3))
    parts = np.column_stack([_cross(b, c), _cross(c, a), _cross(a, b)])
    doubled = parts.sum(axis=1)
    extent = float(np.ptp(about_mm, axis=0).max()) if len(about_mm) else 0.0
    real = np.abs(doubled) > _IN_LINE * extent**2
    triples, shares = triples[real], parts[real] / doubled[real, None]
    inside = shares.min(axis=1, initial=1.0) >= -_NOTHING
    if not inside.any():
        raise refuse(
            "a stiff unit on its supports",
            "its centre of gravity outside their outline, or all of them in line",
            "supports about its centre of gravity",
        )
    return triples[inside], np.maximum(shares[inside], 0.0)


def _cross(one: Floats, other: Floats) -> Floats:
    found: Floats = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    return found


def stiff_units(
    layout: Layout, error_mm: Mapping[str, float], *, fixed: bool = False
) -> tuple[StiffUnit, ...]:
    """Lay all units on their supports as stiff bodies.

    Parameters
    ----------
    layout : Layout
    error_mm : mapping of str to float
        How much too high each support is, by its name [mm].
    fixed : bool
        As for `props_of`.

    Returns
    -------
    tuple of StiffUnit
        In the order of the layout's units.
    """
    found, by_row = [], _by_row(layout)
    for placed in layout.units:
        props = _props(placed, layout, by_row, fixed=fixed)
        places = np.array([(one.x_mm, one.y_mm) for one in props])
        tops = np.array([error_mm[one.support] for one in props])
        found.append(StiffUnit(placed, props, stand_stiff(places, tops, gravity_of(placed))))
    return tuple(found)
