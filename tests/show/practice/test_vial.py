"""A level's glass: the bubble where it is seen, towards the end that is named."""

from __future__ import annotations

from collections.abc import Callable
from xml.etree import ElementTree

import pytest

from kit.practice.instruments import TRAVEL_MM
from kit.practice.moves import Vial
from kit.show.practice.vial import HALF_BUBBLE_MM, bubble_words, vial_picture

Classed = Callable[[str, str], list[ElementTree.Element]]
ELLIPSE = "{http://www.w3.org/2000/svg}ellipse"


def bubble_mm(svg: str, classed: Classed) -> float:
    """Read the bubble against the two lines, which stand so far from the middle; right is +."""
    (group,) = classed(svg, "ufk-bubble")
    shape = group.find(ELLIPSE)
    assert shape is not None
    left, right = (float(one.get("x1", "")) for one in classed(svg, "ufk-centre-line"))
    px_per_mm = (right - left) / (2 * HALF_BUBBLE_MM)
    return (float(shape.get("cx", "")) - (left + right) / 2) / px_per_mm


@pytest.mark.parametrize("width_px", [300, 390, 1090])
@pytest.mark.parametrize("bubble", [-8.0, -3.4, 0.0, 0.2, 2.4, 8.0])
@pytest.mark.parametrize("marked_left", [True, False])
def test_the_bubble_lies_where_it_is_seen(
    bubble: float, marked_left: bool, width_px: float, classed: Classed
) -> None:
    svg = vial_picture(Vial(bubble, marked_left), width_px).svg
    way = 1 if marked_left else -1
    # Three places are rounded to a tenth of a pixel, 12 px a millimetre or more.
    assert bubble_mm(svg, classed) == pytest.approx(way * bubble, abs=0.02)
    (bar,) = classed(svg, "ufk-marked-end")
    assert (float(bar.get("x1", "")) < width_px / 2) == marked_left


def test_the_bubble_just_fits_between_the_lines_and_at_the_end(classed: Classed) -> None:
    svg = vial_picture(Vial(0.0), 560).svg
    left, right = (float(one.get("x1", "")) for one in classed(svg, "ufk-centre-line"))
    shape = classed(svg, "ufk-bubble")[0].find(ELLIPSE)
    assert shape is not None
    assert 2 * float(shape.get("rx", "")) == pytest.approx(right - left, abs=0.3)  # four roundings
    svg = vial_picture(Vial(TRAVEL_MM), 560).svg
    (glass,) = classed(svg, "ufk-glass")
    shape = classed(svg, "ufk-bubble")[0].find(ELLIPSE)
    assert shape is not None
    end = float(glass.get("x", "")) + float(glass.get("width", ""))
    assert float(shape.get("cx", "")) + float(shape.get("rx", "")) == pytest.approx(end, abs=0.3)


def test_ticks_are_a_millimetre_apart_up_to_the_travel(classed: Classed) -> None:
    svg = vial_picture(Vial(1.2), 560).svg
    at = [float(tick.get("x1", "")) for tick in classed(svg, "ufk-tick")]
    (glass,) = classed(svg, "ufk-glass")
    scale = float(glass.get("width", "")) / (2 * (TRAVEL_MM + HALF_BUBBLE_MM))
    assert len(at) == 2 * TRAVEL_MM + 1
    assert [x - at[0] for x in at] == pytest.approx(
        [n * scale for n in range(17)], abs=0.15
    )  # roundings


@pytest.mark.parametrize("width_px", [300, 390, 1090])
def test_ends_and_scale_are_named_and_apart(
    width_px: float,
    texts_of: Callable[[str], list[tuple[str, float, float, float, float]]],
    touching: Callable[[str], list[tuple[str, str]]],
    outside: Callable[[str], list[str]],
) -> None:
    svg = vial_picture(Vial(2.4, marked_left=False), width_px).svg
    assert touching(svg) == []
    assert outside(svg) == []
    at = {text: left for text, left, *_ in texts_of(svg)}
    assert at["other end"] < at["marked end"]
    assert "mm; 1 mm is 1 mm per metre" in at


@pytest.mark.parametrize(
    ("vial", "words"),
    [
        (Vial(2.4), "at the left: bubble 2.4 mm off towards the other end."),
        (Vial(-0.6, False), "at the right: bubble 0.6 mm off towards the marked end."),
        (Vial(0.0), "at the left: bubble in the middle."),
        (
            Vial(-8.0),
            "at the left: bubble at the end of the glass, towards the marked end, 8 mm or more"
            " off.",
        ),
    ],
)
def test_words_say_what_is_seen(vial: Vial, words: str) -> None:
    assert bubble_words(vial) == f"Glass with its marked end {words}"
    assert vial_picture(vial, 400).words == bubble_words(vial)
