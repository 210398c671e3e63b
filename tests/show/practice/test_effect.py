"""What a mistake does, drawn: as far out as the factor says, each figure beside it."""

from __future__ import annotations

import re
from collections.abc import Callable
from xml.etree import ElementTree

import pytest

from kit.ink import paint
from kit.practice.effects import UNIT_HEIGHT_MM, UNIT_WIDTH_MM, Effect, gap_between, lean_across
from kit.show.practice.effect import ENLARGED, MOST_PX, TALL_PX, drawn_as, effect_picture

Classed = Callable[[str, str], list[ElementTree.Element]]
Numbers = Callable[[str], list[float]]
SVG = "{http://www.w3.org/2000/svg}"


def part(svg: str, name: str, classed: Classed) -> ElementTree.Element:
    (found,) = classed(svg, name)
    return found


def times_of(group: ElementTree.Element) -> int:
    """Return how many times as large a drawing says that it is."""
    found = re.search(r"drawn (\d+) times", "".join(group.itertext()))
    assert found
    return int(found[1])


def corners(group: ElementTree.Element, numbers_in: Numbers) -> list[list[tuple[float, float]]]:
    """Return the corners of each unit: lower left, lower right, upper right, upper left."""
    shapes = [n for n in group.iter() if n.get("class") == "ufk-unit"]
    flat = [numbers_in(shape.get("d", "")) for shape in shapes]
    return [list(zip(one[::2], one[1::2], strict=True)) for one in flat]


@pytest.mark.parametrize("lean", [22.9, -4.3, 0.3, -61.0])
def test_a_unit_leans_as_far_as_said(lean: float, classed: Classed, numbers_in: Numbers) -> None:
    svg = effect_picture(Effect("it leans", lean_mm=lean), 500).svg
    group = part(svg, "ufk-lean", classed)
    ((lower_left, lower_right, upper_right, upper_left),) = corners(group, numbers_in)
    scale = TALL_PX / UNIT_HEIGHT_MM
    for low, high in ((lower_left, upper_left), (lower_right, upper_right)):
        # Two places, each rounded to a tenth of a pixel.
        assert high[0] - low[0] == pytest.approx(lean * scale * times_of(group), abs=0.2)
        long = ((high[0] - low[0]) ** 2 + (high[1] - low[1]) ** 2) ** 0.5
        assert long == pytest.approx(TALL_PX, abs=0.2)  # it stays rigid
    # And square: sides at right angles.
    across = (lower_right[0] - lower_left[0], lower_right[1] - lower_left[1])
    up = (upper_left[0] - lower_left[0], upper_left[1] - lower_left[1])
    assert across[0] * up[0] + across[1] * up[1] == pytest.approx(0, abs=0.2 * TALL_PX)
    measure = part(svg, "ufk-measure", classed)
    out = float(measure.get("x2", "")) - float(measure.get("x1", ""))
    assert out == pytest.approx(lean * scale * times_of(group), abs=0.2)


def test_a_corner_hangs_as_far_as_said(classed: Classed) -> None:
    svg = effect_picture(Effect("it rocks", rock_mm=1.7), 500).svg
    group = part(svg, "ufk-rock", classed)
    measure = part(svg, "ufk-measure", classed)
    hang = float(measure.get("y2", "")) - float(measure.get("y1", ""))
    scale = 110.0 / UNIT_WIDTH_MM  # the unit's front is 110 px wide
    assert hang == pytest.approx(1.7 * scale * times_of(group), abs=0.2)  # rounded to a tenth


@pytest.mark.parametrize("gap", [7.5, -3.2])
def test_tops_stand_as_far_apart_as_said(gap: float, classed: Classed, numbers_in: Numbers) -> None:
    svg = effect_picture(Effect("tops", gap_mm=gap), 500).svg
    group = part(svg, "ufk-gap", classed)
    left, right = corners(group, numbers_in)
    apart = right[3][0] - left[2][0]
    assert apart == pytest.approx(gap * TALL_PX / UNIT_HEIGHT_MM * times_of(group), abs=0.3)
    assert left[1] == right[0]  # they meet at their feet
    assert (len(classed(svg, "ufk-pressing")) == 1) == (gap < 0)


