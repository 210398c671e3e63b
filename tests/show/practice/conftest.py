"""Attempts on practice floors, and where the letters and shapes of a picture lie."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any
from xml.etree import ElementTree

import pytest

from kit.practice.draws import Draws
from kit.practice.drill import Given
from kit.practice.floors import LooseBoard, Patch, PracticeFloor, Soft, make_floor
from kit.practice.grades import GRADES
from kit.practice.instruments import pack_bag
from kit.practice.moves import Done, Move, OnPlan
from kit.practice.shapes import Bump, Fall
from kit.practice.tools import Tools, lay, read_at, tread_at


@pytest.fixture(scope="session")
def classed() -> Callable[[str, str], list[ElementTree.Element]]:
    """Return what finds the elements of one class in a picture."""
    return lambda svg, name: [
        node for node in ElementTree.fromstring(svg).iter() if node.get("class") == name
    ]


@pytest.fixture(scope="session")
def numbers_in() -> Callable[[str], list[float]]:
    """Return what reads the numbers of the ``d`` of a path."""
    return lambda d: [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", d)]


@pytest.fixture(scope="session")
def outside(texts_of: Callable[[str], list[Any]]) -> Callable[[str], list[str]]:
    """Return what finds the texts that leave their picture."""

    def find(svg: str) -> list[str]:
        root = ElementTree.fromstring(svg)
        wide, tall = float(root.get("width", "")), float(root.get("height", ""))
        return [
            one.text
            for one in texts_of(svg)
            if one.left < -1 or one.top < -1 or one.right > wide + 1 or one.bottom > tall + 1
        ]

    return find


@pytest.fixture(scope="session")
def made() -> PracticeFloor:
    """Return a floor in closed form: a fall, one hump, and one of everything that is hidden."""
    return PracticeFloor(
        71,
        GRADES[1],
        3700.0,
        2300.0,
        (Fall(1.5, -2.0), Bump(2600.0, 900.0, 6.0, 800.0)),
        (LooseBoard(Patch(400.0, 0.0, 140.0, 1200.0), 2.7),),
        (Soft(1500.0, 1700.0, 1.3, 700.0),),
        (Patch(1900.0, 400.0, 1200.0, 1500.0),),
    )


@pytest.fixture(scope="session")
def rough() -> PracticeFloor:
    """Return a floor as drills make them."""
    return make_floor(23, GRADES[2])


@pytest.fixture(scope="session")
def worked_moves() -> Callable[[PracticeFloor, Sequence[Move]], tuple[Done, ...]]:
    """Return what makes moves on a floor with a bag of instruments."""

    def make(floor: PracticeFloor, moves: Sequence[Move]) -> tuple[Done, ...]:
        tools, done = Tools(floor, pack_bag(Draws("pictures"))), ()
        for move in moves:
            done = (*done, Done(move, tools.do(done, move)))
        return done

    return make


@pytest.fixture(scope="session")
def done(
    made: PracticeFloor, worked_moves: Callable[[PracticeFloor, Sequence[Move]], tuple[Done, ...]]
) -> tuple[Done, ...]:
    """Return moves of every kind, many of them close to each other."""
    moves = [
        Move("set_up"),
        lay("short", (2500, 300), (2550, 900)),
        Move("edge", {"from": (1500.0, 30.0), "towards": (3600.0, 30.0)}),
        Move("gap", {"at": 700.0}),
        *(read_at((float(x), y)) for y in (30.0, 560.0) for x in range(150, 3700, 350)),
        tread_at((1200.0, 800.0)),
        lay("long", (600, 1500), (2400, 1300), (3.0, 0.0)),
    ]
    return worked_moves(made, moves)


@pytest.fixture(scope="session")
def given() -> Given:
    """Return a room with bearers, a point and a joist."""
    return Given(
        ("a room",),
        (3700.0, 2300.0),
        (
            OnPlan("outline", ((600, 0), (3400, 45)), "back bearer"),
            OnPlan("outline", ((3400, 560), (600, 515)), "front bearer"),
            OnPlan("place", ((900, 2000),), "A"),
            OnPlan("line", ((100, 2250), (3600, 2150)), "joist"),
        ),
    )
