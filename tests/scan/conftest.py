"""Layers and rooms that the tests of scans share."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from kit.scan.layers import Layers

Array = NDArray[np.float64]


def _layers_of(x: Array, y: Array, z: Array, cell_mm: float) -> Layers:
    """Sort points [mm] into layers of 2 mm by the plain definition, without the kit's reader."""
    ix, iy = (np.floor(each / cell_mm).astype(np.int64) for each in (x, y))
    parts = np.rint(z * 1024).astype(np.int64)
    iz = parts // 2048
    order = np.lexsort((iz, ix, iy))
    ix, iy, iz, rest = ix[order], iy[order], iz[order], (parts - iz * 2048)[order]
    fresh = np.ones(len(ix), dtype=bool)
    fresh[1:] = (np.diff(ix) != 0) | (np.diff(iy) != 0) | (np.diff(iz) != 0)
    first = np.flatnonzero(fresh)
    return Layers(
        cell_mm=cell_mm,
        slab_mm=2.0,
        ix=ix[first],
        iy=iy[first],
        iz=iz[first],
        count=np.diff(np.append(first, len(ix))).astype(np.int64),
        sum_z=np.add.reduceat(rest, first).astype(np.int64),
        points=len(ix),
        left_out=0,
    )


@pytest.fixture(scope="session")
def layers_of() -> Callable[[Array, Array, Array, float], Layers]:
    return _layers_of
