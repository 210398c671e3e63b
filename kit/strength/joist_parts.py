"""The stacks' loads divided between the joists, as arrays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from kit.strength.beam import Floats
from kit.strength.joist_places import ON_BEARING_MM, Grid, Pressed


@dataclass(frozen=True)
class Parts:
    """Parts of stacks, each on one joist.

    Parameters
    ----------
    stack, joist : arrays of shape (parts,)
        Which stack it is a part of, and which joist carries it, both from 0.
    share : array of shape (parts,)
        Of the stack.
    along_mm : array of shape (parts,)
        Its place along the joist [mm].
    beyond : array of shape (parts,)
        Whether that lies beyond the outermost bearings.
    before_mm : array of shape (parts,)
        How far before the first joist it stands where that is too far for it to carry it, else
        0 [mm].
    """

    stack: NDArray[np.int64]
    joist: NDArray[np.int64]
    share: Floats
    along_mm: Floats
    beyond: NDArray[np.bool_]
    before_mm: Floats

    @cached_property
    def computed(self) -> NDArray[np.bool_]:
        """Whether each joist is computed, shape (joists,): no part of it lies out."""
        out = np.zeros(1 + int(self.joist.max()), dtype=bool)
        out[self.joist[self.beyond | (self.before_mm > 0)]] = True
        return ~out

    @cached_property
    def used(self) -> NDArray[np.bool_]:
        """Whether the joist under each part is computed, shape (parts,)."""
        return np.asarray(self.computed[self.joist])

    @cached_property
    def places_mm(self) -> Floats:
        """Places along computed joists where anything presses, ascending [mm]."""
        return np.unique(self.along_mm[self.used])

    @cached_property
    def place(self) -> NDArray[np.int64]:
        """Which of the places each used part lies at, shape (used parts,)."""
        return np.searchsorted(self.places_mm, self.along_mm[self.used])


def parts_of(grid: Grid, pressed: Sequence[Pressed], bearing_mm: tuple[float, ...]) -> Parts:
    """Divide stacks between the joists that carry them.

    Parameters
    ----------
    grid : Grid
    pressed : sequence of Pressed
        One or more.
    bearing_mm : tuple of float
        Places of the bearings along the joists, ascending [mm].

    Returns
    -------
    Parts
        Those of a stack follow each other. What stands beyond a bearing by no more than
        `ON_BEARING_MM` is taken to stand on it.
    """
    parts = [
        (number, joist - 1, share, along)
        for number, (along, across) in enumerate(map(grid.place_of, pressed))
        for joist, share in grid.lever(across)
    ]
    stack, joist, share, places = zip(*parts, strict=True)
    before = np.array([grid.too_far_before_mm(one) for one in pressed])
    along = np.array(places, dtype=float)
    first, last = bearing_mm[0], bearing_mm[-1]
    beyond = (along < first - ON_BEARING_MM) | (along > last + ON_BEARING_MM)
    return Parts(
        np.array(stack),
        np.array(joist),
        np.array(share),
        np.where(beyond, along, np.clip(along, first, last)),
        beyond,
        before[np.array(stack)],
    )
