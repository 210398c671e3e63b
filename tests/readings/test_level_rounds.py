"""Spirit-level readings against each other, in plain words."""

from __future__ import annotations

import numpy as np
import pandas as pd
from scipy import stats

from kit.readings import Readings, Table, adjust

PLACES = {"A": (0, 0), "B": (1000, 0), "C": (1000, 1000), "D": (0, 1200), "E": (2000, 300)}


def level(lines, sd=0.5, error=float("nan")):
    rows = [
        (i + 2, end, np.nan, np.nan, rise, sd, "", start, -1.0 if turned else 1.0)
        for i, (start, end, rise, turned) in enumerate(lines)
    ]
    columns = ["row", "point", "x_mm", "y_mm", "observed_mm", "sd_mm", "setup", "start", "turned"]
    frame = pd.DataFrame(rows, columns=columns)
    places = pd.DataFrame(
        [(i + 2, name, *at, "p.csv") for i, (name, at) in enumerate(PLACES.items())],
        columns=["row", "point", "x_mm", "y_mm", "file"],
    )
    extra = pd.DataFrame(index=frame.index)
    table = Table("level.csv", "level", "", frame, extra, places, own_error_mm_per_m=error)
    return adjust(Readings((table,)), "A", 0.0)


def test_a_round_of_lines_is_summed_with_its_signs():
    # 3 + 2 - 4.6 - 1.5 (D to A booked as A to D, +1.5): -1.1 on the way round.
    lines = [("A", "B", 3.0, 0), ("B", "C", 2.0, 0), ("D", "C", 4.6, 0), ("A", "D", 1.5, 0)]
    heights = level([*lines, ("B", "E", 0.7, 0)], error=0.0)
    (round_,) = [n for n in heights.notes if n.startswith("round ")]
    assert "1.1 mm, expected within 2.0 mm" in round_  # 1.96 * 0.5 * sqrt(4)
    assert set(round_.split(":")[0].removeprefix("round ").split("-")) == set("ABCD")
    assert round_ not in heights.cautions


def test_a_round_beyond_chance_is_a_caution():
    lines = [("A", "B", 3.0, 0), ("B", "C", 2.0, 0), ("A", "C", 2.5, 0)]
    heights = level(lines, error=0.0)
    assert any(
        c.startswith("round ") and "2.5 mm, expected within 1.7" in c for c in heights.cautions
    )


def test_a_line_read_twice_either_way_is_compared():
    lines = [("A", "B", 3.0, 0), ("B", "A", -3.6, 0), ("B", "C", 2.0, 0)]
    heights = level(lines, error=0.0)
    # Range of two with sd 0.5: 2.77 * 0.5, the 95 % point of studentised range for 2.
    assert "A to B, read 2 times: spread 0.6 mm, expected within 1.4 mm." in heights.notes


def test_the_own_error_is_taken_off_before_lines_are_compared():
    lines = [("A", "B", 3.4, 0), ("A", "B", 2.6, 1), ("B", "C", 2.4, 0)]
    known = level(lines, error=0.1)
    assert "A to B, read 2 times: spread 0.6 mm, expected within 1.4 mm." in known.notes
    # The mean of 3.4 and 3.8, and 2.6: e = 0.5, so 2.9, 3.3 and 3.1 are left.
    more = level([*lines, ("A", "B", 3.8, 0)])
    assert any("A to B, read 3 times: spread 0.4 mm" in note for note in more.notes)


def test_a_pair_that_only_tells_the_own_error_is_no_check():
    heights = level([("A", "B", 3.4, 0), ("A", "B", 2.6, 1), ("B", "C", 2.4, 0)])
    assert not any("read 2 times" in note for note in heights.notes)


def test_misclosures_keep_to_what_is_expected():
    """19 in 20 rounds within; 300 networks of one round, 99.9 % binomial bounds."""
    rng = np.random.default_rng(4)
    beyond = 0
    for _ in range(300):
        rises = rng.normal([1.0, 2.0, 3.0], 0.5)
        lines = [("A", "B", rises[0], 0), ("B", "C", rises[1], 0), ("A", "C", rises[2], 0)]
        notes = level(lines, error=0.0).notes
        (words,) = [n for n in notes if n.startswith("round ")]
        value, expected = (
            float(w.split(" mm")[0].split()[-1]) for w in words.split(":")[1].split(",")
        )
        beyond += value > expected
    low, high = stats.binom.interval(0.999, 300, 0.05)
    assert low <= beyond <= high
