"""A paper as a page, read back by the standard library's parser of HTML."""

import base64
import io
import re
from html.parser import HTMLParser

import pytest
from fontTools.ttLib import TTFont

from kit.ink.table import Head, Table
from kit.paper.document import (
    Break,
    Document,
    Figure,
    Grid,
    Heading,
    Points,
    Signatures,
    Words,
)
from kit.paper.html_page import html_page
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import Drawing, Letters, Stroke

HOSTILE = {
    "formula": '=HYPERLINK("x")',
    "script": "<script>alert(1)</script>",
    "style": "</style><script>alert(1)</script>",
    "title": "</title><img src=x onerror=alert(1)>",
    "attribute": '" onmouseover="alert(1)" x="',
    "entities": "&lt;b&gt; &amp;amp; &#60;",
    "template": "{{ 7 * 7 }} {% include 'x' %} {# gone #}",
    "long": "stack " * 1_700,
    "longer": "stack " * 3_400,
    "hebrew": "שלום (12) עולם",
    "arabic": "مرحبا 34 بالعالم",
    "emoji": "👷🏽\u200d♀️ 🛠️",
    "css": '\\"}*{display:none}@import url(https://example.org)',
}

#: Elements that have no end (HTML 13.1.2).
VOID = {"meta", "col", "br", "img", "input", "link", "hr"}


class Read(HTMLParser):
    """Keeps elements with their texts, and whether each is closed where it was opened."""

    def __init__(self, page):
        super().__init__(convert_charrefs=True)
        self.open, self.elements, self.attributes = [], [], []
        self.feed(page)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        self.attributes.append((tag, dict(attrs)))
        assert len(dict(attrs)) == len(attrs)
        if tag not in VOID:
            self.open.append([tag, dict(attrs), ""])

    def handle_startendtag(self, tag, attrs):
        self.attributes.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        opened = self.open.pop()
        assert opened[0] == tag
        self.elements.append(tuple(opened))

    def handle_data(self, data):
        for one in self.open:
            one[2] += data

    def texts(self, *tags):
        return [text for tag, _, text in self.elements if tag in tags]


def read(*parts, title="t", **more):
    return Read(html_page(Document(title, parts, **more)))


def stacks():
    heads = (Head("support"), Head("off", "mm"), Head("what to lay", wide=True))
    rows = (("A-B1", "0.7", "10 + 5"), ("A-B2", "-12.5", "2"), ("A-B3", "3", "10 + 5 + 2"))
    return Grid(Table("Stacks", heads, rows, "Along the wall.", frozenset({1})), 3.5)


def picture(wide=120.5, tall=60.25):
    marks = (Stroke(((0, 0), (9, 9))), Letters((5, 5), "A-B1"))
    return Figure(Drawing(wide, tall, marks, "Seen from above"), "1:20")


def test_everything_said_is_read_back():
    page = read(
        Heading("The floor"),
        Words("Rises to the left.\nFalls to the door."),
        Words("Read this first.", strong=True),
        Heading("In the alcove", 2),
        Points(("Bring the level.",)),
        Points(("Mind the pipe.",), "⚠"),
        Points(("Cupboard moved.",), "☐"),
        stacks(),
        picture(),
        Signatures(("Floor seen.", "Handed over.")),
        title="Job sheet: boot room",
        foot="boot room, 2 runs",
    )
    assert page.texts("title", "h1") == ["Job sheet: boot room"] * 2
    assert page.texts("h2", "h3") == ["The floor", "In the alcove"]
    assert page.texts("p") == [
        "Rises to the left.\nFalls to the door.",
        "Read this first.",
        "Along the wall.",
        "Floor seen.",
        "Handed over.",
    ]
    assert page.texts("li") == ["•Bring the level.", "⚠Caution: Mind the pipe.", "Cupboard moved."]
    assert page.texts("caption", "figcaption") == ["Stacks", "1:20"]
    assert page.texts("th", "td") == [
        "support", "off [mm]", "what to lay",
        "A-B1", "0.7", "10 + 5",
        "⚠ A-B2", "-12.5", "2",
        "A-B3", "3", "10 + 5 + 2",
    ]  # fmt: skip
    assert page.texts("text") == ["A-B1"]
    assert page.texts("footer") == ["boot room, 2 runs"]


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_hostile_texts_are_words_like_others(text):
    table = Table(text, (Head(text, text), Head("b", wide=True)), ((text, text),), text)
    drawing = Figure(Drawing(9, 9, (Letters((1, 1), text),), text), text)
    parts = (Words(text), Heading(text, 2), Points((text,)), Grid(table), drawing)
    page = read(*parts, Signatures((text,)), title=text, foot=text)
    assert page.texts("title", "h1", "h3", "caption", "figcaption", "text", "footer") == [text] * 7
    assert page.texts("p") == [text] * 3
    assert page.texts("th", "td") == [f"{text} [{text}]", "b", text, text]
    tags = {tag for tag, _ in page.attributes}
    assert not tags & {"script", "img", "b", "iframe", "object", "link"}
    assert not [name for _, given in page.attributes for name in given if name.startswith("on")]


