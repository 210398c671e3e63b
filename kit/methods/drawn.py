"""The same floors under several layouts, each floor one that fits the readings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.spatial import cKDTree

from kit.base.runs import Floats
from kit.methods.method import Lie, as_expected
from kit.parts import Answer, Ground

#: With more places than this under all bases every second, third, … one is drawn, so that their
#: covariance stays small; the others deviate as the nearest that is. Supports are always drawn.
MOST_PLACES = 1500

#: Two places nearer than this are one [mm].
ONE_PLACE_MM = 1e-3


@dataclass(frozen=True, eq=False)
class DrawnFloors:
    """Floors that fit the readings, by how far each is off the expected one.

    Parameters
    ----------
    nearest : cKDTree
        Finds the place that was drawn next to any place.
    deviations_mm : array of shape (floors, places)
        How much higher than expected each floor lies there [mm].
    """

    nearest: cKDTree
    deviations_mm: Floats

    def lies(self, ground: Ground) -> Iterator[Lie]:
        """Yield each floor as it lies under one layout."""
        expected = as_expected(ground)
        supports = self.nearest.query(_xy(ground.supports))[1]
        under = self.nearest.query(_xy(ground.known))[1]
        for deviation in self.deviations_mm:
            yield Lie.drawn(
                expected.supports_mm + deviation[supports], expected.under_mm + deviation[under]
            )


def draw_floors(answers: Sequence[Answer], floors: int, seed: int) -> DrawnFloors:
    """Draw floors that fit the readings, the same ones for all bases.

    Parameters
    ----------
    answers : sequence of Answer
        Over one survey; nothing hangs on their order.
    floors : int
        How many floors.
    seed : int
        The same seed gives the same floors.
    """
    places, surface = _places(answers), answers[0].surface
    x, y = places[:, 0], places[:, 1]
    deviations = surface.draws(x, y, floors, seed)
    deviations -= surface.predict(x, y).height_mm
    return DrawnFloors(cKDTree(places), deviations)


def _places(answers: Sequence[Answer]) -> Floats:
    """Return the places to draw, sorted, so that nothing hangs on which base comes first."""
    supports = [_xy(one.ground.supports) for one in answers]
    under = np.unique(np.concatenate([_xy(one.ground.known) for one in answers]), axis=0)
    stride = -(-len(under) // MOST_PLACES)
    return np.unique(np.concatenate([*supports, under[::stride]]), axis=0)


def _xy(table: pd.DataFrame) -> Floats:
    places = table[["x_mm", "y_mm"]].to_numpy(dtype=float)
    return np.asarray(np.round(places / ONE_PLACE_MM) * ONE_PLACE_MM)
