"""Plans: places through the scale, figures of running dimensions, letters apart."""

import math
from fractions import Fraction
from itertools import pairwise

import pytest
from PIL import ImageFont

import kit
from kit.job import MovementJoint
from kit.paper.label_places import letters_of
from kit.paper.letters import FACES
from kit.paper.marks import Area, Disc, Letters, Stroke
from kit.paper.plan import plan_drawings, run_drawings, run_sheets
from kit.paper.plan_scene import BEARER_GREY, MOVEMENT_JOINT, SUPPORT_GREY

UPRIGHT, LYING = (186.0, 258.0), (273.0, 171.0)
FONTS = {bold: ImageFont.truetype(str(path), 100) for bold, path in FACES.items()}


def ink(one):
    """Return the ink of a line of letters by a general library [mm]."""
    left, top, right, low = (
        v * one.size_mm / 100 for v in FONTS[one.bold].getbbox(one.text, anchor="ls")
    )
    wide = FONTS[one.bold].getlength(one.text) * one.size_mm / 100
    off = {"start": 0.0, "middle": wide / 2, "end": wide}[one.anchor]
    x, y = one.at
    if one.angle_deg:
        return x + top, y - right + off, x + low, y - left + off
    return x + left - off, y + top, x + right - off, y + low


def assert_can_be_read(drawing):
    letters = letters_of(drawing.marks)
    boxes = [ink(one) for one in letters]
    for n, (a, one) in enumerate(zip(boxes, letters, strict=True)):
        assert one.size_mm >= 2.5
        # Pillow rounds a glyph to a hundredth of its size, 0.035 mm.
        assert a[0] >= -0.05, one
        assert a[1] >= -0.05, one
        assert a[2] <= drawing.width_mm + 0.05, one
        assert a[3] <= drawing.height_mm + 0.05, one
        for b, other in zip(boxes[:n], letters[:n], strict=True):
            apart = a[0] >= b[2] or b[0] >= a[2] or a[1] >= b[3] or b[1] >= a[3]
            assert apart, (one.text, other.text)
    for mark in drawing.marks:
        places = (
            [mark.at]
            if isinstance(mark, Letters)
            else [mark.middle]
            if isinstance(mark, Disc)
            else mark.places
        )
        assert all(0 <= x <= drawing.width_mm and 0 <= y <= drawing.height_mm for x, y in places)


def pairs_turned(drawing):
    """Return name and figure of each label of running dimensions."""
    turned = [one for one in letters_of(drawing.marks) if one.angle_deg and one.size_mm == 3.5]
    return [(a.text, b.text, a.at[0]) for a, b in pairwise(turned) if a.bold and not b.bold]


def rooms(name, ways, boot_room, inch_room, made_rooms):
    return {**ways, "boot": boot_room, "inch": inch_room, **made_rooms}[name]


NAMES = ["packers", "stacks", "feet", "ladder", "compound", "boot", "inch"]
NAMES += ["long", "small", "slant", "narrow"]


@pytest.mark.parametrize("room", [UPRIGHT, LYING, (186.0, 125.0)], ids=["up", "lying", "half"])
@pytest.mark.parametrize("name", NAMES)
def test_every_letter_can_be_read(name, room, ways, boot_room, inch_room, made_rooms):
    answer = rooms(name, ways, boot_room, inch_room, made_rooms)
    drawings = plan_drawings(answer, room)
    assert drawings
    for drawing in drawings:
        assert drawing.width_mm <= room[0]
        assert drawing.height_mm <= room[1]
        assert drawing.words.endswith(".")
        assert_can_be_read(drawing)


