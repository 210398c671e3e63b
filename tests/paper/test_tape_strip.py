"""Tape strips as they are printed, read back from the PDF in its own coordinates."""

import io
import re
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any

import pdfplumber
import pypdf
import pytest

from kit.paper.document import Document, Figure, Grid
from kit.paper.full_size import LEFT_MM, cut_strip
from kit.paper.label_places import letters_box
from kit.paper.marks import Letters, Stroke
from kit.paper.pdf import pdf_bytes
from kit.paper.strip_picture import piece_marks
from kit.paper.strip_rows import strip_rows
from kit.paper.tape_strip import tape_strips
from kit.parts import Answer

POINT_MM = 25.4 / 72

#: Name of a piece as it is printed on it: strip, number, of, from.
PIECE = re.compile(r"Strip (\S+), piece (\d+) of (\d+): (\S+) to (\S+) mm")

BOLD_MM, SCALE_MM = 0.6, 0.25


def near(value: float, mm: float) -> bool:
    return abs(value * POINT_MM - mm) < 0.01


def upright(line: Any) -> bool:
    return abs(line["x0"] - line["x1"]) < 0.01


@pytest.fixture(scope="module")
def printed() -> Callable[[Answer], bytes]:
    """Print an answer's strips."""

    @cache
    def content(number: int) -> bytes:
        (document,) = tape_strips(kept[number])
        return pdf_bytes(document)

    kept: dict[int, Answer] = {}

    def make(answer: Answer) -> bytes:
        kept[id(answer)] = answer
        return content(id(answer))

    return make


def bold_places(content: bytes) -> Iterator[tuple[str, float]]:
    """Yield strip and running dimension [mm] of every bold line, measured from its piece's end."""
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        for page in pdf.pages:
            names = [
                (PIECE.search(line["text"]), line["top"]) for line in page.extract_text_lines()
            ]
            edges = [
                line
                for line in page.lines
                if near(line["linewidth"], SCALE_MM) and abs(line["top"] - line["bottom"]) < 0.01
            ]
            for name, top in names:
                if name is None:
                    continue
                edge = max((e for e in edges if e["top"] < top), key=lambda e: e["top"])
                assert abs(edge["width"] * POINT_MM - (float(name[5]) - float(name[4]))) < 0.6
                for line in page.lines:
                    if near(line["linewidth"], BOLD_MM) and abs(line["top"] - edge["top"]) < 0.1:
                        yield name[1], float(name[4]) + (line["x0"] - edge["x0"]) * POINT_MM


def test_the_bold_lines_are_the_supports(
    reading_room: Answer, printed: Callable[[Answer], bytes]
) -> None:
    found: dict[str, list[float]] = {}
    for strip, at in bold_places(printed(reading_room)):
        found.setdefault(strip, []).append(at)
    assert list(found) == [row.name for row in reading_room.layout.rows]
    for bearer, places in found.items():
        wanted = reading_room.layout.on_bearer(bearer)["own_x_mm"].tolist()
        # 0.1 mm: what a person can see on a tape; PDF places are rounded to 0.004 mm.
        assert sorted(places) == pytest.approx(wanted, abs=0.1)


@pytest.mark.parametrize("method", ["stacks", "feet", "ladder"])
def test_the_other_ways_draw_a_bold_line_a_support(ways: dict[str, Answer], method: str) -> None:
    answer = ways[method]
    for row in strip_rows(answer):
        found = []
        off = [mark.at_mm for mark in row.marks]
        for piece in cut_strip(row.name, row.from_mm, row.to_mm, off, "mm"):
            lines = [m for m in piece_marks(row, piece, 0.0, "mm") if isinstance(m, Stroke)]
            found += [
                m.places[0][0] - LEFT_MM + piece.from_mm for m in lines if m.pen.width_mm == BOLD_MM
            ]
        wanted = answer.layout.on_bearer(row.name)["own_x_mm"].tolist()
        # On a drawing nothing is rounded.
        assert found == pytest.approx(wanted, abs=1e-9)


def test_two_runs_have_strips_of_their_own(
    boot_room: Answer, printed: Callable[[Answer], bytes]
) -> None:
    found = list(bold_places(printed(boot_room)))
    assert {strip for strip, _ in found} == {row.name for row in boot_room.layout.rows}
    assert {"A-B", "B-F"} <= {strip for strip, _ in found}
    own = zip(boot_room.supports["bearer"], boot_room.supports["own_x_mm"], strict=True)
    assert sorted(found) == [
        (bearer, pytest.approx(at, abs=0.1)) for bearer, at in sorted((str(b), x) for b, x in own)
    ]


