"""The elevation: what is drawn is to scale, what is written is there and does not touch."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

import kit
from kit.answer import Answer
from kit.job.model import Moved
from kit.show.board.elevation_picture import elevation_picture
from kit.show.section import Section, sections

Touching = Callable[[str], list[tuple[str, str]]]
SVG = "{http://www.w3.org/2000/svg}"
WIDTHS = (340, 620, 1040)


def part_of(answer: Answer, bearer: str) -> Section:
    """Return one row of an answer."""
    run = answer.layout.row(bearer).run
    return next(part for part in sections(answer, run) if part.row.name == bearer)


def all_parts(answer: Answer) -> list[Section]:
    """Return all rows of an answer."""
    return [part for run in answer.job.runs for part in sections(answer, run.name)]


def groups(svg: str) -> dict[str, ElementTree.Element]:
    """Return the stacks of a picture by their names."""
    found = ElementTree.fromstring(svg).iter(f"{SVG}g")
    return {g.get("data-support", ""): g for g in found if g.get("class") == "ufk-stack"}


def packers(group: ElementTree.Element) -> list[tuple[float, float, float]]:
    """Return left, top and height of a stack's packers from the floor up [px]."""
    rim = group.find(f"{SVG}g")
    assert rim is not None
    return [
        (float(one.get("x", "")), float(one.get("y", "")), float(one.get("height", "")))
        for one in rim.iter(f"{SVG}rect")
    ]


def ruler_px_per_mm(texts: list[Any], length_mm: float) -> float:
    """Return the scale of lengths that the ruler's first and last mark say."""
    zero = next(t for t in texts if t.text == "0")
    last = next(t for t in texts if t.text == f"{length_mm:.0f}")
    return float((last.left + last.right - zero.left - zero.right) / 2 / length_mm)


@pytest.mark.parametrize("width", WIDTHS)
def test_no_letters_touch(demos: dict[str, Answer], touching: Touching, width: float) -> None:
    for name, answer in demos.items():
        for part in all_parts(answer):
            svg = elevation_picture(answer, part, width, chosen=part.stacks[0].support).svg
            assert touching(svg) == [], (name, part.row.name)


def test_no_letters_touch_in_the_market_hall(answer: Answer, touching: Touching) -> None:
    for part in all_parts(answer):
        for width in (340, 777):
            assert touching(elevation_picture(answer, part, width).svg) == []


def test_letters_are_never_small(demos: dict[str, Answer]) -> None:
    for answer in demos.values():
        svg = elevation_picture(answer, all_parts(answer)[0], 340).svg
        assert set(re.findall(r'font-size="([^"]+)"', svg)) == {"12"}


def test_words_hold_the_numbers(reading_room: Answer) -> None:
    datum = reading_room.datum
    said = elevation_picture(reading_room, part_of(reading_room, "B"), 1040).words
    assert f"base top {datum.datum_mm + 20:.1f}" in said  # bearer of 20 mm, no front lift
    assert f"underside {datum.datum_mm:.1f}" in said
    stacks = reading_room.stacks.groupby("support")["thickness_mm"].sum()
    on_row = [name for name in stacks.index if name.startswith("B")]
    assert len(on_row) == 10
    for name in on_row:
        assert f"{name} {stacks[name]:.1f}" in said


def test_heights_and_lengths_are_to_scale(
    reading_room: Answer, texts_of: Callable[[str], list[Any]]
) -> None:
    picture = elevation_picture(reading_room, part_of(reading_room, "F"), 1040)
    along = ruler_px_per_mm(texts_of(picture.svg), 4000)
    times = int(re.search(r"heights drawn (\d+) times", picture.words)[1])  # type: ignore[index]
    drawn = groups(picture.svg)
    thick = {str(name): list(of) for name, of in _thicknesses(reading_room).items()}
    at = dict(zip(reading_room.supports["support"], reading_room.supports["own_x_mm"], strict=True))
    floor = dict(
        zip(reading_room.supports["support"], reading_room.supports["floor_mm"], strict=True)
    )
    first = "F1"
    for name, group in drawn.items():
        slabs = packers(group)
        tall = [height / (along * times) for _, _, height in slabs]
        # numbers stand to a tenth of a pixel, and here 1.7 px are a millimetre of height
        assert tall == pytest.approx(thick[name], abs=0.07)
        left = packers(drawn[first])[0][0]
        assert (slabs[0][0] - left) / along == pytest.approx(at[name] - at[first], abs=1)
        foot, other = (s[0][1] + s[0][2] for s in (slabs, packers(drawn[first])))
        assert (other - foot) / (along * times) == pytest.approx(
            floor[name] - floor[first], abs=0.15
        )


