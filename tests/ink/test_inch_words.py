"""Lengths in sentences are followed by inches, and nothing else is."""

from __future__ import annotations

import pytest

from kit.ink.inch_words import in_units
from kit.ink.lengths import rounding

SENTENCES = [
    # 600 / 25.4 = 23.62 in: 23 10/16.
    ("under units 'a' at x = 600 mm.", "under units 'a' at x = 600 mm (x = 23 5/8 in)."),
    ("from 24.8 to 35.8 mm (board)", "from 24.8 to 35.8 mm (1 to 1 7/16 in) (board)"),
    ("at x = 1200, y = 60 mm tells", "at x = 1200, y = 60 mm (x = 47 1/4, y = 2 3/8 in) tells"),
    ("may be 0.50 mm higher", "may be 0.50 mm (0.020 in) higher"),
    ("a lift of -12.7 mm.", "a lift of -12.7 mm (-1/2 in)."),
    # 4.7 / 25.4 = 0.18504: below half an inch a sixteenth would swallow too much.
    ("the floor: 4.7 ± 0.2 mm (1 sd)", "the floor: 4.7 ± 0.2 mm (0.185 ± 0.008 in) (1 sd)"),
    ("no more than 0.79375 mm", "no more than 0.79 mm (0.031 in)"),
    ("a board of 19.0500000001 mm", "a board of 19.05 mm (3/4 in)"),
    # A margin told with a small one is told as finely: 20.4 / 25.4 = 0.80315, not 13/16.
    ("7, 20.4 mm inside", "7, 20.4 mm (0.276, 0.803 in) inside"),
    ("a depth of 40 mm (1 9/16 in)", "a depth of 40 mm (1 9/16 in)"),
    ("from 0 to 24 mm", "from 0 to 24 mm (0 to 15/16 in)"),
    ("lean 2 mm per metre, 3 mm/m, 2 N/mm2", "lean 2 mm per metre, 3 mm/m, 2 N/mm2"),
    ("screw of 4.5x70 and M10", "screw of 4.5x70 and M10"),
    ("A unit called 'oak-20 mm'", "A unit called 'oak-20 mm (13/16 in)'"),
]


@pytest.mark.parametrize(("said", "shown"), SENTENCES)
def test_sentences_in_inches(said: str, shown: str) -> None:
    assert in_units(said, "in") == shown


def test_sentences_of_a_job_in_millimetres_stay() -> None:
    assert in_units("at x = 600 mm.", "mm") == "at x = 600 mm."


@pytest.mark.parametrize(
    ("mm", "units", "off"),
    [
        # 35.33 mm is 1.39094 in; shown as 1 6/16 = 1.375.
        (35.33, "in", "-0.016"),
        # 36.2 mm is 1.42520 in; shown as 1 7/16 = 1.4375.
        (36.2, "in", "+0.012"),
        (25.4, "in", "0.000"),
        (-36.2, "in", "-0.012"),
        (35.33, "mm", ""),
        (float("nan"), "in", ""),
    ],
)
def test_error_of_rounding(mm: float, units: str, off: str) -> None:
    assert rounding(mm, units) == off  # type: ignore[arg-type]
