"""One stack large: true to scale, its screws where the thicknesses put them, nothing touches."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

import kit
from kit.answer import Answer
from kit.base.screws import plan_distance_mm
from kit.ink.svg import Picture
from kit.job import Refusal
from kit.job.model import Service
from kit.show.board.stack_picture import stack_picture

Touching = Callable[[str], list[tuple[str, str]]]
SVG = "{http://www.w3.org/2000/svg}"
WIDTHS = (340, 620, 1040)

#: Places are rounded to a tenth of a pixel; two of them, and at least 1.5 px a millimetre.
TENTH_MM = 0.1


def px_per_mm(picture: Picture) -> float:
    """Return the scale that the picture says it is drawn to; a CSS pixel is 1/96 inch."""
    found = re.search(r"drawn (\S+) : (\S+) both ways", picture.words)
    assert found
    return float(found[1]) / float(found[2]) * 96 / 25.4


def classed(picture: Picture, name: str) -> list[ElementTree.Element]:
    """Return the elements of one class."""
    return [e for e in ElementTree.fromstring(picture.svg).iter() if e.get("class") == name]


def floor_y(picture: Picture) -> float:
    """Return where the floor's surface lies [px]."""
    return float(classed(picture, "ufk-floor-line")[0].get("y1", ""))


def screw_places(picture: Picture) -> list[tuple[str, float, float, float, float]]:
    """Return step, head and point above the floor [mm], left and right [px] of each screw."""
    floor, scale, found = floor_y(picture), px_per_mm(picture), []
    for group in classed(picture, "ufk-screw"):
        shape = group.find(f"{SVG}path")
        assert shape is not None
        numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", shape.get("d", ""))]
        x, y = numbers[::2], numbers[1::2]
        head, point = (floor - min(y)) / scale, (floor - max(y)) / scale
        found.append((group.get("data-step", ""), head, point, min(x), max(x)))
    return found


def worked_out(answer: Answer, support: str) -> list[tuple[str, float, float]]:
    """Work out where head and point of each screw must be [mm], from thicknesses alone.

    A packer of 6 mm or more is screwed, the first to the floor; the bearer is screwed from its
    top. A head lies the countersink below the surface, its point a length below its head.
    """
    packers = answer.stacks[answer.stacks["support"] == support].sort_values("position")
    thick = packers["thickness_mm"].to_numpy()
    tops = np.cumsum(thick)
    surfaces = [float(top) for top, t in zip(tops, thick, strict=True) if t >= 6]
    surfaces.append(float(tops[-1]) + answer.base.bearer.thickness_mm)
    of = answer.screws[answer.screws["support"] == support]
    assert len(of) == len(surfaces)
    return [
        (step, top - answer.job.stock.countersink_mm, top - answer.job.stock.countersink_mm - long)
        for top, step, long in zip(surfaces, of["step"], of["length_mm"], strict=True)
        if np.isfinite(long)
    ]


def names_of(answer: Answer) -> list[str]:
    """Return all supports of an answer."""
    return [str(name) for name in answer.supports["support"]]


@pytest.mark.parametrize("name", ["reading-room", "boot-room", "market-counter"])
def test_screws_lie_where_the_thicknesses_put_them(demos: dict[str, Answer], name: str) -> None:
    answer = demos[name]
    drawn_at_all = 0
    for support in names_of(answer):
        drawn = screw_places(stack_picture(answer, support, 1040))
        expected = worked_out(answer, support)
        assert [one[0] for one in drawn] == [one[0] for one in expected]
        for (_, head, point, _, _), (_, head_mm, point_mm) in zip(drawn, expected, strict=True):
            assert (head, point) == pytest.approx((head_mm, point_mm), abs=TENTH_MM)
            drawn_at_all += 1
    assert drawn_at_all > len(names_of(answer))


