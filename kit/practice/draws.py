"""Numbers that a name decides: the same on every machine, today and later."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import numpy.typing as npt
from scipy.special import ndtri

Floats = npt.NDArray[np.float64]
T = TypeVar("T")

#: Shares are made of the leading 52 bits of a word: with a half added, a double still holds them,
#: so that none becomes 1.
_BITS, _STEP = 12, 2.0**-52


@dataclass(frozen=True)
class Draws:
    """Draws that depend on names only, not on their order nor on any library's generator.

    A share in (0, 1) is made of SHAKE-256 (FIPS 202) of the name: whole-number arithmetic, the
    same everywhere. A draw that is added later leaves all others as they were.

    Parameters
    ----------
    name : str
        What these draws are for, ``"floor 1, seed 7, rough"``.

    Examples
    --------
    >>> round(Draws("demo").between("length", 2.0, 4.0), 6)
    3.029228
    """

    name: str

    def shares(self, key: str, count: int) -> Floats:
        """Return shares strictly between 0 and 1, shape (count,)."""
        stream = hashlib.shake_256(f"{self.name}/{key}".encode()).digest(8 * count)
        whole = np.frombuffer(stream, dtype="<u8") >> np.uint64(_BITS)
        return (whole.astype(float) + 0.5) * _STEP

    def between(self, key: str, low: float, high: float) -> float:
        """Return a number between two."""
        return float(low + (high - low) * self.shares(key, 1)[0])

    def whole(self, key: str, low: int, high: int) -> int:
        """Return a whole number from low to high, both included."""
        return min(low + int((high - low + 1) * self.shares(key, 1)[0]), high)

    def one_of(self, key: str, things: Sequence[T]) -> T:
        """Return one of several things."""
        return things[self.whole(key, 0, len(things) - 1)]

    def happens(self, key: str, share: float) -> bool:
        """Tell whether something happens that happens in this share of cases."""
        return bool(self.shares(key, 1)[0] < share)

    def sign(self, key: str) -> float:
        """Return 1 or -1."""
        return 1.0 if self.happens(key, 0.5) else -1.0

    def normals(self, key: str, count: int) -> Floats:
        """Return standard normal numbers, shape (count,), by the inverse distribution."""
        return np.asarray(ndtri(self.shares(key, count)), dtype=float)

    def shuffled(self, key: str, things: Sequence[T]) -> tuple[T, ...]:
        """Return things in another order."""
        order = np.argsort(self.shares(key, len(things)), kind="stable")
        return tuple(things[int(place)] for place in order)
