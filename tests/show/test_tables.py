"""Tables tell the answer's own figures, rounded as the trade reads them."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from typing import Any

import pytest

import kit
from kit.ink.base_tables import caution_list, check_table, plinth_table, stack_table, support_table
from kit.ink.buying_tables import cut_table, screw_table, take_off_table
from kit.ink.lengths import axis_ticks, length, plan_length, signed_small, small
from kit.ink.words import certainty_words
from kit.show.high_point_table import high_point_page
from kit.show.survey_tables import heights_table, plane_table
from kit.show.suspect_tables import suspect_page


def test_stacks_are_listed_from_the_floor_up_and_add_up(answer: Any) -> None:
    table = stack_table(answer)
    assert [row[0] for row in table.rows] == list(answer.supports["support"])
    for place, row in enumerate(table.rows):
        sizes = [17.8 if size == "18" else float(size) for size in row[1].split(" + ")]
        assert sum(sizes) == pytest.approx(float(row[2]), abs=0.051)  # shown to 0.1 mm
        assert float(row[4]) == pytest.approx(answer.datum.plan.error_mm[place], abs=0.0051)
    assert "18 measures 17.8 mm" in table.note


def test_supports_tell_their_reasons_in_words(answer: Any) -> None:
    rows = {row[0]: row for row in support_table(answer).rows}
    assert rows["B1"][4].startswith("side")
    assert "+" not in "".join(row[4] for row in rows.values())


def test_screws_are_one_line_a_support_and_missing_ones_are_said(answer: Any) -> None:
    table = screw_table(answer)
    assert [row[0] for row in table.rows] == list(answer.supports["support"])
    missing = answer.screws[answer.screws["length_mm"].isna()]
    assert {table.rows[place][0] for place in table.bad} == set(missing["support"])
    for support, reason in zip(missing["support"], missing["reason"], strict=True):
        row = next(row for row in table.rows if row[0] == support)
        assert reason in row[-1]


def test_cuts_take_every_piece_out_of_a_bought_length(answer: Any) -> None:
    rows = cut_table(answer).rows
    assert len(rows) == len(answer.cuts.cuts)
    assert sum(float(row[4]) for row in rows) == pytest.approx(2 * 1900, abs=0.1 * len(rows))


def test_take_off_counts_the_packers_that_are_drawn(answer: Any) -> None:
    counted = {row[1]: int(row[2]) for row in take_off_table(answer).rows if row[0] == "packer"}
    assert sum(counted.values()) == answer.pieces


def test_verdicts_have_a_sign_and_a_word(answer: Any) -> None:
    rows = check_table(answer).rows
    assert len(rows) == len(answer.checks)
    assert {row[0] for row in rows} <= {"✓ ok", "⚠ refer", "✗ fail", "– not checked"}


def test_what_wants_a_decision_stands_first(answer: Any) -> None:
    checks = answer.checks.copy()
    checks.loc[3, "verdict"] = "fail"
    table = check_table(replace(answer, checks=checks))
    order = [row[0].split(" ", 1)[1] for row in table.rows]
    need = ["fail", "refer", "not checked", "ok"]
    assert order == sorted(order, key=need.index)
    assert order[0] == "fail"
    assert table.rows[0][1] == checks["check"].iloc[3]
    assert table.bad == frozenset(range(order.count("fail") + order.count("refer")))
    assert len(table.rows) == len(checks)


def test_heights_carry_the_residual_of_the_plane(answer: Any) -> None:
    row = next(r for r in heights_table(answer.job, answer.survey).rows if r[0] == "Q3")
    at = list(answer.heights.points["point"]).index("Q3")
    assert row[5] == f"{answer.plane.residual_mm[at]:+.2f}"


def test_high_point_is_told_with_certainty_and_rivals(answer: Any) -> None:
    html = high_point_page(answer.ground).html
    assert f"{answer.high_point.certainty:.0%} certain" in html
    assert html.count("rival ") >= len(answer.high_point.rivals)


def test_plane_suspects_and_plinth_can_be_shown(answer: Any) -> None:
    assert "mm/m" in plane_table(answer.plane, answer.robust_plane).html
    assert "Suspect readings" in suspect_page(answer.heights).html
    (row,) = plinth_table(answer).rows
    assert float(row[2]) == pytest.approx(answer.plinth["greatest_mm"].iloc[0], abs=0.051)


@pytest.mark.parametrize(
    ("certainty", "word"), [(0.95, "settled"), (0.7, "likely, not settled"), (0.3, "open")]
)
def test_certainty_is_put_into_words(certainty: float, word: str) -> None:
    assert certainty_words(certainty).split(": ")[1].startswith(word)


def test_lengths_are_rounded_to_what_a_tape_shows() -> None:
    assert length(92.075, "mm") == "92.1"
    assert length(92.075, "in") == "3 5/8"
    assert plan_length(1249.6, "mm") == "1250"
    assert small(0.254, "in") == "0.010"
    assert signed_small(0.4, "mm") == "+0.40"
    assert signed_small(-0.0001, "mm") == "0.00"
    assert length(float("nan"), "mm") == "–"


def test_axis_in_inches_has_round_ticks() -> None:
    ticks = axis_ticks(-10.0, 1000.0, "in", 12)
    assert ticks["ticktext"] == ["0", "6", "12", "18", "24", "30", "36"]
    assert ticks["tickvals"][1] == pytest.approx(152.4)


def test_sentences_of_an_inch_job_have_inches_too(inch_job: Any) -> None:
    answer = kit.solve(inch_job)
    lengths = [line for line in answer.cautions if re.search(r"\d mm(?![\w/])", line)]
    shown = html.unescape(caution_list(answer).html)
    assert lengths
    assert shown.count(" in)") >= len(lengths)
    assert "50 mm (1 15/16 in) from the top of the joist" in shown
