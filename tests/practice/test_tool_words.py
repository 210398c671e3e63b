"""Words for what is seen of a laid instrument."""

import pytest

from kit.practice.rest import Rest
from kit.practice.tool_words import bubble_words, touch_words, touching


def lying(left_mm: float, right_mm: float, *, rocks: bool = False) -> Rest:
    return Rest(left_mm, right_mm, 0.0, 0.0, 900.0, rocks)


def test_contacts_are_seen_to_fifty_millimetres_and_never_beyond_the_end():
    assert touching(lying(124.0, 1799.0), 1780.0) == (100.0, 1780.0)
    assert touching(lying(125.1, 1030.0), 1800.0) == (150.0, 1050.0)


def test_two_contacts_that_look_like_one_are_told_once():
    near, apart = lying(890.0, 915.0, rocks=True), lying(300.0, 1550.0)
    assert touch_words(touching(near, 1800.0), near) == (
        "touches at about 900 mm from its marked end; it rocks on its middle"
    )
    assert touch_words(touching(apart, 1800.0), apart) == (
        "touches at about 300 and 1550 mm from its marked end"
    )


@pytest.mark.parametrize(
    ("bubble_mm", "words"),
    [
        (0.0, "in the middle"),
        (1.8, "1.8 mm off towards the other end"),
        (-0.2, "0.2 mm off towards the marked end"),
        (8.0, "at the end of the glass towards the other end"),
        (-8.0, "at the end of the glass towards the marked end"),
    ],
)
def test_a_bubble_is_told_by_its_distance_and_its_end(bubble_mm, words):
    assert bubble_words(bubble_mm) == words
