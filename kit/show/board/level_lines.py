"""Bands and level lines of a floor, drawn as paths."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import numpy as np

from kit.ink import paint
from kit.ink.svg import element, path

#: Places along a line, x and y [px]: shape (n, 2).
Line = np.ndarray[Any, np.dtype[np.float64]]


def band(filled: Sequence[Any], tone: str) -> str:
    """Draw one band between two levels; nothing where it has no ground.

    Parameters
    ----------
    filled : pair of sequences
        Its parts, as contourpy gives them by ``FillType.OuterOffset``: of each the places of its
        k rings one after the other, each closed by its first place, shape (n, 2) [px]; and of each
        where they begin and end among these, shape (k + 1,).
    tone : str
        Its colour.
    """
    outline = "".join(_rings(*filled))
    if not outline:
        return ""
    # Its own tone as a thin rim closes the seams between bands.
    look: dict[str, Any] = {"fill": tone, "stroke": tone, "stroke_width": 0.6}
    return element("path", d=outline, class_="ufk-band", fill_rule="evenodd", **look)


def _rings(polygons: Iterable[Any], offsets: Iterable[Any]) -> Iterator[str]:
    for points, starts in zip(polygons, offsets, strict=True):
        for start, end in zip(starts[:-1].tolist(), starts[1:].tolist(), strict=True):
            yield path(map(tuple, points[start : end - 1].tolist()), closed=True)


def level_line(level: float, lines: Sequence[Line]) -> str:
    """Draw the line of one level: heavier at 0, dashed below it; nothing where it runs nowhere."""
    if not lines:
        return ""
    dash: dict[str, Any] = {"stroke_dasharray": "5 3"} if level < 0 else {}
    return element(
        "path",
        d="".join(path(map(tuple, one.tolist())) for one in lines),
        fill="none",
        stroke=paint.INK,
        stroke_opacity=0.8 if level == 0 else 0.55,
        stroke_width=2 if level == 0 else 0.9,
        class_="ufk-level",
        data_level=f"{level:g}",
        **dash,
    )
