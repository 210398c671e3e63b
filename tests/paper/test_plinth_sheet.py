"""The plinth on paper, its scribe strips read back from the PDF in its own coordinates."""

import io
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pdfplumber
import pytest

import kit
from kit.base.cautions import NO_APPROVAL
from kit.ink.lengths import length
from kit.job import Refusal
from kit.paper.document import Document, Figure, Grid, Points
from kit.paper.label_places import letters_box
from kit.paper.marks import Letters
from kit.paper.not_checked import decisions_table
from kit.paper.pdf import pdf_bytes
from kit.paper.plinth_sheet import plinth_sheet, plinth_table, profile_of
from kit.parts import Answer

POINT_MM = 25.4 / 72
DATA = Path(__file__).parents[2] / "data"

#: Name of a piece as it is printed: board, from, to, its straight line below the base top.
PIECE = re.compile(
    r"Strip plinth (\S+), piece \d+ of \d+: (\S+) to (\S+) mm; line (\S+) mm below the base top"
)


@pytest.fixture(scope="module")
def sheet() -> Callable[[Answer], Document]:
    """Return an answer's plinth on paper, every 100 mm."""

    def make(answer: Answer) -> Document:
        (document,) = plinth_sheet(answer, 100.0)
        return document

    return make


def test_the_curves_are_the_floor_line(
    reading_room: Answer, sheet: Callable[[Answer], Document]
) -> None:
    read: dict[str, list[tuple[float, float]]] = {}
    with pdfplumber.open(io.BytesIO(pdf_bytes(sheet(reading_room)))) as pdf:
        for page in pdf.pages:
            curves = [c for c in page.curves if abs(c["linewidth"] * POINT_MM - 0.5) < 0.01]
            lying = page.filter(lambda one: one.get("upright", True))
            for line in lying.extract_text_lines() if curves else ():
                if not (name := PIECE.search(line["text"])):
                    continue
                below = [c for c in curves if c["top"] > line["bottom"]]
                curve = min(below, key=lambda c: c["top"])
                edge = min(
                    (e for e in page.lines if e["top"] > line["bottom"] - 1 and e["width"] > 99),
                    key=lambda e: e["top"],
                )
                for x, y in curve["pts"]:
                    along = float(name[2]) + (x - edge["x0"]) * POINT_MM
                    height = float(name[4]) + (y - edge["top"]) * POINT_MM
                    read.setdefault(name[1], []).append((along, height))
    assert list(read) == ["1", "2"]
    top = reading_room.datum.base_top_mm
    for board, (low, high) in (("1", (0, 2000)), ("2", (2000, 4000))):
        places = np.array(read[board])
        assert (places[:, 0].min(), places[:, 0].max()) == pytest.approx((low, high), abs=0.1)
        # Every 20 mm or closer, joins of pieces apart, which stand twice.
        assert np.diff(np.sort(places[:, 0])).max() == pytest.approx(20.0, abs=0.1)
        floor = reading_room.surface.predict(places[:, 0], np.full(len(places), 280.0)).height_mm
        # 0.1 mm: finer than a pencil line; joins between two places are drawn straight.
        np.testing.assert_allclose(places[:, 1], top - floor, atol=0.1)


def test_tables_say_what_the_profile_says(
    reading_room: Answer, sheet: Callable[[Answer], Document]
) -> None:
    boards, heights = [p.table for p in sheet(reading_room).parts if isinstance(p, Grid)]
    profile = profile_of(reading_room, 100.0)
    assert [row[0] for row in boards.rows] == [board.name for board in profile.boards]
    first, told = profile.boards[0], boards.rows[0]
    assert told[1:6] == ("0", "2000", "2000", "2400", "70")
    assert told[6] == length(first.least_mm, "mm")
    assert told[7] == told[9] == length(first.greatest_mm, "mm")
    assert told[8] == "scribe"
    # Two halves side by side: down the left one, then the right.
    places = [row[:6] for row in heights.rows] + [row[6:] for row in heights.rows]
    assert len(places) == len(profile.table) == 42
    for shown, true in zip(places, profile.table.itertuples(), strict=True):
        assert shown[:2] == (true.board, f"{true.along_mm:g}")
        assert shown[2] == length(true.height_mm, "mm")
        assert shown[3] == length(70.0 - true.height_mm, "mm")


def test_the_table_for_a_file(boot_room: Answer, ways: dict[str, Answer]) -> None:
    (table,) = plinth_table(boot_room, 250.0)
    assert set(table["board"]) == {"A-1", "B-1"}
    assert table["height_mm"].min() == pytest.approx(boot_room.plinth["least_mm"].min(), abs=0.1)
    assert plinth_table(ways["compound"], 250.0) == ()


def test_a_base_without_a_plinth_has_no_sheet(ways: dict[str, Answer]) -> None:
    assert plinth_sheet(ways["compound"], 100.0) == ()


@pytest.mark.parametrize("method", ["packers", "stacks", "feet", "ladder"])
def test_every_way_with_a_plinth_has_one(
    ways: dict[str, Answer], sheet: Callable[[Answer], Document], method: str
) -> None:
    document = sheet(ways[method])
    (boards, _) = [p.table for p in document.parts if isinstance(p, Grid)]
    greatest = ways[method].plinth["greatest_mm"].iloc[0]
    widest = max(float(row[7]) for row in boards.rows)
    # The summary looks every 100 mm: between its places the floor may lie a little lower.
    assert greatest - 0.06 <= widest <= greatest + 0.1


def test_a_pitch_that_tells_nothing_is_refused(reading_room: Answer) -> None:
    with pytest.raises(Refusal, match="pitch_mm: found 5 mm; allowed: 10 to 1000 mm"):
        plinth_sheet(reading_room, 5.0)