def test_page_is_whole_and_says_what_it_is():
    page = html_page(Document("Job sheet", (picture(), stacks())))
    assert page.startswith('<!DOCTYPE html>\n<html lang="en-GB">')
    assert '<meta charset="utf-8">' in page
    given = Read(page).attributes
    policies = [one["content"] for tag, one in given if tag == "meta" and "http-equiv" in one]
    assert policies == ["default-src 'none'; style-src 'unsafe-inline'; font-src data:"]
    assert (
        "width=device-width" in [one.get("content", "") for tag, one in given if tag == "meta"][2]
    )
    drawings = [one for tag, one in given if tag == "svg"]
    assert [(one["role"], one["aria-label"]) for one in drawings] == [("img", "Seen from above")]
    assert [one["scope"] for tag, one in given if tag == "th"] == ["col"] * 3 + ["row"] * 3


def test_nothing_is_fetched():
    page = html_page(Document("t", (picture(), stacks()), foot="https://example.org"))
    for address in re.findall(r"(?:src|href|url)\s*[=(]\s*\"?([^\")> ]*)", page):
        assert address.startswith("data:font/woff;base64,")
    assert "@import" not in page


def test_texts_find_their_own_direction():
    page = read(Words("שלום"), Points(("שלום",)), stacks(), Signatures(("a",)), foot="f")
    for tag, given, _ in page.elements:
        if tag in {"p", "h1", "caption", "figcaption", "footer"}:
            assert given["dir"] == "auto"
    cells = [text for tag, _, text in page.elements if tag == "bdi"]
    assert cells[:3] == ["support", "off", "what to lay"]
    assert len(cells) == 12


def test_signs_that_steer_are_shown():
    page = read(Words("a\u202e12\x00\x07b\r\nc"), title="x\x07")
    assert page.texts("p") == ["a⟨U+202E⟩12⟨U+0000⟩⟨U+0007⟩b\nc"]
    assert page.texts("title") == ["x⟨U+0007⟩"]


def test_bad_rows_are_marked_for_eye_and_ear():
    page = read(stacks())
    assert [given.get("class") for tag, given, _ in page.elements if tag == "tr"] == [
        None, None, "bad", None,
    ]  # fmt: skip
    signs = [given for tag, given, _ in page.elements if given.get("aria-label") == "amiss"]
    assert len(signs) == 1
    figures = [given.get("class") for tag, given, _ in page.elements if tag in {"th", "td"}]
    assert figures == [None, "n", "w"] * 4


def test_tables_have_the_columns_of_the_print():
    page = read(stacks())
    widths = [float(given["style"][7:-2]) for tag, given in page.attributes if tag == "col"]
    (table,) = [given for tag, given in page.attributes if tag == "table"]
    assert len(widths) == 3
    assert sum(widths) == pytest.approx(float(table["style"][7:-2]), abs=1e-6)
    (grid,) = [given for tag, given in page.attributes if given.get("class") == "grid short"]
    assert grid["style"] == "--letters: 3.5mm"


