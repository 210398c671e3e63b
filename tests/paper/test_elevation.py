"""Elevations: stacks through both scales, their figures, letters apart."""

import pytest
from PIL import ImageFont

from kit.paper.elevation import elevation_drawings
from kit.paper.elevation_scene import packer_greys
from kit.paper.label_places import letters_of
from kit.paper.letters import FACES
from kit.paper.marks import Area, Disc, Letters, Stroke
from kit.paper.plan import plan_drawings
from kit.paper.plan_scene import BEARER_GREY, SUPPORT_GREY

UPRIGHT, LYING, HALF = (186.0, 258.0), (273.0, 171.0), (186.0, 125.0)
FONTS = {bold: ImageFont.truetype(str(path), 100) for bold, path in FACES.items()}
NAMES = ["packers", "stacks", "feet", "ladder", "compound", "boot", "inch"]
NAMES += ["long", "small", "slant", "narrow"]


def rooms(name, ways, boot_room, inch_room, made_rooms):
    return {**ways, "boot": boot_room, "inch": inch_room, **made_rooms}[name]


def ink(one):
    """Return the ink of a line of letters by a general library [mm]."""
    font, size = FONTS[one.bold], one.size_mm / 100
    left, top, right, low = (v * size for v in font.getbbox(one.text, anchor="ls"))
    wide = font.getlength(one.text) * size
    off = {"start": 0.0, "middle": wide / 2, "end": wide}[one.anchor]
    x, y = one.at
    if one.angle_deg:
        return x + top, y - right + off, x + low, y - left + off
    return x + left - off, y + top, x + right - off, y + low


@pytest.mark.parametrize("room", [UPRIGHT, LYING, HALF], ids=["up", "lying", "half"])
@pytest.mark.parametrize("name", NAMES)
def test_every_letter_can_be_read(name, room, ways, boot_room, inch_room, made_rooms):
    answer = rooms(name, ways, boot_room, inch_room, made_rooms)
    drawn = elevation_drawings(answer, room)
    assert {h.split(",")[0].split()[1] for h, _ in drawn} == {r.name for r in answer.layout.rows}
    for heading, drawing in drawn:
        assert drawing.width_mm <= room[0]
        assert drawing.height_mm <= room[1]
        assert drawing.words.startswith(heading)
        letters = letters_of(drawing.marks)
        boxes = [ink(one) for one in letters]
        for n, (a, one) in enumerate(zip(boxes, letters, strict=True)):
            # Pillow rounds a glyph to a hundredth of its size, 0.035 mm.
            assert a[0] >= -0.05, one
            assert a[1] >= -0.05, one
            assert a[2] <= drawing.width_mm + 0.05, one
            assert a[3] <= drawing.height_mm + 0.05, one
            for b, other in zip(boxes[:n], letters[:n], strict=True):
                apart = a[0] >= b[2] or b[0] >= a[2] or a[1] >= b[3] or b[1] >= a[3]
                assert apart, (one.text, other.text)
        for mark in drawing.marks:
            if not isinstance(mark, Letters):
                places = [mark.middle] if isinstance(mark, Disc) else mark.places
                assert all(0 <= x <= room[0] and 0 <= y <= drawing.height_mm for x, y in places)


def labels(drawing):
    """Return what stands over and below the supports: figures; names with packers."""
    turned = [one for one in letters_of(drawing.marks) if one.angle_deg]
    over = [o.text for o in turned if not o.bold and o.size_mm == 3.5]
    names = [o.text for o in turned if o.bold]
    return over, names, [o.text for o in turned if o.size_mm == 2.5]


def stacks_of(drawing, greys):
    """Return the packers as drawn: left, right, top, bottom, grey."""
    areas = [m for m in drawing.marks if isinstance(m, Area) and m.pen.width_mm == 0.2]
    return [
        (m.places[0][0], m.places[1][0], m.places[0][1], m.places[2][1], m.grey)
        for m in areas
        if len(m.places) == 4 and m.grey in greys
    ]


@pytest.mark.parametrize("method", ["packers", "stacks"])
def test_stacks_are_drawn_packer_by_packer(method, ways):
    answer = ways[method]
    packers = answer.job.stock.packers
    tones = packer_greys(tuple(p.thickness_mm for p in packers))
    for row, (_, drawing) in zip(("B", "F", "D"), elevation_drawings(answer, LYING), strict=True):
        table = answer.supports[answer.supports["bearer"] == row]
        of_row = answer.stacks[answer.stacks["support"].isin(table["support"])]
        drawn = stacks_of(drawing, set(tones.values()))
        assert len(drawn) == len(of_row)
        assert [d[4] for d in drawn] == [tones[t] for t in of_row["thickness_mm"]]
        # Lengths 1:20, heights 1:1; 0.01 mm is what is asked for.
        assert [d[3] - d[2] for d in drawn] == pytest.approx(
            of_row["thickness_mm"].tolist(), abs=0.01
        )
        assert [d[1] - d[0] for d in drawn] == pytest.approx([75 / 20] * len(drawn), abs=0.01)
        place = dict(zip(table["support"], table["own_x_mm"], strict=True))
        floor = dict(zip(table["support"], table["floor_mm"], strict=True))
        first = drawn[0]
        lowest = of_row["position"].to_numpy() == 1
        for low, d, name in zip(lowest, drawn, of_row["support"], strict=True):
            along = (place[name] - place[of_row["support"].iloc[0]]) / 20
            assert d[0] - first[0] == pytest.approx(along, abs=0.01)
            if low:
                rise = floor[name] - floor[of_row["support"].iloc[0]]
                assert first[3] - d[3] == pytest.approx(rise, abs=0.01)


