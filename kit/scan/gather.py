"""Gather a scan into layers: one pass, in pieces, in memory that its points do not add to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from kit.job import ScanFrame, refuse
from kit.job.model import LONGEST_MM
from kit.scan.ahead import read_ahead
from kit.scan.boxes import Boxes, Turning, turning_of
from kit.scan.cloud_parts import POINTS_AT_ONCE, Cloud, Piece, Tell, WholeCloud
from kit.scan.layers import SLAB_MM, Layers
from kit.scan.sense import NOTHING, Extent, check_sense
from kit.scan.tally import Tally

#: More boxes than this are a matter of cells that are too small: they take up to 4 GB.
MOST_BOXES = 50_000_000


@dataclass
class _Left:
    """What has been read so far, beside the tally."""

    extent: Extent = field(default_factory=lambda: NOTHING)
    points: int = 0
    far: int = 0
    no_number: int = 0


def gather(
    cloud: Cloud,
    cell_mm: float,
    frame: ScanFrame | None,
    *,
    slab_mm: float = SLAB_MM,
    points_at_once: int = POINTS_AT_ONCE,
    tell: Tell | None = None,
) -> Layers:
    """Return a scan in layers.

    Parameters
    ----------
    cloud : Cloud
        The scan; it is read once.
    cell_mm : float
        Side of the cells of the plan [mm].
    frame : ScanFrame or None
        How the scan lies in the plan: own zero taken off, y mirrored, turned, moved, in this
        order. Without it the scan's axes are those of the plan.
    slab_mm : float
        Height of a slab [mm].
    points_at_once : int
        The most points in memory at once; the layers do not depend on it.
    tell : callable or None
        Is told the share that is done, 0 to 1.

    Returns
    -------
    Layers
        To the last bit the same in whatever order the points come. A place on the border of two
        cells falls as x / cell_mm rounds.

    Raises
    ------
    Refusal
        Where the file is damaged, its coordinates cannot be what they are taken for, or there
        are more than 50 million boxes.
    """
    if points_at_once < 1:
        raise refuse("points_at_once", str(points_at_once), "1 or more")
    boxes, turning = Boxes(cell_mm, slab_mm), turning_of(frame, cloud.unit_mm)
    tally, left = Tally(MOST_BOXES, boxes.part_bits), _Left()
    # The file is read by another thread; who is told is told by this one.
    shares = [0.0]
    for piece, numbers in _pieces(cloud, boxes, turning, points_at_once, shares.append):
        kept = _sorted_out(piece, numbers, left)
        tally.add(kept >> boxes.part_bits, kept & ((1 << boxes.part_bits) - 1))
        if tally.full:
            found = f"a scan that fills more than {MOST_BOXES:,} boxes of {cell_mm:g} mm"
            raise refuse(f"{cloud.name}, cell_mm", found, f"a cell_mm above {cell_mm:g} mm")
        if tell is not None:
            tell(shares[-1])
    check_sense(cloud.name, left.extent, cloud.unit_mm, left.points, left.far)
    keys, count, sum_z = tally.told()
    ix, iy, iz = boxes.split(keys)
    out = left.far + left.no_number
    return Layers(
        cell_mm, slab_mm, ix, iy, iz, count, sum_z, left.points, out, tuple(_notes(cloud, left))
    )


def _pieces(
    cloud: Cloud, boxes: Boxes, turning: Turning, at_once: int, tell: Tell
) -> Iterator[tuple[Piece, NDArray[np.int64]]]:
    """Yield pieces of the scan and the numbers of their boxes.

    Of a piece of whole numbers only the lowest and the highest are turned into places.
    """
    if isinstance(cloud, WholeCloud) and turning.square:
        for whole in read_ahead(cloud.whole_pieces(at_once, tell)):
            ends = (np.array([values.min(), values.max()]) for values in whole)
            x, y, z = (cloud.place_mm(axis, two) for axis, two in enumerate(ends))
            yield (x, y, z), boxes.of_whole(whole, cloud, turning)
        return
    for piece in read_ahead(cloud.pieces(at_once, tell)):
        yield piece, boxes.of_places(piece, turning)


def _sorted_out(piece: Piece, numbers: NDArray[np.int64], left: _Left) -> NDArray[np.int64]:
    """Return the numbers of the points that count, and note the others."""
    left.extent = left.extent.with_piece(piece)
    if not len(numbers) or numbers.min() >= 0:
        left.points += len(numbers)
        return numbers
    kept = numbers[numbers >= 0]
    no_number = 0
    if len(piece[0]) == len(numbers):
        x, y, z = piece
        no_number = int(np.count_nonzero(~(np.isfinite(x) & np.isfinite(y) & np.isfinite(z))))
    left.points += len(kept)
    left.no_number += no_number
    left.far += len(numbers) - len(kept) - no_number
    return kept


def _notes(cloud: Cloud, left: _Left) -> Iterator[str]:
    if left.no_number:
        yield (
            f"{cloud.name}: {left.no_number:,} points were left out, as x, y or z is missing or "
            "no number."
        )
    if left.far:
        yield (
            f"{cloud.name}: {left.far:,} points were left out, as they lie more than "
            f"{LONGEST_MM / 1000:g} m off the plan."
        )