@pytest.mark.parametrize("name", ["packers", "stacks", "ladder", "boot", "inch", "long", "slant"])
def test_supports_and_bearers_lie_where_the_answer_has_them(
    name, ways, boot_room, inch_room, made_rooms
):
    answer = rooms(name, ways, boot_room, inch_room, made_rooms)
    seen = set()
    for run in answer.job.runs:
        sheets = run_sheets(answer, run.name, LYING)
        table = answer.supports[answer.supports["run"] == run.name]
        ends = answer.cuts.cuts[answer.cuts.cuts["bearer"].isin(table["bearer"])]
        drawings = run_drawings(answer, run.name, LYING)
        each = len(drawings) // len(sheets.windows)
        for number, drawing in enumerate(drawings):
            window = sheets.windows[number // each]
            line = next(
                m
                for m in drawing.marks
                if isinstance(m, Stroke) and m.pen.width_mm == 0.25 and len(m.places) == 2
            )
            zero = line.places[0][0] - window.from_mm / sheets.scale
            areas = [m for m in drawing.marks if isinstance(m, Area) and m.grey == SUPPORT_GREY]
            middles = [(m.places[0][0] + m.places[2][0]) / 2 for m in areas]
            half = answer.layout.packer_size_mm[0] / 2
            for one in table.itertuples():
                if window.from_mm + half - 0.01 < one.own_x_mm < window.to_mm - half + 0.01:
                    want = zero + one.own_x_mm / sheets.scale
                    assert min(abs(x - want) for x in middles) < 0.01, one.support
                    seen.add(one.support)
            bars = [m for m in drawing.marks if isinstance(m, Area) and m.grey == BEARER_GREY]
            edges = [x for m in bars for x in (m.places[0][0], m.places[1][0])]
            for at in (*ends["from_x_mm"], *ends["to_x_mm"]):
                if window.holds(at):
                    assert min(abs(x - zero - at / sheets.scale) for x in edges) < 0.01
    assert seen >= set(answer.supports["support"])


def expected(mm, units):
    if units == "mm":
        # Tenths, where it is not whole.
        return f"{round(mm, 1):g}"
    # Sixteenths of an inch of 25.4 mm, written as a tape has them.
    whole, rest = divmod(math.floor(mm / 25.4 * 16 + 0.5), 16)
    words = ([str(whole)] if whole or not rest else []) + (
        [str(Fraction(rest, 16))] if rest else []
    )
    return " ".join(words)


@pytest.mark.parametrize("name", [*NAMES])
def test_each_running_dimension_says_the_answers_figure(
    name, ways, boot_room, inch_room, made_rooms
):
    answer = rooms(name, ways, boot_room, inch_room, made_rooms)
    units = answer.job.units
    shown: dict[str, set[str]] = {}
    for run in answer.job.runs:
        for drawing in run_drawings(answer, run.name, UPRIGHT):
            for label, figure, _ in pairs_turned(drawing):
                shown.setdefault(label.removesuffix(" joint"), set()).add(figure)
    table = answer.supports
    want = {
        s: {expected(x, units)} for s, x in zip(table["support"], table["own_x_mm"], strict=True)
    }
    assert {name: of for name, of in shown.items() if name not in ("end", "joint", "edge")} == want
    cuts = answer.cuts.cuts[answer.cuts.cuts["bearer"].isin(table["bearer"])]
    for _, of in cuts.groupby("bearer"):
        low, high = of["from_x_mm"].min(), of["to_x_mm"].max()
        assert {expected(low, units), expected(high, units)} <= shown["end"]


def test_joints_are_named(reading_room):
    (drawing,) = plan_drawings(reading_room, LYING)
    labels = [name for name, _, _ in pairs_turned(drawing)]
    joints = [name.removesuffix(" joint") for name in labels if name.endswith(" joint")]
    assert joints == [support for _, support in reading_room.cuts.joints]


def test_labels_stand_near_their_ticks(reading_room):
    (drawing,) = plan_drawings(reading_room, LYING)
    at = {name: x for name, _, x in pairs_turned(drawing)}
    # B4 and B5 are 500 mm apart at 1:20, with room for both labels at their ticks.
    assert at["B5"] - at["B4"] == pytest.approx(25.0, abs=0.01)


def test_a_long_run_is_cut_with_match_lines_in_both(made_rooms):
    key, *parts = plan_drawings(made_rooms["long"], LYING)
    assert key.scale > 25
    assert len(parts) == 2
    texts = [[one.text for one in letters_of(part.marks)] for part in parts]
    assert texts[0][0].startswith("Plan 1 of 2: from 0 to 6100 mm")
    assert texts[1][0].startswith("Plan 2 of 2: from 5900 to 12000 mm")
    assert all("match line 6000" in of for of in texts)
    assert {part.scale for part in parts} == {25.0}


def test_one_run_along_the_room_needs_no_key(reading_room, made_rooms, boot_room):
    assert len(plan_drawings(reading_room, LYING)) == 1
    assert len(plan_drawings(made_rooms["slant"], LYING)) == 2
    names = [drawing.words.split(",")[0] for drawing in plan_drawings(boot_room, LYING)]
    assert names == ["Key plan of the room", "Plan of run A", "Plan of run B"]


def test_what_is_known_of_the_floor_is_named(reading_room, inch_room):
    texts = [one.text for one in letters_of(plan_drawings(reading_room, LYING)[0].marks)]
    assert "high point" in texts
    assert "40.0 mm deep: heating pipe" in texts
    assert any("middles of joists, 400 mm apart" in text for text in texts)
    inches = " ".join(one.text for one in letters_of(plan_drawings(inch_room, LYING)[-1].marks))
    # 400 mm are 15.748 in.
    assert "15 3/4 in apart" in inches
    assert "1 9/16 in deep: heating pipe" in inches


def test_same_answer_same_drawings(reading_room):
    again = kit.solve(reading_room.job)
    assert plan_drawings(again, UPRIGHT) == plan_drawings(reading_room, UPRIGHT)


def test_a_room_too_small_is_refused(reading_room):
    with pytest.raises(kit.job.Refusal, match="plan of run A on paper"):
        plan_drawings(reading_room, (186.0, 20.0))


def parted(answer):
    """The base over a floor with a joint straight out at 2000 mm, which parts all rows."""
    told = {"name": "bay line", "from_mm": (2000.0, -100.0), "to_mm": (2000.0, 900.0)}
    joint = MovementJoint.model_validate(told)
    return kit.solve(answer.job.model_copy(update={"movement_joints": (joint,)}))


def test_a_movement_joint_is_drawn_and_named_and_no_bearer_crosses_it(reading_room):
    answer = parted(reading_room)
    (drawing,) = run_drawings(answer, "A", UPRIGHT)
    assert_can_be_read(drawing)
    lines = [mark for mark in drawing.marks if isinstance(mark, Stroke)]
    (line,) = [mark for mark in lines if mark.pen == MOVEMENT_JOINT]
    x = line.places[0][0]
    assert line.places[-1][0] == pytest.approx(x)
    scale = run_sheets(answer, "A", UPRIGHT).scale
    bearers = [m for m in drawing.marks if isinstance(m, Area) and m.grey == BEARER_GREY]
    assert len(bearers) >= 5
    for one in bearers:
        across = sorted(place[0] for place in one.places)
        # 10 mm of clearance to scale, on one side or the other.
        assert across[-1] <= x - 10 / scale + 1e-6 or across[0] >= x + 10 / scale - 1e-6
    said = [one.text for one in letters_of(drawing.marks)]
    assert "movement joint: bay line" in said
    # Both parts of a row are measured with the tape hooked once.
    assert any(text.startswith("Bearers Ba, Bb, back row") for text in said)
