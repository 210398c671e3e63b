"""Both bases on the same axes: places, heights, words."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from itertools import combinations
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

import kit
from kit.answer import Answer
from kit.ink.lengths import length
from kit.show.section import profile
from kit.show.two_bases.axes import Axes, Panel
from kit.show.two_bases.drawing import image
from kit.show.two_bases.elevations import (
    elevation_picture,
    elevation_table,
    elevations,
    runs_of,
)
from kit.show.two_bases.row_view import RowView, row_view
from kit.side_by_side import Comparison, compare

WAYS = ("packers", "stacks", "feet", "ladder", "compound")
PAIRS = list(combinations(WAYS, 2))

#: Pixels are written to a tenth; two of them make a difference.
TENTHS_PX = 0.11


def _sides(svg: str) -> list[ElementTree.Element]:
    root = ElementTree.fromstring(svg)
    return [one for one in root.iter() if one.get("class") == "ufk-side"]


def _of(side: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [one for one in side.iter() if one.get("class") == name]


def _number(one: ElementTree.Element, name: str) -> float:
    return float(one.get(name) or "nan")


def _tops(side: ElementTree.Element) -> dict[str, float]:
    """Return how far the solid and the dotted top lie above the axes' lower end [px]."""
    base = _number(side, "data-base-y")
    return {
        "other" if one.get("stroke-dasharray") else "own": base - _number(one, "y1")
        for one in _of(side, "ufk-top")
    }


def _views(comparison: Comparison) -> tuple[RowView, RowView]:
    first, second = (row_view(one, "A", "F") for one in (comparison.a, comparison.b))
    assert first is not None
    assert second is not None
    return first, second


@pytest.mark.parametrize("pair", PAIRS, ids="-".join)
@pytest.mark.parametrize("width", [1400.0, 800.0])
def test_both_tops_lie_on_one_axis(pairs: Any, pair: tuple[str, str], width: float) -> None:
    c = pairs[pair]
    views = _views(c)
    first, second = (_tops(side) for side in _sides(elevation_picture(c, "A", width).svg))
    # Each elevation draws its own top and the other's: the same axis puts them as high.
    assert first["own"] == pytest.approx(second["other"], abs=TENTHS_PX)
    assert first["other"] == pytest.approx(second["own"], abs=TENTHS_PX)
    axes = Axes(views, 4000.0, width, "mm")
    apart = (views[0].top_mm - views[1].top_mm) * axes.px_per_high_mm
    assert first["own"] - second["own"] == pytest.approx(apart, abs=2 * TENTHS_PX)


def test_scales_are_those_that_are_said(pairs: Any) -> None:
    c = pairs["packers", "ladder"]
    axes = Axes(_views(c), 4000.0, 1400.0, "mm")
    assert axes.x(4000.0) - axes.x(0.0) == pytest.approx(4000 * axes.px_per_mm)
    assert axes.px_per_high_mm == axes.enlargement * axes.px_per_mm
    panels = [Panel(axes, view, top) for view, top in zip(axes.views, (50.0, 333.0), strict=True)]
    rises = [panel.y(0.0) - panel.y(10.0) for panel in panels]
    assert rises == pytest.approx([10 * axes.px_per_high_mm] * 2)
    assert panels[1].y(7.0) - panels[0].y(7.0) == pytest.approx(283.0)
    said = elevation_picture(c, "A", 1400.0).words
    assert f"heights drawn {axes.enlargement} times as large as lengths" in said
    assert "from the highest reading" in said


def test_packers_are_drawn_where_they_lie(pairs: Any) -> None:
    c = pairs["packers", "feet"]
    axes = Axes(_views(c), 4000.0, 1400.0, "mm")
    side = _sides(elevation_picture(c, "A", 1400.0).svg)[0]
    base = _number(side, "data-base-y")
    slabs = [slab for stack in axes.views[0].part.stacks for slab in stack.slabs]
    drawn = _of(side, "ufk-slab")
    assert len(drawn) == len(slabs) > 0
    for one, slab in zip(drawn, slabs, strict=True):
        middle = _number(one, "x") + _number(one, "width") / 2
        assert middle == pytest.approx(axes.x(slab.x_mm), abs=TENTHS_PX)
        tall = slab.thickness_mm * axes.px_per_high_mm
        assert _number(one, "height") == pytest.approx(tall, abs=TENTHS_PX)
        foot = base - (slab.bottom_mm - axes.low_mm) * axes.px_per_high_mm
        assert _number(one, "y") + tall == pytest.approx(foot, abs=2 * TENTHS_PX)


