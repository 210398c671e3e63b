"""The picture of heights: what can be made, how many packers, what is asked for and is."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pandas as pd
import pytest

from kit.answer import Answer
from kit.show.board.window_axis import WindowAxis, columns, window_axis
from kit.show.board.window_picture import window_picture
from kit.show.board.window_words import fewest, tick_places
from kit.show.window import Reach, reach

DEMOS = ("reading-room", "boot-room", "market-counter")


def made(**changes: Any) -> Reach:
    """Return a window with two holes: 21 to 30, 34.5 to 52, 55 to 80 mm."""
    curve = pd.DataFrame(
        {
            "from_mm": [21.0, 26.0, 34.5, 40.0, 43.5, 47.0, 55.0, 70.0],
            "to_mm": [26.0, 30.0, 40.0, 43.5, 47.0, 52.0, 70.0, 80.0],
            "pieces": [31, 44, 40, 37, 52, 37, 60, 58],
        }
    )
    given: dict[str, Any] = {
        "asked_mm": (36.0, 60.0),
        "feasible_mm": ((21.0, 30.0), (34.5, 52.0), (55.0, 80.0)),
        "binding_low": "high point + minimum pack of 4 mm (bearer <B>)",
        "binding_high": "longest stack at F7",
        "curve": curve,
    }
    return Reach(**(given | changes))


def nodes(svg: str, name: str) -> list[ElementTree.Element]:
    return [node for node in ElementTree.fromstring(svg).iter() if node.get("class") == name]


def axis_of(svg: str) -> WindowAxis:
    (group,) = nodes(svg, "ufk-window-axis")
    names = ("data-low-mm", "data-high-mm", "data-left-px", "data-right-px")
    return WindowAxis(*(float(group.get(name, "")) for name in names))


def texts(svg: str) -> list[str]:
    return [
        node.text or "" for node in ElementTree.fromstring(svg).iter() if node.tag.endswith("text")
    ]


# ---- axis ---------------------------------------------------------------------------------


def test_axis_holds_all_that_can_be_made_and_a_little_more() -> None:
    axis = window_axis(made(), 41.0, 340)
    # 3 % of 59 mm on both sides.
    assert (axis.low_mm, axis.high_mm) == pytest.approx((21 - 1.77, 80 + 1.77))
    assert window_axis(made(), 90.0, 340).high_mm > 90
    assert window_axis(made(asked_mm=(12.0, 20.0)), 41.0, 340).low_mm < 12


def test_a_click_finds_its_height_by_what_the_picture_says() -> None:
    svg = window_picture(made(), 41.0, "mm", 376, pieces_now=37).svg
    axis = axis_of(svg)
    (now,) = nodes(svg, "ufk-now")
    # A tenth of a px is 0.02 mm here.
    assert axis.mm(float(now.get("x1", ""))) == pytest.approx(41.0, abs=0.02)
    assert axis.px(axis.mm(123.4)) == pytest.approx(123.4)


# ---- strip and curve ----------------------------------------------------------------------


def test_holes_of_the_strip_are_where_nothing_can_be_made() -> None:
    svg = window_picture(made(), 41.0, "mm", 400, pieces_now=37).svg
    axis = axis_of(svg)
    ends = []
    for hole in nodes(svg, "ufk-hole"):
        rim = next(node for node in hole if node.tag.endswith("rect"))
        left, wide = float(rim.get("x", "")), float(rim.get("width", ""))
        ends += [axis.mm(left), axis.mm(left + wide)]
        assert any(node.tag.endswith("path") for node in hole)  # hatched
    assert ends == pytest.approx([30.0, 34.5, 52.0, 55.0], abs=0.04)
    (filled,) = nodes(svg, "ufk-feasible")
    starts = [float(x) for x in re.findall(r"M([\d.]+) ", filled.get("d", ""))]
    assert [axis.mm(x) for x in starts] == pytest.approx([21.0, 34.5, 55.0], abs=0.02)


def test_a_strip_without_holes_hatches_nothing(reading_room: Answer) -> None:
    found = reach(reading_room)
    assert len(found.feasible_mm) == 1
    svg = window_picture(found, 53.9, "mm", 340, pieces_now=91).svg
    assert nodes(svg, "ufk-hole") == []
    assert not any("hatched" in text for text in texts(svg))


def test_columns_hold_least_and_most_of_what_falls_in_them(reading_room: Answer) -> None:
    found = reach(reading_room)
    axis = window_axis(found, 53.9, 340)
    least, most = columns(found, axis)
    for place in (3, 40, 97, 150, 222):
        a, b = (axis.mm(axis.left_px + place + step) for step in (0, 1))
        inside = found.curve[(found.curve["to_mm"] >= a) & (found.curve["from_mm"] < b)]
        if inside.empty:
            assert np.isnan(least[place])
        else:
            assert (least[place], most[place]) == (inside["pieces"].min(), inside["pieces"].max())


def test_curve_breaks_at_holes() -> None:
    svg = window_picture(made(), 41.0, "mm", 400, pieces_now=37).svg
    (curve,) = nodes(svg, "ufk-fewest")
    assert curve.get("d", "").count("M") == 3


def test_curve_is_lowest_where_the_fewest_packers_are() -> None:
    svg = window_picture(made(), 41.0, "mm", 400, pieces_now=37).svg
    axis = axis_of(svg)
    rings = nodes(svg, "ufk-lowest")
    middles = [axis.mm(float(ring.get("cx", ""))) for ring in rings]
    assert middles == pytest.approx([41.75, 49.5], abs=0.02)
    steps = [
        float(y)
        for y in re.findall(r"[ML][\d.]+ ([\d.]+)H", nodes(svg, "ufk-fewest")[0].get("d", ""))
    ]
    # Down the picture is up in y: 31 packers lie lowest, 60 highest, 37 between, to scale.
    low, high = max(steps), min(steps)
    ring = float(rings[0].get("cy", ""))
    assert (low - ring) / (low - high) == pytest.approx((37 - 31) / (60 - 31), abs=0.01)


# ---- words --------------------------------------------------------------------------------


def test_fewest_is_told_within_what_is_asked_for() -> None:
    best = fewest(made())
    assert best.pieces == 37
    assert best.stretches == ((40.0, 43.5), (47.0, 52.0))
    assert best.words("mm") == (
        "fewest packers as asked: 37 at 40.0 to 43.5 and 47.0 to 52.0 mm, if the bag holds enough"
    )


def test_fewest_is_cut_to_what_is_asked_for() -> None:
    assert fewest(made(asked_mm=(41.0, 50.0))).stretches == ((41.0, 43.5), (47.0, 50.0))


def test_fewest_of_all_where_one_height_is_asked_for() -> None:
    best = fewest(made(asked_mm=(61.5, 61.5)))
    assert (best.pieces, best.stretches) == (31, ((21.0, 26.0),))
    assert best.words("mm").startswith("fewest packers of all heights: 31 at 21.0 to 26.0 mm")


def test_stretches_that_touch_are_one() -> None:
    curve = made().curve.assign(pieces=[31, 31, 40, 37, 52, 37, 60, 58])
    assert fewest(made(asked_mm=(22.0, 70.0), curve=curve)).stretches == ((22.0, 30.0),)


def test_many_stretches_are_counted() -> None:
    curve = pd.DataFrame(
        {
            "from_mm": [20.0, 24.0, 28.0, 32.0, 36.0, 40.0, 44.0, 48.0],
            "to_mm": [21.0, 25.5, 29.0, 33.0, 37.0, 41.0, 45.0, 49.0],
            "pieces": [12] * 8,
        }
    )
    said = fewest(made(asked_mm=(10.0, 90.0), curve=curve)).words("mm")
    assert "20.0 to 21.0, 24.0 to 25.5, 28.0 to 29.0 mm and 5 more" in said


def test_words_say_all_that_is_drawn() -> None:
    said = window_picture(made(), 41.0, "mm", 340, pieces_now=39).words
    for part in (
        "can make 21.0 to 80.0 mm, but not between 30.0 to 34.5, 52.0 to 55.0",
        "Asked for: 36.0 to 60.0 mm",
        "Now 41.0 mm: 39 packers",
        "37 at 40.0 to 43.5 and 47.0 to 52.0 mm",
        "high point + minimum pack of 4 mm (bearer <B>)",
        "longest stack at F7",
    ):
        assert part in said


def test_inches_are_written_as_on_a_tape() -> None:
    found = made(asked_mm=(38.1, 57.15))
    picture = window_picture(found, 41.275, "in", 340, pieces_now=37)
    shown = texts(picture.svg)
    assert "now 1 5/8 in: 37 packers" in shown
    assert "asked for: 1 1/2 to 2 1/4 in" in shown
    ticks = list(tick_places(19.0, 82.0, 4.8, "in"))
    assert [text for _, text in ticks] == ["1", "1 1/2", "2", "2 1/2", "3"]
    assert [mm for mm, _ in ticks] == pytest.approx([25.4, 38.1, 50.8, 63.5, 76.2])


def test_numbers_of_the_axis_stand_apart() -> None:
    # Three figures take 21 px and a gap of 9: 20 mm would be 24 px, 50 mm are 60 px.
    wide = [mm for mm, _ in tick_places(18.0, 131.0, 1.2, "mm")]
    assert wide == [50, 100]
    fine = [mm for mm, _ in tick_places(18.0, 31.0, 24.0, "mm")]
    assert fine == list(range(18, 32))


def test_one_height_asked_for_is_told_as_one() -> None:
    shown = texts(window_picture(made(asked_mm=(41.0, 41.0)), 41.0, "mm", 340, pieces_now=37).svg)
    assert "asked for: 41.0 mm" in shown


@pytest.mark.parametrize("width", [300, 340, 420])
@pytest.mark.parametrize("demo", DEMOS)
def test_letters_keep_apart_and_in_the_picture(
    demos: dict[str, Answer],
    touching: Callable[[str], list[tuple[str, str]]],
    texts_of: Callable[[str], list[Any]],
    demo: str,
    width: int,
) -> None:
    answer = demos[demo]
    found = reach(answer)
    low, high = found.low_mm, found.high_mm
    for now in (low, answer.datum.base_height_mm, high):
        picture = window_picture(found, now, "mm", width, pieces_now=answer.pieces)
        assert touching(picture.svg) == []
        boxes = texts_of(picture.svg)
        assert len(boxes) >= 9
        assert min(one.left for one in boxes) >= -0.1
        assert max(one.right for one in boxes) <= width + 0.1
        assert max(one.bottom for one in boxes) <= picture.height_px


def test_reading_room_says_its_own_numbers(reading_room: Answer) -> None:
    found = reach(reading_room)
    height, pieces = reading_room.datum.base_height_mm, reading_room.pieces
    shown = texts(window_picture(found, height, "mm", 420, pieces_now=pieces).svg)
    assert f"now {height:.1f} mm: {pieces} packers" in shown
    assert "asked for: 50.0 to 62.0 mm" in shown
    said = " ".join(shown)
    assert f"Lowest {found.low_mm:.1f} mm: {found.binding_low}." in said
    assert f"Highest {found.high_mm:.1f} mm: {found.binding_high}." in said
    asked = found.curve[(found.curve["to_mm"] >= 50) & (found.curve["from_mm"] <= 62)]
    assert f"fewest packers as asked: {asked['pieces'].min():.0f} at" in said


def test_picture_grows_with_its_words() -> None:
    long = replace(made(), binding_low="high point " * 20)
    heights = [
        window_picture(found, 41.0, "mm", 340, pieces_now=37).height_px for found in (made(), long)
    ]
    assert heights[1] >= heights[0] + 3 * 15
