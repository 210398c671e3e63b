"""Room for letters."""

import pytest
from PIL import ImageFont

from kit.paper.label_places import Box, Taken, column, letters_box, lines_within
from kit.paper.letters import FACES
from kit.paper.marks import Letters


@pytest.mark.parametrize("text", ["B10", "3963", "Agpqy (+0.021)", "1 15/16", "low bookcase"])
@pytest.mark.parametrize("bold", [False, True])
def test_box_holds_the_ink_that_a_general_library_draws(text, bold):
    # Pillow's ink of the same face at 200 px for 3.5 mm; its own rounding is a px, 0.018 mm.
    font = ImageFont.truetype(str(FACES[bold]), 200)
    left, top, right, bottom = (v * 3.5 / 200 for v in font.getbbox(text, anchor="ls"))
    box = letters_box(Letters((20.0, 30.0), text, 3.5, bold=bold))
    assert box.left - 0.02 <= 20 + left
    assert box.top <= 30 + top
    assert box.bottom >= 30 + bottom
    # Kerning makes the real line narrower by a little, never wider.
    assert 20 + right - 0.02 <= box.right < 20 + right + 0.8


@pytest.mark.parametrize(("anchor", "share"), [("start", 0.0), ("middle", 0.5), ("end", 1.0)])
def test_turned_box_is_the_lying_one_turned_to_the_left(anchor, share):
    lying = letters_box(Letters((0.0, 0.0), "B12 4650", 3.5, anchor))
    turned = letters_box(Letters((0.0, 0.0), "B12 4650", 3.5, anchor, 90.0))
    # By 90 degrees to the left (x, y) goes to (y, -x), y down.
    want = (lying.top, -lying.right, lying.bottom, -lying.left)
    assert tuple(turned) == pytest.approx(want, abs=1e-12)
    assert -lying.left == pytest.approx(share * (lying.right - lying.left), abs=1e-12)


def test_first_free_place_is_taken_once():
    taken = Taken(Box(0, 0, 40, 10), [Box(0, 0, 12, 10)])
    tries = [[Letters((x, 6.0), "F1", 2.5)] for x in (2.0, 39.0, 14.0, 25.0)]
    assert taken.first(tries) == tuple(tries[2])  # the first is taken, the second outside
    assert taken.first(tries) == tuple(tries[3])
    assert taken.first(tries) == ()


def test_column_stands_about_its_middle():
    lines = column((10.0, 20.0), ["one", "two", "three"], 3.0)
    boxes = [letters_box(line) for line in lines]
    middle = (boxes[0].top + boxes[-1].bottom) / 2
    assert middle == pytest.approx(20.0, abs=1e-9)
    assert boxes[0].bottom < boxes[1].top


def test_lines_lose_no_letter():
    text = "a cupboard of " + "W" * 60 + " and one more"
    lines = lines_within(text, 3.5, 41.0)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert len(lines) > 4
    assert all(letters_box(Letters((0, 0), line, 3.5)).right <= 41.0 for line in lines)
