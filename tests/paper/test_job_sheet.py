"""The job sheet: every figure on it is the answer's, printed or as a page, in every way."""

import io
import re
from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise

import pdfplumber
import pypdf
import pytest

import kit
from kit.ink.table import Table
from kit.paper.document import Document, Figure, Grid, Heading, Points, Signatures, Words
from kit.paper.html_page import html_page
from kit.paper.job_sheet import job_sheet
from kit.paper.marks import Letters
from kit.paper.pdf import pdf_bytes
from kit.paper.plinth_sheet import profile_of
from kit.parts import Answer

#: Half of the last decimal that is shown, and a little for the sums of decimal thicknesses.
HALF_TENTH, HALF_HUNDREDTH = 0.05 + 1e-9, 0.005 + 1e-9

HEBREW, ARABIC = "שלום עולם", "مرحبا بالعالم"
EMOJI = "\U0001f469\U0001f3fd\u200d\U0001f527"
TITLE = f'=HYPERLINK("x") <script>alert(1)</script> {HEBREW} {ARABIC} {EMOJI} '
NOTES = f"First line <b>&amp;\n=1+1\n{HEBREW}\n{ARABIC}\n{EMOJI}\n"


@pytest.fixture(scope="module")
def sheets(ways: dict[str, Answer]) -> dict[str, Document]:
    return {method: job_sheet(answer) for method, answer in ways.items()}


@pytest.fixture(scope="module")
def sheet(sheets: dict[str, Document]) -> Document:
    return sheets["packers"]


@pytest.fixture(scope="module")
def printed(sheet: Document) -> str:
    return _printed(sheet)


@pytest.fixture(scope="module")
def page_rows(sheet: Document) -> list[tuple[str, ...]]:
    return _page_rows(html_page(sheet))


def _printed(document: Document) -> str:
    with pdfplumber.open(io.BytesIO(pdf_bytes(document))) as pdf:
        return "\n".join(page.extract_text() for page in pdf.pages)


def _run_on(document: Document) -> str:
    """Return the letters of a printed document in the order in which they were put down."""
    pages = pypdf.PdfReader(io.BytesIO(pdf_bytes(document))).pages
    return "\n".join(page.extract_text() for page in pages)


