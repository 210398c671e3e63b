"""The grades of practice floors as a trainer sees them."""

import pytest

from kit.ink.table import Head
from kit.job import Refusal
from kit.practice import flatness
from kit.show import grade_table


def test_it_shows_the_figures_of_the_practice_room() -> None:
    table, frame = grade_table(4), flatness.grade_table(range(4)).set_index("grade")
    assert [row[0] for row in table.rows] == ["fair", "ordinary", "rough"]
    for grade, words, *figures in table.rows:
        of = frame.loc[grade]
        wanted = [of[f"bend_{mm}_mm"] for mm in (300, 600, 900, 1200)]
        wanted += [of[name] for name in ("F_F", "F_L", "gap_median_mm", "gap_95_mm")]
        assert words == of["words"]
        # Shown to 0.01 mm (bends) and 0.1.
        for shown, value, step in zip(figures, wanted, [0.01] * 4 + [0.1] * 4, strict=True):
            assert float(shown) == pytest.approx(value, abs=0.5001 * step)


def test_every_length_has_its_unit_and_flatness_has_none() -> None:
    heads = grade_table(2).heads
    assert [one.unit for one in heads] == ["", "", *["mm"] * 4, "", "", "mm", "mm"]
    assert heads[6:8] == (Head("F_F", right=True), Head("F_L", right=True))


def test_the_note_gives_what_floors_are_held_against() -> None:
    table = grade_table(1)
    assert table.title == "Grades of practice floors, 1 floor of each"
    # BS 8204 (The Concrete Society, fingertips 1006 and 1009); worksheet lines of
    # tests/published/test_practice_floors.py, the least and the greatest F_F.
    assert "BS 8204 allows SR1 3 mm, SR2 5 mm, SR3 10 mm" in table.note
    assert "an F_F of 20.4 to 34.6" in table.note
    assert "constants from memory" in table.note
    assert "<" not in table.html.split("<p>")[1].split("</p>")[0]


@pytest.mark.parametrize("seeds", [0, -3])
def test_no_floor_makes_no_table(seeds: int) -> None:
    with pytest.raises(Refusal, match="seeds: found none; allowed: one or more"):
        grade_table(seeds)
