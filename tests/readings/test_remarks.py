"""What the notes say, and when they keep quiet."""

from __future__ import annotations

import pytest

from kit.readings import GLOBAL_TEST_LEVEL, Readings, adjust

BOOK = {"S1": {"A": 1400.0, "B": 1402, "C": 1399}, "S2": {"B": 1302.3, "C": 1299, "D": 1301}}


def test_a_sound_network_has_few_notes(staff):
    notes = adjust(staff(BOOK), "A", 12.5).notes
    assert notes[0] == "Heights are above the benchmark's zero: A is fixed at 12.5 mm, sd 0."
    assert "points A, D" in notes[1]
    assert notes[2].startswith("S1 and S2 share B, C: differences spread 0.3 mm")
    assert len(notes) == 3


def test_the_same_reading_twice_counts_twice_and_is_told(staff, table):
    rows = staff(BOOK).tables[0].readings
    again = table(rows.iloc[[0, 1, 2, 3, 4, 5, 1]], "readings.csv", "staff")
    heights = adjust(Readings((again,)), "A", 0.0)
    assert len(heights.residuals) == 7
    assert any(
        "point B stands 2 times" in note and "readings.csv row 3, readings.csv row 8" in note
        for note in heights.notes
    )


def test_a_repeated_reading_with_another_value_is_simply_a_second_reading(staff, table):
    rows = staff(BOOK).tables[0].readings
    again = rows.iloc[[0, 1, 2, 3, 4, 5, 1]].reset_index(drop=True)
    again.loc[6, "observed_mm"] += 0.4
    heights = adjust(Readings((table(again, "readings.csv", "staff"),)), "A", 0.0)
    assert heights.redundancy == adjust(staff(BOOK), "A", 0.0).redundancy + 1
    assert not any("and counts each time" in note for note in heights.notes)


def test_two_names_at_one_place_are_told(staff, table):
    rows = staff(BOOK).tables[0].readings
    near = rows["point"] == "D"
    x, y = rows.loc[rows["point"] == "A", ["x_mm", "y_mm"]].iloc[0]
    rows = rows.assign(x_mm=rows["x_mm"].mask(near, x + 0.9), y_mm=rows["y_mm"].mask(near, y))
    notes = adjust(Readings((table(rows, "readings.csv", "staff"),)), "A", 0.0).notes
    assert "A and D stand at one place and are kept as two points." in notes


def test_many_names_at_one_place_are_summed_up(staff, table):
    rows = staff({"S1": {f"P{i}": 1400.0 + i for i in range(30)}}).tables[0].readings
    rows = rows.assign(x_mm=[0.0] * 28 + [900.0, 5.0], y_mm=0.0)
    notes = adjust(Readings((table(rows, "readings.csv", "staff"),)), None, 0.0).notes
    assert sum("stand at one place" in note for note in notes) == 7


def test_a_large_survey_says_how_many_look_suspect_by_chance(network):
    notes = adjust(network(77, points=400, setups=5).readings, None, 0.0).notes
    assert any("look suspect by chance alone" in note for note in notes)


def test_a_sound_network_has_no_cautions(staff):
    assert adjust(staff(BOOK), "A", 12.5).cautions == ()


def moved_to_a(staff, table, name, reading, sd_mm=0.5):
    """The book with one point moved to where A is, and read at a given height there."""
    rows = staff(BOOK).tables[0].readings
    there = rows["point"] == name
    x, y = rows.loc[rows["point"] == "A", ["x_mm", "y_mm"]].iloc[0]
    rows = rows.assign(
        x_mm=rows["x_mm"].mask(there, x),
        y_mm=rows["y_mm"].mask(there, y),
        observed_mm=rows["observed_mm"].mask(there, reading),
        sd_mm=sd_mm,
    )
    return Readings((table(rows, "readings.csv", "staff"),))


