"""An edge from the side: what is known in its place, and nothing drawn of what is not."""

from __future__ import annotations

from collections.abc import Callable
from xml.etree import ElementTree

import pytest

from kit.job import Refusal
from kit.practice.moves import UnderEdge
from kit.show.practice.edge import ENLARGED, TALL_PX, edge_picture, edge_words

Classed = Callable[[str, str], list[ElementTree.Element]]
SVG = "{http://www.w3.org/2000/svg}"
UNDER = UnderEdge(
    1800.0, (350.0, 1500.0), ((0.0, 3.0), (1800.0, 7.5)), ((700.0, 2.5), (1200.0, 0.5))
)
CROWDED = UnderEdge(
    2000.0, (50.0, 1950.0), (), tuple((float(x), x / 1000) for x in range(100, 1900, 120))
)


class Edge:
    """The scale of a picture, read from its edge."""

    def __init__(self, svg: str, long_mm: float, classed: Classed) -> None:
        (edge,) = classed(svg, "ufk-edge")
        self.left, self.scale = float(edge.get("x", "")), float(edge.get("width", "")) / long_mm
        self.underside = float(edge.get("y", "")) + float(edge.get("height", ""))

    def mm(self, x_px: float) -> float:
        """Return a place along the edge [mm]."""
        return (x_px - self.left) / self.scale


@pytest.mark.parametrize("width_px", [390, 1090])
def test_contacts_touch_at_their_places(
    width_px: float, classed: Classed, numbers_in: Callable[[str], list[float]]
) -> None:
    svg = edge_picture(UNDER, width_px).svg
    edge = Edge(svg, 1800, classed)
    touches = classed(svg, "ufk-touch")
    for touch, wanted in zip(touches, UNDER.touches_mm, strict=True):
        shape = touch.find(f"{SVG}path")
        assert shape is not None
        tip_x, tip_y, *rest = numbers_in(shape.get("d", ""))
        assert edge.mm(tip_x) == pytest.approx(wanted, abs=0.1 / edge.scale)  # a tenth of a pixel
        assert tip_y == edge.underside
        assert min(rest[1::2]) > tip_y


@pytest.mark.parametrize("width_px", [390, 1090])
def test_gaps_and_packers_are_as_high_as_said(width_px: float, classed: Classed) -> None:
    picture = edge_picture(UNDER, width_px)
    edge = Edge(picture.svg, 1800, classed)
    # The largest number of times at which 7.5 mm still fits.
    times = max(n for n in ENLARGED if 7.5 * edge.scale * n <= TALL_PX)
    assert f"drawn {times} times" in "".join(ElementTree.fromstring(picture.svg).itertext())
    for gap, (at, high) in zip(classed(picture.svg, "ufk-gap"), UNDER.gaps, strict=True):
        stem, floor = gap.findall(f"{SVG}line")[0], gap.findall(f"{SVG}line")[-1]
        assert edge.mm(float(stem.get("x1", ""))) == pytest.approx(at, abs=0.1 / edge.scale)
        for line in (stem, floor):
            below = float(line.get("y2", "")) - edge.underside
            assert below == pytest.approx(high * edge.scale * times, abs=0.1)
    for packer, (at, thick) in zip(classed(picture.svg, "ufk-packer"), UNDER.packers, strict=True):
        shape = packer.find(f"{SVG}rect")
        assert shape is not None
        tall, left = float(shape.get("height", "")), float(shape.get("x", ""))
        assert tall == pytest.approx(thick * edge.scale * times, abs=0.1)
        # Its outer corner lies at the end of the edge, which rests on it.
        corner = left if at == 0 else left + float(shape.get("width", ""))
        assert edge.mm(corner) == pytest.approx(at, abs=0.2 / edge.scale)


def test_the_floor_between_is_hatched_and_not_drawn(classed: Classed) -> None:
    svg = edge_picture(UNDER, 900).svg
    edge = Edge(svg, 1800, classed)
    bands = [
        (float(band.get("data-from", "")), float(band.get("data-to", "")))
        for band in classed(svg, "ufk-unseen")
    ]
    known = [edge.left + at * edge.scale for at in (0, 350, 700, 1200, 1500, 1800)]
    assert len(bands) == 5
    for (start, end), before, after in zip(bands, known[:-1], known[1:], strict=True):
        # 11 px around what is known stay free.
        assert (start, end) == pytest.approx((before + 11, after - 11), abs=0.1)
    # Floor is drawn at packers and gaps only, 18 px wide.
    floors = classed(svg, "ufk-floor")
    assert len(floors) == 4
    assert all(float(f.get("x2", "")) - float(f.get("x1", "")) < 18.2 for f in floors)


@pytest.mark.parametrize("width_px", [300, 390, 640, 1090])
@pytest.mark.parametrize("under", [UNDER, CROWDED, UnderEdge(600.0, (0.0, 600.0))])
def test_letters_keep_apart_and_inside(
    under: UnderEdge,
    width_px: float,
    touching: Callable[[str], list[tuple[str, str]]],
    outside: Callable[[str], list[str]],
) -> None:
    svg = edge_picture(under, width_px).svg
    assert touching(svg) == []
    assert outside(svg) == []


def test_values_have_their_units_and_what_was_read_twice_stands_once() -> None:
    twice = UnderEdge(1800.0, (0.0, 1800.0), (), ((700.0, 2.5), (700.0, 2.5), (900.0, 0.0)))
    texts = [t.text for t in ElementTree.fromstring(edge_picture(twice, 900).svg).iter() if t.text]
    assert texts.count("gap 2.5 mm") == 1
    for wanted in ("gap 0 mm", "touches at 1800 mm", "marked end", "other end", "not seen"):
        assert wanted in texts


def test_words_go_from_the_marked_end_on() -> None:
    assert edge_words(UNDER) == (
        "Edge 1800 mm long from the side; from its marked end on: packer of 3 mm at 0 mm,"
        " touches at 350 mm, gap of 2.5 mm at 700 mm, gap of 0.5 mm at 1200 mm,"
        " touches at 1500 mm, packer of 7.5 mm at 1800 mm. Between them: not seen."
    )


@pytest.mark.parametrize(
    ("under", "width_px", "message"),
    [
        (UnderEdge(1800.0, (1900.0,)), 700, "0 to 1800 mm"),
        (UnderEdge(1800.0, (), ((-5.0, 3.0),)), 700, "0 to 1800 mm"),
        (UnderEdge(0.0), 700, "a length"),
        (UNDER, 100, "160 px or more"),
    ],
)
def test_what_cannot_be_drawn_is_refused(under: UnderEdge, width_px: float, message: str) -> None:
    with pytest.raises(Refusal, match=message):
        edge_picture(under, width_px)