def test_no_point_passes_the_limit_and_no_screw_hides_another(demos: dict[str, Answer]) -> None:
    for answer in demos.values():
        for support in names_of(answer):
            picture = stack_picture(answer, support, 620)
            limit = float(classed(picture, "ufk-limit")[0].get("y1", ""))
            depth = float(answer.screws[answer.screws["support"] == support]["limit_mm"].iloc[0])
            assert (limit - floor_y(picture)) / px_per_mm(picture) == pytest.approx(
                depth, abs=TENTH_MM
            )
            screws = sorted(screw_places(picture), key=lambda one: one[3])
            assert all(-point <= depth + TENTH_MM for _, _, point, _, _ in screws)
            gaps = [b[3] - a[4] for a, b in pairwise(screws)]
            assert all(gap > 0 for gap in gaps)


@pytest.mark.parametrize("width", WIDTHS)
def test_many_screws_stay_apart(reading_room: Answer, touching: Touching, width: float) -> None:
    # only packers of 6 mm and 1 mm: ten screws or more, nearer to each other than a head is wide
    packers = tuple(
        p.model_copy(update={"count": None})
        for p in reading_room.job.stock.packers
        if p.mm in (1.0, 6.0)
    )
    stock = reading_room.job.stock.model_copy(update={"packers": packers})
    base = reading_room.base.model_copy(update={"height_mm": (84.0, 88.0), "max_pieces": 20})
    job = reading_room.job.model_copy(update={"stock": stock, "bases": (base,)})
    answer = kit.solve(job, before=reading_room)
    picture = stack_picture(answer, "F10", width)
    screws = sorted(screw_places(picture), key=lambda one: one[3])
    assert len(screws) >= 10
    assert min(b[3] - a[4] for a, b in pairwise(screws)) > 0
    assert touching(picture.svg) == []


@pytest.mark.parametrize("width", WIDTHS)
def test_no_letters_touch(demos: dict[str, Answer], touching: Touching, width: float) -> None:
    for name, answer in demos.items():
        for support in names_of(answer):
            picture = stack_picture(answer, support, width)
            assert touching(picture.svg) == [], (name, support)
            assert picture.width_px == width


@pytest.mark.parametrize("width", WIDTHS)
def test_letters_stay_on_the_picture(
    demos: dict[str, Answer], texts_of: Callable[[str], list[Any]], width: float
) -> None:
    for answer in demos.values():
        picture = stack_picture(answer, names_of(answer)[3], width)
        for one in texts_of(picture.svg):
            assert one.left >= 0, one.text
            assert one.right <= width, one.text
            assert one.bottom <= picture.height_px, one.text
    assert set(re.findall(r'font-size="([^"]+)"', picture.svg)) == {"12"}


def test_it_is_true_to_scale_both_ways(reading_room: Answer) -> None:
    picture = stack_picture(reading_room, "B9", 1040)
    scale, floor = px_per_mm(picture), floor_y(picture)
    boxes = [
        tuple(float(e.get(key, "")) for key in ("x", "y", "width", "height"))
        for e in ElementTree.fromstring(picture.svg).iter(f"{SVG}rect")
    ]
    of = reading_room.stacks[reading_room.stacks["support"] == "B9"].sort_values("position")
    wide, low = reading_room.job.stock.packer_size_mm[0], 0.0
    for thick in of["thickness_mm"]:
        expected = (wide * scale, floor - (low + thick) * scale, thick * scale)
        # places and sizes to a tenth of a pixel
        assert any((w, y, h) == pytest.approx(expected, abs=0.11) for _, y, w, h in boxes)
        low += thick
    packer_left = next(x for x, _, w, _ in boxes if w == pytest.approx(wide * scale, abs=0.11))
    # the division of low bookcase 3: 19 mm thick, its middle over the packer's
    panel = (packer_left + (wide - 19) / 2 * scale, 19 * scale)
    assert any((x, w) == pytest.approx(panel, abs=0.21) for x, _, w, _ in boxes)


