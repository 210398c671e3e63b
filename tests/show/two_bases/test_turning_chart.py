"""Curves over a setting: marks where it was solved, brackets where it turns, words."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any
from xml.etree import ElementTree

import pytest

from kit.answer import Answer
from kit.job import Refusal
from kit.show.two_bases.turning_chart import sweep_table, turning_chart, turning_picture
from kit.show.two_bases.turning_scale import Scale, ticks
from kit.show.two_bases.turning_words import turning_sentence, turning_sentences
from kit.side_by_side import Sweep, compare, turning_points
from kit.side_by_side.settings import settings_of


@pytest.fixture(scope="module")
def sweeps(answers: Mapping[str, Answer]) -> dict[str, Sweep]:
    """Return two prices turned for packers against stacks, and the fall against a pour, by key."""
    found = (
        *_turned(answers["packers"], answers["stacks"], {"price bearers", "price screws"}),
        *_turned(answers["packers"], answers["compound"], {"fall"}),
    )
    return {sweep.setting.key: sweep for sweep in found}


def _turned(one: Answer, other: Answer, wanted: set[str]) -> tuple[Sweep, ...]:
    settings = [setting for setting in settings_of(one, other) if setting.key in wanted]
    return turning_points(compare(one, other, floors=1), settings)


def _marks(svg: str, side: str) -> list[tuple[float, float]]:
    root = ElementTree.fromstring(svg)
    group = next(
        one
        for one in root.iter()
        if one.get("class") == "ufk-curve" and one.get("data-side") == side
    )
    if side == "a":
        circles = [one for one in group if one.tag.endswith("circle")]
        return [(float(o.get("cx") or "nan"), float(o.get("cy") or "nan")) for o in circles]
    boxes = [one for one in group if one.tag.endswith("rect")]
    return [(float(o.get("x") or "nan") + 4, float(o.get("y") or "nan") + 4) for o in boxes]


@pytest.mark.parametrize(("key", "by"), [("fall", "hours"), ("price bearers", "cost")])
def test_every_solved_position_has_its_mark(sweeps: Any, key: str, by: str) -> None:
    sweep = sweeps[key]
    measure = sweep.stops[0].a.measures[by]
    picture = turning_picture(sweep, by, 900.0)
    root = ElementTree.fromstring(picture.svg)
    now = next(one for one in root.iter() if one.get("class") == "ufk-now")
    scale = Scale(sweep, measure, 900.0, float(now.get("y2") or "nan") - 210.0, "mm")
    for side in ("a", "b"):
        solved = [(stop.value, getattr(stop, side).value(by)) for stop in sweep.stops]
        expected = [(scale.x(x), scale.y(y)) for x, y in solved if not math.isnan(y)]
        marks = _marks(picture.svg, side)
        assert len(marks) == len(expected) > 5
        for mark, place in zip(marks, expected, strict=True):
            assert mark == pytest.approx(place, abs=0.06)  # written to tenths
    assert float(now.get("x1") or "nan") == pytest.approx(scale.x(sweep.setting.now), abs=0.06)


def test_where_one_cannot_be_built_is_hatched_and_said(sweeps: Any) -> None:
    sweep = sweeps["fall"]
    refused = [stop for stop in sweep.stops if stop.b.refused]
    assert refused
    picture = turning_picture(sweep, "things", 900.0)
    root = ElementTree.fromstring(picture.svg)
    hatched = [one for one in root.iter() if one.get("class") == "ufk-cannot"]
    assert [one.get("data-side") for one in hatched] == ["b"]
    assert f"{sweep.names[1]} cannot be built: {refused[0].b.refused}" in picture.words
    assert f"From {refused[0].value:.2f}".rstrip("0") in picture.words


def test_sentence_where_one_can_no_longer_be_built(sweeps: Any) -> None:
    turning = next(one for one in sweeps["fall"].turnings if one.key == "things")
    said = turning_sentence(turning)
    fall = f"{turning.first.value:.2f}".rstrip("0")
    assert said.startswith(f"At a fall of {fall} mm/m (now 5.24) pour can no longer be built")
    assert turning.first.b.refused in said


def test_sentence_of_a_price(sweeps: Any) -> None:
    turning = next(one for one in sweeps["price bearers"].turnings if one.key == "cost")
    won, lost = turning.first.a.value("cost"), turning.first.b.value("cost")
    assert won < lost  # the bearers win where they are cheap enough
    money = [f"{one:.2f} {turning.unit}".rstrip() for one in (won, lost)]
    assert turning_sentence(turning) == (
        f"From {turning.first.value:.2f} times today's price of bearers down to 0, as far as was"
        f" looked, bearers on packers is cheaper in material: {money[0]} against {money[1]} there."
    )


def test_sentence_of_what_turns_nowhere(sweeps: Any) -> None:
    turning = next(one for one in sweeps["price screws"].turnings if one.key == "cost")
    assert not turning.turns
    assert turning_sentence(turning) == (
        "From 0 to 4 times today's price of screws it turns nowhere by material:"
        f" {turning.winner_now} stays the better."
    )
    nowhere = [one for one in sweeps["fall"].turnings if not one.turns]
    for one in nowhere:
        assert turning_sentence(one).startswith("Fall of the floor from 0 to 20.95 mm/m (now 5.24)")


def test_what_turns_is_said_first(sweeps: Any) -> None:
    said = turning_sentences(sweeps.values())
    every = [one for sweep in sweeps.values() for one in sweep.turnings]
    turned = list(dict.fromkeys(turning_sentence(one) for one in every if one.turns))
    assert said[: len(turned)] == turned
    stays, neither = said[len(turned) :]
    assert stays.startswith("Turned as well, and nowhere does the other one begin to win: ")
    assert neither.startswith("Turned as well, and neither is the better anywhere, as neither is")
    for one in every:
        if not one.turns:
            rest = stays if one.winner_now else neither
            assert one.measure in rest
            assert one.setting.words in rest


def test_a_bracket_spans_the_two_positions(sweeps: Any) -> None:
    sweep = sweeps["price bearers"]
    turning = next(one for one in sweep.turnings if one.key == "cost")
    picture = turning_picture(sweep, "cost", 900.0)
    root = ElementTree.fromstring(picture.svg)
    groups = [one for one in root.iter() if one.get("class") == "ufk-turning"]
    assert len(groups) == sum(one.turns and one.key == "cost" for one in sweep.turnings)
    scale = Scale(sweep, turning.now.a.measures["cost"], 900.0, 0.0, "mm")
    low, high = sorted((turning.last.value, turning.first.value))
    lines = [float(o.get("x1") or "nan") for o in groups[0] if o.tag.endswith("line")]
    assert lines == pytest.approx([scale.x(low), scale.x(high)], abs=0.06)
    texts = [one.text for one in groups[0] if one.tag.endswith("text")]
    assert texts == [f"turns between {low:.2f} and {high:.2f}".replace("0.50", "0.5")]


def test_table_holds_every_position(sweeps: Any) -> None:
    sweep = sweeps["fall"]
    rows = sweep_table(sweep, "hours").rows
    assert len(rows) == len(sweep.stops)
    for row, stop in zip(rows, sweep.stops, strict=True):
        assert row[1] == f"{stop.a.value('hours'):.2f}"
        assert row[2] == ("–" if stop.b.refused else f"{stop.b.value('hours'):.2f}")
        assert row[4] == ("–" if stop.b.refused else str(stop.b.supports))


def test_the_page_has_picture_sentence_and_table(sweeps: Any) -> None:
    page = turning_chart(sweeps["fall"], "things", 700.0).html
    assert page.count('role="img"') == 1
    assert "can no longer be built" in page
    assert "<caption>Positions solved of fall of the floor</caption>" in page


def test_an_unknown_measure_is_refused(sweeps: Any) -> None:
    with pytest.raises(Refusal, match="'beauty'"):
        turning_chart(sweeps["fall"], "beauty")


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (0.0, 23.9, [0, 5, 10, 15, 20, 25]),
        (-29.5, 7.3, [-30, -20, -10, 0, 10]),
        (0.0, 0.0, [0, 0.2, 0.4, 0.6, 0.8, 1.0]),
        (0.0, 4.0, [0, 1, 2, 3, 4]),
    ],
)
def test_ticks_are_round_and_hold_all(low: float, high: float, expected: list[float]) -> None:
    found = ticks(low, high)
    assert found[0] <= low
    assert found[-1] >= high
    if low != high:
        assert found == pytest.approx(expected)
