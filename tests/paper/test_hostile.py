"""Whatever a person types goes through every format of the commands, harmless and whole."""

import csv
import io
import json
import logging
import os
import re
import shutil
import subprocess
import sys
import unicodedata
import warnings
import zipfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import ezdxf
import openpyxl
import pyogrio
import pypdf
import pytest
import tomlkit
from ezdxf.tools.text import plain_mtext

import kit
from kit.__main__ import main
from kit.job import Job
from kit.paper.printable import harmless

DATA = Path(__file__).parents[2] / "data"

#: What spreadsheets, browsers, templates, drawing programs and terminals take for more than text.
TYPED = (
    '=HYPERLINK("http://x","y")',
    "+cmd|' /C calc'!A0",
    "@SUM(1)",
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "{{7*7}}",
    "{% raw %}",
    "</style>",
    "]]>",
    "<!-- -->",
    "%%c 50%%%d",
    "\\P{\\H9;x} \\U+0041",
    "^J",
    "<r><t>x</t></r>",
    "_x000D_",
    "javascript:alert(1)",
    "&amp;&lt;",
    "שלום עולם",
    "مرحبا بالعالم",
    "left שלום right مرحبا",
    "漢字仮名",
    "👩🏽\u200d🔧👨\u200d👩\u200d👧",
    "می\u200cخواهم",
    "e\u0301a\u0323\u0308",
    "W" * 60,
)
#: What only notes may hold: signs that turn the text, signs without letters, empty lines.
STEERING = (
    "\u202eevil\u202c",
    "\u2066iso\u2069",
    "\u200b\ufeff",
    "a\u2028b",
    "\ufdd0\ue000",
    "\n\n",
)


