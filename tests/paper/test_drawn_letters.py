"""Paper behind letters."""

from math import hypot

import pytest

from kit.paper.drawn_letters import drawn_text, paper_behind
from kit.paper.letters import letters_wide_mm
from kit.paper.marks import Letters


def test_paper_reaches_round_the_letters():
    corners = paper_behind(Letters((50.0, 20.0), "A-B7", 4.0, "end", bold=True))
    wide = letters_wide_mm("A-B7", 4.0, bold=True)
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    top, low = min(y for _, y in corners), max(y for _, y in corners)
    assert (left, right) == pytest.approx((50.0 - wide - 0.3, 50.3), abs=1e-9)
    # Capitals of the face are 0.729 of its size tall, a g hangs 0.2 down (measured on the face).
    assert top < 20.0 - 0.729 * 4.0
    assert low > 20.0 + 0.2 * 4.0


@pytest.mark.parametrize("angle", [0.0, 33.0, 90.0, -120.0])
@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
def test_paper_turns_with_its_letters(angle, anchor):
    at = (31.0, 17.0)
    level = paper_behind(Letters(at, "up", 5.0, anchor))
    turned = paper_behind(Letters(at, "up", 5.0, anchor, angle))
    for (x, y), (u, v) in zip(level, turned, strict=True):
        assert hypot(u - at[0], v - at[1]) == pytest.approx(hypot(x - at[0], y - at[1]), abs=1e-9)


def test_letters_that_read_upwards_lie_above_their_place():
    corners = paper_behind(Letters((31.0, 17.0), "upwards", 5.0, "start", 90.0))
    assert min(y for _, y in corners) < 17.0 - letters_wide_mm("upwards", 5.0)
    assert max(y for _, y in corners) == pytest.approx(17.3, abs=1e-9)
    assert min(x for x, _ in corners) < 31.0 - 0.7 * 5.0


def test_text_of_letters_is_one_harmless_line():
    assert drawn_text(Letters((0, 0), "a\nb\x07")) == "a b⟨U+0007⟩"
