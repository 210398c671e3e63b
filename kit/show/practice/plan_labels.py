"""Words beside what lies on a practice plan: near it, never on other words."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import cache

import numpy as np

from kit.ink import paint
from kit.ink.svg import halo, line, words
from kit.practice.draws import Floats
from kit.practice.moves import Place
from kit.show.board.label_places import BELOW_PX, TO_BASELINE_PX, Box, Taken, text_box

#: How far from what they speak of words are tried, sideways and up or down, and in what steps [px].
_REACH_PX, _STEPS_PX = (150, 96), (6, 4)

#: Words farther away than the second are led to what they speak of by a thin line; words that may
#: not be led are tried no farther away than the first [px].
NEAR_PX, _LED_PX = 24, 24.0

#: Between the boxes that stand for a line [px].
_ALONG_PX = 8.0


class Writer:
    """Finds places for words and writes them.

    Parameters
    ----------
    within : Box
        Where words may stand [px].
    texts : iterable of Box
        Words that stand already [px].

    Attributes
    ----------
    taken : Taken
        All words and marks so far.
    """

    def __init__(self, within: Box, texts: Iterable[Box] = ()) -> None:
        self._within = within
        self._texts, self._marks, self.taken = Taken(texts), Taken(), Taken(texts)

    def keep_off(self, boxes: Iterable[Box]) -> None:
        """Keep words off marks where they can be kept off."""
        for one in boxes:
            self._marks.add(one)
            self.taken.add(one)

    def write(self, text: str, near: Place, colour: str = paint.INK, *, far: bool = True) -> str:
        """Write words as near as can be to a place [px]; nothing where no room is left.

        Parameters
        ----------
        text : str
        near : tuple of float
            What they speak of [px].
        colour : str
            Of the letters.
        far : bool
            Whether they may stand so far away that a line must lead to them, or on marks where
            there is no other room.
        """
        if not text:
            return ""
        start = np.array(text_box(near[0], near[1] + TO_BASELINE_PX, text))
        offsets = _offsets()
        if not far:
            offsets = offsets[np.abs(offsets).max(axis=1) <= NEAR_PX]
        wanted = start + offsets[:, [0, 1, 0, 1]]
        wanted = wanted[self._inside(wanted)]
        wanted = wanted[self._texts.touched(wanted) == 0] if len(wanted) else wanted
        on_marks = self._marks.touched(wanted) if len(wanted) else np.array([])
        if not len(wanted) or not (far or on_marks.min() == 0):
            return ""
        chosen = Box(*wanted[int(np.argmin(on_marks))].tolist())
        self._texts.add(chosen)
        self.taken.add(chosen)
        x, y = (chosen.left + chosen.right) / 2, chosen.bottom - BELOW_PX
        look = halo(text_anchor="middle", fill=colour, class_="ufk-label")
        return _leader(near, chosen) + words(x, y, text, **look)

    def _inside(self, wanted: Floats) -> np.ndarray[tuple[int], np.dtype[np.bool]]:
        left, top, right, bottom = self._within
        return np.asarray(
            (wanted[:, 0] >= left)
            & (wanted[:, 1] >= top)
            & (wanted[:, 2] <= right)
            & (wanted[:, 3] <= bottom)
        )


def _leader(near: Place, chosen: Box) -> str:
    """Lead words that had to go far away to what they speak of."""
    x = min(max(near[0], chosen.left), chosen.right)
    y = min(max(near[1], chosen.top), chosen.bottom)
    if math.hypot(x - near[0], y - near[1]) < _LED_PX:
        return ""
    return line(*near, x, y, stroke=paint.INK, stroke_width=0.8, stroke_dasharray="2 2")


@cache
def _offsets() -> Floats:
    """Return steps (m, 2) away from a place, the nearest first."""
    (across, up), (dx, dy) = _REACH_PX, _STEPS_PX
    x, y = np.meshgrid(np.arange(-across, across + 1, dx), np.arange(-up, up + 1, dy))
    steps = np.column_stack([x.ravel(), y.ravel()]).astype(float)
    return np.asarray(steps[np.argsort(np.hypot(0.5 * steps[:, 0], steps[:, 1]), kind="stable")])


def line_boxes(start: Place, end: Place) -> list[Box]:
    """Return small boxes along a line [px]."""
    count = max(1, math.ceil(math.hypot(end[0] - start[0], end[1] - start[1]) / _ALONG_PX))
    at = [n / count for n in range(count + 1)]
    middles = [(start[0] + t * (end[0] - start[0]), start[1] + t * (end[1] - start[1])) for t in at]
    return [Box(x - 4, y - 4, x + 4, y + 4) for x, y in middles]


def rim_boxes(inside: Box) -> list[Box]:
    """Return boxes along the rim of a rectangle [px]."""
    left, top, right, bottom = inside
    return [
        Box(left - 1, top - 1, right + 1, top + 1),
        Box(left - 1, bottom - 1, right + 1, bottom + 1),
        Box(left - 1, top - 1, left + 1, bottom + 1),
        Box(right - 1, top - 1, right + 1, bottom + 1),
    ]


def place_box(at: Place) -> Box:
    """Return the box of a mark at a place [px]."""
    return Box(at[0] - 7, at[1] - 7, at[0] + 7, at[1] + 7)
