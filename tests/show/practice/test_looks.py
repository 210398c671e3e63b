"""Marks of a practice plan differ without colour, and a line shows its marked end."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from kit.ink import paint
from kit.ink.svg import Picture
from kit.show.board.label_places import Box
from kit.show.practice.looks import (
    NEWEST,
    heated_zone,
    line_mark,
    loose_board,
    outline_mark,
    place_mark,
    strength,
)


def parts(inner: str) -> list[ElementTree.Element]:
    return list(ElementTree.fromstring(Picture(300, 200, inner, "").svg))


def test_places_differ_by_shape() -> None:
    shapes = {who: parts(place_mark((40, 50), who)) for who in ("given", "laid", "revealed")}  # type: ignore[arg-type]
    kinds = [one.tag.rpartition("}")[2] for (one,) in shapes.values()]
    assert kinds == ["rect", "circle", "path"]


def test_lines_differ_by_dash_and_thickness() -> None:
    drawn = [line_mark((10, 20), (90, 80), who) for who in ("given", "laid", "revealed")]  # type: ignore[arg-type]
    lines = [next(n for n in parts(one) if n.get("class") == "ufk-line") for one in drawn]
    assert [line.get("stroke-dasharray") for line in lines] == [None, None, "9 4"]
    assert [line.get("stroke-width") for line in lines] == ["1.6", "6", "2.6"]


def test_an_instruments_marked_end_has_a_bar_across_it() -> None:
    (bar,) = [
        node
        for node in parts(line_mark((30, 40), (110, 100), "laid"))
        if node.get("class") == "ufk-marked-end"
    ]
    x1, y1, x2, y2 = (float(bar.get(key, "")) for key in ("x1", "y1", "x2", "y2"))
    assert ((x1 + x2) / 2, (y1 + y2) / 2) == pytest.approx((30, 40), abs=0.1)  # rounded
    # Square to (80, 60) and 16 px long, ends rounded to a tenth.
    assert (x2 - x1) * 80 + (y2 - y1) * 60 == pytest.approx(0, abs=14)
    assert (x2 - x1) ** 2 + (y2 - y1) ** 2 == pytest.approx(16**2, abs=4)


def test_only_what_was_put_down_has_a_marked_end() -> None:
    for who in ("given", "revealed"):
        assert "ufk-marked-end" not in line_mark((30, 40), (110, 100), who)  # type: ignore[arg-type]


def test_older_moves_are_fainter_but_never_gone() -> None:
    opacities = [strength(age).opacity for age in range(12)]
    assert strength(0) is NEWEST
    assert opacities == sorted(opacities, reverse=True)
    assert opacities[0] == 1.0
    assert opacities[1] < 0.8
    assert opacities[-1] == 0.4
    light = paint.lightness(paint.ACCENT)
    # Mixed with paper the faintest still stands off it by a good step of grey.
    assert 100 - (0.4 * light + 0.6 * 100) > 20


def test_outlines_and_hidden_things_differ_by_their_dashes() -> None:
    inside = Box(10, 20, 90, 60)
    drawn = [outline_mark(inside, who) for who in ("given", "laid", "revealed")]  # type: ignore[arg-type]
    drawn += [loose_board(inside), heated_zone(inside)]
    dashes = [re.findall(r'stroke-dasharray="([^"]+)"', one)[:1] for one in drawn]
    assert dashes == [[], [], ["9 4"], ["4 2"], ["12 4"]]
    assert 'fill="#d9b382"' in drawn[0]
    assert 'fill="none"' in drawn[1]
