"""The buying list for the eye: units, what is printed, what is asked for at the counter."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from kit.buying import BuyingList, Line
from kit.ink.buying_list_table import (
    buying_list_table,
    buying_sentences,
    cost_sentence,
    counter_table,
    packs_words,
    reckoning_table,
    size_words,
)

PACKER = Line("packer", "75 × 45 mm", 6.0, 13, 18, 1, 5, "pack", 25, 0.1)
SCREW = Line("screw", "", 40.0, 12, 15, 1, None, "box", 200, 0.05)
BEARER = Line("bearer length", "45 × 20 mm, C16", 2400.0, 2, 2, 0, None, "length", 1, math.nan)
FOOT = Line("screw foot, 40-65 mm", "plate 55 mm", 65.0, 9, 11, 0, 20, "piece", 1, 2.9)

LIST = BuyingList(
    lines=(PACKER, SCREW, BEARER, FOOT),
    floors=2000,
    seed=20,
    certainty=0.95,
    reached=0.957,
    plan_suffices=0.04,
    moved=0.0,
    not_built=0.0,
    notes=("Beyond the plan it has 5 × packer of 6 mm; 1 × bearer length of 2400 mm.",),
    money="GBP",
)


def test_all_figures_stand_in_their_columns() -> None:
    table = buying_list_table(LIST, "mm")
    assert [head.text for head in table.heads][:5] == [
        "item", "size", "plan takes", "suffices on 95 %", "spares",
    ]  # fmt: skip
    assert table.rows[0] == (
        "packer, 75 × 45 mm", "6 mm", "13", "18", "1", "5", "14", "1 pack of 25", "2.50",
    )  # fmt: skip
    assert table.rows[1][5:] == ("not said", "16", "1 box of 200", "10.00")
    assert table.rows[2][-2:] == ("2 lengths", "–")
    assert table.note == "What has a price comes to 12.50 GBP; what shows – has none."


def test_only_what_is_bought_is_asked_for() -> None:
    """Of the feet there are more than enough; each row has a box to tick."""
    table = counter_table(LIST, "mm")
    assert [row[1].split(",")[0] for row in table.rows] == ["packer", "screw", "bearer length"]
    assert {row[0] for row in table.rows} == {"☐"}
    assert [row[3] for row in table.rows] == ["14", "16", "2"]
    nothing = replace(LIST, lines=(FOOT,))
    assert counter_table(nothing, "mm").note == "Nothing has to be bought: all is in stock."


def test_how_it_comes_about_is_told_without_money() -> None:
    assert reckoning_table(LIST, "mm").heads[-1].text == "to buy"
    # Bearers are bought as the plan takes them: nothing to tell.
    assert [row[-1] for row in reckoning_table(LIST, "mm").rows] == ["14", "16", "0"]


@pytest.mark.parametrize(
    ("line", "units", "expected"),
    [
        (PACKER, "in", "6 mm"),  # as printed
        (SCREW, "in", "40 mm"),
        (BEARER, "mm", "2400 mm"),
        # 2400 / 25.4 = 94.488 in: shown as 94 1/2, 0.012 in more.
        (BEARER, "in", "94 1/2 in (+0.012)"),
        (replace(BEARER, size_mm=2438.4), "in", "96 in"),  # 8 ft to the hair
        (FOOT, "in", "–"),  # its name says it
    ],
)
def test_sizes(line: Line, units: str, expected: str) -> None:
    assert size_words(line, units) == expected


def test_sentences_in_inches_leave_printed_sizes_alone() -> None:
    assert buying_sentences(LIST, "in") == (
        "Beyond the plan it has 5 × packer of 6 mm; 1 × bearer length of 2400 mm (94 1/2 in).",
    )
    assert buying_sentences(LIST, "mm") == LIST.notes


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        (PACKER, "1 pack of 25"),
        (replace(PACKER, in_stock=0, enough=60), "3 packs of 25"),
        (replace(PACKER, pack=1), "14 singly"),
        (replace(SCREW, pack=10), "2 boxes of 10"),
        (BEARER, "2 lengths"),
        (replace(BEARER, enough=1), "1 length"),
        (FOOT, "–"),
    ],
)
def test_packs(line: Line, expected: str) -> None:
    assert packs_words(line) == expected


def test_what_it_costs_in_words() -> None:
    assert cost_sentence(replace(LIST, lines=(PACKER, SCREW))) == "In all 12.50 GBP."
    assert "cannot be told" in cost_sentence(replace(LIST, lines=(BEARER,)))
