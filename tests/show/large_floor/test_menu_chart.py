"""The menu as bars: heights in metres, crosses where a number cannot be."""

import dataclasses

import pytest

from kit.base.stack_rules import UNITS_PER_MM
from kit.levels.menu import Choice
from kit.show.large_floor.menu_chart import NONE_FROM, UPRIGHT_FROM, menu_drawing

MENU = (
    Choice("A", 1, why_not="at the least, support F <3> would need a stack of 120 mm"),
    Choice("A", 2, packing=4321 * UNITS_PER_MM, pieces=70),
    Choice("B$", 1, packing=1250 * UNITS_PER_MM, pieces=41),
    Choice("B$", 2, packing=1490 * UNITS_PER_MM, pieces=52),
)


def test_each_run_has_its_bars():
    one, other = menu_drawing(MENU, {"A": 2, "B$": 1}).traces
    assert (one["x"], one["y"]) == ([1, 2], [0.0, pytest.approx(4.321)])
    assert one["text"] == ["✗", "<b>✓<br>4.32</b>"]
    assert other["y"] == [pytest.approx(1.25), pytest.approx(1.49)]
    assert other["text"] == ["<b>✓<br>1.25</b>", "1.49"]
    assert other["marker"]["line"]["width"] == [3.0, 0.8]
    assert other["name"] == "run B&#36;"
    # Grey pages tell runs by their hatching.
    assert one["marker"]["pattern"]["shape"] != other["marker"]["pattern"]["shape"]


def test_what_cannot_be_says_why_and_the_rest_what_it_takes():
    one, _ = menu_drawing(MENU, {}).traces
    assert "1 zone cannot be:<br>At the least, support F &lt;3&gt; would" in one["hovertext"][0]
    assert "4.32 m of packing, 70 packers" in one["hovertext"][1]
    inch, _ = menu_drawing(MENU, {}, "in").traces
    assert "a stack of 120 mm (4 3/4 in)" in inch["hovertext"][0]  # 4.724 in
    assert "✓" not in "".join(one["text"])


@pytest.mark.parametrize(
    ("count", "angle", "text"),
    [(UPRIGHT_FROM - 1, 0, "1.25"), (UPRIGHT_FROM, -90, "1.25"), (NONE_FROM, -90, "")],
)
def test_many_bars_stand_clear_of_each_others_figures(count, angle, text):
    menu = [dataclasses.replace(MENU[2], zones=n) for n in range(1, count + 1)]
    drawn = menu_drawing(menu, {})
    assert drawn.traces[0]["textangle"] == angle
    assert set(drawn.traces[0]["text"]) == {text}
    assert drawn.layout["xaxis"]["range"] == [0.5, count + 0.5]


def test_a_menu_of_which_nothing_can_be_still_has_an_axis():
    drawn = menu_drawing(MENU[:1], {})
    assert drawn.layout["yaxis"]["range"][1] > 0
