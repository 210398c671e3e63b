"""One answer, four formats, four readers: each figure is the answer's, as far as shown."""

import io
import re
import warnings
from collections import Counter
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pandas as pd
import pdfplumber
import pyogrio
import pytest
import shapely

from kit.paper.dxf import dxf_text
from kit.paper.html_page import html_page
from kit.paper.job_sheet import job_sheet
from kit.paper.pdf import pdf_bytes
from kit.paper.workbook import workbook_bytes
from kit.parts import Answer

#: Half of the last digit shown, and what binary fractions add at a half.
TENTH, HUNDREDTH, THOUSANDTH = 0.05 + 1e-9, 0.005 + 1e-9, 0.0005 + 1e-9


@dataclass
class Page(HTMLParser):
    """The tables of a page by what stands over them, and all its text."""

    tables: dict[str, list[list[str]]] = field(default_factory=dict)
    said: str = ""
    cell: str = ""
    rows: list[list[str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__()

    def handle_starttag(self, tag: str, _attrs: list[tuple[str, str | None]]) -> None:
        if tag in {"caption", "td", "th"}:
            self.cell = ""
        if tag == "tr":
            self.rows.append([])

    def handle_endtag(self, tag: str) -> None:
        text = " ".join(self.cell.split())
        if tag == "caption":
            self.rows = self.tables.setdefault(text, [])
        if tag in {"td", "th"}:
            self.rows[-1].append(text)

    def handle_data(self, data: str) -> None:
        self.cell += data
        self.said += data


@dataclass
class Read:
    """An answer, and what the readers found of it."""

    answer: Answer
    print: str
    page: Page
    book: dict[str, pd.DataFrame]
    drawn: list[tuple[str, str, Any]]

    @property
    def lines(self) -> Counter[str]:
        """The print's lines without their blanks."""
        return Counter(re.sub(r"\s+", "", line) for line in self.print.splitlines())

    def texts(self, layer: str) -> list[tuple[str, Any]]:
        """Return the letters of a layer and where they stand."""
        return [(text, place) for name, text, place in self.drawn if name == layer and text]


def read(answer: Answer, path: Path) -> Read:
    sheet = job_sheet(answer)
    with pdfplumber.open(io.BytesIO(pdf_bytes(sheet))) as paper:
        printed = "\n".join(page.extract_text() for page in paper.pages)
    page = Page()
    page.feed(html_page(sheet))
    frames = pd.read_excel(io.BytesIO(workbook_bytes(answer)), sheet_name=None, engine="openpyxl")
    path.write_text(dxf_text(answer), encoding="utf-8")
    pyogrio.set_gdal_config_options({"DXF_ENCODING": "UTF-8"})
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        meta, _, shapes, values = pyogrio.raw.read(path, encoding="UTF-8")
    pyogrio.set_gdal_config_options({"DXF_ENCODING": None})
    of = dict(zip(meta["fields"], values, strict=True))
    drawn = list(zip(of["Layer"], of["Text"], shapely.from_wkb(shapes), strict=True))
    return Read(answer, printed, page, frames, drawn)


@pytest.fixture(scope="module", params=["reading_room", "boot_room"])
def found(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Read:
    answer = request.getfixturevalue(request.param)
    return read(answer, tmp_path_factory.mktemp("read") / "drawing.dxf")


def piles(answer: Answer) -> dict[str, tuple[float, list[float]]]:
    """Return of each support the height of its stack and the sizes printed on it [mm]."""
    ordered = answer.stacks.sort_values("position")
    return {
        str(name): (float(one["thickness_mm"].sum()), one["nominal_mm"].tolist())
        for name, one in ordered.groupby("support")
    }


def test_stacks(found: Read) -> None:
    answer, piled = found.answer, piles(found.answer)
    targets = dict(zip(answer.supports["support"], answer.supports["target_mm"], strict=True))
    along = dict(zip(answer.supports["support"], answer.supports["own_x_mm"], strict=True))
    head, *rows = found.page.tables["Stacks"]
    assert sorted(row[1] for row in rows) == sorted(piled)
    for row in rows:
        shown, (height, sizes) = dict(zip(head, row, strict=True)), piled[row[1]]
        assert abs(float(shown["along [mm]"]) - along[row[1]]) <= TENTH
        assert abs(float(shown["height [mm]"]) - height) <= TENTH
        assert abs(float(shown["error [mm]"]) - (height - targets[row[1]])) <= HUNDREDTH
        packers = shown["packers from the floor up [mm, as printed]"]
        assert [float(size) for size in packers.split(" + ")] == sizes
        assert found.lines[re.sub(r"\s+", "", "".join(row))] == 1  # the print says the same, once


def test_targets(found: Read) -> None:
    supports = found.book["supports"].set_index("support")
    wanted = found.answer.supports.set_index("support")
    assert supports.index.tolist() == wanted.index.tolist()
    # A workbook keeps every digit.
    assert supports["stack wanted [mm]"].tolist() == wanted["target_mm"].tolist()
    built = supports["stack as built up [mm]"].to_dict()
    # Sums of the same numbers in another order.
    assert built == pytest.approx({k: mm for k, (mm, _) in piles(found.answer).items()}, abs=1e-9)


def test_stacks_of_the_drawing_stand_below_their_names(found: Read) -> None:
    texts, piled = found.texts("SUPPORTS"), piles(found.answer)
    names = [one for one in texts if one[0] in piled]
    heights = [one for one in texts if one[0] not in piled]
    assert sorted(name for name, _ in names) == sorted(piled)
    assert len(heights) == len(names)
    places = found.answer.supports.set_index("support")
    for name, at in names:
        height, below = min(heights, key=lambda one, at=at: one[1].distance(at))
        assert abs(float(height) - piled[name][0]) <= TENTH
        assert at.distance(below) < 60  # mm: the next line of letters of 25 mm
        x, y = places.loc[name, ["x_mm", "y_mm"]]
        near = shapely.Point(x, -y)
        assert near.distance(at) == min(
            shapely.Point(px, -py).distance(at)
            for px, py in zip(places["x_mm"], places["y_mm"], strict=True)
        )


def test_screws(found: Read) -> None:
    screws = found.answer.screws
    chosen = screws[screws["length_mm"].notna()]
    wanted = {
        str(name): Counter(zip(one["step"], one["length_mm"], strict=True))
        for name, one in chosen.groupby("support")
    }
    told: dict[str, Counter[tuple[str, float]]] = {}
    for stacks, lengths, _ in found.page.tables["Screws of each stack"][1:]:
        pairs = [part.rsplit(" ", 1) for part in lengths.split(" + ")]
        for name in stacks.split(", "):
            told[name] = Counter((step, float(mm)) for step, mm in pairs)
    assert told == wanted
    held = found.book["screws"]
    assert held["length [mm]"].dropna().tolist() == chosen["length_mm"].tolist()


def test_cuts(found: Read) -> None:
    cuts = found.answer.cuts.cuts
    told: Counter[tuple[float, float, float, float]] = Counter()
    for _, bars, stock, pieces, *figures in found.page.tables["Pieces"][1:]:
        length, start, end = map(float, figures)
        times = max(len(pieces.split(", ")), len(bars.split(", ")))
        told[float(stock), length, start, end] += times
        assert abs(end - start - length) <= 0.1 + 1e-9  # three lengths, each shown to a tenth
    columns = ["stock_mm", "length_mm", "from_x_mm", "to_x_mm"]
    # Lengths of the demo jobs' pieces are whole tenths: shown as they are.
    rows = cuts[columns].round(1).itertuples(index=False, name=None)
    assert told == Counter(tuple(map(float, row)) for row in rows)
    held = found.book["cuts"][["stock [mm]", "length [mm]", "from x [mm]", "to x [mm]"]]
    assert held.to_numpy().tolist() == cuts[columns].to_numpy().tolist()


def test_running_dimensions(found: Read) -> None:
    shown: dict[str, float] = {}
    for title, rows in found.page.tables.items():
        if not title.lower().endswith("running dimensions"):
            continue
        wide = rows[0].index("along [mm]", 1) if rows[0].count("along [mm]") > 1 else len(rows[0])
        for row in rows[1:]:
            for part in (row[:wide], row[wide:]):
                names = [name for cell in part[1:] for name in cell.split(", ")]
                shown |= {
                    name: float(part[0]) for name in names if name not in {"", "end", "joint"}
                }
    wanted = dict(
        zip(found.answer.supports["support"], found.answer.supports["own_x_mm"], strict=True)
    )
    assert shown.keys() == wanted.keys()
    assert all(abs(shown[name] - wanted[name]) <= TENTH for name in wanted)
    units = [unit for run in found.answer.job.runs for unit in run.units]
    figures = Counter(text for text, _ in found.texts("DIMENSIONS"))
    assert not Counter(f"{unit.width_mm:g}" for unit in units) - figures


def numbers(pattern: str, text: str) -> list[float]:
    """Return the numbers that a sentence has at the places of a pattern."""
    met = re.search(pattern, " ".join(text.split()))
    assert met, pattern
    return [float(one) for one in met.groups()]


BASE_TOP = (
    r"Base top ([\d.]+) mm above the high point: bearers' underside at (-?[\d.]+) mm,"
    r" their top at (-?[\d.]+) mm"
)

#: On paper every height counts from the high point.
ABOVE = (
    r"Base top ([\d.]+) mm above the high point of the floor under the base, bearers' underside,"
    r" back row, (-?[\d.]+) mm above it: .* the survey it lies at (-?[\d.]+) mm"
)


def test_datum_and_window(found: Read) -> None:
    datum = found.answer.datum
    drawn = max((text for text, _ in found.texts("TEXT")), key=len)
    survey = [datum.base_height_mm, datum.datum_mm, datum.base_top_mm]
    above = [datum.base_height_mm, datum.datum_mm - datum.high_point_mm, datum.high_point_mm]
    for text, pattern, wanted in (
        (drawn, BASE_TOP, survey), (found.print, ABOVE, above), (found.page.said, ABOVE, above),
    ):  # fmt: skip
        told = numbers(pattern, text)
        assert all(abs(a - b) <= TENTH for a, b in zip(told, wanted, strict=True))
    figures = found.book["overview"].set_index("figure")["value"]
    assert figures["base top above the high point"] == datum.base_height_mm
    assert figures["base top, in the heights of the survey"] == datum.base_top_mm
    (window,) = datum.feasible_heights_mm
    for text in (found.print, found.page.said):
        told = numbers(r"that can be made: ([\d.]+) to ([\d.]+) mm\.", text)
        assert all(abs(a - b) <= TENTH for a, b in zip(told, window, strict=True))


def test_high_point(found: Read) -> None:
    high = found.answer.high_point
    drawn = max((text for text, _ in found.texts("TEXT")), key=len)
    told = numbers(
        r"High point under the base: (-?[\d.]+) mm ± ([\d.]+) at x (-?\d+), y (-?\d+);"
        r" (\d+)% certain",
        drawn,
    )
    allowed = (TENTH, HUNDREDTH, 0.5, 0.5, 0.5)
    wanted = (high.height_mm, high.sd_mm, high.x_mm, high.y_mm, 100 * high.certainty)
    assert all(abs(a - b) <= c for a, b, c in zip(told, wanted, allowed, strict=True))
    for text in (found.print, found.page.said):
        # In both rooms the high point lies under run A, whose axes are the room's.
        told = numbers(
            r"High point of the floor under the base: (?:run A, )?(\d+) mm from the run's left end"
            r"[^,]*, (\d+) mm out from the units' backs; nearest .*? doubt ([\d.]+) mm"
            r" \(1 sd\); (\d+)% certain",
            text,
        )
        wanted_here = (high.x_mm, high.y_mm, high.sd_mm, 100 * high.certainty)
        allowed_here = (0.5, 0.5, HUNDREDTH, 0.5)
        pairs = zip(told, wanted_here, allowed_here, strict=True)
        assert all(abs(a - b) <= c for a, b, c in pairs)
    figures = found.book["overview"].set_index("figure")["value"]
    assert figures["its height"] == high.height_mm
    marked = [one for name, text, one in found.drawn if name == "HIGH_POINT" and not text]
    assert min(shapely.Point(high.x_mm, -high.y_mm).distance(one) for one in marked) < 1e-6


SIGNS = {"ok": "✓ ok", "refer": "⚠ refer", "fail": "✗ fail", "not_checked": "– not checked"}


def test_checks(found: Read) -> None:
    checks = found.answer.checks
    counts = checks["verdict"].value_counts()
    for text in (found.print, found.page.said):
        said = " ".join(text.split())
        assert ", ".join(f"{counts.get(k, 0)} {sign}" for k, sign in SIGNS.items()) in said
    held = found.book["checks"]
    assert held["verdict"].tolist() == checks["verdict"].tolist()
    numbered = checks["value"].notna()
    assert held.loc[numbered, "value"].tolist() == checks.loc[numbered, "value"].tolist()
    rows = found.page.tables["Fails, or is to be referred"][1:]
    told = {row[1].split(":")[0] for row in rows}
    assert told == set(checks.loc[checks["verdict"] == "refer", "check"])
    figure = r", (-?[\d.]+) [^()]*\(at (?:least|most) "
    shown = [one for row in rows for one in re.findall(figure, row[1])]
    beyond = checks.loc[checks["verdict"] == "refer", "value"].tolist()
    assert shown
    for one in shown:  # forces stand whole, all else in two decimals
        half = 0.5 * 10.0 ** -len(one.partition(".")[2])
        assert min(abs(float(one) - value) for value in beyond) <= half + 1e-9, one