def _thicknesses(answer: Answer) -> dict[str, list[float]]:
    table = answer.stacks.sort_values(["support", "position"])
    return {str(name): list(of["thickness_mm"]) for name, of in table.groupby("support")}


def test_stacks_can_be_chosen_by_key(reading_room: Answer) -> None:
    svg = elevation_picture(reading_room, part_of(reading_room, "B"), 620, chosen="B3").svg
    drawn = groups(svg)
    assert list(drawn) == [f"B{n}" for n in range(1, 11)]
    pressed = [name for name, g in drawn.items() if g.get("aria-pressed") == "true"]
    assert pressed == ["B3"]
    assert {(g.get("role"), g.get("tabindex")) for g in drawn.values()} == {("button", "0")}
    thick = [r for r in drawn["B3"].iter(f"{SVG}rect") if float(r.get("stroke-width", 0)) > 3]
    assert len(thick) == 1
    assert not [r for r in drawn["B4"].iter(f"{SVG}rect") if float(r.get("stroke-width", 0)) > 3]


def test_a_stack_is_read_out(reading_room: Answer) -> None:
    svg = elevation_picture(reading_room, part_of(reading_room, "B"), 620).svg
    sizes = reading_room.stacks[reading_room.stacks["support"] == "B9"]
    pile = " + ".join(f"{mm:g}" for mm in sizes["nominal_mm"])
    height = float(sizes["thickness_mm"].sum())
    one = reading_room.supports.set_index("support").loc["B9"]
    error = height - one["target_mm"]
    expected = f"B9: {height:.1f} mm, from the floor up {pile}; error {error:+.2f} mm"
    assert groups(svg)["B9"].get("aria-label") == expected


def test_a_stack_moved_by_hand_is_marked(reading_room: Answer) -> None:
    moved = Moved(bearer="B", from_mm=1500.0, to_mm=1526.0)
    answer = kit.solve(_with_base(reading_room, moved=(moved,)), before=reading_room)
    svg = elevation_picture(answer, part_of(answer, "B"), 620).svg
    drawn = groups(svg)
    assert (drawn["B4"].get("aria-label") or "").endswith("; moved by hand")
    assert "▲ B4" in svg
    assert svg.count("▲") == 2  # at the stack and in the key
    assert "by hand" not in (drawn["B5"].get("aria-label") or "")


def _with_base(answer: Answer, **changes: Any) -> kit.Job:
    base = answer.job.bases[0].model_copy(update=changes)
    return answer.job.model_copy(update={"bases": (base,)})