def test_a_straight_board_has_no_strip(
    boot_room: Answer, sheet: Callable[[Answer], Document]
) -> None:
    # 450 mm out run B's floor keeps within 2 mm and run A's does not.
    base = boot_room.base
    plinth = base.plinth.model_copy(update={"set_back_mm": 50.0})  # type: ignore[union-attr]
    further = base.model_copy(update={"plinth": plinth})
    job = boot_room.job.model_copy(update={"bases": (further,)})
    said = " ".join(_letters(sheet(kit.solve(job, before=boot_room))))
    assert "Strip plinth A-1" in said
    assert "Strip plinth B-1" not in said
    assert "B-1: straight, 57.0 to 59.0 mm" in said


def _letters(document: Document) -> list[str]:
    return [
        mark.text
        for part in document.parts
        if isinstance(part, Figure)
        for mark in part.drawing.marks
        if isinstance(mark, Letters)
    ]


def test_inches_with_their_rounding(inch_room: Answer, sheet: Callable[[Answer], Document]) -> None:
    boards, heights, more = [p.table for p in sheet(inch_room).parts if isinstance(p, Grid)]
    assert len(heights.rows) + len(more.rows) == 42  # no room for two halves
    assert [head.unit for head in heights.heads].count("in") == 7
    # 2000 mm are 78.740 in, shown as 78 3/4.
    assert boards.rows[0][3:5] == ("78 3/4", "+0.010")
    # The strips' straight lines lie at quarters of an inch, which need no rounding.
    lines = [text for text in _letters(sheet(inch_room)) if "below the base top" in text]
    assert {text.split("; ")[1] for text in lines} == {
        "line 1 1/2 in below the base top", "line 1 3/4 in below the base top",
    }  # fmt: skip


def test_cautions_name_what_is_open(sheet: Callable[[Answer], Document]) -> None:
    job = kit.read_job(DATA / "reading-room")
    base = job.bases[0]
    narrow = base.plinth.model_copy(update={"board_mm": (60.0,)})  # type: ignore[union-attr]
    finish = job.floor.model_copy(update={"finish_mm": 3.0})
    told = base.model_copy(update={"plinth": narrow, "front_lift_mm": 1.5})
    answer = kit.solve(job.model_copy(update={"bases": (told,), "floor": finish}))
    (_, warned) = [p.lines for p in sheet(answer).parts if isinstance(p, Points)]
    said = " ".join(warned)
    assert "no board of the job is as wide as the" in said
    assert "3 mm above the floor as read, on the finish to come" in said
    assert "The front row is set 1.5 mm high" in said
    assert warned[-1] == NO_APPROVAL
    assert "stand on the job sheet" in warned[-2]


def test_what_stands_where_the_board_is_to_stand_is_told(
    reading_room: Answer, sheet: Callable[[Answer], Document]
) -> None:
    # Face at 320 - 35 = 285, 18 thick; the front bearer ends at 320 - 55 = 265, 2 mm behind it;
    # the bearer under the deeper unit begins at 480 - 55 - 45 = 380, in front of the face.
    (_, warned) = [p.lines for p in sheet(reading_room).parts if isinstance(p, Points)]
    assert any(line.startswith("Row D stands in front of this plinth") for line in warned)
    assert not any(line.startswith(("Row B", "Row F")) for line in warned)
    base = reading_room.base
    thick = base.plinth.model_copy(update={"thickness_mm": 23.0})  # type: ignore[union-attr]
    job = reading_room.job.model_copy(
        update={"bases": (base.model_copy(update={"plinth": thick}),)}
    )
    answer = kit.solve(job, before=reading_room)
    (_, warned) = [p.lines for p in sheet(answer).parts if isinstance(p, Points)]
    assert any(line.startswith("Row F reaches 3.0 mm past the board's back") for line in warned)
    checks = answer.checks.set_index("check")
    of_plinth = checks.loc["plinth clear of the front bearer"]
    assert of_plinth["value"] == pytest.approx(-3.0, abs=1e-9)
    assert of_plinth["verdict"] == "refer"
    assert any("plinth clear of the front bearer" in row[1] for row in decisions_table(answer).rows)


def test_what_is_open_at_its_ends_is_told(
    boot_room: Answer, sheet: Callable[[Answer], Document]
) -> None:
    (_, warned) = [p.lines for p in sheet(boot_room).parts if isinstance(p, Points)]
    assert [line for line in warned if "measure in place" in line] == [
        "Run A: the closing piece at the corner to run B (right end): not on this paper; measure"
        " in place.",
        "Run B: the closing piece at the corner to run A (left end), the return at the right end:"
        " not on this paper; measure in place.",
    ]


@pytest.mark.parametrize("room", ["reading_room", "boot_room", "inch_room"])
def test_no_letters_lie_on_others(
    request: pytest.FixtureRequest, sheet: Callable[[Answer], Document], room: str
) -> None:
    document = sheet(request.getfixturevalue(room))
    figures = [part.drawing for part in document.parts if isinstance(part, Figure)]
    assert len(figures) > 3
    for drawing in figures:
        lines = [m for m in drawing.marks if isinstance(m, Letters)]
        boxes = [letters_box(line) for line in lines]
        for number, box in enumerate(boxes):
            assert box.left >= 0, lines[number].text
            assert box.right <= drawing.width_mm, lines[number].text
            # A box reaches a little beyond its letters: 0.3 mm of it do not show.
            others = [b for b in boxes[number + 1 :] if b.meets(box.grown(-0.3))]
            assert not others, lines[number].text
