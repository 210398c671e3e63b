"""Thousands of readings at a bounded cost: near ones count singly, far ones by groups."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from kit.floor.all_at_once import trend_and_weights
from kit.floor.beside import beside
from kit.floor.conditioning import Conditioned
from kit.floor.far_field import sum_of_kernels
from kit.floor.groups import Groups, gather
from kit.floor.likelihood import Unevenness
from kit.floor.noise import Noise, part_of
from kit.floor.places import Array
from kit.floor.plane import Frame
from kit.floor.row_noise import RowNoise
from kit.threads import one_thread

Rows = NDArray[np.intp]
Tell = Callable[[float], None]

#: Up to so many readings heights come from all of them at once; beyond, from groups too.
EXACT = 5000
#: Breadth of a group as a share of its distance from the tile.
OPENING = 0.4
#: The same where only the doubt comes from groups, and ...
OPENING_DOUBT = 0.62
#: ... where readings share errors: what tells those apart lies along the set-ups' borders.
OPENING_SHARED = 0.25
#: Sides of a tile, in spacings: with many places to a reading, and with few.
FINE_TILE, COARSE_TILE = 5.0, 8.0
#: Places to a reading from which on the tiles are the finer ones.
MANY_PLACES = 4.0
#: Places of a tile at most.
TILE_PLACES = 1024
#: Readings and groups that a joint covariance is conditioned on, at most.
JOINT_ROWS = 1500
#: Side of a tile of readings left out, in spacings, the breadth of groups about them, and the most
#: readings of which each is left out.
LEFT_OUT_TILE = 10.0
LEFT_OUT_OPENING = 0.5
LEFT_OUT = 20_000
#: Share of a sample that is spread over the survey; the rest lies in close patches.
SPREAD_SHARE = 0.4
PATCH = 30
#: Of thousands of readings: windows of neighbours, and the share of the sample outside them.
WINDOWS = 4
OUTSIDE_SHARE = 0.1


def untold(_share: float) -> None:
    """Tell nobody how much is done."""


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


def windows(x_mm: Array, y_mm: Array, size: int, seed: int) -> Rows:
    """Return rows of a seeded sample: whole windows of the survey, and some spread over it.

    Notes
    -----
    Among thousands of readings the floor at a place is told by its neighbours, a few spacings
    away, so length and variance have to fit what the floor does over such distances. A sample
    spread over a hall of waves of several lengths fits the long ones, and the doubt it gave was
    too small: the errors' variance was 2.1 of the stated one, with windows it is 1.0.
    """
    generator = np.random.default_rng(seed)
    places = np.column_stack([x_mm, y_mm])
    spread = generator.choice(len(places), int(size * OUTSIDE_SHARE), replace=False)
    centres = places[generator.choice(len(places), WINDOWS, replace=False)]
    each = (size - len(spread)) // WINDOWS
    return np.union1d(spread, cKDTree(places).query(centres, k=each)[1].ravel()).astype(np.intp)


@dataclass(frozen=True, eq=False)
class ManyReadings:
    """Kriging from thousands of readings (n,).

    Parameters
    ----------
    x_mm, y_mm, height_mm : (n,) array
        Readings [mm].
    noise : Noise
        Their covariance.
    unevenness : Unevenness
        Of the floor about its plane.

    Notes
    -----
    Doubt comes tile by tile from the readings near the tile and from groups of those farther
    away, each group no broader than about half its distance: every reading counts, with its trend
    and its shared errors. Up to 5,000 readings heights are those of all readings at once.

    Against kriging from all readings, over lengths of 2 to 100 spacings and noise of 0.01 to 10
    times the variance, the sd is too large by 2 % at most, and heights above 5,000 readings
    miss by a tenth of the sd in the mean and 0.3 sd at most. Where set-ups share errors larger
    than the readings' own, the sd is too large by 5 % in the mean and by 20 % at most, heights
    above 5,000 readings miss by 0.3 sd in the mean and 0.9 at most. (Asserted in the tests.)
    """

    x_mm: Array
    y_mm: Array
    height_mm: Array
    noise: Noise
    unevenness: Unevenness

    @cached_property
    def groups(self) -> Groups:
        """The readings in groups of groups."""
        return gather(self.x_mm, self.y_mm, self.height_mm, self.noise, self.unevenness)

    @property
    def _opening(self) -> float:
        alone = not isinstance(self.noise, RowNoise) and self.noise.ndim == 1
        if not alone:
            return OPENING_SHARED
        return OPENING_DOUBT if self.exact else OPENING

    @cached_property
    @one_thread
    def _trend_and_weights(self) -> tuple[Array, Array]:
        """The trend's coefficients at the readings' middle, and the readings' weights."""
        read = self.x_mm, self.y_mm, self.height_mm
        return trend_and_weights(read, self.noise, self.unevenness)

    @property
    def exact(self) -> bool:
        """Whether heights are those of all readings at once."""
        return len(self.x_mm) <= EXACT

    def predict(self, x_mm: Array, y_mm: Array, tell: Tell) -> tuple[Array, Array]:
        """Return heights [mm] and their standard deviations [mm] at places (m,)."""
        height, sd = np.empty(len(x_mm)), np.empty(len(x_mm))
        if self.exact:
            # Before the tiles ask for them, all at the same time.
            len(self._trend_and_weights)
        self._in_tiles(x_mm, y_mm, height, sd, tell)
        return height, sd

    @one_thread
    def _in_tiles(self, x_mm: Array, y_mm: Array, height: Array, sd: Array, tell: Tell) -> None:
        groups = self.groups

        def work(tile: Rows) -> tuple[Rows, Array, Array]:
            x, y = x_mm[tile], y_mm[tile]
            near = self.conditioned_on(groups.around(x, y, self._opening, every=False))
            height, sd = near.predict(x, y)
            return tile, (self._exact_heights(x, y) if self.exact else height), sd

        done = 0
        for tile, *found in beside(work, _tiles(x_mm, y_mm, self._side_mm(len(x_mm)))):
            height[tile], sd[tile] = found
            done += len(tile)
            tell(done / len(x_mm))

    def _side_mm(self, places: int) -> float:
        """Return the side of a tile."""
        fine = places >= MANY_PLACES * len(self.x_mm)
        return (FINE_TILE if fine else COARSE_TILE) * self._spacing_mm

    @property
    def _spacing_mm(self) -> float:
        """The side of a reading's share of the area: of readings in lines too."""
        area = max(float(np.ptp(self.x_mm) * np.ptp(self.y_mm)), 1.0)
        return float(np.sqrt(area / len(self.x_mm)))

    def _exact_heights(self, x_mm: Array, y_mm: Array) -> Array:
        trend, weights = self._trend_and_weights
        level = self._frame.design(x_mm, y_mm) @ trend
        length = self.unevenness.length_mm
        return np.asarray(
            level + sum_of_kernels((self.x_mm, self.y_mm), weights, length, x_mm, y_mm)
        )

    @cached_property
    def _frame(self) -> Frame:
        return Frame.of(self.x_mm, self.y_mm)

    def joint(self, x_mm: Array, y_mm: Array) -> tuple[Array, Array]:
        """Return heights (m,) [mm] and their joint covariance (m, m) [mm²]."""
        tree = cKDTree(np.column_stack([x_mm, y_mm]))

        def apart(rows: Rows) -> Array:
            places = np.column_stack([self.groups.x_mm[rows], self.groups.y_mm[rows]])
            return np.asarray(tree.query(places)[0])

        opening = self._opening
        rows = self.groups.opened(apart, opening, every=False)
        while len(rows) > JOINT_ROWS:
            opening *= 1.25
            rows = self.groups.opened(apart, opening, every=False)
        height, covariance = self.conditioned_on(rows).joint(x_mm, y_mm)
        if self.exact:
            side = self._side_mm(len(x_mm))
            for tile in _tiles(x_mm, y_mm, side):
                height[tile] = self._exact_heights(x_mm[tile], y_mm[tile])
        return height, covariance

    def left_out(self) -> Array:
        """Return each reading's standardised error when predicted from the others (n,)."""
        out, order = np.empty(len(self.x_mm)), self.groups.order
        self._left_out_in_tiles(out)
        back = np.empty_like(out)
        back[order] = out
        return back

    @one_thread
    def _left_out_in_tiles(self, out: Array) -> None:
        x, y = self.groups.x_mm[: len(out)], self.groups.y_mm[: len(out)]

        def work(own: Rows) -> tuple[Rows, Array]:
            rows = np.sort(self.groups.around(x[own], y[own], LEFT_OUT_OPENING, every=True))
            error, sd = self.conditioned_on(rows).left_out(np.searchsorted(rows, own))
            return own, error / sd

        for own, error in beside(work, _tiles(x, y, LEFT_OUT_TILE * self._spacing_mm)):
            out[own] = error

    def conditioned_on(self, rows: Rows) -> Conditioned:
        """Return the kriging from some readings and groups of readings."""
        of = self.groups
        noise = part_of(of.noise, rows)
        return Conditioned(of.x_mm[rows], of.y_mm[rows], of.height_mm[rows], noise, self.unevenness)


def _tiles(x_mm: Array, y_mm: Array, side_mm: float) -> Iterator[Rows]:
    """Yield the rows of the places that share a tile, a thousand at a time at most."""
    column = np.floor((x_mm - x_mm.min()) / side_mm).astype(np.int64)
    row = np.floor((y_mm - y_mm.min()) / side_mm).astype(np.int64)
    tile = row * (int(column.max()) + 1) + column
    order = np.argsort(tile, kind="stable")
    for rows in np.split(order, np.flatnonzero(np.diff(tile[order])) + 1):
        for first in range(0, len(rows), TILE_PLACES):
            yield rows[first : first + TILE_PLACES]