def test_figures_over_and_below(reading_room):
    for row, (_, drawing) in zip(
        ("B", "F", "D"), elevation_drawings(reading_room, UPRIGHT), strict=True
    ):
        table = reading_room.supports[reading_room.supports["bearer"] == row]
        heights = reading_room.stacks.groupby("support")["thickness_mm"].sum()
        over, names, piles = labels(drawing)
        assert over == [f"{heights[name]:.1f}" for name in table["support"]]
        assert names == table["support"].tolist()
        for name, said in zip(names, piles, strict=True):
            sizes = []
            for part in said.split(" + "):
                count, _, size = part.rpartition("×")
                sizes += [float(size)] * int(count or 1)
            of = reading_room.stacks[reading_room.stacks["support"] == name]
            assert sizes == of["nominal_mm"].tolist()


def test_feet_are_set_as_the_answer_says(ways):
    feet = ways["feet"].details["feet.csv"].set_index("support")
    for _, drawing in elevation_drawings(ways["feet"], LYING):
        over, names, kinds = labels(drawing)
        assert over == [f"{feet.loc[name, 'set_mm']:.1f}" for name in names]
        assert kinds == feet.loc[names, "kind"].tolist()
        plates = [m for m in drawing.marks if isinstance(m, Area) and m.grey == SUPPORT_GREY]
        assert len(plates) == 2 * len(names)  # plate and head


def test_the_member_has_its_scribed_edge(ways):
    profile = ways["ladder"].details["profile.csv"]
    (_, drawing), *_ = elevation_drawings(ways["ladder"], LYING)
    of = profile[profile["member"] == "B"]
    body = next(m for m in drawing.marks if isinstance(m, Area) and m.grey == BEARER_GREY)
    top, edge = body.places[0][1], body.places[2:][::-1]
    # Heights at 1:1: depth on paper is the depth.
    assert [y - top for _, y in edge] == pytest.approx(of["depth_mm"].tolist(), abs=0.01)
    assert [x - edge[0][0] for x, _ in edge] == pytest.approx(
        (of["along_mm"] / 20).tolist(), abs=0.01
    )
    over, names, _ = labels(drawing)
    depth = dict(zip(of["along_mm"], of["depth_mm"], strict=True))
    table = ways["ladder"].supports.set_index("support")
    assert over == [f"{depth[table.loc[name, 'own_x_mm']]:.1f}" for name in names]


def test_the_pour_has_its_zones_depths(ways):
    zones = ways["compound"].details["zones.csv"]
    (_, drawing), *_ = elevation_drawings(ways["compound"], LYING)
    texts = " ".join(one.text for one in letters_of(drawing.marks))
    for one in zones.itertuples():
        assert f"{one.least_mm:.1f} to {one.greatest_mm:.1f} mm deep" in texts
    over, names, _ = labels(drawing)
    table = ways["compound"].supports.set_index("support")
    assert over == [f"{table.loc[name, 'target_mm']:.1f}" for name in names]


def test_bearer_joints_and_levels(reading_room):
    (_, drawing), *_ = elevation_drawings(reading_room, LYING)
    bars = [m for m in drawing.marks if isinstance(m, Area) and m.grey == BEARER_GREY]
    zero = bars[0].places[0][0]
    ends = [(m.places[0][0] - zero, m.places[1][0] - zero) for m in bars]
    assert ends == [pytest.approx((0, 177.5), abs=0.01), pytest.approx((177.5, 200), abs=0.01)]
    joints = [m for m in drawing.marks if isinstance(m, Stroke) and m.pen.width_mm == 0.7]
    assert [m.places[0][0] - zero for m in joints] == pytest.approx([177.5], abs=0.01)
    datum, high = reading_room.datum, reading_room.high_point.height_mm
    texts = " ".join(one.text for one in letters_of(drawing.marks))
    assert f"datum, {datum.datum_mm - high:.1f} mm over the high point" in texts
    assert "Lengths 1:20, heights 1:1, 20 times enlarged" in texts
    assert "high point" in [one.text for one in letters_of(drawing.marks)]


def test_the_doubt_is_one_sd_to_either_side(reading_room):
    (_, drawing), *_ = elevation_drawings(reading_room, LYING)
    band = next(m for m in drawing.marks if isinstance(m, Area) and m.grey == 0.66)
    half = len(band.places) // 2
    tall = [
        b[1] - a[1] for a, b in zip(band.places[:half], band.places[: half - 1 : -1], strict=True)
    ]
    height, sd = reading_room.surface.predict([0.0, 2000.0], [67.5, 67.5])
    assert height.shape == (2,)
    # Heights at 1:1; the floor is looked at every 25 mm, both places among them.
    assert [tall[0], tall[80]] == pytest.approx((2 * sd).tolist(), abs=0.01)


def test_lengths_are_at_the_plans_scale(reading_room, made_rooms):
    for answer in (reading_room, made_rooms["long"]):
        scales = {drawing.scale for _, drawing in elevation_drawings(answer, LYING)}
        assert scales == {plan_drawings(answer, LYING)[-1].scale}
        given = {drawing.scale for _, drawing in elevation_drawings(answer, HALF, UPRIGHT)}
        assert given == {plan_drawings(answer, UPRIGHT)[-1].scale}


def test_headings_of_a_run_that_is_cut(made_rooms):
    heads = [heading for heading, _ in elevation_drawings(made_rooms["long"], LYING)]
    assert heads == [
        "Bearer B, back row, 1 of 2: from 0 to 6100 mm",
        "Bearer B, back row, 2 of 2: from 5900 to 12000 mm",
        "Bearer F, front row, 1 of 2: from 0 to 6100 mm",
        "Bearer F, front row, 2 of 2: from 5900 to 12000 mm",
    ]