def _long(parts: tuple[str, ...], between: str) -> str:
    """Return a text of 10,000 characters that ends by a mark of its own."""
    text = between.join(parts) + between
    return (text * (10_000 // len(text) + 1))[:9_999] + "¶"


TITLE = _long(TYPED, " ")
NOTES = _long(TYPED + STEERING, "\n")


def name(number: int) -> str:
    """Return a name of 80 characters; each begins with another of what was typed."""
    parts = [TYPED[(number + 4 * n) % len(TYPED)] for n in range(12)]
    return f"{parts[0]} {number} {' '.join(parts[1:])}"[:79].rstrip() + "¶"


def spoil(folder: Path) -> None:
    """Give everything in the reading room that has a name a hostile one."""
    job = tomlkit.parse((folder / "job.toml").read_text("utf-8")).unwrap()
    units = job["run"][0]["unit"]
    named = [*units, *job["service"], *job["base"]]
    for number, one in enumerate(named):
        one["name"] = name(number)
    check = job["as_built"]
    check["by"], check["instrument"], check["base"] = name(21), name(22), job["base"][0]["name"]
    job["no_go"] = [{"name": name(23), "corner_mm": [4300, 700], "size_mm": [200, 100]}]
    job["doorway"] = [{"name": name(24), "from_mm": [-400, 100], "to_mm": [-400, 900]}]
    job["rates"]["money"] = "=1+1 <b>"
    keys = {"schema": 1, "title": TITLE, "notes": NOTES}
    (folder / "job.toml").write_text(tomlkit.dumps({**keys, **job, **keys}), "utf-8")
    readings = (folder / "readings.csv").read_text("utf-8")
    for point, typed in (("P1", "<script>alert(2)</script>"), ("P7", "{{8*8}}"), ("P9", "שלום 9")):
        readings = readings.replace(f",{point},", f",{typed},")
    (folder / "readings.csv").write_text(readings, "utf-8")


@dataclass
class Written:
    """A hostile job, and what the two commands made of it."""

    job: Job
    sheet: Path
    record: Path

    @property
    def units(self) -> list[str]:
        return [unit.name for unit in self.job.runs[0].units]

    def all(self, ending: str) -> list[Path]:
        return [*sorted(self.sheet.glob(f"*{ending}")), *sorted(self.record.glob(f"*{ending}"))]


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Written:
    folder = tmp_path_factory.mktemp("hostile")
    shutil.copytree(DATA / "reading-room", folder / "job")
    spoil(folder / "job")
    for command in ("sheet", "as-built"):
        assert main([command, str(folder / "job"), "--out", str(folder / command)]) == 0
    return Written(kit.read_job(folder / "job"), folder / "sheet", folder / "as-built")


def letters(text: str) -> Counter[str]:
    """Count the letters of a text as printed; joined forms of Arabic count as their letters."""
    plain = unicodedata.normalize("NFKC", harmless(text))
    return Counter(sign for sign in plain if not sign.isspace())


def close(text: str) -> str:
    """Return a text without white space: lines are broken anew on paper."""
    return re.sub(r"\s+", "", unicodedata.normalize("NFKC", harmless(text)))


def from_left(parts: tuple[str, ...]) -> list[str]:
    """Return the words that are read from the left, and so are read back in one piece."""
    words = [word for part in parts for word in part.split()]
    turned = {"R", "AL"}
    return [one for one in words if not {unicodedata.bidirectional(sign) for sign in one} & turned]


# PDF


def objects(one: Any, seen: set[int]) -> Iterator[dict[str, Any]]:
    """Yield every dictionary of a file, each once."""
    if isinstance(one, pypdf.generic.IndirectObject):
        if one.idnum in seen:
            return
        seen.add(one.idnum)
        one = one.get_object()
    if isinstance(one, dict):
        yield one
        for value in one.values():
            yield from objects(value, seen)
    elif isinstance(one, list):
        for value in one:
            yield from objects(value, seen)


ACTS = {"/JS", "/JavaScript", "/AA", "/URI", "/Launch", "/AcroForm", "/EmbeddedFiles", "/Annots"}


def test_nothing_in_a_print_acts(written: Written) -> None:
    for path in written.all(".pdf"):
        found = list(objects(pypdf.PdfReader(path).trailer, set()))
        assert len(found) > 10
        for one in found:
            assert not ACTS & set(one), path.name
            assert "/S" not in one or one["/S"] in {"/Transparency", "/D", "/r"}, path.name
            # Where the file opens is a place in it, no action.
            assert isinstance(one.get("/OpenAction", []), list), path.name


def test_title_and_notes_are_whole_in_the_prints(written: Written) -> None:
    for path in written.all(".pdf"):
        reader = pypdf.PdfReader(path)
        # In the others a title in full stands at the end.
        pages = reader.pages if path.name in {"job-sheet.pdf", "record.pdf"} else reader.pages[-6:]
        said = "\n".join(page.extract_text() for page in pages)
        assert not letters(TITLE) - letters(said), path.name
        if path.name == "job-sheet.pdf":
            assert not letters(TITLE) + letters(NOTES) - letters(said)
            assert not [one for one in from_left(TYPED + STEERING) if close(one) not in close(said)]
        if path.name == "record.pdf":
            assert not letters(name(21)) + letters(name(22)) - letters(said)


# HTML


@dataclass
class Page(HTMLParser):
    """The text of a page, and whatever in it could act or fetch."""

    said: list[str] = field(default_factory=list)
    styles: list[str] = field(default_factory=list)
    acting: list[str] = field(default_factory=list)
    tag: str = ""

    def __post_init__(self) -> None:
        super().__init__()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tag = tag
        if tag in {
            "script",
            "img",
            "a",
            "link",
            "iframe",
            "object",
            "embed",
            "form",
            "base",
            "use",
        }:
            self.acting.append(tag)
        for key, value in attrs:
            if key.startswith("on") or key in {"href", "src", "srcdoc", "action", "xlink:href"}:
                self.acting.append(f"{tag} {key}")
            if key == "style":
                self.styles.append(value or "")

    def handle_endtag(self, tag: str) -> None:
        self.tag = "" if tag == self.tag else self.tag

    def handle_data(self, data: str) -> None:
        (self.styles if self.tag == "style" else self.said).append(data)


def test_pages_do_nothing_and_say_everything(written: Written) -> None:
    for path in written.all(".html"):
        page = Page()
        page.feed(path.read_text("utf-8"))
        said, styles = "".join(page.said), "".join(page.styles)
        assert not page.acting, path.name
        assert set(re.findall(r"url\(.{5}", styles)) <= {'url("data'}
        assert "@import" not in styles
        assert harmless(TITLE) in said
        if path.name == "job-sheet.html":
            assert harmless(NOTES) in said
        # A name that ends the page's own looks would end the tag that they stand in.
        assert path.read_text("utf-8").count("</style>") == 1
        assert {one for one in written.units if one not in said} == set()


# Tables


def test_workbook_holds_texts_and_no_formula(written: Written) -> None:
    (path,) = written.all(".xlsx")
    book = openpyxl.load_workbook(path)
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert {cell.data_type for cell in cells} == {"n", "s", "b"}
    assert not [cell for cell in cells if cell.hyperlink or cell.comment]
    with zipfile.ZipFile(path) as packed:
        assert not [one for one in packed.namelist() if b"External" in packed.read(one)]
    held: dict[str, str] = {}
    for what, text, *_ in book["overview"].iter_rows(min_row=2, values_only=True):
        of = str(what).removesuffix(", continued")
        held[of] = held.get(of, "") + str(text)
    assert (held["job"], held["notes"]) == (TITLE, NOTES)
    heads, *rows = book["units"].iter_rows(values_only=True)
    assert [row[heads.index("unit")] for row in rows] == written.units
    points = [row[0] for row in book["heights"].iter_rows(min_row=2, values_only=True)]
    assert {"<script>alert(2)</script>", "{{8*8}}", "שלום 9"} <= set(points)


#: What spreadsheet programs take for a formula (OWASP, "CSV Injection"), and what is a number.
RUNS, NUMBER = re.compile(r"[=+\-@\t\r]"), re.compile(r"[+-]?[\d.]+(e[+-]?\d+)?")


def runs(cell: str) -> bool:
    """Tell whether a spreadsheet program would run a cell."""
    return bool(RUNS.match(cell)) and not NUMBER.fullmatch(cell)


def test_tables_hold_no_cell_that_a_spreadsheet_runs(written: Written) -> None:
    for path in written.all(".csv"):
        rows = list(csv.reader(io.StringIO(path.read_text("utf-8"))))
        assert len({len(row) for row in rows}) == 1, path.name
        assert not [cell for row in rows for cell in row if runs(cell)], path.name
    # As elsewhere in the kit: an apostrophe in front, nothing else changed.
    guarded = [f"'{one}" if runs(one) else one for one in written.units]
    assert guarded != written.units
    with (written.record / "as-built-units.csv").open(encoding="utf-8", newline="") as file:
        assert [row["unit"] for row in csv.DictReader(file)] == guarded


def test_record_in_figures_keeps_every_letter(written: Written) -> None:
    held = json.loads((written.record / "as-built.json").read_text("utf-8"))
    assert (held["title"], held["by"], held["instrument"]) == (TITLE, name(21), name(22))


# Drawing


def test_drawing_opens_without_a_word_and_shows_what_was_typed(
    written: Written, caplog: pytest.LogCaptureFixture
) -> None:
    (path,) = written.all(".dxf")
    pyogrio.set_gdal_config_options({"DXF_ENCODING": "UTF-8"})
    with warnings.catch_warnings(), caplog.at_level(logging.WARNING):
        warnings.simplefilter("error")
        meta, _, _, fields = pyogrio.raw.read(path, encoding="UTF-8")
        drawing = ezdxf.readfile(path)  # type: ignore[attr-defined]
        audit = drawing.audit()
    pyogrio.set_gdal_config_options({"DXF_ENCODING": None})
    assert not [one for one in caplog.records if "pypdf" not in one.name]
    assert not audit.errors
    assert not audit.fixes
    by_gdal = [text for text in dict(zip(meta["fields"], fields, strict=True))["Text"] if text]
    by_ezdxf = [plain_mtext(one.text) for one in drawing.modelspace().query("MTEXT")]
    for texts in (by_gdal, by_ezdxf):
        said = max(texts, key=len)
        assert TITLE in said
        assert NOTES in said
        named = [*written.units, name(4), name(23), name(24), "<script>alert(2)</script>"]
        assert not [one for one in named if not any(one in text for text in texts)]


# Anywhere


def test_same_job_same_bytes_anywhere_on_any_day(written: Written, tmp_path: Path) -> None:
    """Another process: other order of sets, words and place on earth, working folder."""
    code = (
        "import sys; from kit.__main__ import main;"
        "sys.exit(main(['sheet', sys.argv[1], '--out', 's']) or"
        " main(['as-built', sys.argv[1], '--out', 'r']))"
    )
    elsewhere = {"PYTHONHASHSEED": "5", "TZ": "Pacific/Kiritimati", "LC_ALL": "C", "COLUMNS": "40"}
    subprocess.run(
        [sys.executable, "-c", code, str(written.job.folder)],
        cwd=tmp_path,
        env={**os.environ, **elsewhere},
        stdout=subprocess.DEVNULL,
        check=True,
    )
    for own, other in ((written.sheet, tmp_path / "s"), (written.record, tmp_path / "r")):
        names = sorted(path.name for path in own.iterdir())
        assert names == sorted(path.name for path in other.iterdir())
        assert [n for n in names if (own / n).read_bytes() != (other / n).read_bytes()] == []
