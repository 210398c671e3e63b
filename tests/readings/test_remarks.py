"""What the notes say, and when they keep quiet."""

from __future__ import annotations

from kit.readings import Readings, adjust

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
    assert not any("stands" in note for note in heights.notes)


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