def test_a_short_table_and_words_that_lead_are_not_torn_in_print():
    words = Words("Led in.", leads=True)
    long = Table("t", (Head("a"),), tuple((f"{n}",) for n in range(15)))
    page = read(words, Grid(long))
    assert [given["class"] for tag, given in page.attributes if tag == "p"] == ["leads"]
    assert [given["class"] for _, given in page.attributes if "role" in given] == ["grid"]
    looks = html_page(Document("t", (words,)))
    assert ".short { break-inside: avoid; }" in looks
    assert ".leads { break-after: avoid; }" in looks


def test_an_empty_table_says_so():
    assert read(Grid(Table("t", (Head("a"),), ()))).texts("p") == ["None."]


@pytest.mark.parametrize(
    ("landscape", "size"), [(False, "size: A4;"), (True, "size: A4 landscape;")]
)
def test_pages_are_a4(landscape, size):
    assert size in html_page(Document("t", (Break(), Words("a")), landscape=landscape))


def test_the_foot_stands_on_each_page_as_numbers_of_signs():
    page = html_page(Document("t", (), foot='a"}שׁ'))
    assert 'content: "\\000061\\000022\\00007d\\0005e9\\0005c1"' in page


def test_title_is_shown_once_where_the_paper_begins_with_it():
    assert read(Heading("Work order"), Words("a"), title="Work order").texts("h1", "h2") == [
        "Work order"
    ]


def test_a_full_page_drawing_leaves_the_title_to_the_screen():
    wide, tall = Document("", ()).room_mm
    titles = [one for one in read(picture(wide, tall)).elements if one[0] == "h1"]
    assert titles == [("h1", {"dir": "auto", "class": "unprinted"}, "t")]
    titles = [one for one in read(picture(wide, 60.0)).elements if one[0] == "h1"]
    assert titles == [("h1", {"dir": "auto"}, "t")]


def test_a_drawing_larger_than_a_page_is_a_defect():
    wide, tall = Document("", ()).room_mm
    with pytest.raises(ValueError, match="does not fit a page"):
        html_page(Document("t", (picture(wide, tall + 0.01),)))


def test_drawings_are_sized_in_millimetres():
    (given,) = [given for tag, given in read(picture()).attributes if tag == "svg"]
    assert (given["width"], given["height"]) == ("120.5mm", "60.25mm")


def test_faces_have_the_letters_of_the_page_and_the_widths_of_the_print():
    page = html_page(Document("Zürich ½", (Words("שלום ببب"),)))
    faces = re.findall(r"base64,([^\"]*)\"", page)
    assert len(faces) == 2
    for face, bold in zip(faces, (False, True), strict=True):
        font = TTFont(io.BytesIO(base64.b64decode(face)))
        names, em = font.getBestCmap(), font["head"].unitsPerEm
        assert ord("Q") not in names
        for letter in "Zürich½שלום0123456789ب":
            wide = font["hmtx"].metrics[names[ord(letter)]][0] / em
            assert wide == pytest.approx(letters_wide_mm(letter, 1.0, bold=bold), abs=1e-9)
        # The shapes that Arabic letters join by.
        features = {one.FeatureTag for one in font["GSUB"].table.FeatureList.FeatureRecord}
        assert {"init", "medi", "fina"} <= features


def test_same_paper_same_page():
    # In another process: test_hostile, of all papers.
    first, again = (html_page(Document("שלום", (Words("שלום 漢 fi"),), "foot")) for _ in range(2))
    assert first == again


def test_a_cell_to_tick_has_a_larger_box():
    table = Table("t", (Head("set"), Head("stack")), (("☐", "A-B1"),))
    ticks = [text for _, given, text in read(Grid(table)).elements if given.get("class") == "tick"]
    assert ticks == ["☐"]
