"""Chance that a name decides: the same on every machine, today and later."""

from __future__ import annotations

import hashlib

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_BITS, _STEP = 12, 2.0**-52


def shares(name: str, count: int) -> Array:
    """Return shares strictly between 0 and 1, shape (count,).

    They are made of SHAKE-256 (FIPS 202) of the name: whole-number arithmetic, no library's
    generator.
    """
    stream = hashlib.shake_256(name.encode()).digest(8 * count)
    whole = np.frombuffer(stream, dtype="<u8") >> np.uint64(_BITS)
    return np.asarray((whole.astype(float) + 0.5) * _STEP, dtype=float)


def between(name: str, key: str, low: float, high: float) -> float:
    """Return a number between two that a name and a key decide."""
    return float(low + (high - low) * shares(f"{name}/{key}", 1)[0])