def test_each_way_shows_what_it_is_made_of(answers: Mapping[str, Any]) -> None:
    parts = ("ufk-slab", "ufk-bearer", "ufk-foot", "ufk-body", "ufk-crossing")
    shown = {}
    for way, answer in answers.items():
        side = _sides(elevation_picture(compare(answer, answer, floors=1), "A").svg)[0]
        shown[way] = {part for part in parts if _of(side, part)}
    assert shown == {
        "packers": {"ufk-slab", "ufk-bearer"},
        "stacks": {"ufk-slab"},
        "feet": {"ufk-foot"},
        "ladder": {"ufk-body", "ufk-crossing"},
        "compound": {"ufk-body", "ufk-crossing"},
    }


def test_feet_reach_from_the_floor_to_the_top(answers: Mapping[str, Any]) -> None:
    view = row_view(answers["feet"], "A", "F")
    assert view is not None
    assert len(view.feet) == len(view.part.stacks)
    for foot in view.feet:
        assert foot.floor_mm + foot.set_mm == pytest.approx(view.top_mm, abs=1e-9)  # closed


@pytest.mark.parametrize("way", ["ladder", "compound"])
def test_a_body_follows_the_floor(answers: Mapping[str, Any], way: str) -> None:
    answer = answers[way]
    view = row_view(answer, "A", "F")
    assert view is not None
    assert view.body is not None
    row = view.part.row
    assert view.body.x_mm[[0, -1]].tolist() == [row.start_mm, row.end_mm]
    at = view.body.x_mm
    site = answer.layout.frames["A"].to_site(at, at * 0 + row.y_mm)
    # The floor bends by less than this between two places of its profile, 50 mm apart.
    assert view.body.edge_mm == pytest.approx(answer.surface.predict(*site).height_mm, abs=0.05)


def test_the_floor_is_the_mean_along_the_row(answers: Mapping[str, Any]) -> None:
    answer = answers["stacks"]
    view = row_view(answer, "A", "F")
    assert view is not None
    floor = profile(answer, view.part.row)
    assert view.part.profile.height_mm.tolist() == floor.height_mm.tolist()
    site = answer.layout.frames["A"].to_site([1500.0], [view.part.row.y_mm])
    index = floor.x_mm.tolist().index(1500.0)
    expected = answer.surface.predict(*site)
    assert floor.height_mm[index] == pytest.approx(float(expected.height_mm[0]), abs=1e-9)
    assert floor.sd_mm[index] == pytest.approx(float(expected.sd_mm[0]), abs=1e-9)


@pytest.mark.parametrize("pair", PAIRS, ids="-".join)
def test_table_and_words_hold_the_heights_of_both(pairs: Any, pair: tuple[str, str]) -> None:
    c = pairs[pair]
    rows = elevation_table(c).rows
    expected = []
    for name, answer in zip(c.names, (c.a, c.b), strict=True):
        of_row = answer.supports[answer.supports["bearer"] == "F"].sort_values("own_x_mm")
        off = dict(zip(answer.supports["support"], answer.datum.plan.error_mm, strict=True))
        for one in of_row.itertuples():
            # A stack reaches its own height, which misses the target by its error.
            mm = one.target_mm + off[one.support]
            expected.append((name, one.support, length(one.floor_mm, "mm"), length(mm, "mm")))
    assert [(row[0], row[1], row[3], row[4]) for row in rows] == expected
    picture = elevation_picture(c, "A", 960.0)
    for name, view in zip(c.names, _views(c), strict=True):
        assert f"{name}: base top {length(view.top_mm, 'mm')} mm" in picture.words
    for _, support, _, height in expected:
        assert f"{support} {height}" in picture.words