def test_a_pour_shows_the_sides_of_units(
    ways: dict[str, Answer], printed: Callable[[Answer], bytes]
) -> None:
    found = list(bold_places(printed(ways["compound"])))
    assert {strip for strip, _ in found} == {"A"}
    assert [at for _, at in found] == pytest.approx([0, 1000, 2000, 3100, 4000], abs=0.1)


def test_every_page_of_strips_has_its_control_line(
    reading_room: Answer, printed: Callable[[Answer], bytes]
) -> None:
    reader = pypdf.PdfReader(io.BytesIO(printed(reading_room)))
    texts = [page.extract_text() for page in reader.pages]
    strips = [number for number, text in enumerate(texts) if "Strip " in text]
    assert len(strips) > 5
    assert all("This line is 200.0 mm: measure it before" in texts[number] for number in strips)
    first, last = strips[0], strips[-1]
    with pdfplumber.open(io.BytesIO(printed(reading_room)), pages=[first + 1, last + 1]) as pdf:
        for page in pdf.pages:
            size = float(page.width * POINT_MM), float(page.height * POINT_MM)
            assert size == pytest.approx((297.0, 210.0), abs=0.1)
            low = max(line["top"] for line in page.lines if not upright(line))
            (long,) = [x["width"] * POINT_MM for x in page.lines if x["top"] == low]
            assert long == pytest.approx(200.0, abs=0.1)


def test_names_and_running_dimensions_stand_beside_their_lines(reading_room: Answer) -> None:
    (document,) = tape_strips(reading_room)
    said = list(_letters(document))
    for name, at in zip(
        reading_room.supports["support"], reading_room.supports["own_x_mm"], strict=True
    ):
        assert said.count(name) == 1
        assert f"{at:g}" in said
    # Ends of three bearers, the joint of each of the two that have one, said at its support.
    assert sum(text.startswith("end ") for text in said) == 6
    assert said.count("joint") == len(reading_room.cuts.joints)
    assert "mid-bay 750" in said  # between the stacks at 500 and 1000


def _letters(document: Document) -> Iterator[str]:
    for part in document.parts:
        if isinstance(part, Figure):
            yield from (m.text for m in part.drawing.marks if isinstance(m, Letters))


def test_control_lengths(reading_room: Answer) -> None:
    (document,) = tape_strips(reading_room)
    table = next(part.table for part in document.parts if isinstance(part, Grid))
    rows = {row[0]: row for row in table.rows}
    # D begins at its own unit, far from the run's left end.
    assert rows["D"][2:] == ("402.5", "2037.5", "3062.5", "1025")
    assert rows["B"][2:] == ("67.5", "37.5", "3962.5", "3925")


def test_inches_say_by_how_much_they_are_rounded(
    inch_room: Answer, printed: Callable[[Answer], bytes]
) -> None:
    (document,) = tape_strips(inch_room)
    table = next(part.table for part in document.parts if isinstance(part, Grid))
    # 3925 mm are 154.5276 in: shown as 154 1/2, 0.0276 short.
    assert table.rows[0][-2:] == ("154 1/2", "-0.028")
    said = list(_letters(document))
    assert "19 11/16" in said  # 500 mm are 19.685 in
    assert "+0.002" in said
    last = pypdf.PdfReader(io.BytesIO(printed(inch_room))).pages[-1].extract_text()
    assert "This line is 8 in (203.2 mm)" in last


@pytest.mark.parametrize("method", ["packers", "stacks", "feet", "ladder", "compound"])
def test_no_letters_lie_on_others_or_beyond_the_drawing(
    ways: dict[str, Answer], method: str
) -> None:
    (document,) = tape_strips(ways[method])
    for part in document.parts:
        if not isinstance(part, Figure):
            continue
        drawing = part.drawing
        lines = [m for m in drawing.marks if isinstance(m, Letters)]
        boxes = [letters_box(line) for line in lines]
        for number, box in enumerate(boxes):
            assert box.left >= 0, lines[number].text
            assert box.right <= drawing.width_mm, lines[number].text
            # A box reaches a little beyond its letters: 0.3 mm of it do not show.
            others = [b for b in boxes[number + 1 :] if b.meets(box.grown(-0.3))]
            assert not others, lines[number].text
        assert (drawing.width_mm, drawing.height_mm) == document.room_mm


def test_the_same_job_gives_the_same_bytes(
    boot_room: Answer, printed: Callable[[Answer], bytes]
) -> None:
    (document,) = tape_strips(boot_room)
    assert pdf_bytes(document) == printed(boot_room)
