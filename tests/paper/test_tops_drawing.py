"""Supports off one level on paper: places through the scale, letters apart, all inside."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from kit.as_built import Checked
from kit.paper.document import Document
from kit.paper.label_places import letters_box, letters_of
from kit.paper.marks import Area, Disc, Drawing, Letters, Stroke
from kit.paper.tops_drawing import _CROSS_MM, tops_drawings
from kit.parts import Answer

Built = Callable[..., Checked]

WIDE = Document("", ()).room_mm[0]


def uneven(name: str, x: float) -> float:
    return 1.1 * math.sin(x / 700) + (3.0 if name in ("B7", "B8", "B9") else 0.0)


@pytest.fixture(scope="session")
def many(made_rooms: dict[str, Answer], built: Built) -> dict[str, Checked]:
    """A run of twelve metres, one small unit, supports that stand close; in millimetres."""
    return {name: built(made_rooms[name], uneven) for name in ("long", "small", "narrow", "feet")}


def kinds(drawing: Drawing) -> tuple[list[Disc], list[Disc]]:
    """Return rings (as read) and discs (after the changes) from left to right."""
    discs = sorted((m for m in drawing.marks if isinstance(m, Disc)), key=lambda m: m.middle)
    return [one for one in discs if one.grey == 1.0], [one for one in discs if one.grey == 0.0]


def scale(drawing: Drawing, tolerance_mm: float) -> tuple[float, float]:
    """Return where the level lies, and millimetres of paper for a millimetre, off the band."""
    (band,) = [mark for mark in drawing.marks if isinstance(mark, Area)]
    top, low = band.places[0][1], band.places[2][1]
    return (top + low) / 2, (low - top) / 2 / tolerance_mm


def test_places_through_the_scale(checked: Checked) -> None:
    drawings = tops_drawings(checked, WIDE)
    assert [one.words.split(":")[0] for one in drawings] == ["Row B", "Row F", "Row D"]
    told, scales = checked.changes.table.set_index("support"), set()
    for drawing, (_, of_row) in zip(
        drawings, checked.supports.groupby("bearer", sort=False), strict=True
    ):
        rings, discs = kinds(drawing)
        level, per_mm = scale(drawing, checked.tolerance_mm)
        scales.add(round(per_mm, 6))
        here = of_row.sort_values("own_x_mm")
        want = told.loc[here["support"]]
        off = [(level - ring.middle[1]) / per_mm for ring in rings]
        assert off == pytest.approx(want["off_before_mm"].tolist(), abs=1e-9)
        after = [(level - disc.middle[1]) / per_mm for disc in discs]
        assert after == pytest.approx(want[want["opened"]]["off_after_mm"].tolist(), abs=1e-9)
        x, along = [ring.middle[0] for ring in rings], here["own_x_mm"].tolist()
        steps = [(b - a) / (d - c) for a, b, c, d in zip(x, x[1:], along, along[1:], strict=False)]
        assert steps == pytest.approx([steps[0]] * len(steps), rel=1e-9)  # one scale along the run
    assert len(scales) == 1  # all rows share one scale of height


def test_figures_of_the_scale_stand_at_their_heights(checked: Checked) -> None:
    seen = set()
    for drawing in tops_drawings(checked, WIDE):
        level, per_mm = scale(drawing, checked.tolerance_mm)
        zero = next(one for one in letters_of(drawing.marks) if one.text == "±0 mm")
        for one in letters_of(drawing.marks):
            if one.text[0] in "+-":
                seen.add(one.text)
                assert zero.at[1] - one.at[1] == pytest.approx(float(one.text) * per_mm)
        lines = [m.places[0][1] for m in drawing.marks if isinstance(m, Stroke)]
        assert level in lines
    assert seen == {"+1.00", "-1.00", "+2.00", "-2.00"}


def test_after_the_changes_all_lies_in_the_band(checked: Checked) -> None:
    for drawing in tops_drawings(checked, WIDE):
        level, per_mm = scale(drawing, checked.tolerance_mm)
        rings, discs = kinds(drawing)
        opened = {disc.middle[0] for disc in discs}
        stay = [ring for ring in rings if ring.middle[0] not in opened]
        for one in (*stay, *discs):
            assert abs(level - one.middle[1]) <= checked.tolerance_mm * per_mm + 1e-6


def test_whiskers_reach_two_standard_deviations(checked: Checked) -> None:
    drawing = tops_drawings(checked, WIDE)[0]
    _, per_mm = scale(drawing, checked.tolerance_mm)
    rings, _ = kinds(drawing)
    row = checked.supports[checked.supports["bearer"] == "B"].sort_values("own_x_mm")
    for ring, sd in zip(rings, row["sd_mm"], strict=True):
        x, y = ring.middle
        ends = [(x, y + 2 * sd * per_mm), (x, y - 2 * sd * per_mm)]
        drawn = [m.places for m in drawing.marks if isinstance(m, Stroke)]
        assert any(np.allclose(places, ends) for places in drawn)


@pytest.mark.parametrize("name", ["room", "inch", "long", "small", "narrow", "feet"])
def test_letters_lie_apart_and_everything_inside(
    name: str, checked: Checked, many: dict[str, Checked], inch_room: Answer, built: Built
) -> None:
    one = {"room": lambda: checked, "inch": lambda: built(inch_room, uneven)}.get(
        name, lambda: many[name]
    )()
    drawings = tops_drawings(one, WIDE)
    names: list[str] = []
    for drawing in drawings:
        letters = letters_of(drawing.marks)
        boxes = [letters_box(line) for line in letters]
        for number, box in enumerate(boxes):
            assert not any(box.meets(other) for other in boxes[:number])
            assert box.left >= -1e-9
            assert box.right <= drawing.width_mm + 1e-9
            assert box.top >= -1e-9
            assert box.bottom <= drawing.height_mm + 1e-9
        assert all(line.size_mm >= 2.5 for line in letters)
        for mark in drawing.marks:
            places = getattr(mark, "places", ())
            assert all(
                0 <= x <= drawing.width_mm and 0 <= y <= drawing.height_mm for x, y in places
            )
        names += [line.text.split()[0] for line in letters]
    assert {*one.supports["support"]} <= {*names}


def test_a_crowded_row_is_cut_at_the_same_places(
    many: dict[str, Checked], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("kit.paper.tops_drawing._MOST", 15)
    long = many["long"]  # 21 supports a row
    drawings = tops_drawings(long, WIDE)
    heads = [one.words.split(":")[0] for one in drawings]
    assert heads == ["Row B, 1 of 2", "Row B, 2 of 2", "Row F, 1 of 2", "Row F, 2 of 2"]
    counts = [len(kinds(one)[0]) for one in drawings]
    assert counts[0] + counts[1] == counts[2] + counts[3] == 21
    assert max(counts) <= 15


def test_only_grey_and_what_was_read(reading_room: Answer, built: Built) -> None:
    checked = built(reading_room, lambda n, x: math.nan if n.startswith("D") else uneven(n, x))
    drawings = tops_drawings(checked, WIDE)
    assert [one.words.split(":")[0] for one in drawings] == ["Row B", "Row F"]
    said = [mark.text for one in drawings for mark in one.marks if isinstance(mark, Letters)]
    assert not any(text.startswith("D") for text in said)


def test_what_contradicts_itself_is_crossed_out_on_the_level(slipped: Checked) -> None:
    of_row = next(one for one in tops_drawings(slipped, 180.0) if one.words.startswith("Row F"))
    assert "Readings contradict, read again: F3." in of_row.words
    (name,) = [m for m in of_row.marks if getattr(m, "text", "") == "F3 read again"]
    assert name.bold
    rings = [m for m in of_row.marks if isinstance(m, Disc) and m.radius_mm == _CROSS_MM]
    ((along, down),) = [ring.middle for ring in rings]
    assert along == pytest.approx(name.at[0])  # the name has room, and stands below it
    assert down == pytest.approx(scale(of_row, slipped.tolerance_mm)[0])