def test_doubt_is_two_sd_to_either_side(
    reading_room: Answer, texts_of: Callable[[str], list[Any]]
) -> None:
    part = part_of(reading_room, "B")
    picture = elevation_picture(reading_room, part, 1040)
    times = int(re.search(r"heights drawn (\d+) times", picture.words)[1])  # type: ignore[index]
    scale = ruler_px_per_mm(texts_of(picture.svg), 4000) * times
    band = next(
        p for p in ElementTree.fromstring(picture.svg).iter() if p.get("class") == "ufk-doubt"
    )
    numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", band.get("d", ""))]
    y = numbers[1::2]
    widths = [low - up for up, low in zip(y[: len(y) // 2], y[: len(y) // 2 - 1 : -1], strict=True)]
    # both edges are rounded to a tenth of a pixel
    assert widths == pytest.approx((4 * part.profile.sd_mm * scale).tolist(), abs=0.11)


def test_what_was_not_surveyed_is_named(reading_room: Answer, touching: Touching) -> None:
    part = part_of(reading_room, "B")
    known = elevation_picture(reading_room, part, 620)
    assert "not surveyed" not in known.svg
    height = part.profile.height_mm.copy()
    height[11:16] = np.nan  # 50 mm apart: from 500 to 800 mm, between B2 and B3
    floor = dataclasses.replace(part.profile, height_mm=height)
    picture = elevation_picture(reading_room, dataclasses.replace(part, profile=floor), 620)
    assert "not surveyed." in picture.words
    assert picture.svg.count('class="ufk-doubt"') == 2
    assert touching(picture.svg) == []


def test_no_go_high_point_and_walls(demos: dict[str, Answer], reading_room: Answer) -> None:
    boots = demos["boot-room"]
    back = elevation_picture(boots, part_of(boots, "A-B"), 620)
    assert "no-go: floor hatch" in back.words
    assert back.svg.count('class="ufk-wall"') == 2
    assert "floor hatch" not in elevation_picture(boots, part_of(boots, "A-F"), 620).svg
    rows = [elevation_picture(reading_room, part, 620) for part in all_parts(reading_room)]
    certain = f"★ high point, {reading_room.high_point.certainty:.0%} certain"
    assert sum(certain in picture.svg for picture in rows) == 1
    assert [picture.svg.count('class="ufk-wall"') for picture in rows] == [1, 1, 1]


def test_the_plinth_is_drawn_in_the_front_row(reading_room: Answer) -> None:
    rows = {p.row.name: elevation_picture(reading_room, p, 620) for p in all_parts(reading_room)}
    assert ["plinth 70.0" in rows[name].words for name in ("B", "F", "D")] == [False, True, False]
    assert "edge before cutting" in rows["F"].svg


def test_a_long_run_is_wider_than_the_view(reading_room: Answer) -> None:
    part = part_of(reading_room, "B")
    assert elevation_picture(reading_room, part, 1040).width_px == pytest.approx(1040)
    narrow = elevation_picture(reading_room, part, 250)
    assert narrow.width_px > 250
    first, last = (packers(groups(narrow.svg)[name])[0][0] for name in ("B1", "B10"))
    # 37.5 to 3962.5 mm at 0.09 px/mm, places to a tenth of a pixel
    assert last - first == pytest.approx(3925 * 0.09, abs=0.2)


def test_pictures_keep_to_a_height(demos: dict[str, Answer]) -> None:
    for answer in demos.values():
        for part in all_parts(answer):
            assert 230 < elevation_picture(answer, part, 1040).height_px < 350


def test_inches(reading_room: Answer, touching: Touching) -> None:
    inches = dataclasses.replace(
        reading_room, job=reading_room.job.model_copy(update={"units": "in"})
    )
    picture = elevation_picture(inches, part_of(inches, "F"), 340)
    assert "in inches" in picture.words
    assert "157 1/2" in picture.svg  # 4000 mm
    assert "plinth 2 3/4" in picture.words  # 70 mm
    assert touching(picture.svg) == []


def test_names_are_shortened_and_made_safe(reading_room: Answer) -> None:
    part = part_of(reading_room, "B")
    name = 'case <b> & "sons" with a long name that does not fit'
    units = [
        dataclasses.replace(p, unit=p.unit.model_copy(update={"name": name}))
        for p in part.row.units
    ]
    row = dataclasses.replace(part.row, units=tuple(units))
    svg = elevation_picture(reading_room, dataclasses.replace(part, row=row), 620).svg
    texts = [t for t in ElementTree.fromstring(svg).iter(f"{SVG}text") if t.find(f"{SVG}title")
             is not None]  # fmt: skip
    assert {t.find(f"{SVG}title").text for t in texts} == {name}  # type: ignore[union-attr]
    assert any((t.text or "").endswith("…") for t in texts)
