"""How the doubt of many places hangs together, worked out only for the places that matter."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit.floor.conditioning import Conditioned
from kit.floor.doubt import Broadened
from kit.floor.few import PlaneOnly
from kit.floor.kernel import matern
from kit.floor.places import Array, distances
from kit.floor.surface import Surface

Rows = NDArray[np.intp]

#: Places whose covariances are worked out at a time.
AT_ONCE = 256


class SharedDoubt(NamedTuple):
    """Heights and doubt at places (m,), and the covariance of all of them with some.

    Parameters
    ----------
    height_mm, variance_mm2 : (m,) array
        Heights [mm] and their variances [mm²].
    covariance_with : callable
        Gives the covariance (m, k) [mm²] of all places with those of k rows.
    """

    height_mm: Array
    variance_mm2: Array
    covariance_with: Callable[[Rows], Array]


def shared_doubt(surface: Surface, x_mm: Array, y_mm: Array) -> SharedDoubt:
    """Return heights and doubt at places (m,) without the covariances of all pairs of them.

    Parameters
    ----------
    surface : Surface
    x_mm, y_mm : (m,) array
        Places [mm].

    Notes
    -----
    The same as `Surface.joint` to within rounding: what that spends on m² pairs is spent on m·k.
    The plane of a few readings, and a surface of which only the nearest readings count, have
    their joint covariance worked out whole: the one is cheap, and the other costs seconds for
    its readings whatever is asked of it.
    """
    whole = None if surface.bounded else surface._whole
    if whole is None or isinstance(whole, PlaneOnly):
        height, covariance = surface.joint(x_mm, y_mm)
        return SharedDoubt(height, np.diag(covariance).copy(), lambda rows: covariance[:, rows])
    factors = _factors(whole, x_mm, y_mm)
    return SharedDoubt(factors.height_mm, factors.variances(), factors.covariance_with)


@dataclass(frozen=True, eq=False)
class _Factors:
    """A covariance of places as a sum of Matérn kernels and of products of thin matrices.

    Notes
    -----
    covariance = (sum of variance·matern(length) + addedᵀ·added - takenᵀ·taken) / count.  (1)
    """

    x_mm: Array
    y_mm: Array
    height_mm: Array
    kernels: tuple[tuple[float, float], ...]
    added: Array
    taken: Array
    count: int

    def variances(self) -> Array:
        """Return the diagonal (m,) of Eq. (1)."""
        total = sum(variance for _, variance in self.kernels)
        added = np.einsum("ij,ij->j", self.added, self.added)
        taken = np.einsum("ij,ij->j", self.taken, self.taken)
        return np.asarray(np.maximum(total + added - taken, 0.0) / self.count)

    def covariance_with(self, rows: Rows) -> Array:
        """Return the columns (m, k) of Eq. (1) at rows (k,)."""
        total = self.added.T @ self.added[:, rows]
        total -= self.taken.T @ self.taken[:, rows]
        for part in slices(len(total)):
            apart = distances(self.x_mm[part], self.y_mm[part], self.x_mm[rows], self.y_mm[rows])
            for length, variance in self.kernels:
                alike = matern(apart, length)
                alike *= variance
                total[part] += alike
        total /= self.count
        return np.asarray(total)


def slices(count: int) -> Iterator[slice]:
    """Yield slices of so many places that sums over them stay in the processor's cache."""
    for first in range(0, count, AT_ONCE):
        yield slice(first, first + AT_ONCE)


def _factors(whole: Broadened, x_mm: Array, y_mm: Array) -> _Factors:
    """Return the factors of a kriging's covariance; see Eq. (1) of `Broadened`."""
    likeliest = whole.likeliest
    design = likeliest.frame.design(x_mm, y_mm)
    apart = distances(likeliest.x_mm, likeliest.y_mm, x_mm, y_mm)
    alike = matern(apart, likeliest.unevenness.length_mm)
    height, known, misfit = likeliest.parts(alike, design)
    if not whole.plausible:
        kernels = ((likeliest.unevenness.length_mm, likeliest.unevenness.variance_mm2),)
        return _Factors(x_mm, y_mm, height, kernels, misfit, known, 1)
    # Filled in place: for a hundred readings a list of the parts takes as long as the sums.
    taken = np.empty((len(whole.plausible), *apart.shape))
    added, lengths, slots = [], [], iter(taken)
    for length, group in groupby(whole.plausible, key=_length_mm):
        others, alike = tuple(group), matern(apart, length)
        lengths.append((length, sum(other.unevenness.variance_mm2 for other in others)))
        for other in others:
            at, known, misfit = other.parts(alike, design)
            added += [misfit, (at - height)[None, :]]
            next(slots)[:] = known
    every = taken.reshape(-1, len(x_mm))
    return _Factors(x_mm, y_mm, height, tuple(lengths), np.concatenate(added), every, len(taken))


def _length_mm(other: Conditioned) -> float:
    return other.unevenness.length_mm
