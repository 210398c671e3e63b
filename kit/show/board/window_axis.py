"""Which height of the base lies where in the picture of heights, and the curve in its px."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.base.runs import Floats
from kit.show.window import Reach

#: Beside the axis, for the counts at its left and half a number at its right [px].
LEFT_PX, RIGHT_PX = 30.0, 16.0

#: The axis goes on beyond what can be made by this share of it.
_BEYOND = 0.03


@dataclass(frozen=True)
class WindowAxis:
    """Where heights lie in the picture.

    Parameters
    ----------
    low_mm, high_mm : float
        Its ends: base top above the high point [mm].
    left_px, right_px : float
        Where they are drawn [px].
    """

    low_mm: float
    high_mm: float
    left_px: float
    right_px: float

    def px(self, mm: float) -> float:
        """Return where a height is drawn [px]."""
        return self.left_px + (mm - self.low_mm) * self.px_per_mm

    def mm(self, px: float) -> float:
        """Return the height at a place [mm]."""
        return self.low_mm + (px - self.left_px) / self.px_per_mm

    @property
    def px_per_mm(self) -> float:
        """The scale."""
        return (self.right_px - self.left_px) / (self.high_mm - self.low_mm)

    def part(self, ends_mm: tuple[float, float]) -> tuple[float, float]:
        """Return left end and width of a stretch of heights [px]."""
        left = self.px(ends_mm[0])
        return left, self.px(ends_mm[1]) - left


def window_axis(found: Reach, now_mm: float, width_px: float) -> WindowAxis:
    """Return the axis of the picture: all that can be made, is asked for or is, and a little more.

    Parameters
    ----------
    found, now_mm, width_px : Reach, float, float
        As for `window_picture`.

    Returns
    -------
    WindowAxis
    """
    low = min(found.low_mm, found.asked_mm[0], now_mm)
    high = max(found.high_mm, found.asked_mm[1], now_mm)
    beyond = max(_BEYOND * (high - low), 0.5)
    return WindowAxis(low - beyond, high + beyond, LEFT_PX, width_px - RIGHT_PX)


def columns(found: Reach, axis: WindowAxis) -> tuple[Floats, Floats]:
    """Return the least and the most of the fewest packers within each px of the axis.

    Parameters
    ----------
    found, axis : Reach, WindowAxis

    Returns
    -------
    least, most : (n,) array
        One a px from ``axis.left_px`` on; nan where no height can be made.
    """
    count = int(axis.right_px - axis.left_px)
    least, most = np.full(count, np.inf), np.full(count, -np.inf)
    start, end, pieces = (
        found.curve[name].to_numpy(dtype=float) for name in ("from_mm", "to_mm", "pieces")
    )
    first = np.floor((start - axis.low_mm) * axis.px_per_mm).astype(int)
    last = np.floor((end - axis.low_mm) * axis.px_per_mm).astype(int)
    longest = int((last - first).max(initial=0))
    for step in range(longest + 1):
        at = first + step
        inside = (at <= last) & (at >= 0) & (at < count)
        np.minimum.at(least, at[inside], pieces[inside])
        np.maximum.at(most, at[inside], pieces[inside])
    empty = np.isinf(least)
    return np.where(empty, np.nan, least), np.where(empty, np.nan, most)
