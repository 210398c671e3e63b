"""The foot of a page."""

import pytest

from kit.paper.document import Document
from kit.paper.foot import FOOT_LETTERS_MM, cut_to_width, foot_text
from kit.paper.letters import letters_wide_mm


def test_a_short_foot_is_whole():
    assert foot_text(Document("t", (), "boot room\n2 runs\x07")) == "boot room 2 runs⟨U+0007⟩"
    assert foot_text(Document("t", ())) == ""


@pytest.mark.parametrize("text", ["W" * 10_000, "i" * 10_000, "market hall " * 900])
@pytest.mark.parametrize("wide_mm", [20.0, 160.0])
def test_a_cut_foot_fills_its_room(text, wide_mm):
    shown = cut_to_width(text, wide_mm, 2.5)
    assert shown.endswith("…")
    assert text.startswith(shown[:-1])
    used = letters_wide_mm(shown, 2.5)
    # One further letter or two would not fit; the widest is 2.5 mm.
    assert wide_mm - 6.0 < used <= wide_mm


def test_the_page_number_has_room_beside_it():
    document = Document("t", (), "W" * 500, landscape=True)
    used = letters_wide_mm(foot_text(document), FOOT_LETTERS_MM)
    count = letters_wide_mm("page 888 of 888", FOOT_LETTERS_MM)
    assert used + count < document.room_mm[0]
