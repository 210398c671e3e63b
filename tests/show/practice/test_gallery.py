"""Practice floors side by side: one scale, one key, figures that are the floors' own."""

from __future__ import annotations

import re
from collections.abc import Callable
from xml.etree import ElementTree

import numpy as np
import pytest

from kit.job import Refusal
from kit.practice.floors import PracticeFloor, make_floor
from kit.practice.grades import GRADES
from kit.show.practice.floor_map import floor_map
from kit.show.practice.gallery import floor_gallery, gallery_picture, gallery_table

Classed = Callable[[str, str], list[ElementTree.Element]]


@pytest.fixture(scope="module")
def floors(made: PracticeFloor, rough: PracticeFloor) -> tuple[PracticeFloor, ...]:
    return made, rough, make_floor(3, GRADES[0]), make_floor(8, GRADES[1], 2400.0, 3300.0)


@pytest.mark.parametrize("width_px", [300, 390, 960])
def test_all_are_drawn_to_one_scale_and_apart(
    floors: tuple[PracticeFloor, ...],
    width_px: float,
    classed: Classed,
    touching: Callable[[str], list[tuple[str, str]]],
    outside: Callable[[str], list[str]],
) -> None:
    svg = gallery_picture(floors, width_px).svg
    rooms = classed(svg, "ufk-room")
    scales = {room.get("data-px-per-mm") for room in rooms}
    assert len(rooms) == len(floors)
    assert len(scales) == 1
    for room, floor in zip(rooms, floors, strict=True):
        assert float(room.get("data-width-mm", "")) == floor.width_mm
        wide = float(room.get("width", ""))
        # Both are rounded to a tenth of a pixel.
        assert wide == pytest.approx(floor.width_mm * float(*scales), abs=0.1)
        assert float(room.get("x", "")) + wide <= width_px
    (bar,) = classed(svg, "ufk-bar")
    long = float(bar.get("x2", "")) - float(bar.get("x1", ""))
    assert long == pytest.approx(1000 * float(*scales), abs=0.1)
    assert touching(svg) == []
    assert outside(svg) == []


def test_highest_and_lowest_are_marked_where_they_are(
    floors: tuple[PracticeFloor, ...], classed: Classed, numbers_in: Callable[[str], list[float]]
) -> None:
    svg = gallery_picture(floors, 960).svg
    groups = classed(svg, "ufk-floor")
    assert [group.get("data-seed") for group in groups] == ["71", "23", "3", "8"]
    for group, floor in zip(groups, floors, strict=True):
        one = floor_map(floor)
        (room,) = [n for n in group.iter() if n.get("class") == "ufk-room"]
        left, top, scale = (
            float(room.get(key, "")) for key in ("data-left", "data-top", "data-px-per-mm")
        )
        for name, place in (("ufk-highest", one.highest), ("ufk-lowest", one.lowest)):
            (mark,) = [n for n in group.iter() if n.get("class") == name]
            x, y = np.array(numbers_in(mark.get("d", ""))).reshape(-1, 2).T
            wanted = left + place[0] * scale, top + place[1] * scale
            # Its tip is 6 px beyond the place, upwards or down; places are rounded to a tenth.
            tip = -6 if name == "ufk-highest" else 6
            assert (x[2], y[2] - tip) == pytest.approx(wanted, abs=0.1)


def test_titles_say_seed_grade_fall_and_range(floors: tuple[PracticeFloor, ...]) -> None:
    picture = gallery_picture(floors, 960)
    one = floor_map(floors[1])
    said = f"seed 23, rough, falls {one.fall_mm_per_m:.1f} mm/m"
    assert said in picture.words
    assert f"lowest {np.ptp(one.carried_mm):.1f} mm below highest" in picture.words
    assert picture.words.startswith("4 floors.")


def test_the_table_has_the_floors_own_figures(
    floors: tuple[PracticeFloor, ...], made: PracticeFloor
) -> None:
    table = gallery_table(floors)
    assert len(table.rows) == 4
    row = dict(zip([head.text for head in table.heads], table.rows[0], strict=True))
    assert (row["seed"], row["grade"], row["width"]) == ("71", "ordinary", "3700")
    assert (row["loose board stands proud"], row["gives underfoot"]) == ("2.7", "1.3")
    assert row["heating"] == "yes"
    x, y = (float(number) for number in row["highest at x, y"].split(", "))
    every_x, every_y = np.meshgrid(np.linspace(0, 3700, 371), np.linspace(0, 2300, 231))
    highest = made.carried_mm(every_x, every_y).max()
    # Looked at every 10 mm: squares of 50 mm miss little of the top.
    assert float(made.carried_mm(np.array(x), np.array(y))) == pytest.approx(highest, abs=0.15)
    units = {head.text: head.unit for head in table.heads}
    assert units["fall"] == "mm/m"
    assert units["lowest below highest"] == units["largest hump"] == "mm"


def test_a_notebook_shows_pictures_above_the_table(floors: tuple[PracticeFloor, ...]) -> None:
    shown = floor_gallery(floors, 700)._repr_html_()
    assert shown.index("<svg") < shown.index("<table")
    assert re.search(r'<svg [^>]*role="img"', shown)
    assert len(re.findall(">(?:under|over) [−+]", shown)) == 2  # one key for all


def test_no_floor_is_refused() -> None:
    with pytest.raises(Refusal, match="one or more"):
        floor_gallery(())
