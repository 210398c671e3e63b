"""Paragraphs, points and places to sign on pages of a PDF, in any script."""

import io
import unicodedata

import pdfplumber
import pypdf

from kit.paper.document import (
    Document,
    Points,
    Signatures,
    Words,
)
from kit.paper.pdf import pdf_bytes

POINTS = 72 / 25.4

EMOJI = "👷🏽\u200d♀️ 🛠️"


def opened(document: Document) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(pdf_bytes(document)))


def words_of(document: Document) -> list[str]:
    return " ".join(page.extract_text() for page in opened(document).pages).split()


def plumbed(document: Document) -> pdfplumber.PDF:
    return pdfplumber.open(io.BytesIO(pdf_bytes(document)))


def test_signs_without_letters_are_copied_out_whole_and_named():
    words = words_of(Document("Labels", (Words(f"left {EMOJI} 漢字 right"),)))
    start = words.index("left")
    assert words[start : start + 5] == ["left", "👷🏽\u200d♀️", "🛠️", "漢字", "right"]
    said = " ".join(words)
    assert "Signs that this print has no letters for" in said
    for letter in "👷🏽🛠":
        assert f"{letter} U+{ord(letter):04X} {unicodedata.name(letter)}" in said
    assert "漢 CJK UNIFIED IDEOGRAPH-6F22" in said
    assert "U+2640" not in said  # the female sign has a letter


def test_signs_are_named_only_where_some_are_lacking():
    assert "Signs" not in words_of(Document("Café Ølsted Łódź Ψ Ж", (Words("½ ≤ ⅜ ⟨⟩"),)))


def test_hebrew_stands_from_right_to_left():
    """Letters of one word lie leftwards of each other, its number reads rightwards."""
    document = Document("t", (Words("שלום 12 עולם"),))
    with plumbed(document) as file:
        places = {one["text"]: one["x0"] for one in file.pages[0].chars if one["top"] < 300}
    assert places["ש"] > places["1"] > places["ע"]
    assert places["1"] < places["2"]
    assert places["ש"] > 180 * POINTS  # a paragraph that begins with it begins at the right


def test_arabic_is_joined():
    """The same letter has another shape at a word's start, middle and end (Unicode 9.2)."""
    data = pdf_bytes(Document("t", (Words("ببب"),)))
    with pdfplumber.open(io.BytesIO(data)) as file:
        letters = [one for one in file.pages[0].chars if one["text"] == "ب"]
    assert len(letters) == 3
    assert len({round(one["width"] / one["size"], 3) for one in letters}) >= 2


def test_a_turning_sign_turns_nothing():
    document = Document("t", (Words("first \u202e12 mm"), Words("second 34 mm")))
    text = opened(document).pages[0].extract_text()
    assert "first ⟨U+202E⟩12 mm" in text
    assert "second 34 mm" in text


def test_signs_that_cannot_be_seen_are_printed_by_number():
    text = opened(Document("t", (Words("a\x07b\x1bc\x9bd\ufffee\tf\ud800"),))).pages[0]
    assert "a⟨U+0007⟩b⟨U+001B⟩c⟨U+009B⟩d⟨U+FFFE⟩e f⟨U+D800⟩" in text.extract_text()


def test_signatures_have_room_to_sign():
    with plumbed(Document("t", (Signatures(("Floor seen.", "Base handed over.")),))) as file:
        page = file.pages[0]
        assert len(page.lines) == 6
        texts = [word for word in page.extract_words() if word["text"] in {"seen.", "over."}]
        for text, line in zip(texts, page.lines[::3], strict=True):
            # From the lowest part of the letters to the line.
            assert (line["top"] - text["bottom"]) / POINTS > 8.5


def test_boxes_are_large_enough_to_tick():
    with plumbed(Document("t", (Points(("One.", "Two.\nand more"), "☐"),))) as file:
        boxes = file.pages[0].rects
    assert [round(one["width"] / POINTS, 2) for one in boxes] == [4.0, 4.0]
    assert [round(one["height"] / POINTS, 2) for one in boxes] == [4.0, 4.0]