class _Cells(HTMLParser):
    """The rows of all tables of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[list[str]] = []
        self.inside = False

    def handle_starttag(self, tag: str, _attrs: list[tuple[str, str | None]]) -> None:
        if tag == "tr":
            self.rows.append([])
        elif tag in {"td", "th"}:
            self.rows[-1].append("")
            self.inside = True

    def handle_endtag(self, tag: str) -> None:
        self.inside = self.inside and tag not in {"td", "th"}

    def handle_data(self, data: str) -> None:
        if self.inside:
            self.rows[-1][-1] += data


def _page_rows(page: str) -> list[tuple[str, ...]]:
    cells = _Cells()
    cells.feed(page)
    return [tuple(row) for row in cells.rows]


def _table(document: Document, title: str) -> Table:
    return next(
        part.table
        for part in document.parts
        if isinstance(part, Grid) and part.table.title == title
    )


def _said(document: Document) -> str:
    """Return all sentences of a document."""
    said = []
    for part in document.parts:
        if isinstance(part, Words | Heading):
            said.append(part.text)
        elif isinstance(part, Points | Signatures):
            said += part.lines
    return "\n".join(said)


def _close(text: str) -> str:
    """Return a text without white space: lines are broken anew on paper."""
    return re.sub(r"\s+", "", text)


def _inches(text: str) -> float:
    """Return inches with a fraction as a number: whole, then numerator over denominator."""
    parts = text.lstrip("-").split()
    total = sum(
        float(part) if "/" not in part else int(part.split("/")[0]) / int(part.split("/")[1])
        for part in parts
    )
    return -total if text.startswith("-") else total


# Stacks


def test_every_stack_is_the_answers(reading_room: Answer, sheet: Document) -> None:
    rows = {row[1]: row for row in _table(sheet, "Stacks").rows}
    assert set(rows) == set(reading_room.supports["support"])
    supports = reading_room.supports.set_index("support")
    for name, of in reading_room.stacks.groupby("support"):
        row, pile = rows[str(name)], of.sort_values("position")
        height = pile["thickness_mm"].sum()
        assert row[4] == " + ".join(f"{mm:g}" for mm in pile["nominal_mm"])
        assert abs(float(row[3]) - height) <= HALF_TENTH
        assert abs(float(row[5]) - (height - supports.at[name, "target_mm"])) <= HALF_HUNDREDTH
        assert abs(float(row[2]) - supports.at[name, "own_x_mm"]) <= HALF_TENTH


def test_packers_that_measure_otherwise_are_told(sheet: Document) -> None:
    assert "18 measures 17.8 mm" in _table(sheet, "Stacks").note


def test_stacks_are_read_back_from_paper_and_page(
    sheet: Document, printed: str, page_rows: list[tuple[str, ...]]
) -> None:
    lines = {_close(line) for line in printed.splitlines()}
    for row in _table(sheet, "Stacks").rows:
        assert _close("".join(row)) in lines
        assert row in page_rows


def test_stacks_read_at_arms_length(sheet: Document) -> None:
    grid = next(p for p in sheet.parts if isinstance(p, Grid) and p.table.title == "Stacks")
    assert grid.letters_mm >= 3.5  # house rule: what is needed on the floor


def test_the_sheet_begins_where_the_work_does(sheet: Document) -> None:
    first = _table(sheet, "Stacks").rows[0]
    assert f"Begin at {first[1]}: packers {first[4]} from the floor up, {first[3]} mm" in _said(
        sheet
    )


# Head


def test_the_head_holds_the_figures_that_matter(
    reading_room: Answer, sheet: Document, printed: str
) -> None:
    figure = next(part for part in sheet.parts if isinstance(part, Figure))
    big = {
        mark.text for mark in figure.drawing.marks if isinstance(mark, Letters) and mark.size_mm > 6
    }
    datum, high = reading_room.datum, reading_room.high_point
    # The run's left end lies in the room's origin: its own axes are the room's.
    place = f"{high.x_mm:.0f}, {high.y_mm:.0f} mm"
    low, most = datum.feasible_heights_mm[0]
    assert big == {
        f"{datum.base_top_mm - datum.high_point_mm:.1f} mm",
        f"{datum.datum_mm - datum.high_point_mm:.1f} mm",
        place,
        f"{low:.1f} to {most:.1f} mm",
        "24 stacks",
        f"{len(reading_room.stacks)}",
    }
    for text in big:
        assert text in printed


def test_all_ranges_of_the_window_are_told(reading_room: Answer) -> None:
    plan = replace(reading_room.datum.plan, feasible=((30.25, 32.0), (33.5, 34.75)))
    up = reading_room.datum.bearer_mm - reading_room.datum.high_point_mm
    answer = replace(reading_room, datum=replace(reading_room.datum, plan=plan))
    said = f"{30.25 + up:.1f} to {32 + up:.1f} mm; {33.5 + up:.1f} to {34.75 + up:.1f} mm"
    assert said in _said(job_sheet(answer))


def test_what_binds_at_both_ends_is_told(reading_room: Answer, sheet: Document) -> None:
    assert f"a lower one: {reading_room.datum.binding_low};" in _said(sheet)
    assert f"a higher one: {reading_room.datum.binding_high}." in _said(sheet)


def test_the_high_point_of_a_turned_run_is_told_along_that_run(boot_room: Answer) -> None:
    # Run B begins at (3600, 510) and goes towards +y; out from its wall is towards -x.
    ground = boot_room.ground
    high = replace(ground.high_point, x_mm=3300.0, y_mm=1740.0)
    moved = replace(boot_room, ground=replace(ground, high_point=high))
    said = _said(job_sheet(moved))
    assert "run B, 1230 mm from the run's left end" in said
    assert "300 mm out from the units' backs; nearest B-F4" in said


# Setting out


def test_running_dimensions_are_the_answers(reading_room: Answer, sheet: Document) -> None:
    table = _table(sheet, "Running dimensions")
    half = len(table.heads) // 2
    found: dict[tuple[str, str], list[float]] = {}
    for row in table.rows:
        for left in (0, half):
            for head, cell in zip(
                table.heads[left + 1 : left + half], row[left + 1 :], strict=False
            ):
                for said in filter(None, cell.split(", ")):
                    found.setdefault((head.text, said), []).append(float(row[left]))
    for one in reading_room.supports.itertuples():
        assert abs(found[one.bearer, one.support][0] - one.own_x_mm) <= HALF_TENTH
    for row in reading_room.layout.rows:
        assert sorted(found[row.name, "end"]) == pytest.approx(
            [row.start_mm, row.end_mm], abs=HALF_TENTH
        )
    for bearer, support in reading_room.cuts.joints:
        at = float(reading_room.supports.set_index("support").at[support, "own_x_mm"])
        assert abs(at - found[bearer, "joint"][0]) <= HALF_TENTH


def test_lines_are_struck_at_the_bearers_edges(sheet: Document) -> None:
    # back_mm 45, bearer 45 wide; the front one ends front_mm 55 behind the shallowest unit, 320.
    table = _table(sheet, "Lines to strike, out from the backs: edges and middle of the bearers")
    assert table.rows[:2] == (("B", "45", "67.5", "90"), ("F", "220", "242.5", "265"))


# Screws


def test_screws_are_the_answers_and_their_points_where_they_end(
    reading_room: Answer, sheet: Document
) -> None:
    table = _table(sheet, "Screws of each stack")
    of = {name: row for row in table.rows for name in row[0].split(", ")}
    board, sink, bearer = 21.0, 1.0, 20.0  # of the job file
    for name, steps in reading_room.screws.groupby("support", sort=False):
        row = of[str(name)]
        sizes = [float(size) for size in steps["length_mm"]]
        assert row[1] == " + ".join(
            f"{step} {size:g}" for step, size in zip(steps["step"], sizes, strict=True)
        )
        pile = reading_room.stacks[reading_room.stacks["support"] == name]["thickness_mm"]
        tops = [top for top, thick in zip(pile.cumsum(), pile, strict=True) if thick >= 6]
        tops.append(float(pile.sum()) + bearer)
        # p = L + c - t below the floor's surface, and the board's underside 21 mm below it.
        inside = [board - (size + sink - top) for size, top in zip(sizes, tops, strict=True)]
        shown = row[2].removesuffix(" mm inside the board").split(", ")
        assert [float(one) for one in shown] == pytest.approx(inside, abs=HALF_TENTH)


def test_steps_that_no_screw_serves_are_told_with_their_reason(boot_room: Answer) -> None:
    said = _said(job_sheet(boot_room))
    without = boot_room.screws[boot_room.screws["length_mm"].isna()]
    assert len(without) == 31
    for one in without.itertuples():
        line = next(
            line for line in said.splitlines() if one.reason in line and one.support in line
        )
        assert line.startswith(f"{one.step} (")


def test_a_point_above_the_floor_is_told_so(ways: dict[str, Answer]) -> None:
    sheet = job_sheet(ways["stacks"])
    row = next(r for r in _table(sheet, "Screws of each stack").rows if "B1" in r[0].split(", "))
    assert row[2] == "7.8, 3.8, 9.8 mm inside the board; 0.6 mm above the floor"


# Cuts


def test_every_piece_is_in_picture_and_table(reading_room: Answer, sheet: Document) -> None:
    rows = _table(sheet, "Pieces").rows
    assert len(rows) == len(reading_room.cuts.cuts)  # no two of one bar are alike here
    drawn = {
        mark.text
        for part in sheet.parts
        if isinstance(part, Figure)
        for mark in part.drawing.marks
        if isinstance(mark, Letters)
    }
    counts = reading_room.cuts.cuts["bearer"].value_counts()
    for one in reading_room.cuts.cuts.itertuples():
        name = one.bearer if counts[one.bearer] == 1 else f"{one.bearer}/{one.piece}"
        row = next(r for r in rows if r[3] == name)
        shown = [float(cell) for cell in (row[1], row[2], *row[4:])]
        true = [one.bar, one.stock_mm, one.length_mm, one.from_x_mm, one.to_x_mm]
        assert shown == pytest.approx(true, abs=HALF_TENTH)
        assert f"{name}: {one.length_mm:g}" in drawn


def test_joints_are_told_over_their_stacks(reading_room: Answer, sheet: Document) -> None:
    for bearer, support in reading_room.cuts.joints:
        assert f"{bearer} over {support}" in _said(sheet)


# Other ways of building


def test_feet_are_the_answers(ways: dict[str, Answer], sheets: dict[str, Document]) -> None:
    rows = {row[1]: row for row in _table(sheets["feet"], "Feet").rows}
    feet = ways["feet"].details["feet.csv"]
    assert len(rows) == len(feet)
    for one in feet.itertuples():
        row = rows[one.support]
        assert row[3] == one.kind
        shown = [float(cell) for cell in row[4:7]]
        true = [one.set_mm, one.up_left_mm, one.down_left_mm]
        assert shown == pytest.approx(true, abs=HALF_TENTH)


def test_the_frames_depths_are_the_answers(
    ways: dict[str, Answer], sheets: dict[str, Document]
) -> None:
    answer = ways["ladder"]
    profile = answer.details["profile.csv"]
    rows = _table(sheets["ladder"], "Depth of the long members").rows
    assert len(rows) == len(answer.supports)
    supports = answer.supports.set_index("support")
    for row in rows:
        at = supports.loc[row[1]]
        there = profile[
            (profile["member"] == at["bearer"]) & (profile["along_mm"] == at["own_x_mm"])
        ].iloc[0]
        true = [there["along_mm"], there["depth_mm"], there["cut_mm"]]
        assert [float(cell) for cell in row[2:5]] == pytest.approx(true, abs=HALF_TENTH)
    members = {row[1]: row for row in _table(sheets["ladder"], "Members").rows}
    assert set(members) == set(answer.details["members.csv"]["member"])


def test_the_pour_is_the_answers(ways: dict[str, Answer], sheets: dict[str, Document]) -> None:
    answer = ways["compound"]
    rows = {row[1]: row for row in _table(sheets["compound"], "What is poured").rows}
    for one in answer.details["zones.csv"].itertuples():
        shown = [float(cell) for cell in rows[one.zone][2:]]
        true = [one.bags, one.volume_l, one.least_mm, one.greatest_mm, one.dry_days]
        assert shown == pytest.approx(true, abs=HALF_TENTH)
    depths = {row[1]: float(row[4]) for row in _table(sheets["compound"], "Depth at places").rows}
    for one in answer.supports.itertuples():
        assert abs(depths[one.support] - one.target_mm) <= HALF_TENTH
    edges = _table(sheets["compound"], "Edges of the pour").rows
    assert edges[2] == ("atlas case", "2000", "3100", "480")  # of the job file


@pytest.mark.parametrize("method", ["packers", "stacks", "feet", "ladder", "compound"])
def test_no_table_is_empty_and_what_does_not_exist_is_left_out(
    sheets: dict[str, Document], method: str
) -> None:
    parts = sheets[method].parts
    grids = [part.table for part in parts if isinstance(part, Grid)]
    assert all(table.rows for table in grids)
    assert all(len(row) == len(table.heads) for table in grids for row in table.rows)
    titles = {table.title for table in grids}
    headings = {part.text for part in parts if isinstance(part, Heading)}
    assert ("Stacks" in titles) == (method in {"packers", "stacks"})
    assert ("Screws" in headings) == (method in {"packers", "stacks"})
    assert ("Pieces" in titles) == (method in {"packers", "ladder"})
    assert ("Plinth" in headings) == (method != "compound")
    for earlier, later in pairwise(parts):
        ends_a_part = isinstance(later, Heading) and later.level == 1
        assert not (isinstance(earlier, Heading) and ends_a_part), earlier


@pytest.mark.parametrize("method", ["packers", "stacks", "feet", "ladder", "compound"])
def test_drawings_keep_to_the_page(sheets: dict[str, Document], method: str) -> None:
    document = sheets[method]
    wide, tall = document.room_mm
    for part in document.parts:
        if isinstance(part, Figure):
            assert part.drawing.width_mm <= wide + 1e-9
            assert part.drawing.height_mm <= tall + 1e-9


# Sentences


@pytest.mark.parametrize("method", ["packers", "stacks", "feet", "ladder", "compound"])
def test_every_caution_is_on_paper(
    ways: dict[str, Answer], sheets: dict[str, Document], method: str
) -> None:
    printed = _close(_run_on(sheets[method]))
    for caution in ways[method].cautions:
        assert _close(caution) in printed


def test_the_sheet_is_the_same_each_time(sheet: Document, reading_room: Answer) -> None:
    # The bytes of all papers, in another process: test_hostile.
    assert job_sheet(reading_room) == sheet


def test_what_to_take_along_is_the_take_off(reading_room: Answer, sheet: Document) -> None:
    lines = next(p.lines for p in sheet.parts if isinstance(p, Points) and p.sign == "☐")
    said = {line.split(":")[0]: line for line in lines}
    for one in reading_room.take_off.itertuples():
        assert f"{one.count} of {one.size_mm:g} mm" in said[one.item.split(":")[0]]


def test_the_plinth_is_that_of_its_own_sheet(reading_room: Answer, sheet: Document) -> None:
    boards = profile_of(reading_room, 100.0).boards
    low, high = min(b.least_mm for b in boards), max(b.greatest_mm for b in boards)
    assert f"Run A: {low:.1f} to {high:.1f} mm high, from boards 70 mm wide" in _said(sheet)
    assert "from the left 2000, 2000 mm long" in _said(sheet)
    assert "plinth board, 70 mm deep: 2 of 2400 mm" in _said(sheet)  # as the buying list


def test_a_foot_is_counted_under_its_own_name(sheets: dict[str, Document]) -> None:
    assert "screw foot, 40-65 mm: 30" in _said(sheets["feet"]).splitlines()


def test_readings_are_told_with_what_is_not_known_of_them(reading_room: Answer) -> None:
    job = reading_room.job
    survey = job.surveys[0].model_copy(update={"leave_out": (7, 12)})
    answer = replace(reading_room, job=job.model_copy(update={"surveys": (survey,)}))
    said = _said(job_sheet(answer))
    assert "When the floor was read is not in the job file" in said
    assert f"sigma0 {reading_room.heights.sigma0:.2f}" in said
    assert "Left out of readings.csv by decision: line 7, 12." in said
    assert all(line in said for line in reading_room.heights.understood)


# Title and notes


def test_hostile_title_and_notes_stand_whole_and_do_nothing(reading_room: Answer) -> None:
    title = TITLE + "word " * 500 + "TITLE-END"
    notes = NOTES + "\n".join(f"note {n}" for n in range(500)) + "\nNOTES-END"
    job = reading_room.job.model_copy(update={"title": title, "notes": notes})
    document = job_sheet(replace(reading_room, job=job))
    texts = [part.text for part in document.parts if isinstance(part, Words)]
    assert title in texts
    assert notes in texts
    assert len(document.title) < 120
    page = html_page(document)
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page
    assert all(whole in page for whole in (HEBREW, ARABIC, EMOJI, "TITLE-END", "NOTES-END"))
    raw = _run_on(document)
    printed = _close(raw)
    for kept in ('=HYPERLINK("x")', "<script>alert(1)</script>", "TITLE-END", "NOTES-END"):
        assert kept in printed
    assert set(re.findall(r"note (\d+)", raw)) == {str(n) for n in range(500)}


def test_short_notes_stand_at_the_head(reading_room: Answer) -> None:
    job = reading_room.job.model_copy(update={"notes": "Key under the mat.\nClosed at 16:00."})
    parts = job_sheet(replace(reading_room, job=job)).parts
    notes = parts.index(Words("Key under the mat.\nClosed at 16:00."))
    assert notes < next(i for i, part in enumerate(parts) if isinstance(part, Signatures))


# Inches


def test_inches_are_shown_with_what_they_are_off(inch_room: Answer) -> None:
    heights = inch_room.stacks.groupby("support")["thickness_mm"].sum()
    rows = _table(job_sheet(inch_room), "Stacks").rows
    assert len(rows) == len(heights)
    for row in rows:
        found = re.fullmatch(r"(.+) \(([-+]?[\d.]+)\)", row[3])
        assert found, row
        shown, off = _inches(found[1]), float(found[2])
        assert (shown * 16) == int(shown * 16)
        # Told in thousandths of an inch: half of one at most is lost.
        assert shown - off == pytest.approx(heights[row[1]] / 25.4, abs=0.0005 + 1e-9)


def test_a_cut_in_inches_is_shown_with_what_it_is_off(inch_room: Answer) -> None:
    cuts = {f"{one.bearer}/{one.piece}": one.length_mm for one in inch_room.cuts.cuts.itertuples()}
    for row in _table(job_sheet(inch_room), "Pieces").rows:
        found = re.fullmatch(r"(.+) \(([-+]?[\d.]+)\)", row[4])
        assert found, row
        true = cuts[row[3] if "/" in row[3] else f"{row[3]}/1"]
        assert _inches(found[1]) - float(found[2]) == pytest.approx(true / 25.4, abs=0.0005 + 1e-9)


def test_cautions_of_an_inch_job_have_inches(inch_room: Answer) -> None:
    assert "at least 50 mm (1 15/16 in) from the top of the joist" in _said(job_sheet(inch_room))


def test_a_single_small_unit_gets_a_sheet(reading_room: Answer) -> None:
    job = reading_room.job
    unit = job.runs[0].units[0].model_copy(update={"width_mm": 310.0, "divisions_mm": ()})
    run = job.runs[0].model_copy(update={"units": (unit,)})
    small = kit.solve(job.model_copy(update={"runs": (run,), "services": ()}))
    document = job_sheet(small)
    assert len(_table(document, "Stacks").rows) == 4
    assert "No joints." in _said(document)
