"""Bars: which way, how long, hollow where there is no difference, both figures at the ends."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations
from typing import Any
from xml.etree import ElementTree

import pytest

from kit.show.two_bases.difference_bars import Bars, difference_bars, difference_picture
from kit.show.two_bases.figures import figure, with_unit
from kit.show.two_bases.groups import GROUPS, barred_by, group_of, grouped, same, share, untold
from kit.side_by_side import Comparison

PAIRS = list(combinations(("packers", "stacks", "feet", "ladder", "compound"), 2))
WIDTH = 900.0


def _measures(comparison: Comparison) -> dict[str, ElementTree.Element]:
    root = ElementTree.fromstring(difference_picture(comparison, None, WIDTH).svg)
    found = (one for one in root.iter() if one.get("class") == "ufk-measure")
    return {one.get("data-key") or "": one for one in found}


def _ends(one: ElementTree.Element) -> tuple[float, float]:
    bar = next(part for part in one.iter() if part.tag.endswith("rect"))
    left, wide = (float(bar.get(name) or "nan") for name in ("x", "width"))
    return left, left + wide


@pytest.mark.parametrize("pair", PAIRS, ids="-".join)
def test_bars_go_to_the_better_one(pairs: Any, pair: tuple[str, str]) -> None:
    c = pairs[pair]
    drawn = _measures(c)
    rows = tuple(row for row in c.rows if barred_by(row) and not same(row))
    assert set(drawn) == {row.key for row in rows}
    bars = Bars(c, rows, WIDTH)
    for row in rows:
        left, right = _ends(drawn[row.key])
        texts = [text.text for text in drawn[row.key].iter() if text.tag.endswith("text")]
        larger = max(abs(row.a.value), abs(row.b.value))
        part = abs(row.a.value - row.b.value) / (100 if row.a.unit == "% of limit" else larger)
        # To a tenth of a pixel at either end; the thinnest bar is drawn a pixel wide.
        assert right - left == pytest.approx(max(part * bars.px_per_share, 1.0), abs=0.21)
        if row.winner == "a":
            assert right == pytest.approx(WIDTH / 2, abs=1.0)
        elif row.winner == "b":
            assert left == pytest.approx(WIDTH / 2, abs=1.0)
        bar = next(one for one in drawn[row.key].iter() if one.tag.endswith("rect"))
        assert bool(bar.get("stroke-dasharray")) == (row.winner == "")
        assert ("no difference" in texts) == (row.winner == "")
        for one in (row.a, row.b):
            assert with_unit(one.value, one.key, one.unit, "mm") in texts


def test_a_whisker_spans_the_drawn_floors(pairs: Any) -> None:
    c = pairs["packers", "ladder"]
    row = c.row("cost")
    bars = Bars(c, tuple(r for r in c.rows if barred_by(r) and not same(r)), WIDTH)
    low, _, high = row.odds.difference
    larger = max(row.a.value, row.b.value)
    # Less is better: the first is the better by what the second costs more, to the left.
    assert bars.whisker(row) == pytest.approx((-high / larger, -low / larger))
    drawn = _measures(c)["cost"]
    group = next(one for one in drawn.iter() if one.get("class") == "ufk-whisker")
    span = next(one for one in group if one.tag.endswith("line"))
    assert float(span.get("x1") or "nan") == pytest.approx(bars.x(-high / larger), abs=0.06)
    assert float(span.get("x2") or "nan") == pytest.approx(bars.x(-low / larger), abs=0.06)
    not_drawn = _measures(c)["floor_screws"]
    assert not [one for one in not_drawn.iter() if one.get("class") == "ufk-whisker"]


def test_no_bar_or_whisker_leaves_its_room(pairs: Any) -> None:
    for c in pairs.values():
        bars = Bars(c, tuple(r for r in c.rows if barred_by(r) and not same(r)), WIDTH)
        for row in bars.rows:
            for part in (bars.share(row), *bars.whisker(row)):
                assert 112 < bars.x(part) < WIDTH - 112


def test_what_has_no_bar_stands_in_words(pairs: Any) -> None:
    c = pairs["feet", "compound"]
    picture = difference_picture(c, None, WIDTH)
    barred = set(_measures(c))
    rest = [row for row in c.rows if row.key not in barred]
    assert len(rest) > 8
    for row in rest:
        assert row.a.measure in picture.words
        assert same(row) or untold(c, row) in picture.words


def test_every_row_is_in_one_group(pairs: Any) -> None:
    assert group_of("cost") == GROUPS[0]
    assert group_of("wind_mm") == GROUPS[1]
    assert group_of("margin bearer sag") == GROUPS[2]
    assert group_of("mass_kg") == GROUPS[3]
    for c in pairs.values():
        found = [row.key for _, of_group in grouped(c.rows) for row in of_group]
        assert sorted(found) == sorted(row.key for row in c.rows)


def test_chosen_measures_alone(pairs: Any) -> None:
    page = difference_bars(pairs["packers", "stacks"], ["hours", "cost"], 700.0).html
    assert page.count("ufk-measure") == 2
    assert page.count('<th scope="row"') == 2
    assert page.count('role="img"') == 1


def test_share_follows_the_better_way(pairs: Any) -> None:
    c = pairs["packers", "ladder"]
    room, mass = c.row("room_mm"), c.row("mass_kg")
    assert share(room, room.difference) == pytest.approx(-1.0)  # the frame leaves none: all of it
    expected = -(mass.b.value - mass.a.value) / mass.b.value
    assert share(mass, mass.difference) == pytest.approx(expected)


def test_swapped_bases_mirror_the_bars(solved_as: Callable[..., Comparison]) -> None:
    there, back = solved_as("feet", "stacks"), solved_as("stacks", "feet")
    for row in there.rows:
        if barred_by(row):
            other = back.row(row.key)
            assert share(row, row.difference) == pytest.approx(-share(other, other.difference))


@pytest.mark.parametrize(
    ("value", "key", "unit", "units", "shown"),
    [
        (53.7562, "top_mm", "mm", "mm", "53.8"),
        (53.7562, "top_mm", "mm", "in", "2 1/8"),  # 2.116 in, to a sixteenth
        (0.4955, "level_error_mm", "mm", "mm", "0.50"),
        (0.4955, "level_error_mm", "mm", "in", "0.020"),
        (9.144, "timber_m", "m", "in", "30.0"),  # ft of 0.3048 m
        (9.144, "timber_m", "m", "mm", "9.14"),
        (-0.001, "gap_mm", "mm", "mm", "0.00"),
        (160.333, "hours", "h", "mm", "160"),
        (30.125, "cost", "GBP", "mm", "30.12"),
        (12.0, "things", "", "mm", "12"),
        (float("nan"), "cost", "GBP", "mm", "–"),
    ],
)
def test_figures_are_rounded_for_reading(
    value: float, key: str, unit: str, units: Any, shown: str
) -> None:
    assert figure(value, key, unit, units) == shown
