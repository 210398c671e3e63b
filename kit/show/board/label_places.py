"""Places for letters: near what they speak of, and on nothing else that must be read."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit.base.runs import Floats
from kit.ink.svg import LETTERS_PX, letters_px

#: Letters stand on their baseline; so much of their height is above it, and below it.
ABOVE_PX, BELOW_PX = 0.8 * LETTERS_PX, 0.2 * LETTERS_PX

#: Down to the baseline from the middle of a line of letters [px].
TO_BASELINE_PX = (ABOVE_PX - BELOW_PX) / 2

#: Room kept between letters and what they must not touch [px].
GAP_PX = 2.0

#: How far from what they speak of letters are tried, across and up or down, and in what steps
#: [px].
_REACH_PX, _STEPS_PX = (312, 230), (12, 5)

#: So many of the nearest places are tried first, and so many more, before all the others.
_FIRST = (90, 700)


class Box(NamedTuple):
    """An upright rectangle [px]."""

    left: float
    top: float
    right: float
    bottom: float


def text_box(x: float, y: float, text: str) -> Box:
    """Return the room of letters whose baseline has its middle at a place [px]."""
    half = letters_px(text) / 2
    return Box(x - half, y - ABOVE_PX, x + half, y + BELOW_PX)


class Taken:
    """Boxes that letters must keep off.

    Parameters
    ----------
    boxes : iterable of Box
        Those that are taken from the start.
    """

    def __init__(self, boxes: Iterable[Box] = ()) -> None:
        given = list(boxes)
        self._count = len(given)
        self._boxes = np.empty((max(64, 2 * len(given)), 4))
        if given:
            self._boxes[: len(given)] = given

    def add(self, box: Box) -> None:
        """Take one more."""
        if self._count == len(self._boxes):
            self._boxes = np.concatenate([self._boxes, np.empty_like(self._boxes)])
        self._boxes[self._count] = box
        self._count += 1

    def touched(self, wanted: Floats) -> NDArray[np.intp]:
        """Return how many taken boxes each of some boxes (m, 4) touches."""
        taken = self._boxes[: self._count]
        (left, top), (right, bottom) = wanted[:, :2].min(axis=0), wanted[:, 2:].max(axis=0)
        taken = taken[
            (taken[:, 0] < right + GAP_PX)
            & (taken[:, 2] > left - GAP_PX)
            & (taken[:, 1] < bottom)
            & (taken[:, 3] > top)
        ]
        touch = (
            (wanted[:, None, 0] < taken[:, 2] + GAP_PX)
            & (wanted[:, None, 2] > taken[:, 0] - GAP_PX)
            & (wanted[:, None, 1] < taken[:, 3])
            & (wanted[:, None, 3] > taken[:, 1])
        )
        return np.asarray(np.count_nonzero(touch, axis=1))

    def best(self, wanted: Floats, within: Box) -> tuple[int, bool]:
        """Choose among boxes (m, 4).

        Returns
        -------
        place : int
            Of the first that is free, else of the one that touches least; one that leaves the
            picture is the worst of all.
        free : bool
            Whether it touches nothing and lies in the picture.
        """
        amiss = self._amiss(wanted, within)
        place = int(np.argmin(amiss))
        return place, not amiss[place]

    def _amiss(self, wanted: Floats, within: Box) -> NDArray[np.intp]:
        out = (
            (wanted[:, 0] < within.left)
            | (wanted[:, 1] < within.top)
            | (wanted[:, 2] > within.right)
            | (wanted[:, 3] > within.bottom)
        )
        return np.asarray(self.touched(wanted) + 1000 * out)

    def place(self, text: str, near: tuple[float, float], within: Box) -> tuple[float, float]:
        """Find the free place for letters that is nearest to a point, and take it.

        Parameters
        ----------
        text : str
            What is to be written.
        near : tuple of float
            Where the middle of the letters would best be [px].
        within : Box
            The picture.

        Returns
        -------
        tuple of float
            Middle of the baseline [px].
        """
        box = np.array(text_box(near[0], near[1] + TO_BASELINE_PX, text))
        every = _offsets()
        for count in (*_FIRST, len(every)):
            offsets = every[:count]
            wanted = box + offsets[:, [0, 1, 0, 1]]
            best, free = self.best(wanted, within)
            if free:
                break
        chosen = Box(*wanted[best].tolist())
        self.add(chosen)
        return (chosen.left + chosen.right) / 2, chosen.bottom - BELOW_PX


@cache
def _offsets() -> Floats:
    """Return steps (m, 2) away from a point, the nearest first; sideways counts for less."""
    (across, up), (dx, dy) = _REACH_PX, _STEPS_PX
    x, y = np.meshgrid(np.arange(-across, across + 1, dx), np.arange(-up, up + 1, dy))
    steps = np.column_stack([x.ravel(), y.ravel()]).astype(float)
    return np.asarray(steps[np.argsort(np.hypot(0.6 * steps[:, 0], steps[:, 1]), kind="stable")])
