"""Labels: what they say, and where they lie on their sheets."""

import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pdfplumber
import pypdf
import pytest

import kit
from kit.base.cautions import NO_APPROVAL, PRE_DRILL
from kit.paper.document import Document, Figure, Points
from kit.paper.label_picture import pile_scale
from kit.paper.label_places import letters_box
from kit.paper.label_texts import label_texts
from kit.paper.labels import labels
from kit.paper.marks import Area, Letters
from kit.paper.pdf import pdf_bytes
from kit.parts import Answer

DATA = Path(__file__).parents[2] / "data"
POINT_MM = 25.4 / 72


def sheets(answer: Answer) -> Iterator[Any]:
    (document,) = labels(answer)
    yield from (part.drawing for part in document.parts if isinstance(part, Figure))


@pytest.mark.parametrize("method", ["packers", "stacks"])
def test_a_label_says_what_its_stack_is(ways: dict[str, Answer], method: str) -> None:
    answer = ways[method]
    found = {label.name: label for label in label_texts(answer)}
    assert list(found) == answer.supports["support"].tolist()  # row by row
    for name, of in answer.stacks.groupby("support", sort=False):
        label = found[str(name)]
        assert list(label.pile_mm) == of["thickness_mm"].tolist()
        assert [float(size) for size in label.printed] == of["nominal_mm"].tolist()
        assert label.lines[0] == f"stack {of['thickness_mm'].sum():.1f} mm"
        sizes = [
            float(size)
            for group in label.lines[1].split(" + ")
            for count, size in [group.split("×") if "×" in group else ("1", group)]
            for _ in range(int(count))
        ]
        assert sizes == of["nominal_mm"].tolist()
        screws = answer.screws[answer.screws["support"] == name]["length_mm"]
        assert label.lines[3] == f"screws {', '.join(f'{mm:g}' for mm in screws)} mm"
    places = dict(zip(answer.supports["support"], answer.supports["own_x_mm"], strict=True))
    assert {name: label.lines[2] for name, label in found.items()} == {
        name: f"at {mm:g} mm" for name, mm in places.items()
    }


def test_feet_crossings_and_zones(ways: dict[str, Answer]) -> None:
    feet = ways["feet"]
    first, foot = label_texts(feet)[0], feet.details["feet.csv"].iloc[0]
    assert first.lines[:2] == (f"foot {foot['kind']}", f"set to {foot['set_mm']:.1f} mm")
    ladder = ways["ladder"]
    profile = ladder.details["profile.csv"]
    label = label_texts(ladder)[1]
    there = profile[(profile["member"] == "B") & (profile["along_mm"] == 500.0)]
    assert label.lines == (
        "member B",
        f"depth here {there['depth_mm'].iloc[0]:.1f} mm",
        "at 500 mm",
    )
    zone = ways["compound"].details["zones.csv"].iloc[2]
    assert label_texts(ways["compound"])[2].lines[0] == (
        f"depth {zone['least_mm']:.1f} to {zone['greatest_mm']:.1f} mm"
    )
    assert not any(label.pile_mm for method in ("feet", "ladder", "compound")
                   for label in label_texts(ways[method]))  # fmt: skip


def test_no_screw_into_the_floor_and_two_runs(boot_room: Answer) -> None:
    found = label_texts(boot_room)
    assert {label.name.split("-")[0] for label in found} == {"A", "B"}
    for label in found:
        steps = boot_room.screws[boot_room.screws["support"] == label.name]
        assert any("screws" in line for line in label.lines) == bool(len(steps))


def test_where_no_screw_serves_the_label_says_none() -> None:
    job = kit.read_job(DATA / "reading-room")
    stock = job.stock.model_copy(update={"screws_mm": (70.0,)})
    answer = kit.solve(job.model_copy(update={"stock": stock, "bases": job.bases[:1]}))
    assert answer.screws["length_mm"].isna().any()
    name = answer.screws.loc[answer.screws["length_mm"].isna(), "support"].iloc[0]
    (label,) = [one for one in label_texts(answer) if one.name == name]
    assert "none" in label.lines[-1]


def test_inches_with_their_rounding(inch_room: Answer) -> None:
    second = label_texts(inch_room)[1]
    # 35.6 mm are 1.4016 in, 500 mm 19.6850: shown less true in brackets. Packers as printed.
    assert second.lines[:3] == (
        "stack 1 3/8 in (-0.027)",
        "2×18 mm",
        "at 19 11/16 in (+0.002)",
    )


def test_a_pile_is_drawn_to_scale(reading_room: Answer) -> None:
    found = label_texts(reading_room)
    tallest = max(label.tall_mm for label in found)
    scale = pile_scale(tallest)
    assert scale == 2.0  # 44.6 mm at full size find no room, at half size they do
    tall = [
        mark.places[2][1] - mark.places[1][1]
        for drawing in sheets(reading_room)
        for mark in drawing.marks
        if isinstance(mark, Area)
    ]
    assert tall == pytest.approx([mm / scale for label in found for mm in label.pile_mm])


