"""From a file of points to the floor, in one call."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from kit.job import ScanFrame
from kit.scan.cloud import open_cloud
from kit.scan.cloud_parts import POINTS_AT_ONCE, FileUnit
from kit.scan.found import ScanFloor
from kit.scan.gather import gather
from kit.scan.lowest import find_floor

#: Share of the time that reading takes.
_READ = 0.85


def reduce_scan(
    path: Path,
    name: str,
    cell_mm: float,
    *,
    file_unit: FileUnit | None = None,
    frame: ScanFrame | None = None,
    points_at_once: int = POINTS_AT_ONCE,
    tell: Callable[[float], None] | None = None,
) -> ScanFloor:
    """Return the floor in a file of points.

    Parameters
    ----------
    path, name : Path, str
        The file, and what messages call it.
    cell_mm : float
        Side of the squares that the floor is reduced to [mm].
    file_unit : {"m", "mm", "in", "ft"}, optional
        What the file counts in; what it says, or metres, unless given.
    frame : ScanFrame, optional
        How its axes lie in the plan; as the plan's unless given.
    points_at_once : int
        Points in memory at once; the answer does not hang on it.
    tell : callable, optional
        Told the share done, 0 to 1.

    Raises
    ------
    Refusal
        Where the file cannot be read, or there is no floor in it.
    """
    cloud = open_cloud(path, name, file_unit)
    frame = frame or ScanFrame()
    layers = gather(
        cloud, cell_mm, frame, points_at_once=points_at_once, tell=_share(tell, 0.0, _READ)
    )
    return find_floor(layers, tell=_share(tell, _READ, 1.0))


def _share(
    tell: Callable[[float], None] | None, low: float, high: float
) -> Callable[[float], None] | None:
    """Return how a part of the work tells of its share in the whole."""
    if tell is None:
        return None
    return lambda share: tell(low + share * (high - low))
