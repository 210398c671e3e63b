"""The drawing read back by GDAL, which is not the library that writes it."""

import io
import logging
import math
import warnings
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import ezdxf
import numpy as np
import pyogrio
import pytest
import shapely
from ezdxf.tools.text import plain_mtext

import kit
from kit.job import MovementJoint
from kit.paper.dxf import dxf_text
from kit.paper.dxf_floor import contours
from kit.paper.dxf_pencil import LAYERS
from kit.parts import Answer

DATA = Path(__file__).parents[2] / "data"

HOSTILE = (
    '=HYPERLINK("x") <script>alert(1)</script> \\P{\\C1;red} %%c 50%%%d ^J ^ \\U+0041 \\M+1A'
    " שלום مرحبا 👩‍👩‍👧‍👦"
)


@pytest.fixture(autouse=True)
def strict_reader() -> Iterator[None]:
    """Make every warning of the reader an error; of its letters say that they are UTF-8."""
    pyogrio.set_gdal_config_options({"DXF_ENCODING": "UTF-8"})
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        yield
    pyogrio.set_gdal_config_options({"DXF_ENCODING": None})


class Read:
    """What GDAL finds in a drawing."""

    def __init__(self, text: str, folder: Path) -> None:
        path = folder / "drawing.dxf"
        path.write_text(text, encoding="utf-8")
        meta, _, shapes, fields = pyogrio.raw.read(path, encoding="UTF-8")
        by_name = dict(zip(meta["fields"], fields, strict=True))
        self.layers, self.texts = by_name["Layer"].tolist(), by_name["Text"].tolist()
        self.shapes = shapely.from_wkb(shapes).tolist()

    def of(self, layer: str, kind: str) -> list[shapely.Geometry]:
        found = zip(self.layers, self.shapes, self.texts, strict=True)
        return [
            one for name, one, text in found if name == layer and one.geom_type == kind and not text
        ]

    def words(self, layer: str) -> list[str]:
        found = zip(self.layers, self.texts, strict=True)
        return [text for name, text in found if name == layer and text]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder for the drawings."""
    return tmp_path_factory.mktemp("drawings")


def ring(shape: shapely.Geometry) -> shapely.Polygon:
    """Return a closed line as an area."""
    assert shape.is_ring
    return shapely.Polygon(shape.coords)


def areas(read: Read, layer: str) -> list[shapely.Polygon]:
    """Return the closed outlines of a layer, as areas."""
    lines = [*read.of(layer, "LineString"), *read.of(layer, "Polygon")]
    return [one if one.geom_type == "Polygon" else ring(one) for one in lines]


@pytest.mark.parametrize("way", ["packers", "stacks", "feet", "ladder", "compound"])
def test_every_way_opens_without_a_word_in_two_libraries(
    ways: dict[str, Answer], way: str, folder: Path, caplog: pytest.LogCaptureFixture
) -> None:
    text = dxf_text(ways[way])
    with caplog.at_level(logging.WARNING):
        found = Read(text, folder)
        drawing = ezdxf.read(io.StringIO(text))
        audit = drawing.audit()
    assert not caplog.records
    assert not audit.errors
    assert not audit.fixes
    assert (drawing.header["$INSUNITS"], drawing.header["$MEASUREMENT"]) == (4, 1)
    # Each support stands once, at its place, as large as what stands there.
    answer = ways[way]
    wide, deep = answer.layout.packer_size_mm
    pads = areas(found, "SUPPORTS")
    places = {(round(p.centroid.x, 6), round(p.centroid.y, 6)) for p in pads}
    supports = answer.supports
    wanted = zip(supports["x_mm"], -supports["y_mm"], strict=True)
    assert places == {(round(x, 6), round(y, 6)) for x, y in wanted}
    assert [p.area for p in pads] == pytest.approx([wide * deep] * len(pads))
    names = set(supports["support"])
    assert names <= set(found.words("SUPPORTS"))
    own = {"packers": "BEARERS", "ladder": "FRAME", "compound": "POUR"}
    there = set(found.layers) & set(own.values())
    assert there == {own[way]} & {own.get(way, "")} if way in own else not there


def test_layers_are_those_that_it_names(reading_room: Answer, boot_room: Answer) -> None:
    known = {layer.name for layer in LAYERS}
    for answer in (reading_room, boot_room):
        drawing = ezdxf.read(io.StringIO(dxf_text(answer)))
        assert {entity.dxf.layer for entity in drawing.modelspace()} <= known
        assert known <= {layer.dxf.name for layer in drawing.layers}
        # Colour, width and kind of line come from the layer.
        looks = {(e.dxf.color, e.dxf.lineweight, e.dxf.linetype) for e in drawing.modelspace()}
        assert looks == {(256, -1, "BYLAYER")}


def test_plan_is_not_mirrored(boot_room: Answer, folder: Path) -> None:
    found = Read(dxf_text(boot_room), folder)
    units = sorted(areas(found, "UNITS"), key=lambda one: (one.centroid.x, -one.centroid.y))
    # job.toml: locker 1 stands at the left end of the wall, which lies above it; the return wall
    # is on the right, and the bench stands furthest from the corner, down the page.
    assert units[0].bounds == pytest.approx((0.0, -500.0, 600.0, 0.0))
    bench = min(units, key=lambda one: one.centroid.y)
    assert bench.bounds == pytest.approx((3180.0, -2210.0, 3600.0, -1310.0))
    (hatch,) = areas(found, "NO_GO")
    assert hatch.bounds == pytest.approx((1080.0, -280.0, 1380.0, -20.0))
    assert found.words("NO_GO") == ["floor hatch\nno supports"]


def test_run_at_an_angle_is_turned_as_its_job_says(boot_room: Answer, folder: Path) -> None:
    job = boot_room.job
    first, second = job.runs
    turned = second.model_copy(update={"direction_deg": 60.0, "origin_mm": (2300.0, 700.0)})
    first = first.model_copy(update={"units": first.units[:2], "right_wall": False})
    answer = kit.solve(job.model_copy(update={"runs": (first, turned), "no_go": ()}))
    found = Read(dxf_text(answer), folder)
    unit = next(one for one in areas(found, "UNITS") if abs(one.area - 800 * 500) < 1)
    corners = np.array(unit.exterior.coords)
    # 60 degrees from +x towards +y of the room: on the page 60 degrees clockwise.
    cos, sin = math.cos(math.radians(60)), math.sin(math.radians(60))
    far = (2300 + 800 * cos, -(700 + 800 * sin))
    assert np.hypot(*(corners - far).T).min() == pytest.approx(0.0, abs=1e-6)
    deep = (2300 - 500 * sin, -(700 + 500 * cos))
    assert np.hypot(*(corners - deep).T).min() == pytest.approx(0.0, abs=1e-6)


def test_heights_stand_beside_the_supports(reading_room: Answer, folder: Path) -> None:
    words = Read(dxf_text(reading_room), folder).words("SUPPORTS")
    built = reading_room.stacks.groupby("support", sort=False)["thickness_mm"].sum()
    assert words == [text for name, mm in built.items() for text in (name, f"{mm:.1f}")]


def test_bearers_joints_and_joists_are_those_of_the_job(reading_room: Answer, folder: Path) -> None:
    found = Read(dxf_text(reading_room), folder)
    cuts = reading_room.cuts.cuts
    bearer = reading_room.base.bearer.width_mm
    assert sorted(one.area for one in areas(found, "BEARERS")) == pytest.approx(
        sorted(cuts["length_mm"] * bearer)
    )
    at = sorted(one.centroid.x for one in found.of("JOINTS", "LineString"))
    assert at == pytest.approx(sorted(cuts.loc[cuts["piece"] > 1, "from_x_mm"]))
    joists = sorted(one.bounds for one in areas(found, "JOISTS"))
    # job.toml: the first at 150, each 400 further, 47 wide, from 0 to 3600 out from the wall.
    assert joists[1] == pytest.approx((550 - 23.5, -3600.0, 550 + 23.5, 0.0))
    assert len(joists) == 10


def test_readings_and_high_point_lie_at_their_heights(reading_room: Answer, folder: Path) -> None:
    found = Read(dxf_text(reading_room), folder)
    points = reading_room.heights.points
    wanted = points[["x_mm", "y_mm", "height_mm"]].to_numpy() * [1, -1, 1]
    held = [(p.x, p.y, p.z) for p in found.of("READINGS", "Point")]
    # Sixteen digits of a file.
    assert np.allclose(sorted(held), sorted(map(tuple, wanted.tolist())), rtol=0, atol=1e-9)
    (top,) = found.of("HIGH_POINT", "Point")
    high = reading_room.high_point
    assert (top.x, top.y, top.z) == pytest.approx((high.x_mm, -high.y_mm, high.height_mm))


def test_contours_lie_where_the_surface_has_their_height(
    reading_room: Answer, folder: Path
) -> None:
    found = Read(dxf_text(reading_room), folder)
    lines = [one for one in found.of("FLOOR_CONTOURS", "LineString") if one.has_z]
    heights = {round(one.coords[0][2], 9) for one in lines}
    step = contours(reading_room.surface, "mm").step_mm
    assert step == 1.0
    assert all(abs(height / step - round(height / step)) < 1e-9 for height in heights)
    x, y, z = np.concatenate([np.array(one.coords) for one in lines]).T
    surface = reading_room.surface.predict(x, -y).height_mm
    # Between places 24 mm apart the floor is taken as straight: it bends by less than that.
    assert np.abs(surface - z).max() < 0.05
    assert reading_room.surface.surveyed(x, -y).mean() > 0.99


def test_no_letters_on_letters(ways: dict[str, Answer], boot_room: Answer) -> None:
    for answer in (*ways.values(), boot_room):
        drawing = ezdxf.read(io.StringIO(dxf_text(answer)))
        boxes = [box for box in map(lettered, drawing.modelspace()) if not box.is_empty]
        tree = shapely.STRtree(boxes)
        one, other = tree.query(boxes, predicate="overlaps")
        assert not [(a, b) for a, b in zip(one, other, strict=True) if a < b]


def lettered(entity: ezdxf.entities.DXFEntity) -> shapely.Geometry:
    """Return where letters stand; 0.6 of their size is what a usual face takes for each."""
    if entity.dxf.layer == "TEXT" or entity.dxftype() not in {"TEXT", "MTEXT"}:
        return shapely.Polygon()
    several = entity.dxftype() == "MTEXT"
    lines = plain_mtext(entity.text).split("\n") if several else [entity.dxf.text]
    size = entity.dxf.char_height if several else entity.dxf.height
    middle = entity.dxf.insert if several else entity.dxf.align_point
    wide, tall = 0.6 * size * max(map(len, lines)), size * (1 + 1.6 * (len(lines) - 1))
    box = shapely.box(-wide / 2, -tall / 2, wide / 2, tall / 2)
    turned = shapely.affinity.rotate(box, entity.dxf.get("rotation", 0.0), origin=(0, 0))
    return shapely.affinity.translate(turned, middle.x, middle.y)


def test_hostile_texts_stand_whole_in_both_readers(reading_room: Answer, folder: Path) -> None:
    job = reading_room.job
    first, *others = job.runs[0].units
    run = job.runs[0].model_copy(
        update={"units": (first.model_copy(update={"name": HOSTILE[:80]}), *others)}
    )
    title = ((HOSTILE + " ") * 90)[:10_000].strip()
    notes = "{" * 999 + "\n" + "\\" * 1001 + "\n" + "😀^%%" * 2000 + "\n@end"
    changed = {"title": title, "notes": notes, "runs": (run,)}
    text = dxf_text(kit.solve(job.model_copy(update=changed)))
    assert max(len(line.encode()) for line in text.split("\n")) <= 250
    found = Read(text, folder)
    drawing = ezdxf.read(io.StringIO(text))
    mtexts = drawing.modelspace().query('MTEXT[layer=="TEXT"]')
    for whole in (found.words("TEXT")[1], plain_mtext(mtexts[1].text)):
        assert title in whole
        assert notes in whole
    assert HOSTILE[:80] in found.words("UNITS")
    assert not drawing.audit().errors


def test_notes_say_what_a_stranger_needs(inch_room: Answer, folder: Path) -> None:
    said = Read(dxf_text(inch_room), folder).words("TEXT")[1]
    assert "Heights in in above the highest reading, which is 0" not in said
    assert "Heights in inches above the highest reading, which is 0" in said
    assert "1 unit of the drawing is 1 mm" in said
    assert "approves no floor and no structure" in said
    assert all(line.split(" mm")[0] in said for line in inch_room.cautions)


def test_inch_job_is_drawn_in_millimetres(
    inch_room: Answer, reading_room: Answer, folder: Path
) -> None:
    inches, mm = Read(dxf_text(inch_room), folder), Read(dxf_text(reading_room), folder)
    assert [one.bounds for one in areas(inches, "UNITS")] == [
        one.bounds for one in areas(mm, "UNITS")
    ]
    # 35.6 / 25.4 = 1.40157: 1 3/8 is 0.027 less (worked by hand).
    assert inches.words("SUPPORTS")[:2] == ["B1", "1 3/8 (-0.027)"]
    assert "39 3/8 (+0.005)" in inches.words("DIMENSIONS")
    assert Counter(mm.words("DIMENSIONS"))["1000"] == 2


def test_same_text_each_time(reading_room: Answer) -> None:
    # In another process: test_hostile, of all papers.
    assert dxf_text(reading_room) == dxf_text(reading_room)


def test_a_movement_joint_lies_on_a_layer_of_its_own(tmp_path: Path) -> None:
    job = kit.read_job(DATA / "reading-room")
    told = {"name": "bay line", "from_mm": (2000.0, -100.0), "to_mm": (2000.0, 900.0)}
    joint = MovementJoint.model_validate(told)
    answer = kit.solve(job.model_copy(update={"movement_joints": (joint,)}))
    read = Read(dxf_text(answer), tmp_path)
    assert read.layers.count("MOVEMENT_JOINTS") == 2  # the line and its name
    assert "movement joint: bay line" in read.texts
    assert "MOVEMENT_JOINTS" not in dxf_text(kit.solve(job))
