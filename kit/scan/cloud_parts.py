"""What every point cloud gives, whatever its file: pieces of coordinates in millimetres."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Literal, Protocol, runtime_checkable

import numpy as np
from numpy.typing import NDArray

from kit.job import Refusal, refuse
from kit.job.units import MM_PER_UNIT

Array = NDArray[np.float64]
Whole = NDArray[np.int32]
#: Coordinates x, y, z of some points, each (n,) [mm], in the axes of the file.
Piece = tuple[Array, Array, Array]
#: Is told the share that is done, 0 to 1.
Tell = Callable[[float], None]
FileUnit = Literal["m", "mm", "in", "ft"]
#: One unit of the file along x, y and z [mm].
Units = tuple[float, float, float]

#: Points that are in memory at once: some 100 MB with all that is made of them.
POINTS_AT_ONCE = 1_000_000


class Cloud(Protocol):
    """A file of points that is read in pieces, from its beginning each time."""

    @property
    def name(self) -> str:
        """What messages call the file."""

    @property
    def points(self) -> int | None:
        """How many points the file says it has; None where its kind does not say."""

    @property
    def unit_mm(self) -> Units:
        """One unit of the file along x, y and z [mm]."""

    def pieces(
        self, points_at_once: int = POINTS_AT_ONCE, tell: Tell | None = None
    ) -> Iterator[Piece]:
        """Yield the coordinates of all points, piece by piece.

        Parameters
        ----------
        points_at_once : int
            The most points in a piece.
        tell : callable or None
            Is told the share that has been read, 0 to 1.

        Yields
        ------
        tuple of three (n,) arrays of float
            x, y, z [mm]; a coordinate that is no number is nan or infinite.

        Raises
        ------
        Refusal
            Where the file is damaged, or holds fewer points than it says.
        """


@runtime_checkable
class WholeCloud(Cloud, Protocol):
    """A cloud whose file counts coordinates in whole steps."""

    def whole_pieces(
        self, points_at_once: int = POINTS_AT_ONCE, tell: Tell | None = None
    ) -> Iterator[tuple[Whole, Whole, Whole]]:
        """Yield the whole numbers of all points, piece by piece."""

    def place_mm(self, axis: int, whole: NDArray[np.integer]) -> Array:
        """Return the coordinates [mm] that whole numbers along an axis stand for.

        `pieces` gives these very numbers, and they never fall where the whole numbers rise.
        """


def units_of(file_unit: FileUnit | None, said_mm: float = MM_PER_UNIT["m"]) -> Units:
    """Return the unit of a file, the same along all axes [mm].

    Parameters
    ----------
    file_unit : {"m", "mm", "in", "ft"} or None
        What the job says; it counts before what the file says.
    said_mm : float
        What the file says [mm]; metres unless it does.
    """
    unit = said_mm if file_unit is None else MM_PER_UNIT[file_unit]
    return (unit, unit, unit)


@contextmanager
def reading(name: str, allowed: str) -> Iterator[None]:
    """Turn whatever a reading library raises about a damaged file into a refusal.

    Parameters
    ----------
    name : str
        What messages call the file.
    allowed : str
        What the file should be.
    """
    try:
        yield
    except Refusal:
        raise
    except BaseException as error:
        # What panics in compiled Rust is no Exception to Python.
        if not isinstance(error, Exception) and type(error).__name__ != "PanicException":
            raise
        why = " ".join(str(error).split())[:200] or type(error).__name__
        raise refuse(name, f"a file that cannot be read ({why})", allowed) from error


def check_count(name: str, found: int, said: int) -> None:
    """Refuse a file that holds fewer points than its header says.

    Parameters
    ----------
    name : str
        What messages call the file.
    found, said : int
        Points that are there, and points in the header.
    """
    if found < said:
        raise refuse(
            name,
            f"{found} points where the header says {said}",
            "a whole file; copy or export it again",
        )


def check_some(name: str, points: int) -> None:
    """Refuse a file without a point.

    Parameters
    ----------
    name : str
        What messages call the file.
    points : int
        Points that the header says.
    """
    if points < 1:
        raise refuse(name, "no point", "a scan with points")
