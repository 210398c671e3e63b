"""Letters and patterns: nothing touches, nothing hangs over."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.ink.svg import box, letters_px
from kit.show.board.lettering import apart, fitted, hatched, key


@given(st.lists(st.floats(-500, 500), max_size=30), st.floats(1, 40), st.floats(-100, 100))
def test_places_keep_their_gap_and_their_order(
    wanted: list[float], gap: float, least: float
) -> None:
    places = apart(sorted(wanted), gap, least)
    assert len(places) == len(wanted)
    assert all(b - a >= gap - 1e-9 for a, b in pairwise(places))  # round-off of sums below 2000
    assert all(place >= least for place in places)


def test_places_move_no_further_than_they_must() -> None:
    # three wanted at one place spread evenly about it; the lone one stays
    assert apart([100.0, 100.0, 100.0, 300.0], 15, 0) == pytest.approx([85, 100, 115, 300])


def test_lines_fit() -> None:
    lines = fitted("no stack reaches the underside of the bearer here", 120)
    assert len(lines) > 2
    assert all(letters_px(line) <= 120 for line in lines)
    assert " ".join(lines) == "no stack reaches the underside of the bearer here"


def test_hatching_stays_in_its_rectangle_and_covers_it() -> None:
    drawn = hatched(10, 20, 33, 17, step_px=6, stroke="#000")
    numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", drawn.split('"')[1])]
    x, y = numbers[::2], numbers[1::2]
    assert len(x) == 2 * 8  # lines where x + y is 6, 12 ... 48 of 50
    assert (min(x), max(x), min(y), max(y)) == (10, 43, 20, 37)


def test_a_key_wraps() -> None:
    entries = [(lambda x, y: box(x, y, 18, 10), f"packer {n} mm") for n in range(5)]
    drawn, bottom = key(entries, 0, 230)
    rows = sorted({float(y) for y in re.findall(r'<text x="[^"]+" y="([^"]+)"', drawn)})
    ends = [float(x) + letters_px("packer 0 mm") for x in re.findall(r'<text x="([^"]+)"', drawn)]
    assert len(rows) == 3  # two of 23 + 77 px and 14 between them go into 230
    assert max(ends) <= 230
    assert bottom > rows[-1]
