"""Checks on paper: none that wants a decision or was not made is lost."""

from dataclasses import replace

import pytest

from kit.paper.document import Words
from kit.paper.not_checked import (
    check_parts,
    decisions_table,
    not_checked_table,
    passed_words,
)
from kit.parts import Answer

METHODS = ("packers", "stacks", "feet", "ladder", "compound")


@pytest.mark.parametrize("method", METHODS)
def test_everything_that_was_not_checked_is_told_with_its_reason(
    ways: dict[str, Answer], method: str
) -> None:
    checks = ways[method].checks
    missing = checks[checks["verdict"] == "not_checked"]
    assert len(missing) >= 4
    rows = not_checked_table(ways[method]).rows
    for one in missing.itertuples():
        assert any(
            row[0] == one.check and one.subject in row[1] and row[2] == one.source for row in rows
        ), one


@pytest.mark.parametrize("method", METHODS)
def test_everything_that_fails_or_is_referred_is_told(ways: dict[str, Answer], method: str) -> None:
    checks = ways[method].checks
    open_ones = checks[checks["verdict"].isin(["fail", "refer"])]
    assert len(open_ones) >= 4
    rows = decisions_table(ways[method]).rows
    for one in open_ones.itertuples():
        digits = 0 if one.unit in {"N", "steps"} else 2
        figure = f"{one.subject}, {one.value:.{digits}f}"
        assert any(
            one.verdict in row[0]
            and row[1].startswith(f"{one.check}: ")
            and figure in row[1]
            and row[2] == one.source
            for row in rows
        ), one


def test_figures_are_told_as_they_are_used(reading_room: Answer) -> None:
    checks = reading_room.checks.copy()
    for place, (value, limit, unit) in enumerate(
        [(31.349, 44.5, "N"), (4.8, 1.0, "ratio"), (1.0004, 1.0, "of design"), (2e-5, 1e-3, "p")]
    ):
        checks.loc[place, ["check", "subject", "value", "limit", "unit", "verdict", "source"]] = [
            f"made {place}", "s", value, limit, unit, "refer", f"why {place}",
        ]  # fmt: skip
    told = {row[1] for row in decisions_table(replace(reading_room, checks=checks)).rows}
    assert {
        "made 0: s, 31 N (at least 44.5 N)",
        "made 1: s, 4.80 times (at most 1.00 times)",
        "made 2: s, 1.0004 of design (at most 1.0000 of design)",
        "made 3: s, p 2e-05 (at least p 0.001)",
    } <= told


def test_what_fails_stands_before_what_is_referred(reading_room: Answer) -> None:
    checks = reading_room.checks.copy()
    last = checks.index[checks["verdict"] == "ok"][-1]
    checks.loc[last, "verdict"] = "fail"
    rows = decisions_table(replace(reading_room, checks=checks)).rows
    assert "fail" in rows[0][0]
    assert "refer" in rows[-1][0]


def test_what_is_passed_is_counted(reading_room: Answer) -> None:
    checks = reading_room.checks
    passed = checks.loc[checks["verdict"] == "ok", "check"].value_counts()
    said = passed_words(reading_room)
    for check, count in passed.items():
        assert f"{check} ({count})" in said


def test_no_floor_is_approved(reading_room: Answer) -> None:
    strong = [p.text for p in check_parts(reading_room) if isinstance(p, Words) and p.strong]
    assert any("approves no floor and no structure" in text for text in strong)