def _boxes(svg: str) -> list[tuple[str, float, float, float]]:
    """Return every text with its left and right end and its baseline [px]."""
    root = ElementTree.fromstring(svg)
    parents = {child: parent for parent in root.iter() for child in parent}
    found = []
    for one in (one for one in root.iter() if one.tag.endswith("text")):
        text = one.text or ""
        wide = (
            len(text) * 12 * 0.5
        )  # the letters are 12 px; at most 0.58 of it wide, 0.5 on average
        anchor = one.get("text-anchor") or parents[one].get("text-anchor") or "start"
        left = _number(one, "x") - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
        found.append((text, left, left + wide, _number(one, "y")))
    return found


@pytest.mark.parametrize("pair", PAIRS, ids="-".join)
@pytest.mark.parametrize("width", [1400.0, 800.0])
def test_letters_stay_in_the_picture_and_apart(
    pairs: Any, pair: tuple[str, str], width: float
) -> None:
    picture = elevation_picture(pairs[pair], "A", width)
    boxes = _boxes(picture.svg)
    assert len(boxes) > 20
    for text, left, right, y in boxes:
        assert left >= 0, text
        assert right <= picture.width_px, text
        assert 0 < y <= picture.height_px, text
    for (one, l1, r1, y1), (other, l2, r2, y2) in combinations(boxes, 2):
        assert not (l1 < r2 and l2 < r1 and abs(y1 - y2) < 10), (one, other)


def test_an_image_with_a_name_of_its_own(pairs: Any) -> None:
    svg = image(elevation_picture(pairs["feet", "ladder"], "A"))
    root = ElementTree.fromstring(svg)
    assert root.get("role") == "img"
    assert "screw feet" in (root.get("aria-label") or "")
    assert 'role="group"' not in svg


def test_a_base_without_such_a_row_says_so(answers: Mapping[str, Answer]) -> None:
    """With the front row set forward no unit asks for a further one."""
    first = answers["packers"]
    forward = first.base.model_copy(update={"name": "set forward", "front_mm": 0.0})
    job = first.job.model_copy(update={"bases": (forward,)})
    c = compare(first, kit.solve(job, before=first), floors=1)
    picture = elevation_picture(c, "A", 960.0, "D")
    assert len(_sides(picture.svg)) == 1
    assert "set forward: no further row (D) in run A; this base has there: back row (B)" in (
        picture.words
    )
    assert [row[1] for row in elevation_table(c, "D").rows][-1] == "no row D in run A"
    neither = elevation_picture(c, "A", 960.0, "M")
    assert _sides(neither.svg) == []
    assert "set forward: no middle row (M) in run A" in neither.words


def test_both_runs_and_a_no_go_area(corner: Comparison) -> None:
    assert runs_of(corner) == ("A", "B")
    page = elevations(corner, 800.0).html
    assert page.count('role="img"') == 2
    assert page.count("<caption>") == 1
    assert "no-go" not in page  # the hatch lies behind the front row
    back = elevation_picture(corner, "A", 800.0, "B")
    assert "No-go area: floor hatch." in back.words
    assert "no-go area: floor hatch" in back.inner
    view = row_view(corner.b, "A", "B")
    assert view is not None
    assert view.body is not None
    # Over the hatch, 1200 to 1280 mm along, the frame is cut to clear it; beside it, it lies.
    over = (view.body.x_mm > 1200) & (view.body.x_mm < 1280)
    beside = (view.body.x_mm > 300) & (view.body.x_mm < 900)
    floor = view.part.profile
    gaps = view.body.edge_mm - np.interp(view.body.x_mm, floor.x_mm, floor.height_mm)
    assert over.any()
    assert gaps[over].min() == pytest.approx(corner.b.base.minimum_pack_mm, abs=0.05)
    assert abs(gaps[beside]).max() < 0.05  # the floor bends no more between places 50 mm apart


def test_inches(solved_as: Callable[..., Comparison]) -> None:
    c = solved_as("stacks", "compound", units="in")
    picture = elevation_picture(c, "A", 960.0)
    top = length(_views(c)[0].top_mm, "in")
    assert f"base top {top} in" in picture.words
    assert "in inches from" in picture.words
    assert not re.search(r"\d mm\b", picture.words)
    assert [head.unit for head in elevation_table(c).heads] == ["", "", "in", "in", "in"]
