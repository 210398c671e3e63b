"""The mark of the deepest place: at the place, or where it is further on; its words on nothing."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from kit.answer import Answer
from kit.job import Job, Joists
from kit.show.board.plan_frame import frame_of
from kit.show.board.plan_ground import bearer_boxes, no_go_boxes, panel_boxes, sag_texts
from kit.show.board.plan_supports import label_boxes, packer_boxes, supports_data
from kit.show.board.sag_mark import deepest_mark, deepest_of, deepest_signs, mark_box
from kit.strength.joists import JoistWork, NoJoists, Pressed, joists_under

WIDTHS = (340, 620, 1040)

ALONG_WALL = Joists(
    along="x",
    width_mm=60,
    depth_mm=140,
    centres_mm=310,
    first_mm=45,
    bearing_mm=(300, 1900, 3300),
    strength_class="C16",
)


def along_wall(
    job: Job, *stacks: Pressed, units: str = "mm", **changed: object
) -> tuple[Job, JoistWork]:
    joists = ALONG_WALL.model_copy(update=changed)
    floor = job.floor.model_copy(update={"joists": joists})
    work = joists_under(joists, "boarded", stacks, 1)
    assert isinstance(work, JoistWork)
    return job.model_copy(update={"floor": floor, "units": units}), work


def test_a_place_in_the_picture_is_marked_where_it_is(reading_room: Answer) -> None:
    stacks = Pressed("F3", "F", 1000.0, 355.0, 2300.0), Pressed("B9", "B", 2900.0, 45.0, 900.0)
    job, work = along_wall(reading_room.job, *stacks)
    frame = frame_of(job, reading_room.layout, 1040)
    (found,) = deepest_of(job, frame, work)
    worst = work.joists[1]
    assert found.seen
    assert found.at == pytest.approx(frame.to_px(worst.greatest_at_mm, 355.0))
    assert found.text == f"sags {worst.greatest_final_mm:.2f} mm"
    assert f"at x = {worst.greatest_at_mm:.0f} mm" in found.full
    assert "joist at y = 355 mm" in found.full


def test_a_place_beyond_the_picture_is_pointed_to(reading_room: Answer) -> None:
    work = reading_room.strength.joists
    assert isinstance(work, JoistWork)
    frame = frame_of(reading_room.job, reading_room.layout, 1040)
    (found,) = deepest_of(reading_room.job, frame, work)
    assert found.towards == (0.0, 1.0)
    # Joist 7, at 150 + 6 * 400 mm; the head of the arrow 9 px from the lower edge.
    assert found.at == pytest.approx((frame.to_px(2550, 0)[0], frame.height_px - 9))
    worst = work.joists[6]
    assert found.text == (
        f"sags {worst.greatest_final_mm:.2f} mm at y = {worst.greatest_at_mm:.0f} mm"
    )


def test_a_place_to_the_left_of_the_picture_is_pointed_to_there(reading_room: Answer) -> None:
    stack = Pressed("B1", "B", 200.0, 45.0, 2300.0)
    job, work = along_wall(reading_room.job, stack, bearing_mm=(-4200, 900))
    frame = frame_of(job, reading_room.layout, 620)
    (found,) = deepest_of(job, frame, work)
    assert found.towards == (-1.0, 0.0)
    assert found.at == pytest.approx((9.0, frame.to_px(0, 45)[1]))


def test_words_in_inches(reading_room: Answer) -> None:
    job, work = along_wall(reading_room.job, Pressed("F3", "F", 1000.0, 45.0, 2300.0), units="in")
    frame = frame_of(job, reading_room.layout, 1040)
    (found,) = deepest_of(job, frame, work)
    assert found.text == f"sags {work.joists[0].greatest_final_mm / 25.4:.3f} in"


def test_no_mark_where_nothing_is_known_sags_or_is_in_sight(reading_room: Answer) -> None:
    stack = Pressed("F3", "F", 1000.0, 45.0, 2300.0)
    job, work = along_wall(reading_room.job, stack)
    frame = frame_of(job, reading_room.layout, 1040)
    assert len(deepest_of(job, frame, work)) == 1
    assert deepest_of(job, frame, NoJoists("not asked")) == []
    assert deepest_of(reading_room.job, frame, work) == []
    light, lightly = along_wall(reading_room.job, replace(stack, permanent_n=0.1))
    assert deepest_of(light, frame, lightly) == []
    far, farther = along_wall(reading_room.job, stack, first_mm=5000)
    assert deepest_of(far, frame, farther) == []
    outside = Pressed("F1", "F", 100.0, 45.0, 2300.0)
    out, beyond = along_wall(reading_room.job, outside)
    assert deepest_of(out, frame, beyond) == []


def test_shapes_of_the_mark() -> None:
    def points(text: str) -> list[tuple[float, float]]:
        at = [float(one) for one in re.findall(r"-?[\d.]+", re.findall(r'd="([^"]+)"', text)[0])]
        return list(zip(at[::2], at[1::2], strict=True))

    assert points(deepest_mark((20, 30))) == [(14.5, 30), (20, 24.5), (25.5, 30), (20, 35.5)]
    # Down: its point below its two other corners; to the left: its point left of them.
    assert points(deepest_mark((20, 30), (0, 1))) == [(14.5, 24.5), (20, 35.5), (25.5, 24.5)]
    left = points(deepest_mark((20, 30), (-1, 0)))
    assert left[1] == (14.5, 30)
    assert {left[0], left[2]} == {(25.5, 24.5), (25.5, 35.5)}


@pytest.mark.parametrize("width", WIDTHS)
def test_words_stand_on_no_name_stack_bearer_or_panel(reading_room: Answer, width: int) -> None:
    job, layout = reading_room.job, reading_room.layout
    stack = Pressed("F4", "F", 1500.0, 355.0, 2300.0)
    along, worked = along_wall(job, stack)
    work = reading_room.strength.joists
    for one, of in ((job, work), (along, worked)):
        frame = frame_of(one, layout, width)
        (text,) = sag_texts(one, layout, frame, of)
        assert len(list(deepest_signs(one, frame, of))) == 1
        others = [
            *(other.box for other in frame.texts),
            *label_boxes(supports_data(layout, frame)),
            *packer_boxes(layout, frame),
            *bearer_boxes(layout, frame),
            *panel_boxes(layout, frame),
            *no_go_boxes(one, frame),
        ]
        for other in others:
            assert (
                text.box.right <= other.left
                or text.box.left >= other.right
                or text.box.bottom <= other.top
                or text.box.top >= other.bottom
            ), (text, other)
        assert text.box.left >= 0
        assert text.box.right <= frame.width_px
        assert text.box.bottom <= frame.height_px


def test_words_keep_off_what_is_given_besides(reading_room: Answer) -> None:
    job, layout = reading_room.job, reading_room.layout
    frame = frame_of(job, layout, 1040)
    work = reading_room.strength.joists
    (free,) = sag_texts(job, layout, frame, work)
    (moved,) = sag_texts(job, layout, frame, work, [free.box])
    assert moved.text == free.text
    assert (
        moved.box.right <= free.box.left
        or moved.box.left >= free.box.right
        or moved.box.bottom <= free.box.top
        or moved.box.top >= free.box.bottom
    )


@pytest.mark.parametrize("width", [400, 632, 960, 1040])
def test_the_arrow_hides_no_name(reading_room: Answer, width: int) -> None:
    frame = frame_of(reading_room.job, reading_room.layout, width)
    (found,) = deepest_of(reading_room.job, frame, reading_room.strength.joists)
    mark = mark_box(found.at)
    for text in frame.texts:
        name = text.box
        apart = mark.right <= name.left or name.right <= mark.left
        assert apart or mark.bottom <= name.top or name.bottom <= mark.top, text.text