@pytest.mark.parametrize("fixed", ["A", "B", None])
@pytest.mark.parametrize(("off", "caution"), [(0.0, False), (2.8, False), (3.0, True)])
def test_heights_of_two_names_at_one_place_that_differ_are_a_caution(
    staff, table, fixed, off, caution
):
    # S2 is set to S1 by B and C: 1400 there is 1300.15 here, the mean of 99.7 and 100 taken off.
    # The variance of A - D is 0.25 (A) + 0.25 (D) + 0.25 (two ties of 0.5 each); 3.29 sd: 2.849 mm.
    readings = moved_to_a(staff, table, "D", 1300.15 + off)
    heights = adjust(readings, fixed, 0.0)
    told = [note for note in heights.notes if note.startswith("A and D stand at one place")]
    assert len(told) == 1
    assert (told[0] in heights.cautions) is caution
    assert ("differ by 3.0 mm, where their sd allow 2.8 mm" in told[0]) is caution


def test_the_difference_of_two_heights_has_the_sd_of_the_whole_covariance(network):
    import numpy as np

    for benchmark in (None, "P3"):
        heights = adjust(network(12, kinds=("staff", "heights")).readings, benchmark, 0.0)
        one, other = np.array([0, 3, 5]), np.array([7, 8, 3])
        q = heights.covariance()
        expected = np.sqrt(q[one, one] + q[other, other] - 2 * q[one, other])
        found = heights.solution.difference_sd_mm(one, other)
        # Two ways to one number: rounding only.
        assert found == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("kinds", "words"),
    [
        (["staff"], "a misread staff would go unseen"),
        (["heights"], "a wrong height in a table would go unseen"),
        (["staff", "grid"], "a misread staff or a wrong height in a table would go unseen"),
    ],
)
def test_nothing_checked_is_a_caution_in_the_words_of_the_kind(staff, table, kinds, words):
    rows = staff({"S1": {"A": 1400.0, "B": 1402, "C": 1399}}).tables[0].readings
    # A second table shares one point only, which ties it and checks nothing.
    named = [rows.assign(point=["A", f"B{i}", f"C{i}"]) for i in range(len(kinds))]
    named = [r.assign(x_mm=r["x_mm"] + [0, i, i]) for i, r in enumerate(named)]
    tables = [
        table(r.assign(setup="S1" if kind == "staff" else ""), f"{kind}.csv", kind)
        for kind, r in zip(kinds, named, strict=True)
    ]
    heights = adjust(Readings(tuple(tables)), None, 0.0)
    assert heights.redundancy == 0
    (caution,) = [c for c in heights.cautions if c.startswith("No reading can be checked")]
    assert words in caution


def test_readings_that_disagree_and_a_moved_table_are_cautions(staff, table):
    spoilt = {**BOOK, "S2": {**BOOK["S2"], "B": 1309.0}}
    heights = adjust(staff(spoilt), "A", 0.0)
    assert heights.global_test_p < GLOBAL_TEST_LEVEL == 0.001
    assert any("upper tail of chi-square" in caution for caution in heights.cautions)
    rows = staff({"": {"A": 20.0, "B": 23.0, "C": 18.0}}).tables[0].readings
    moved = adjust(Readings((table(rows, "h.csv", "heights"),)), "A", 0.0)
    assert any("moved as a whole" in caution for caution in moved.cautions)
    assert not any("zero" in caution for caution in moved.cautions)
    assert set(moved.cautions) <= set(moved.notes)


def test_a_chance_of_one_in_a_hundred_is_no_caution(staff):
    # One redundancy: the spread of B and C over 0.5·sqrt 2·sqrt 2 = 1 mm; w 2.6, p 0.0093.
    book = {**BOOK, "S2": {"B": 1302.0, "C": 1296.4, "D": 1301.0}}
    heights = adjust(staff(book), "A", 0.0)
    assert heights.global_test_p == pytest.approx(0.0093, abs=2e-4)  # two digits in the source
    assert not any("agree less well" in note for note in heights.notes)
