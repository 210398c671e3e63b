"""Heights anywhere, given readings of which the far ones are taken together in groups."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kit.floor.conditioning import Conditioned
from kit.floor.kernel import ROOT_3
from kit.floor.likelihood import JITTER
from kit.floor.places import Array, distances

#: Spread of a group, over length²/3, from which on its correction fades: the floor then changes
#: so much within the group that places beyond it are hardly alike to any of it.
FADES = 0.15


@dataclass(frozen=True, eq=False)
class ConditionedOnGroups(Conditioned):
    """Universal kriging from readings and from means of groups of readings.

    Parameters
    ----------
    spread_mm2 : (n,) array
        Mean square distance of a group's readings from its middle; 0 for a single reading [mm²].

    Notes
    -----
    The mean of the floor over a group about c is alike to the floor at p, to second order in its
    spread s, by k(d) + s/4·(k'' + k'/d), with a = sqrt(3)/length
    exp(-a·d)·(1 + a·d - a²·s/4·(2 - a·d)),                                        (1)
    s being the sum of both spreads where both are groups: a group's mean changes less from
    group to group than the floor does.
    """

    spread_mm2: Array

    @cached_property
    def _share(self) -> Array:
        """What is taken off the correlation of each group at no distance, over 2."""
        share = self.spread_mm2 * 3 / self.unevenness.length_mm**2
        # Terms of third order that Eq. (1) lacks have to stay below the readings' own doubt,
        # else the matrix is no covariance; where that is small, near readings tell everything.
        third = self.unevenness.variance_mm2 * share**1.5
        trust = 1 / (1 + (share / FADES) ** 2 + third / (np.diag(self.noise) + np.finfo(float).tiny))
        return np.asarray(share * trust / 4)

    @cached_property
    def _lower(self) -> Array:
        try:
            return self._root(self._share)
        except np.linalg.LinAlgError:
            self._share[:] = 0.0
            return self._root(self._share)

    def _root(self, share: Array) -> Array:
        total = self._alike_to(self.x_mm, self.y_mm, share)
        total[np.diag_indices_from(total)] += JITTER
        total *= self.unevenness.variance_mm2
        total += self.noise
        return np.asarray(np.linalg.cholesky(total))

    def _alike(self, x_mm: Array, y_mm: Array) -> Array:
        return self._alike_to(x_mm, y_mm, np.zeros(len(x_mm)))

    def _alike_to(self, x_mm: Array, y_mm: Array, share: Array) -> Array:
        scaled = distances(self.x_mm, self.y_mm, x_mm, y_mm)
        scaled *= ROOT_3 / self.unevenness.length_mm
        out = np.exp(-scaled)
        less = self._share[:, None] + share
        # Eq. (1): 1 + ad - less·(2 - ad)
        scaled += 1.0
        less *= 3.0 - scaled
        scaled -= less
        out *= scaled
        return np.asarray(out)
