"""What closes stretches of a bearer's row to packers: no-go areas, movement joints beside it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from kit.base.runs import Floats, Frame, Row
from kit.job import NoGo

#: Places along a bearer are compared to this [mm]; nobody sets a packer finer.
SAME_PLACE_MM = 1e-6


#: What each table's areas are called.
_WORDS = {
    "no_go": "in the no-go area {}",
    "movement_joint": "on or too near to the movement joint {}",
}


@dataclass(frozen=True)
class ClosedArea:
    """Places that no packer's centre may take, strictly between ``left`` and ``right`` [mm].

    ``key`` is the table of the job file that it stands in.
    """

    left: float
    right: float
    name: str
    key: str = "no_go"

    @property
    def words(self) -> str:
        """What it is, in a sentence about a packer that stands there."""
        return _WORDS[self.key].format(repr(self.name))

    def holds(self, x_mm: float) -> bool:
        """Tell whether a packer with its centre there would overlap the area."""
        return self.left + SAME_PLACE_MM < x_mm < self.right - SAME_PLACE_MM


def centres_closed(
    closed: Sequence[tuple[float, float, str]],
    packer_mm: float,
    joints: Sequence[tuple[float, float, str]] = (),
) -> list[ClosedArea]:
    """Return where no packer's centre may be, areas that leave no room between them as one.

    Parameters
    ----------
    closed : sequence of (from, to, name)
        From `closed_stretches` [mm].
    packer_mm : float
        Length of a packer along the bearer [mm].
    joints : sequence of (from, to, name)
        From `kit.base.movement_joints.stretches_of` [mm].

    Returns
    -------
    list of ClosedArea
        From left to right.
    """
    areas: list[ClosedArea] = []
    found = [(*one, "no_go") for one in closed] + [(*one, "movement_joint") for one in joints]
    for low, high, name, key in sorted(found):
        area = ClosedArea(low - packer_mm / 2, high + packer_mm / 2, name, key)
        if areas and area.left < areas[-1].right:
            last = areas.pop()
            both = f"{last.name} and {name}"
            area = ClosedArea(last.left, max(last.right, area.right), both, last.key)
        areas.append(area)
    return areas


def closed_stretches(
    row: Row, frame: Frame, across_mm: float, areas: Iterable[NoGo]
) -> list[tuple[float, float, str]]:
    """Return the stretches of a row that no-go areas close to packers.

    Parameters
    ----------
    row : Row
        The row; its packers reach ``across_mm / 2`` to both sides of its centre line.
    frame : Frame
        The run's own frame.
    across_mm : float
        Size of a packer across the bearer [mm].
    areas : iterable of NoGo
        The job's areas; only those that forbid supports count.

    Returns
    -------
    list of (from, to, name)
        On the run's own x [mm].
    """
    stretches = []
    for area in areas:
        if area.forbids != "supports":
            continue
        (x, y), (along, across) = area.corner_mm, area.size_mm
        corners = frame.to_own([x, x + along, x + along, x], [y, y, y + across, y + across])
        cut = _cut_by_strip(*corners, row.y_mm - across_mm / 2, row.y_mm + across_mm / 2)
        if len(cut):
            stretches.append((float(cut.min()), float(cut.max()), area.name))
    return stretches


def _cut_by_strip(x: Floats, y: Floats, low: float, high: float) -> Floats:
    """Return the x of a convex polygon's corners after cutting it to low < y < high.

    The strip is drawn in by `SAME_PLACE_MM`, so that what only touches it does not count.
    """
    low, high = low + SAME_PLACE_MM, high - SAME_PLACE_MM
    found = list(x[(y > low) & (y < high)])
    for i in range(len(x)):
        j = (i + 1) % len(x)
        found += [
            x[i] + (x[j] - x[i]) * (line - y[i]) / (y[j] - y[i])
            for line in (low, high)
            if (y[i] - line) * (y[j] - line) < 0
        ]
    return np.asarray(found, dtype=float)