@pytest.mark.parametrize("width", WIDTHS)
def test_words_hold_the_numbers(reading_room: Answer, width: float) -> None:
    picture = stack_picture(reading_room, "B9", width)
    one = reading_room.supports.set_index("support").loc["B9"]
    thick = reading_room.stacks[reading_room.stacks["support"] == "B9"]["thickness_mm"].sum()
    texts = " ".join(ElementTree.fromstring(picture.svg).itertext())
    for said in (picture.words, texts):
        assert f"{thick:.1f}" in said
        assert f"wanted {one['target_mm']:.1f}" in said
        assert f"error {thick - one['target_mm']:+.2f}" in said
        assert f"{thick + 20:.1f}" in said  # bearer of 20 mm on it
        assert "board of 21 mm less 2 mm in reserve" in said
        assert f"floor {one['floor_mm']:.1f} ± {2 * one['floor_sd_mm']:.2f} mm" in said
        assert "packer 1: 18 mm, is 17.8 mm" in said
    served = reading_room.screws[reading_room.screws["support"] == "B9"]
    for step, long, point, limit in zip(
        served["step"],
        served["length_mm"],
        served["point_below_floor_mm"],
        served["limit_mm"],
        strict=True,
    ):
        expected = f"{step.capitalize()} screw {long:g} mm, point {limit - point:.1f} mm short of"
        assert expected in picture.words


def test_where_no_screw_serves_the_reason_stands(demos: dict[str, Answer]) -> None:
    market = demos["market-counter"]
    picture = stack_picture(market, "B11", 1040)
    none = market.screws[market.screws["length_mm"].isna() & (market.screws["support"] == "B11")]
    assert set(none["step"]) == {"base", "pack"}
    assert "Base screw: none drawn, nothing enters a solid floor; plugged fixing" in picture.words
    assert "Pack screw: none drawn, none in stock: 33 to 39 mm would serve" in picture.words
    assert [one[0] for one in screw_places(picture)] == ["bearer"]


def test_a_pipe_below_is_named_and_sets_the_limit(reading_room: Answer, touching: Touching) -> None:
    name = 'old pipe <"1">'
    pipe = Service(
        name=name, from_mm=(480.0, -100.0), to_mm=(530.0, 900.0), depth_mm=15.0, clear_mm=40.0
    )
    job = reading_room.job.model_copy(update={"services": (pipe,)})
    answer = kit.solve(job, before=reading_room)
    for width in WIDTHS:
        picture = stack_picture(answer, "B2", width)
        assert f"{name}, 15 mm down" in picture.words
        assert "at most 13 mm below the floor" in picture.words  # 2 mm in reserve
        assert touching(picture.svg) == []
    far = stack_picture(answer, "B3", 620)
    assert name not in far.words


def test_the_scale_is_chosen_for_the_width(reading_room: Answer) -> None:
    scales = [px_per_mm(stack_picture(reading_room, "B9", width)) for width in (340, 620)]
    assert scales[0] < scales[1]
    tall = [stack_picture(reading_room, "B9", width) for width in WIDTHS]
    for picture in tall:
        ends = list(ElementTree.fromstring(picture.svg).iter(f"{SVG}rect"))
        top = min(float(e.get("y", "")) for e in ends)
        low = max(float(e.get("y", "")) + float(e.get("height", "")) for e in ends)
        assert low - top <= 420


def test_inches(reading_room: Answer, touching: Touching) -> None:
    inches = dataclasses.replace(
        reading_room, job=reading_room.job.model_copy(update={"units": "in"})
    )
    for width in WIDTHS:
        picture = stack_picture(inches, "F9", width)
        assert "bearer 13/16 in" in picture.words  # 20 mm
        assert touching(picture.svg) == []


def test_an_unknown_stack_is_refused(reading_room: Answer) -> None:
    with pytest.raises(Refusal, match="'B99'") as refused:
        stack_picture(reading_room, "B99", 620)
    assert "B1, B2" in refused.value.problems[0].allowed


@pytest.mark.parametrize("place", [(0.0, 0.0), (300.0, 410.0), (905.0, -77.0), (480.0, 260.0)])
def test_distance_from_a_pipe(place: tuple[float, float]) -> None:
    pipe = Service(name="pipe", from_mm=(120.0, 40.0), to_mm=(700.0, 380.0), depth_mm=30.0)
    share = np.linspace(0, 1, 200_001)
    x, y = 120 + 580 * share, 40 + 340 * share
    nearest = float(np.hypot(x - place[0], y - place[1]).min())
    # places 0.0034 mm apart on the pipe miss the foot by half of that at most
    assert plan_distance_mm(pipe, *place) == pytest.approx(nearest, abs=0.002)
