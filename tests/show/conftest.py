"""A market hall's stall counter on a small, uneven slab: unequal in every direction."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple
from xml.etree import ElementTree

import pytest

import kit
from kit.ink.svg import letters_px
from kit.job import Base, Job

#: Heights [mm] at unequal places: falls to the right and into the room, a hump at 900, 150.
READINGS = """point,x_mm,y_mm,height_mm,sd_mm
Q1,0,0,0.0,0.3
Q2,610,20,-1.3,0.3
Q3,900,150,2.1,0.3
Q4,1480,10,-3.9,0.4
Q5,1990,30,-5.2,0.3
Q6,15,480,-2.2,0.3
Q7,700,470,-3.4,0.3
Q8,1300,500,-5.6,0.5
Q9,2010,460,-8.3,0.3
"""

JOB = """schema = 1
title = {title}
units = "{units}"

[floor]
kind = "solid"
services = "unknown"

[[survey]]
kind = "heights"
file = "heights.csv"

[[run]]
name = "A"

  [[run.unit]]
  name = {unit}
  width_mm = 800
  depth_mm = 400
  height_mm = 900
  side_mm = 18
  divisions_mm = [310]
  mass_kg = 30
  contents_kg = 50

  [[run.unit]]
  name = "till"
  width_mm = 1100
  depth_mm = 420
  height_mm = 950
  side_mm = 22
  mass_kg = 41
  contents_kg = 12

[[no_go]]
name = "drain"
corner_mm = [1250, 0]
size_mm = [140, 120]

[[service]]
name = "water pipe"
from_mm = [1700, 0]
to_mm = [1750, 500]
depth_mm = 90

[[base]]
name = "counter base"    # kept when the panel saves
height_mm = [48, 66]
back_mm = 40
front_mm = 50
max_span_mm = 500
plinth = {{ set_back_mm = 40, thickness_mm = 18, board_mm = [80] }}

[stock]
packers = [ {{mm = 1}}, {{mm = 3}}, {{mm = 6}}, {{mm = 18, measured_mm = 17.8}} ]
screws_mm = [30, 50, 70]
"""


def write_job(folder: Path, **names: str) -> Path:
    """Write the job with other names or units into a folder of its own."""
    given = {"title": '"Market hall, stall 7"', "unit": '"cheese counter"', "units": "mm"}
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "job.toml").write_text(JOB.format(**(given | names)))
    (folder / "heights.csv").write_text(READINGS)
    return folder


@pytest.fixture(scope="session")
def answer(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """Return the solved market hall."""
    return kit.solve(kit.read_job(write_job(tmp_path_factory.mktemp("hall") / "job")))


@pytest.fixture
def job(tmp_path: Path) -> Job:
    """Return the market hall in a folder that a test may write to."""
    return kit.read_job(write_job(tmp_path / "job"))


@pytest.fixture
def inch_job(tmp_path: Path) -> Job:
    """Return the market hall shown in inches."""
    return kit.read_job(write_job(tmp_path / "inches", units="in"))


#: Besides the base on bearers: one of every other way, as its makers' leaflets would say it.
OTHER_WAYS: dict[str, dict[str, Any]] = {
    "stacks": {"height_mm": (48.0, 66.0)},
    "feet": {
        "height_mm": (48.0, 90.0),
        "feet": ({"low_mm": 38.0, "high_mm": 62.0, "price": 1.85, "bears_n": 900.0},),
    },
    "ladder": {
        "height_mm": (60.0, 90.0),
        "ladder": {"boards": ({"mm": 95.0, "price_per_m": 6.4}, {"mm": 120.0})},
    },
    "compound": {
        "height_mm": (4.0, 30.0),
        "compound": {
            "least_mm": 3.0,
            "greatest_mm": 45.0,
            "powder_kg_per_l": 1.7,
            "set_kg_per_l": 2.0,
            "drying": ({"to_mm": 10.0, "days": 1.0}, {"to_mm": 45.0, "days": 3.5}),
        },
    },
}


@pytest.fixture(scope="session")
def ways(answer: Any) -> dict[str, Any]:
    """Return the market hall solved in every way of building, by the word of its method."""
    # Nothing can be poured over the drain.
    found, job = {"packers": answer}, answer.job.model_copy(update={"no_go": ()})
    for method, keys in OTHER_WAYS.items():
        given = {"name": method, "method": method, "back_mm": 40.0, "front_mm": 50.0} | keys
        base = Base.model_validate(given)
        found[method] = kit.solve(job.model_copy(update={"bases": (*job.bases, base)}), method)
    return found


LETTERS_PX = 12.0


class Letters(NamedTuple):
    """One text of a picture and the box that it takes [px]."""

    text: str
    left: float
    top: float
    right: float
    bottom: float


@pytest.fixture(scope="session")
def texts_of() -> Callable[[str], list[Letters]]:
    """Return what finds the texts of a picture and their boxes."""
    return lambda svg: list(_texts(ElementTree.fromstring(svg), "start", (0.0, 0.0)))


def _texts(node: ElementTree.Element, anchor: str, moved: tuple[float, float]) -> Iterator[Letters]:
    anchor = node.get("text-anchor", anchor)
    by = re.fullmatch(r"translate\((\S+) (\S+)\)", node.get("transform", "translate(0 0)"))
    assert by
    moved = moved[0] + float(by[1]), moved[1] + float(by[2])
    if node.tag.endswith("}text"):
        text = node.text or ""
        x, y = float(node.get("x", "")) + moved[0], float(node.get("y", "")) + moved[1]
        wide = letters_px(text)
        left = x - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
        # Letters stand on their baseline; a fifth of their height hangs below it.
        yield Letters(text, left, y - 0.8 * LETTERS_PX, left + wide, y + 0.2 * LETTERS_PX)
    for child in node:
        yield from _texts(child, anchor, moved)


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
