"""Joists on the plan: where they are drawn, how they are shaded, what is said of each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from kit.answer import Answer
from kit.job import Job, Joists
from kit.show.board.map_key import map_key
from kit.show.board.plan_frame import PlanFrame, frame_of
from kit.show.board.plan_ground import ground_layer
from kit.show.board.plan_joists import joist_boxes, joist_shapes, joist_strips, joist_words
from kit.show.board.sag_bands import sag_bands
from kit.strength.joists import JoistWork, NoJoists, Pressed, joists_under

WIDTHS = (340, 620, 1040)

#: Joists along the wall over three bearings, unequal spans; the plan shows y from -250 to 730 mm.
GALLERY = Joists(
    along="x",
    width_mm=60,
    depth_mm=140,
    centres_mm=310,
    first_mm=45,
    bearing_mm=(300, 1900, 3300),
    strength_class="C16",
)

#: On the joist at 45 mm one stack in the longer span; on that at 355 mm one beyond the bearings;
#: the joist at 665 mm carries nothing.
STACKS = (
    Pressed("B4", "B", 1000.0, 45.0, 900.0, 1400.0),
    Pressed("F1", "F", 120.0, 355.0, 300.0),
)


def gallery(job: Job, units: str = "mm") -> tuple[Job, JoistWork]:
    floor = job.floor.model_copy(update={"joists": GALLERY})
    work = joists_under(GALLERY, "boarded", STACKS, 1)
    assert isinstance(work, JoistWork)
    return job.model_copy(update={"floor": floor, "units": units}), work


def drawn(job: Job, frame: PlanFrame, work: JoistWork | NoJoists) -> ElementTree.Element:
    inner = "".join(joist_shapes(job, frame, work))
    return ElementTree.fromstring(f"<svg>{inner}</svg>")


def rectangle(node: ElementTree.Element) -> tuple[float, float, float, float]:
    x, y, wide, tall = (float(node.get(key, "")) for key in ("x", "y", "width", "height"))
    return x, y, x + wide, y + tall


def titles(root: ElementTree.Element) -> list[str]:
    return [node.text or "" for node in root.iter("title")]


def shades(root: ElementTree.Element) -> list[ElementTree.Element]:
    return [node for node in root.iter("rect") if node.get("class") == "ufk-sag"]


def work_of(answer: Answer) -> JoistWork:
    work = answer.strength.joists
    assert isinstance(work, JoistWork)
    return work


# ---- where --------------------------------------------------------------------------------


@pytest.mark.parametrize("width", WIDTHS)
def test_each_joist_is_drawn_at_its_own_place_and_width(reading_room: Answer, width: int) -> None:
    frame = frame_of(reading_room.job, reading_room.layout, width)
    rims = [
        rectangle(node)
        for node in drawn(reading_room.job, frame, work_of(reading_room)).iter("rect")
        if node.get("fill") == "none"
    ]
    # The plan shows 250 mm, at 340 px 24 px, beyond units from 0 to 4000 mm: 11 joists.
    expected = [frame.to_px(150 + 400 * n, 0)[0] for n in range(11)]
    assert [(rim[0] + rim[2]) / 2 for rim in rims] == pytest.approx(expected, abs=0.11)
    # 47 mm, both edges to a tenth of a px.
    for rim in rims:
        assert rim[2] - rim[0] == pytest.approx(47 * frame.px_per_mm, abs=0.11)
        # From the first bearing, at y = 0, to the picture's lower edge.
        assert rim[1] == pytest.approx(frame.to_px(0, 0)[1], abs=0.06)
        assert rim[3] == pytest.approx(frame.height_px, abs=0.11)


def test_joists_along_the_wall_end_at_their_bearings(reading_room: Answer) -> None:
    job, _ = gallery(reading_room.job)
    frame = frame_of(job, reading_room.layout, 1040)
    strips = joist_strips(GALLERY, frame)
    # At 45, 355, 665 mm; one at 975 mm would be below the picture.
    assert [one.middle_mm for one in strips][:3] == [45, 355, 665]
    assert {one.along_mm for one in strips} == {(300, 3300)}
    for one, box in zip(strips, joist_boxes(job, frame), strict=True):
        assert box.left == pytest.approx((300 - frame.left_mm) * frame.px_per_mm)
        assert box.right - box.left == pytest.approx(3000 * frame.px_per_mm)
        high = frame.to_px(0, one.across_mm[0])[1]
        assert (box.top, box.bottom) == pytest.approx((high, frame.to_px(0, one.across_mm[1])[1]))


@pytest.mark.parametrize("first", [-245.0, 700.0, 720.0, -40.0])
@pytest.mark.parametrize("along", ["x", "y"])
@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_is_drawn_outside_the_plan(
    reading_room: Answer, width: int, along: str, first: float
) -> None:
    joists = GALLERY.model_copy(
        update={"first_mm": first, "along": along, "bearing_mm": (-900, 1000, 9000)}
    )
    floor = reading_room.job.floor.model_copy(update={"joists": joists})
    job = reading_room.job.model_copy(update={"floor": floor})
    work = joists_under(joists, "boarded", STACKS, 1)
    frame = frame_of(job, reading_room.layout, width)
    found = [rectangle(node) for node in drawn(job, frame, work).iter("rect")]
    assert found  # one of a joist that is not computed, as at 700 mm: stacks stand far before it
    for left, top, right, bottom in found:
        # Place and size are rounded to a tenth of a px each.
        assert left >= 0
        assert top >= 0
        assert right <= frame.width_px + 0.11
        assert bottom <= frame.height_px + 0.11


# ---- shading ------------------------------------------------------------------------------


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("width", WIDTHS)
def test_each_shade_is_the_band_of_the_sag_there(
    reading_room: Answer, width: int, units: str
) -> None:
    job, work = gallery(reading_room.job, units)
    frame = frame_of(job, reading_room.layout, width)
    bands = sag_bands(work, job.units)
    step_mm = bands.step * (25.4 if units == "in" else 1)
    found = shades(drawn(job, frame, work))
    on_first = [node for node in found if rectangle(node)[1] < frame.to_px(0, 45)[1]]
    assert {int(node.get("data-band", "")) for node in on_first} == set(range(bands.count))
    for node in on_first:
        left, _, right, _ = rectangle(node)
        middle = float(frame.to_mm((left + right) / 2, 0)[0])
        (sag,) = work.sag_final_mm(work.joists[0], [middle]).tolist()
        number = int(node.get("data-band", ""))
        assert number == max(0, int(sag / step_mm))
        assert node.get("fill") == bands.tones[number]
        for edge in (left, right):
            # An edge lies within 1 px (half a step of looking) of the level, or at a bearing;
            # places are rounded to 0.1 px.
            near = frame.to_mm([edge - 1.2, edge + 1.2], [0, 0])[0]
            if near[0] > 300 and near[1] < 3300:
                ends = work.sag_final_mm(work.joists[0], near) / step_mm
                assert np.floor(ends[0]) != np.floor(ends[1])


def test_shades_of_one_joist_leave_no_gap(reading_room: Answer) -> None:
    frame = frame_of(reading_room.job, reading_room.layout, 1040)
    root = drawn(reading_room.job, frame, work_of(reading_room))
    for group in root.iter("g"):
        parts = [rectangle(node) for node in shades(group)]
        (rim,) = [rectangle(one) for one in group.iter("rect") if one.get("fill") == "none"]
        assert parts[0][1] == rim[1]
        assert parts[-1][3] == pytest.approx(rim[3], abs=0.11)
        for one, other in pairwise(parts):
            assert one[3] == pytest.approx(other[1], abs=0.11)


def test_a_joist_that_carries_nothing_is_light_all_along(reading_room: Answer) -> None:
    job, work = gallery(reading_room.job)
    frame = frame_of(job, reading_room.layout, 1040)
    third = list(drawn(job, frame, work).iter("g"))[2]
    assert [node.get("data-band") for node in shades(third)] == ["0"]


def test_a_joist_that_is_not_computed_is_hatched_and_dashed(reading_room: Answer) -> None:
    job, work = gallery(reading_room.job)
    frame = frame_of(job, reading_room.layout, 1040)
    first, second, *_ = drawn(job, frame, work).iter("g")
    assert shades(second) == []
    assert [node.get("stroke-dasharray") for node in second.iter("rect")] == ["5 3"]
    assert len(list(second.iter("path"))) == 1
    assert list(first.iter("path")) == []


# ---- plain --------------------------------------------------------------------------------


def test_joists_that_are_not_worked_out_are_drawn_plain(reading_room: Answer) -> None:
    frame = frame_of(reading_room.job, reading_room.layout, 1040)
    for unknown in (NoJoists("not asked"), gallery(reading_room.job)[1]):
        # The second is the work of other joists than the job's.
        root = drawn(reading_room.job, frame, unknown)
        assert [node.tag for node in root] == ["line"] * 22
        assert [node.get("stroke-dasharray") for node in root][1::2] == ["9 5"] * 11


def test_without_joists_nothing_is_drawn(demos: dict[str, Answer]) -> None:
    answer = demos["boot-room"]
    frame = frame_of(answer.job, answer.layout, 1040)
    assert list(joist_shapes(answer.job, frame, answer.strength.joists)) == []
    assert joist_boxes(answer.job, frame) == []


# ---- words --------------------------------------------------------------------------------


def test_each_joist_says_how_far_it_sags(reading_room: Answer) -> None:
    frame = frame_of(reading_room.job, reading_room.layout, 1040)
    work = work_of(reading_room)
    said = titles(drawn(reading_room.job, frame, work))
    worst = max(joist.greatest_final_mm for joist in work.joists)
    assert len(said) == 11
    assert said[6] == (
        f"joist at x = 2550 mm: sags {worst:.2f} mm at most (final, furniture alone)"
    )


def test_words_of_other_joists_and_in_inches(reading_room: Answer) -> None:
    _, work = gallery(reading_room.job)
    most = work.joists[0].greatest_final_mm
    assert joist_words(work, 1, "in") == (
        f"joist at y = 1 3/4 in: sags {most / 25.4:.3f} in at most (final, furniture alone)"
    )
    beyond = "not computed, F1 stands beyond its outermost bearings"
    assert joist_words(work, 2, "mm") == f"joist at y = 355 mm: {beyond}"
    assert joist_words(work, 3, "mm") == "joist at y = 665 mm: carries nothing of the furniture"


# ---- ground layer and key -----------------------------------------------------------------


@pytest.mark.parametrize("width", WIDTHS)
def test_ground_layer_takes_the_joists_and_no_letters_touch(
    reading_room: Answer, touching: Callable[[str], list[Any]], width: int
) -> None:
    job, layout, cuts = reading_room.job, reading_room.layout, reading_room.cuts
    frame = frame_of(job, layout, width)
    plain = ground_layer(job, layout, cuts, frame)
    shaded = ground_layer(job, layout, cuts, frame, work_of(reading_room))
    assert "ufk-sag" not in plain
    assert shaded.count("ufk-joist") == 11
    assert "sags 0.94 mm" in shaded
    assert touching(f'<svg xmlns="http://www.w3.org/2000/svg">{shaded}</svg>') == []


def with_work(answer: Answer, job: Job, work: JoistWork | NoJoists) -> Answer:
    return replace(answer, job=job, strength=replace(answer.strength, joists=work))


@pytest.mark.parametrize("width", WIDTHS)
def test_key_explains_the_shading(
    reading_room: Answer, touching: Callable[[str], list[Any]], width: int
) -> None:
    frame = frame_of(reading_room.job, reading_room.layout, width)
    picture = map_key(reading_room, frame, width)
    assert "joists: sag under the furniture, final, 0 to 0.94 mm" in picture.words
    for tone, text in zip(
        sag_bands(work_of(reading_room), "mm").tones,
        ("0 to 0.2", "0.2 to 0.4", "0.4 to 0.6", "0.6 to 0.8", "0.8 to 0.94"),
        strict=True,
    ):
        assert f'fill="{tone}"' in picture.inner
        assert f">{text}<" in picture.inner
    # All are computed, and the deepest place is beyond the picture.
    assert "not computed" not in picture.words
    assert "sags most" not in picture.words
    assert touching(picture.svg) == []


def test_key_names_what_is_not_computed_and_where_it_sags_most(reading_room: Answer) -> None:
    job, work = gallery(reading_room.job, "in")
    frame = frame_of(job, reading_room.layout, 1040)
    words = map_key(with_work(reading_room, job, work), frame, 1040).words
    most = work.joists[0].greatest_final_mm / 25.4
    assert f"joists: sag under the furniture, final, 0 to {most:.3f} in: rise, or 0 to" in words
    assert words.endswith("not computed; sags most.")


def test_key_of_joists_none_of_which_is_computed_gives_no_figure(reading_room: Answer) -> None:
    job, _ = gallery(reading_room.job)
    work = joists_under(GALLERY, "boarded", STACKS[1:], 1)
    assert isinstance(work, JoistWork)
    out = replace(work, joists=tuple(one for one in work.joists if not one.computed))
    frame = frame_of(job, reading_room.layout, 1040)
    words = map_key(with_work(reading_room, job, out), frame, 1040).words
    assert "joists: sag under the furniture not known" in words
    assert "0 to" not in words.split("joists")[1]


def test_key_says_nothing_of_joists_that_are_drawn_plain(reading_room: Answer) -> None:
    frame = frame_of(reading_room.job, reading_room.layout, 1040)
    without = with_work(reading_room, reading_room.job, NoJoists("not asked"))
    with_ = map_key(reading_room, frame, 1040)
    plain = map_key(without, frame, 1040)
    assert "joists" not in plain.words
    assert plain.height_px < with_.height_px