@pytest.mark.parametrize("method", ["packers", "stacks", "feet", "ladder", "compound"])
def test_letters_keep_off_each_other_and_off_the_edges(
    ways: dict[str, Answer], method: str
) -> None:
    count = 0
    for drawing in sheets(ways[method]):
        *lines, _ = [m for m in drawing.marks if isinstance(m, Letters)]  # the last: the sheet's
        boxes = [letters_box(line) for line in lines]
        for number, (line, box) in enumerate(zip(lines, boxes, strict=True)):
            count += line.size_mm == 11.0
            # On the sheet: the drawing lies 12 mm in, the grid begins at 0, 0.5.
            left, right = (box.left + 12) % 70, (box.right + 12) % 70
            top, low = (box.top + 11.5) % 37, (box.bottom + 11.5) % 37
            assert 4 - 0.6 <= left < right <= 66, line.text
            # A box reaches a little above and below its letters.
            assert 4 - 0.6 <= top < low <= 33 + 0.6, line.text
            # A box reaches a little beyond its letters: 0.3 mm of it do not show.
            others = [b for b in boxes[number + 1 :] if b.meets(box.grown(-0.3))]
            assert not others, line.text
    if method != "compound":  # zones have names of any length
        assert count == len(ways[method].supports)


def test_labels_lie_as_they_do_on_label_paper(reading_room: Answer) -> None:
    (document,) = labels(reading_room)
    with pdfplumber.open(io.BytesIO(pdf_bytes(document)), pages=[2]) as pdf:
        (page,) = pdf.pages
        words = [word for word in page.extract_words() if word["height"] * POINT_MM > 9]
    found = {word["text"]: (word["x0"] * POINT_MM, word["bottom"] * POINT_MM) for word in words}
    # Labels of 70 by 37 mm without gaps: B1 is the first, B2 beside it, F10 and D1 in the seventh
    # row. 0.5 mm: letters of another shape begin a little further in.
    assert found["B1"][0] == pytest.approx(4.0, abs=0.5)
    assert found["B2"][0] - found["B1"][0] == pytest.approx(70.0, abs=0.1)
    assert found["F10"][0] - found["B1"][0] == pytest.approx(70.0, abs=0.5)
    assert found["D1"][1] - found["B1"][1] == pytest.approx(6 * 37.0, abs=0.1)


def test_how_to_and_cautions_come_first(boot_room: Answer) -> None:
    (document,) = labels(boot_room)
    how, warned = [part for part in document.parts if isinstance(part, Points)]
    assert f"{len(boot_room.supports)} labels for stacks" in how.lines[1]
    # Only what whoever builds by the labels has to mind; the rest stands on the job sheet.
    assert any(line.startswith("Hold point: Services located") for line in warned.lines)
    assert PRE_DRILL in warned.lines
    assert not set(boot_room.cautions) & set(warned.lines) - {PRE_DRILL, NO_APPROVAL}
    assert warned.lines[-1] == NO_APPROVAL
    text = pypdf.PdfReader(io.BytesIO(pdf_bytes(document))).pages[0].extract_text()
    assert boot_room.job.title in text


def test_a_zone_whose_name_is_cut_on_its_label_is_named_in_full(ways: dict[str, Answer]) -> None:
    answer = ways["compound"]
    name = "folios of the " + "very " * 12 + "old"
    (run,) = answer.job.runs
    units = (run.units[0].model_copy(update={"name": name}), *run.units[1:])
    job = answer.job.model_copy(update={"runs": (run.model_copy(update={"units": units}),)})
    (document,) = labels(kit.solve(job, answer.base.name, before=answer))
    said = [part.lines for part in document.parts if isinstance(part, Points)]
    assert name in said[1]
    drawing = next(part.drawing for part in document.parts if isinstance(part, Figure))
    cut = next(m.text for m in drawing.marks if isinstance(m, Letters) and m.bold)
    assert cut.endswith("…")
    assert name.startswith(cut.removesuffix("…"))


def test_nothing_that_a_person_writes_is_lost_or_does_harm(ways: dict[str, Answer]) -> None:
    title = '=HYPERLINK("x") <script>alert(1)</script> שלום مرحبا 🛠' + "ab " * 3000
    answer = ways["compound"]
    job = answer.job.model_copy(update={"title": title})
    (document,) = labels(kit.solve(job, answer.base.name, before=answer))
    assert isinstance(document, Document)
    pages = pypdf.PdfReader(io.BytesIO(pdf_bytes(document))).pages
    text = "".join(page.extract_text() for page in pages)
    assert text.count("ab") >= 3000
    assert "<script>alert(1)</script>" in text
