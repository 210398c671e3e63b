"""Letters of a drawing file: made harmless, and never upside down."""

import pytest
from ezdxf.tools.text import fast_plain_mtext, plain_mtext

from kit.paper.dxf_pencil import safe_mtext, upright


@pytest.mark.parametrize(
    "text",
    [
        "\\Pno line", "{\\C1;red}", "a^Jb ^", "50%%d %%%c %", "\\U+0041", "\\M+1ABCD",
        "two\nlines", "\\S1/2;", "שלום 👩‍👩‍👧‍👦",
    ],
)  # fmt: skip
def test_text_reads_as_it_was_typed(text: str) -> None:
    # ezdxf reads what the format's own program writes; it is not what turned the text.
    assert plain_mtext(safe_mtext(text)) == text
    assert fast_plain_mtext(safe_mtext(text)) == text


@pytest.mark.parametrize(
    ("direction", "angle"),
    [(0, 0), (30, -30), (90, 90), (135, 45), (180, 0), (270, 90), (300, 60), (-45, 45), (360, 0)],
)
def test_letters_stand_upright(direction: float, angle: float) -> None:
    # Clockwise on the page, since y of the room runs down it; turned over beyond a quarter.
    assert upright(direction) == pytest.approx(angle)