def test_figures_stand_beside_the_drawings(classed: Classed) -> None:
    effect = Effect("all of it", lean_mm=-12.44, rock_mm=1.5, gap_mm=-3.2)
    picture = effect_picture(effect, 640)
    texts = [t.text for t in ElementTree.fromstring(picture.svg).iter() if t.tag == f"{SVG}text"]
    for wanted in ("all of it", "top hangs over 12.4 mm", "in 2 m of height,",
                   "one corner hangs 1.5 mm", "tops press by 3.2 mm"):  # fmt: skip
        assert wanted in texts
    assert picture.words == (
        "all of it. top hangs over 12.4 mm; one corner hangs 1.5 mm; tops press by 3.2 mm."
    )
    for name, mm in (("lean", "-12.44"), ("rock", "1.5"), ("gap", "-3.2")):
        assert part(picture.svg, f"ufk-{name}", classed).get("data-mm") == mm


@pytest.mark.parametrize("width_px", [250, 390, 1090])
@pytest.mark.parametrize(
    "effect",
    [
        Effect("a sentence that is a good deal longer than a narrow picture is wide, as some are",
               lean_mm=22.9, rock_mm=0.6, gap_mm=-7.5),
        lean_across(-2.2),
        gap_between(0.9),
        Effect("nothing that leans"),
        Effect("far out", lean_mm=-1523.0, rock_mm=444.0, gap_mm=1200.0),
    ],
)  # fmt: skip
def test_letters_keep_apart_and_inside(
    effect: Effect,
    width_px: float,
    touching: Callable[[str], list[tuple[str, str]]],
    outside: Callable[[str], list[str]],
) -> None:
    picture = effect_picture(effect, width_px)
    assert touching(picture.svg) == []
    assert outside(picture.svg) == []
    assert picture.width_px <= width_px


def test_words_alone_stand_in_a_small_box(classed: Classed) -> None:
    picture = effect_picture(Effect("the screws come through"), 700)
    assert picture.words == "the screws come through."
    assert picture.height_px < 50
    for name in ("lean", "rock", "gap"):
        assert classed(picture.svg, f"ufk-{name}") == []


@pytest.mark.parametrize("mm", [0.01, 0.4, 3.3, 27.0, 428.0])
def test_the_largest_factor_that_fits_is_taken(mm: float) -> None:
    scale = TALL_PX / UNIT_HEIGHT_MM
    drawn = drawn_as(-mm, scale, MOST_PX)
    times = round(drawn.px / (mm * scale))
    assert drawn.px <= MOST_PX
    larger = [n for n in ENLARGED if n > times]
    assert all(mm * scale * n > MOST_PX for n in larger)
    said = "drawn to scale" if times == 1 else f"drawn {times} times as large"
    assert drawn.words == said


def test_what_is_too_large_says_so_and_is_not_passed_off_as_drawn() -> None:
    assert drawn_as(900.0, TALL_PX / UNIT_HEIGHT_MM, MOST_PX).words == "more than can be drawn"
    assert "more than can be drawn" in effect_picture(Effect("x", lean_mm=900.0), 400).svg


def test_it_reads_in_grey() -> None:
    unit, press = paint.lightness(paint.UNIT), paint.lightness(paint.MARK)
    assert unit - press > 40
    assert unit - paint.lightness(paint.INK) > 70
    assert 100 - paint.lightness(paint.TIMBER) > 20


def test_hostile_words_are_only_letters() -> None:
    bad = '"><b onload=x>&'
    root = ElementTree.fromstring(effect_picture(Effect(bad, lean_mm=3.0), 400).svg)
    assert bad in (root.get("aria-label") or "")
    assert not [node for node in root.iter() if node.tag == f"{SVG}b"]
