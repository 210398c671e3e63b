"""The plan: where things are drawn, that no letters lie on each other, what the marks say."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from kit.answer import Answer
from kit.base.layout import Layout, set_out
from kit.ink.svg import element, words
from kit.job import Job, MovementJoint
from kit.show.board.map_key import map_key
from kit.show.board.plan_frame import LEAST_PX_PER_MM, MOST_PX_PER_MM, PlanFrame, frame_of
from kit.show.board.plan_geometry import clipped, clipped_line
from kit.show.board.plan_ground import ground_layer
from kit.show.board.plan_picture import mark_layer, mark_texts
from kit.show.board.plan_supports import label_boxes, packer_boxes, supports_data
from kit.show.board.plan_texts import shortened
from kit.show.board.residual_map import map_layer

WIDTHS = (340, 620, 1040)
DEMOS = ("reading-room", "boot-room", "market-counter")
Touching = Callable[[str], list[tuple[str, str]]]


def svg(inner: str) -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg">{inner}</svg>'


def whole(answer: Answer, frame: PlanFrame) -> str:
    names = "".join(
        words(one["x"] + one["label_x"], one["y"] + one["label_y"], one["name"])
        for one in supports_data(answer.layout, frame)
    )
    return svg(
        map_layer(answer, frame)
        + ground_layer(answer.job, answer.layout, answer.cuts, frame)
        + mark_layer(answer, frame)
        + element("g", names, text_anchor="middle")
    )


def turned(job: Job, degrees: float) -> tuple[Job, Layout]:
    run = job.runs[0].model_copy(update={"direction_deg": degrees, "origin_mm": (1730.0, -410.0)})
    job = job.model_copy(update={"runs": (run,), "no_go": (), "services": ()})
    return job, set_out(job, job.bases[0])[0]


def by_class(text: str, name: str) -> list[ElementTree.Element]:
    return [node for node in ElementTree.fromstring(text).iter() if node.get("class") == name]


def points(node: ElementTree.Element) -> list[tuple[float, float]]:
    at = [float(number) for number in re.findall(r"-?[\d.]+", node.get("d", ""))]
    return list(zip(at[::2], at[1::2], strict=True))


# ---- the frame ----------------------------------------------------------------------------


def test_plan_fills_the_width_that_is_asked_for(demos: dict[str, Answer]) -> None:
    for answer in demos.values():
        assert frame_of(answer.job, answer.layout, 1040).width_px == pytest.approx(1040, abs=1e-6)


def test_plan_is_wider_than_asked_where_stacks_would_be_too_small(reading_room: Answer) -> None:
    frame = frame_of(reading_room.job, reading_room.layout, 340)
    assert frame.px_per_mm == LEAST_PX_PER_MM
    # Units from 0 to 4000 mm, and 24 px beside them, which is more than 250 mm here.
    assert frame.width_px == pytest.approx(4000 * 0.09 + 2 * 24)
    assert frame.margins[0] == 24


def test_a_single_unit_does_not_fill_the_screen(reading_room: Answer) -> None:
    run = reading_room.job.runs[0]
    job = reading_room.job.model_copy(
        update={"runs": (run.model_copy(update={"units": run.units[:1]}),)}
    )
    frame = frame_of(job, set_out(job, job.bases[0])[0], 1040)
    assert frame.px_per_mm == MOST_PX_PER_MM
    assert frame.width_px == pytest.approx(1040)
    # The unit, 0 to 1000 mm, in the middle.
    assert frame.to_px(500, 0)[0] == pytest.approx(520)


def test_a_run_along_a_side_wall_is_not_taller_than_a_screen(reading_room: Answer) -> None:
    job, layout = turned(reading_room.job, -90)
    frame = frame_of(job, layout, 900)
    # 4000 mm of units are 640 px tall.
    assert frame.px_per_mm == pytest.approx(0.16)
    assert frame.width_px == pytest.approx(900)
    wall_px = (1730 - 18 - frame.left_mm) * 0.16
    for one in supports_data(layout, frame):
        if one["bearer"] == "B":
            # The wall is on the left of a run that looks to the right; no name crosses its line.
            assert one["side"] == "left"
            right = one["x"] + one["label_x"] + 0.5 * 12 * 0.58 * len(one["name"])
            assert right <= wall_px - 1.7


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("demo", DEMOS)
def test_floor_of_a_quarter_metre_and_names_fit_around(
    demos: dict[str, Answer], demo: str, width: int
) -> None:
    answer = demos[demo]
    frame = frame_of(answer.job, answer.layout, width)
    least = 250 * frame.px_per_mm
    for run in answer.job.runs:
        for x in (0.0, run.length_mm):
            ((left, top),) = frame.own(answer.layout.frames[run.name], [x], [0.0])
            assert least - 1e-6 <= left <= frame.width_px - least + 1e-6
            assert least - 1e-6 <= top <= frame.height_px - least + 1e-6
    rows = answer.layout.supports
    assert frame.to_px(0, float(rows["y_mm"].min()))[1] >= 30
    assert frame.height_px - frame.to_px(0, float(rows["y_mm"].max()))[1] >= 30


def test_a_doorway_near_by_is_in_the_plan_and_a_far_one_is_not(demos: dict[str, Answer]) -> None:
    answer = demos["market-counter"]
    near = frame_of(answer.job, answer.layout, 1040)
    # 420 mm left of the counter, and 250 mm of floor beyond it.
    assert near.left_mm == pytest.approx(-420 - 250, abs=1e-6)
    door = answer.job.doorways[0].model_copy(
        update={"from_mm": (-1300.0, 60.0), "to_mm": (-1300.0, 860.0)}
    )
    job = answer.job.model_copy(update={"doorways": (door,)})
    assert frame_of(job, answer.layout, 1040).left_mm == pytest.approx(-250, abs=1e-6)


def test_to_mm_undoes_to_px(reading_room: Answer) -> None:
    frame = frame_of(reading_room.job, reading_room.layout, 620)
    x, y = frame.to_mm(*frame.to_px(1234.5, -67.8))
    assert (float(x), float(y)) == pytest.approx((1234.5, -67.8))


# ---- supports -----------------------------------------------------------------------------


@pytest.mark.parametrize("degrees", [0, 90, -90, 180, 33])
def test_supports_stand_where_a_turn_of_their_own_places_puts_them(
    reading_room: Answer, degrees: float
) -> None:
    job, layout = turned(reading_room.job, degrees)
    frame = frame_of(job, layout, 900)
    shown = supports_data(layout, frame)
    angle = math.radians(degrees)
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    own = layout.supports[["own_x_mm", "own_y_mm"]].to_numpy()
    site = own @ turn.T + [1730.0, -410.0]
    expected = (site - [frame.left_mm, frame.top_mm]) * frame.px_per_mm
    at = np.array([[one["x"], one["y"]] for one in shown])
    # Given to a tenth of a px.
    assert np.abs(at - expected).max() <= 0.05 + 1e-9
    assert (at > 0).all()
    assert (at < [frame.width_px, frame.height_px]).all()
    # A drag: 250 mm along the bearer by the unit vector is where 250 mm more would stand.
    step = np.array([shown[3]["ux"], shown[3]["uy"]]) * 250
    assert step == pytest.approx(turn @ [250 * frame.px_per_mm, 0], abs=1e-3)
    assert shown[3]["turn"] == degrees


def test_supports_may_be_dragged_from_end_to_end_of_their_bearer(reading_room: Answer) -> None:
    frame = frame_of(reading_room.job, reading_room.layout, 1040)
    shown = {one["name"]: one for one in supports_data(reading_room.layout, frame)}
    # Packers of 75 mm; bearer B runs from 0 to 4000 mm, D from 2000 to 3100 mm.
    assert (shown["B4"]["low_mm"], shown["B4"]["high_mm"]) == (37.5, 3962.5)
    assert (shown["D2"]["low_mm"], shown["D2"]["high_mm"]) == (2037.5, 3062.5)
    assert shown["D2"]["own_x_mm"] == 2400
    assert shown["D2"]["bearer"] == "D"
    # 75 by 45 mm at (1040 - 500 mm * s) / 4000 mm, that is 1040/4500 px/mm.
    assert (shown["D2"]["wide"], shown["D2"]["tall"]) == (17.3, 10.4)


def test_names_of_the_outer_rows_stand_outside(demos: dict[str, Answer]) -> None:
    answer = demos["boot-room"]
    frame = frame_of(answer.job, answer.layout, 1040)
    sides = {one["name"]: one["side"] for one in supports_data(answer.layout, frame)}
    assert {sides[f"A-B{n}"] for n in range(1, 10)} == {"above"}
    assert {sides[f"A-F{n}"] for n in range(1, 9)} == {"below"}
    # The return wall is on the right; its run looks to the left.
    assert {sides[f"B-B{n}"] for n in range(1, 6)} == {"right"}
    assert {sides[f"B-F{n}"] for n in range(1, 6)} == {"left"}


def test_names_that_would_touch_stand_on_different_sides(reading_room: Answer) -> None:
    layout = reading_room.layout
    frame = frame_of(reading_room.job, layout, 340)
    table = layout.supports.copy()
    close = table["support"] == "B3"
    # 150 mm right of B2 is 13.5 px; "B2" and "B3" take 14 px each, and a gap.
    table.loc[close, ["own_x_mm", "x_mm"]] = 650.0
    bare = replace(frame, texts=())
    shown = {one["name"]: one for one in supports_data(replace(layout, supports=table), bare)}
    assert shown["B2"]["label_y"] != shown["B3"]["label_y"] or (
        abs(shown["B2"]["x"] + shown["B2"]["label_x"] - shown["B3"]["x"] - shown["B3"]["label_x"])
        >= 14
    )
    # They stand 13.5 px apart, where a finger takes 30.
    assert shown["B3"]["room"] == pytest.approx(13.5 / 30, abs=1e-3)
    assert shown["B10"]["room"] == 1


def test_the_mark_of_a_moved_support_has_its_own_room(reading_room: Answer) -> None:
    layout = reading_room.layout
    table = layout.supports.copy()
    table.loc[table["support"].isin(["B4", "F4"]), "reasons"] = "division+by_hand"
    frame = frame_of(reading_room.job, layout, 1040)
    shown = {one["name"]: one for one in supports_data(replace(layout, supports=table), frame)}
    assert [name for name, one in shown.items() if one["by_hand"]] == ["B4", "F4"]
    # The mark, 7 px high, lies beyond the name: above it at the back, below it at the front.
    assert shown["B4"]["mark_y"] <= shown["B4"]["label_y"] - 9.6
    assert shown["F4"]["mark_y"] - 7 >= shown["F4"]["label_y"] + 2.4


# ---- letters ------------------------------------------------------------------------------


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("demo", DEMOS)
def test_no_letters_lie_on_others(
    demos: dict[str, Answer], touching: Touching, demo: str, width: int
) -> None:
    answer = demos[demo]
    frame = frame_of(answer.job, answer.layout, width)
    assert touching(whole(answer, frame)) == []
    assert touching(map_key(answer, frame, width).svg) == []


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("demo", DEMOS)
def test_letters_stay_in_the_picture(
    demos: dict[str, Answer],
    texts_of: Callable[[str], list[Any]],
    demo: str,
    width: int,
) -> None:
    answer = demos[demo]
    frame = frame_of(answer.job, answer.layout, width)
    texts = texts_of(whole(answer, frame))
    assert len(texts) > len(answer.layout.supports) + 5
    for one in texts:
        # Names of supports are given to a tenth of a px.
        assert one.left >= -0.1, one
        assert one.top >= -0.1, one
        assert one.right <= frame.width_px + 0.1, one
        assert one.bottom <= frame.height_px + 0.1, one


@pytest.mark.parametrize("demo", DEMOS)
def test_words_of_the_marks_cover_no_support(demos: dict[str, Answer], demo: str) -> None:
    answer = demos[demo]
    for width in WIDTHS:
        frame = frame_of(answer.job, answer.layout, width)
        boxes = [
            *packer_boxes(answer.layout, frame),
            *label_boxes(supports_data(answer.layout, frame)),
        ]
        for text in mark_texts(answer, frame):
            for box in boxes:
                apart = (
                    text.box.right <= box.left
                    or text.box.left >= box.right
                    or text.box.bottom <= box.top
                    or text.box.top >= box.bottom
                )
                assert apart, (text, box)


# ---- what is drawn ------------------------------------------------------------------------


def test_marks_say_how_certain_and_where_next(reading_room: Answer) -> None:
    frame = frame_of(reading_room.job, reading_room.layout, 1040)
    high = reading_room.high_point
    said = [text.text for text in mark_texts(reading_room, frame)]
    assert said[0] == f"high point, {round(high.certainty * 100)} % certain"
    assert said[1] == "read here next"
    assert said[2:-1] == [f"{share * 100:.0f} %" for share in high.rivals["share"]]
    assert said[-1].startswith("sags 0.94 mm")
    drawn = svg(mark_layer(reading_room, frame))
    (star,) = by_class(drawn, "ufk-high-point")
    middle = np.mean(points(star), axis=0)
    x = (high.x_mm - frame.left_mm) * frame.px_per_mm
    y = (high.y_mm - frame.top_mm) * frame.px_per_mm
    # Ten points to a tenth of a px; five long and five short rays even out around the middle.
    assert middle == pytest.approx([x, y], abs=0.1)
    assert len(by_class(drawn, "ufk-rival")) == len(high.rivals)
    least = by_class(drawn, "ufk-least")
    assert len(least) == len(reading_room.layout.rows)
    title = "".join(least[0].itertext())
    assert f"{reading_room.clearance['least_mm'].iloc[0]:.1f} mm" in title


def test_a_settled_high_point_asks_for_no_reading(reading_room: Answer) -> None:
    high = replace(
        reading_room.high_point,
        certainty=1.0,
        next_reading=None,
        rivals=reading_room.high_point.rivals.iloc[:0],
    )
    answer = replace(reading_room, ground=replace(reading_room.ground, high_point=high))
    frame = frame_of(answer.job, answer.layout, 620)
    said = [text.text for text in mark_texts(answer, frame) if text.kind != "sag"]
    assert said == ["high point, 100 % certain"]


def test_joints_of_bearers_are_marked_where_the_pieces_meet(reading_room: Answer) -> None:
    frame = frame_of(reading_room.job, reading_room.layout, 1040)
    drawn = svg(ground_layer(reading_room.job, reading_room.layout, reading_room.cuts, frame))
    joints = by_class(drawn, "ufk-joint")
    cuts = reading_room.cuts.cuts
    expected = [
        (x - frame.left_mm) * frame.px_per_mm for x in cuts["from_x_mm"] if x not in (0, 2000)
    ]
    assert sorted(points(one)[0][0] for one in joints) == pytest.approx(sorted(expected), abs=0.06)
    assert len(joints) == len(reading_room.cuts.joints) == 2


def test_a_bearer_of_another_length_than_its_cuts_is_drawn_whole(reading_room: Answer) -> None:
    layout = reading_room.layout
    rows = tuple(replace(row, end_mm=row.end_mm - 10) for row in layout.rows)
    frame = frame_of(reading_room.job, layout, 1040)
    drawn = ground_layer(reading_room.job, replace(layout, rows=rows), reading_room.cuts, frame)
    assert by_class(svg(drawn), "ufk-joint") == []


def test_areas_services_and_joists_carry_their_names(demos: dict[str, Answer]) -> None:
    names = {
        demo: [text.text for text in frame_of(one.job, one.layout, 1040).texts]
        for demo, one in demos.items()
    }
    assert "floor hatch: no supports" in names["boot-room"]
    assert "heating pipe, 40.0 mm deep" in names["reading-room"]
    assert "joists, centres 400 mm" in names["reading-room"]
    assert "side door" in names["market-counter"]


def test_a_long_name_is_shortened_and_told_in_full(reading_room: Answer) -> None:
    run = reading_room.job.runs[0]
    long = "cabinet <of> curiosities & pressed flowers"
    units = (run.units[0].model_copy(update={"name": long}), *run.units[1:])
    job = reading_room.job.model_copy(update={"runs": (run.model_copy(update={"units": units}),)})
    layout = set_out(job, job.bases[0])[0]
    frame = frame_of(job, layout, 620)
    text = frame.texts[0]
    assert text.text.endswith("…")
    assert long.startswith(text.text[:-1])
    drawn = ElementTree.fromstring(svg(ground_layer(job, layout, reading_room.cuts, frame)))
    titles = [node.text for node in drawn.iter() if node.tag.endswith("title")]
    assert long in titles


@pytest.mark.parametrize(
    ("name", "letters", "shown"),
    [
        ("locker 1", 8, "locker 1"),
        ("locker 12", 8, "lock… 12"),
        ("low bookcase 3", 9, "low bo… 3"),
        ("flower counter", 9, "flower c…"),
        ("bay 7", 4, "bay…"),
    ],
)
def test_a_number_at_the_end_of_a_name_is_kept(name: str, letters: int, shown: str) -> None:
    assert shortened(name, letters) == shown
    assert len(shown) <= letters


def test_joists_stand_at_their_centres(reading_room: Answer) -> None:
    frame = frame_of(reading_room.job, reading_room.layout, 1040)
    drawn = ElementTree.fromstring(
        svg(ground_layer(reading_room.job, reading_room.layout, reading_room.cuts, frame))
    )
    dashed = [node for node in drawn.iter() if node.get("stroke-dasharray") == "9 5"]
    at = [float(node.get("x1", "")) for node in dashed]
    # The plan shows -250 to 4250 mm: joists at 150, 550, ... 4150 mm.
    expected = [(150 + 400 * n + 250) * 1040 / 4500 for n in range(11)]
    assert at == pytest.approx(expected, abs=0.06)


@pytest.mark.parametrize("degrees", [0, 90, -90, 180, 33, 211])
def test_every_direction_is_drawn(reading_room: Answer, degrees: float) -> None:
    job, layout = turned(reading_room.job, degrees)
    frame = frame_of(job, layout, 620)
    drawn = ElementTree.fromstring(svg(ground_layer(job, layout, reading_room.cuts, frame)))
    # Nothing is drawn outside the picture but half the width of a line.
    for node in drawn.iter():
        for x, y in points(node):
            assert -4 <= x <= frame.width_px + 4
            assert -4 <= y <= frame.height_px + 4


# ---- shapes -------------------------------------------------------------------------------


def test_clipped_keeps_what_lies_in_the_box(reading_room: Answer) -> None:
    box = frame_of(reading_room.job, reading_room.layout, 620).box._replace(right=10, bottom=8)
    # A triangle over the box's right lower corner: by hand, the corner's cut-off is at x + y = 14.
    part = clipped([(6.0, 8.0), (20.0, 8.0), (20.0, -6.0)], box)
    assert set(part) == {(6.0, 8.0), (10.0, 8.0), (10.0, 4.0)}
    assert clipped([(11.0, 0.0), (12.0, 0.0), (12.0, 5.0)], box) == []
    assert clipped_line((-5.0, 2.0), (15.0, 6.0), box) == [(0.0, 3.0), (10.0, 5.0)]
    assert clipped_line((-5.0, 9.0), (15.0, 9.0), box) == []


def test_a_movement_joint_is_drawn_and_named(reading_room: Answer) -> None:
    told = {"name": "bay line", "from_mm": (2000.0, -100.0), "to_mm": (2000.0, 900.0)}
    joint = MovementJoint.model_validate(told)
    job = reading_room.job.model_copy(update={"movement_joints": (joint,)})
    layout, _ = set_out(job, reading_room.base)
    frame = frame_of(job, layout, 1040)
    drawn = ground_layer(job, layout, reading_room.cuts, frame)
    (d,) = re.findall(r'd="([^"]+)"[^>]*class="ufk-movement-joint"', drawn) or re.findall(
        r'class="ufk-movement-joint"[^>]*d="([^"]+)"', drawn
    )
    x = frame.to_px(2000.0, 0.0)[0]
    assert [float(one) for one in re.findall(r"-?[\d.]+", d)][::2] == pytest.approx(
        [x] * 2, abs=0.1
    )
    assert "movement joint: bay line: base keeps 10.0 mm away" in drawn
    (name,) = [text for text in frame.texts if text.kind == "movement-joint"]
    assert (name.text, name.full) == ("joint: bay line", "movement joint: bay line")
    assert "ufk-movement-joint" not in whole(reading_room, frame_of(
        reading_room.job, reading_room.layout, 1040))  # fmt: skip
