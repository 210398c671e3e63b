"""Which one further reading would check most, against trying it."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from kit.readings import Readings, adjust

BOOK = {
    "S1": {"A": 1400.0, "B": 1402, "C": 1399, "D": 1405},
    "S2": {"D": 1302.3, "E": 1299, "F": 1301},
}


def with_reading(readings: Readings, words: str) -> Readings:
    """Take the reading that the words name; its value does not matter for redundancy."""
    plain = words.replace("point ", "").replace(" again", "").replace(", if it still stands", "")
    name, setup = plain.split(" from set-up ")
    old = readings.tables[0]
    like = old.readings[old.readings["point"] == name].iloc[[0]].assign(setup=setup, row=99)
    rows = pd.concat([old.readings, like], ignore_index=True)
    extra = pd.DataFrame(index=rows.index)
    return Readings((replace(old, readings=rows, extra=extra),))


def test_every_forecast_comes_true(staff):
    readings = staff(BOOK)
    heights = adjust(readings, "A", 0.0)
    before = heights.residuals["redundancy"].to_numpy()
    unchecked = before <= 1e-6
    table = heights.further.checks
    assert len(table) == 2 * 6
    for words, checked, redundancy in table.to_numpy():
        after = adjust(with_reading(readings, words), "A", 0.0).residuals["redundancy"][:-1]
        grown = after.to_numpy()[unchecked]
        # The set-up of D's second reading is held by it alone: all seven readings count.
        assert (grown >= 0.1).sum() == checked, words
        assert grown.sum() == pytest.approx(redundancy, abs=1e-9), words


def test_the_note_names_the_best(staff):
    heights = adjust(staff(BOOK), "A", 0.0)
    (caution,) = [c for c in heights.cautions if c.startswith("No reading can be checked")]
    best = heights.further.checks.iloc[0]
    # A second point common to both set-ups checks the two ties and the two readings of it.
    assert best["checked"] == 3
    assert f"One further reading would check 3 of them: {best['reading']}." in caution


def test_one_set_up_alone_needs_another(staff):
    heights = adjust(staff({"S1": BOOK["S1"]}), "A", 0.0)
    (caution,) = [c for c in heights.cautions if c.startswith("No reading can be checked")]
    assert "A single further reading checks one of them at most (point " in caution
    assert caution.endswith("again in one go, from a set-up of their own.")


def test_one_unchecked_reading_is_checked_by_one(mixed):
    heights = adjust(mixed(2).readings, "B3", 517.25)
    (note,) = [n for n in heights.notes if "checked by no other" in n]
    assert "One further reading would check it: " in note
    assert "C5" in note.split("One further")[1]


def test_a_level_reading_is_a_candidate_where_a_level_is_used(mixed):
    heights = adjust(mixed(2).readings, "B3", 517.25)
    words = [candidate.words for candidate in heights.further.candidates]
    assert "the level again from B1 to B2" in words
    assert "the level from A1 to A2" in words
    # 2.8 m is within reach of a level on a straight edge, 3.25 m is not.
    assert "the level from A1 to A5" in words
    assert not any("A1 to C5" in w for w in words)


def test_forecasts_for_a_level_whose_own_error_is_sought_come_true(mixed):
    """Each way round is a reading of its own; a few of many are tried."""
    readings = mixed(2).readings
    level = readings.tables[3]
    few = replace(level, readings=level.readings.iloc[[0, 1, 8]].reset_index(drop=True))
    alone = replace(few, places=places_of(readings))
    heights = adjust(Readings((alone,)), "B1", 0.0)
    before = heights.residuals["redundancy"].to_numpy()
    unchecked = before <= 1e-6
    table = heights.further.checks
    assert any("turned end for end" in words for words in table["reading"])
    for words, checked, redundancy in table.to_numpy()[:12]:
        start, end = re.findall(r"[A-C][0-9]", words)[:2]
        turned = -1.0 if "turned" in words else 1.0
        row = few.readings.iloc[[0]].assign(start=start, point=end, turned=turned, row=99)
        more = replace(alone, readings=pd.concat([few.readings, row], ignore_index=True))
        after = adjust(Readings((more,)), "B1", 0.0).residuals["redundancy"][:-1]
        grown = after.to_numpy()[unchecked]
        assert (grown >= 0.1).sum() == checked, words
        assert grown.sum() == pytest.approx(redundancy, abs=1e-9), words


def places_of(readings):
    """The places of all points, as a points file gives them."""
    return readings.places.assign(row=0, file="places.csv")


def test_readings_that_nothing_parts_are_parted_by_the_reading_named(staff):
    book = {"S1": {"A": 1400, "B": 1410, "C": 1380}, "S2": {"B": 1310, "C": 1290, "D": 1300}}
    heights = adjust(staff(book), "A", 0.0)
    (finding,) = heights.findings
    assert len(finding.choices) == 4
    words = finding.sentence.split(" Read ")[1].removesuffix(": it tells most.")
    words = words.removesuffix(", otherwise from a new one with a second shared point")
    assert "point" in words
    solution = adjust(with_reading(staff(book), words), "A", 0.0).solution
    group = list(finding.rows)
    q = np.column_stack([solution.residual_cofactors(j)[group] for j in group])
    alike = abs(q) / np.sqrt(np.outer(np.diag(q), np.diag(q)))
    assert (alike[np.triu_indices(4, 1)] < 0.95).sum() >= 3


def test_a_large_network_is_not_searched(network):
    heights = adjust(network(4, points=900, setups=2).readings, None, 0.0)
    assert heights.further.candidates == ()
    assert heights.further.checks_most() == ""
