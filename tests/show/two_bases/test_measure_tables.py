"""Tables of measures: the comparison's own figures, rounded."""

from __future__ import annotations

import math
from itertools import combinations
from typing import Any

import pytest

from kit.show.two_bases.figures import of_measure
from kit.show.two_bases.measure_tables import comparison_table, comparison_tables, untold_table

PAIRS = list(combinations(("packers", "stacks", "feet", "ladder", "compound"), 2))

#: Half of the last decimal that is shown, by what is shown.
HALF = {"mm": 0.05, "": 0.5, "N": 0.5, "GBP": 0.005, "% of limit": 0.05}


@pytest.mark.parametrize("pair", PAIRS, ids="-".join)
def test_every_figure_is_the_comparisons_own(pairs: Any, pair: tuple[str, str]) -> None:
    c = pairs[pair]
    table = comparison_table(c)
    shown = {row[0]: row for row in table.rows}
    own = c.table()
    assert len(table.rows) == len(own)
    assert [head.text for head in table.heads[2:4]] == list(c.names)
    for one in own.itertuples(index=False):
        row = shown[one.measure]
        for text, value in zip(row[2:4], one[2:4], strict=True):
            if math.isnan(value):
                assert text == "–"
                continue
            half = HALF.get(one.unit, 0.5 if abs(value) >= 100 else 0.05)
            assert float(text) == pytest.approx(value, abs=half + 1e-9)
        assert row[4] == (one.better or "–")


def test_how_sure_is_told_where_floors_were_drawn(pairs: Any) -> None:
    c = pairs["packers", "ladder"]
    shown = {row[0]: row[-1] for row in comparison_table(c).rows}
    odds = c.row("cost").odds
    low, _, high = odds.difference
    assert shown["material"] == (
        f"first has less on {odds.a_less:.0%} of {odds.floors}; {low:.2f} to {high:.2f}"
    )
    assert shown["screws into the floor"] == "not drawn"
    assert shown["bags of compound"] == f"alike on all {odds.floors} floors"


@pytest.mark.parametrize("pair", PAIRS, ids="-".join)
def test_each_measure_is_told_or_untold(pairs: Any, pair: tuple[str, str]) -> None:
    c = pairs[pair]
    untold = {row[0] for row in untold_table(c).rows}
    for row in c.rows:
        assert (row.a.measure in untold) == (not row.told)


def test_why_is_the_measures_own(pairs: Any) -> None:
    c = pairs["packers", "ladder"]
    shown = {row[0]: row for row in untold_table(c).rows}
    row = shown["least margin: bearer sag"]
    assert row[2] == of_measure(c.row("margin bearer sag").a, "mm")
    assert row[3] == "–"
    assert row[4] == "frame: this base has nothing of the kind to check"
    assert shown["checks to refer"][4] == "neither more nor less is better by itself"
    assert shown["greatest wind of a unit"][4] == (
        "not on one basis: stacks of known errors; 95 of 100 units, within what it is set or made"
        " to"
    )


def test_two_tables_with_captions(pairs: Any) -> None:
    html = comparison_tables(pairs["feet", "compound"]).html
    assert html.count("<caption>") == 2
    assert html.count('<th scope="col"') == 7 + 5
