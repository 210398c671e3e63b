"""The demo jobs solved, and where the letters of a picture lie."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree

import pytest

import kit
from kit.answer import Answer
from kit.show.board.svg import letters_px

DATA = Path(__file__).parents[3] / "data"
DEMOS = ("reading-room", "boot-room", "market-counter")
LETTERS_PX = 12.0


class Letters(NamedTuple):
    """One text of a picture and the box that it takes [px]."""

    text: str
    left: float
    top: float
    right: float
    bottom: float


@pytest.fixture(scope="session")
def demos() -> dict[str, Answer]:
    """Return the demo jobs solved, by the names of their folders."""
    return {name: kit.solve(kit.read_job(DATA / name)) for name in DEMOS}


@pytest.fixture(scope="session")
def reading_room(demos: dict[str, Answer]) -> Answer:
    """Return the reading room: boards, three rows, a pipe, a limited bag."""
    return demos["reading-room"]


@pytest.fixture(scope="session")
def texts_of() -> Callable[[str], list[Letters]]:
    """Return what finds the texts of a picture and their boxes."""
    return lambda svg: list(_texts(ElementTree.fromstring(svg), "start"))


def _texts(node: ElementTree.Element, anchor: str) -> Iterator[Letters]:
    anchor = node.get("text-anchor", anchor)
    if node.tag.endswith("}text"):
        text = node.text or ""
        x, y, wide = float(node.get("x", "")), float(node.get("y", "")), letters_px(text)
        left = x - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
        # Letters stand on their baseline; a fifth of their height hangs below it.
        yield Letters(text, left, y - 0.8 * LETTERS_PX, left + wide, y + 0.2 * LETTERS_PX)
    for child in node:
        yield from _texts(child, anchor)


@pytest.fixture(scope="session")
def touching(texts_of: Callable[[str], list[Letters]]) -> Callable[[str], list[tuple[str, str]]]:
    """Return what finds the texts of a picture that lie on each other by more than 2 px."""

    def find(svg: str) -> list[tuple[str, str]]:
        boxes = texts_of(svg)
        return [
            (one.text, other.text)
            for number, one in enumerate(boxes)
            for other in boxes[number + 1 :]
            if min(one.right, other.right) - max(one.left, other.left) > 2
            and min(one.bottom, other.bottom) - max(one.top, other.top) > 2
        ]

    return find
