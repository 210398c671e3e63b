"""A survey on one page: counts, rounds, weak ties."""

import pandas as pd

from kit.show.large_floor.survey_page import rounds_table, size_table, survey_page, tie_sentences


def test_the_page_counts(four_setups):
    rows = dict(size_table(four_setups[1], "mm").rows)
    assert (rows["set-ups"], rows["points"], rows["readings"]) == ("4", "8", "14")
    # 14 readings, 8 heights less the one that all count from, 4 lines of sight
    assert rows["of these more than needed"] == "3"
    assert (rows["rounds that close"], rows["of these further out than expected"]) == ("3", "1")


def test_rounds_come_worst_first_and_those_beyond_are_heavier(four_setups):
    table = rounds_table(four_setups[1], "mm")
    assert len(table.rows) == 3
    first = table.rows[0]
    assert first[0] == "1"
    assert set(first[1].split(" – ")) == {"S2", "S-3", "A-5", "A-6"}
    assert (first[2], first[3], first[4]) == ("4.00", "1.96", "further out than expected")
    assert table.rows[1][4] == "as expected"
    assert table.bad == {0}
    assert "more round" not in table.note


def test_of_many_rounds_a_dozen_is_told(four_setups):
    heights = four_setups[1]
    many = pd.concat([heights.loops] * 6, ignore_index=True)  # 18 rounds, 6 of them beyond
    kept = heights.__dict__.get("loops")
    heights.__dict__["loops"] = many
    try:
        table = rounds_table(heights, "mm")
    finally:
        heights.__dict__["loops"] = kept
    assert len(table.rows) == 12
    beyond = int(many["beyond"].iloc[12:].sum())
    assert f"6 more rounds, {beyond} of them further out" in table.note


def test_weak_ties_in_words(four_setups):
    heights = four_setups[1]
    (said,) = tie_sentences(heights, "mm")
    assert said.startswith("⚠ S4 with 1 point hangs on A-4 alone.")
    assert f"Doubt to the rest {heights.ties['sd_mm'].iloc[0]:.2f} mm" in said
    (inch,) = tie_sentences(heights, "in")
    assert f"Doubt to the rest {heights.ties['sd_mm'].iloc[0] / 25.4:.3f} in" in inch
    html = survey_page(heights, "mm").html
    assert html.index("The survey") < html.index("Rounds, the worst first") < html.index("S4 with")
