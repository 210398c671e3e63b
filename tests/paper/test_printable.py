"""Signs that steer what prints them, and signs without letters."""

import sys
import unicodedata

import pytest

from kit.ink.table import Head, Table
from kit.paper.document import Document, Figure, Grid, Heading, Points, Signatures, Words
from kit.paper.marks import Drawing, Letters
from kit.paper.printable import harmless, lacking, letters_known, sign_name, signs_named, texts_of


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("plain", "plain"),
        ("a\r\nb\rc\u2028d\x85e\vf", "a\nb\nc\nd\ne\nf"),
        ("a\tb", "a b"),
        ("a\0b\x7f", "a⟨U+0000⟩b⟨U+007F⟩"),
        ("a\u202eb\u2066c\u061c", "a⟨U+202E⟩b⟨U+2066⟩c⟨U+061C⟩"),
        ("\ud83d", "⟨U+D83D⟩"),
        ("\U0001ffff\ufdd0", "⟨U+1FFFF⟩⟨U+FDD0⟩"),
        ("שלום مرحبا 👷🏽\u200d♀️", "שלום مرحبا 👷🏽\u200d♀️"),
    ],
)
def test_harmless(text, shown):
    assert harmless(text) == shown


def test_nothing_harmful_is_left_of_any_sign():
    """No control, no lone surrogate and no sign that turns others (Unicode's own classes)."""
    turning = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}
    # All planes end alike; letters beyond the second one steer nothing.
    for code in (*range(0x3000), *range(0xD7F0, 0x10100), *range(0x1FFF0, sys.maxunicode, 0x10000)):
        shown = harmless(chr(code))
        assert shown
        for letter in shown:
            assert unicodedata.category(letter) not in {"Cs", "Cc"} or letter == "\n"
            assert unicodedata.bidirectional(letter) not in turning


def test_harmless_twice_is_harmless_once():
    text = "a\u202e\x07\r\n\tb"
    assert harmless(harmless(text)) == harmless(text)


def test_lacking():
    assert lacking(["plain\n", "a漢b字漢", "שלום 🛠"]) == ("漢", "字", "🛠")
    assert lacking(["½ ≤ ☐ • ⚠ … ⟨⟩ \u200d\ufe0f"]) == ()
    assert ord("⚠") in letters_known()


def test_names_of_signs():
    assert sign_name("🛠") == "U+1F6E0 HAMMER AND WRENCH"
    assert sign_name("漢") == "CJK UNIFIED IDEOGRAPH-6F22"
    assert sign_name("\U000f0000") == "U+F0000 without a name"
    assert signs_named(()) == ()
    heading, words = signs_named(("漢", "🛠"))
    assert heading == Heading("Signs that this print has no letters for", 2)
    assert words == Words("漢 CJK UNIFIED IDEOGRAPH-6F22; 🛠 U+1F6E0 HAMMER AND WRENCH.")


def test_all_that_a_paper_says_is_looked_at():
    drawing = Drawing(9.0, 9.0, (Letters((0, 0), "l"), Letters((0, 0), "m")), "not printed")
    table = Table("n", (Head("o", "p"), Head("q")), (("r", "s"),), "t")
    parts = (Heading("a"), Words("b"), Points(("c", "d")), Signatures(("e",)))
    document = Document("u", (*parts, Figure(drawing, "f"), Grid(table)), foot="v")
    assert sorted(texts_of(document)) == ["", *"abcdeflmnopqrstuv"]  # a head has no unit
