"""A screw that draws a bearer down onto a low stack."""

from __future__ import annotations

import pytest

from kit.strength.screw_checks import screw_checks
from kit.strength.timber import C16

G = 9.81


def screw_row(laid, points, diameter, bearer="B"):
    rows = list(screw_checks(laid, points, C16, diameter, 1))
    return next(row for row in rows if row.subject.startswith(bearer))


def test_a_screw_that_draws_the_bearer_down(job_of, laid_of):
    """Two spans of 412.5 mm, middle stack 0.9 mm low: 48 EI d / (2L)³ less 5/8 of the weight."""
    _, laid = laid_of(job_of({"mass_kg": 0.0, "contents_kg": 0.0}), B2=-0.9)
    span, ei = 412.5, 8000 * 30000
    w = 370e-9 * G * 900
    over = w * 37.5**2 / 2
    carried = 2 * (5 / 8 * w * span) - 2 * (1.5 * over / span)  # what hangs over lifts the middle
    pull = 48 * ei * 0.9 / (2 * span) ** 3 - carried
    row = screw_row(laid, {"B2": 40.0}, None)
    assert (row.subject, row.verdict) == ("B: B2", "not_checked")
    assert row.value == pytest.approx(pull, rel=1e-9)
    assert row.source == "no stock.screw_diameter_mm given"
    assert screw_row(laid, {}, 5.0).source == "no bearer screw from stock serves there"
    short = screw_row(laid, {"B2": 12.0}, 5.0)
    assert short.verdict == "not_checked"
    assert "6 d = 30 mm" in short.source
    held = screw_row(laid, {"B2": 40.0}, 5.0)
    assert held.value == pytest.approx(pull, rel=1e-9)  # NDS: against unfactored loads
    assert held.verdict == "ok"
    assert "packers taken as C16" in held.source
    factored = screw_row(laid, {"B2": 40.0}, 6.0)
    assert factored.value == pytest.approx(1.35 * pull, rel=1e-9)  # EN 1995: design loads


def test_no_pull_where_all_tops_are_level(job_of, laid_of):
    _, laid = laid_of(job_of())
    assert screw_row(laid, {"B1": 40.0, "B2": 40.0, "B3": 40.0}, 5.0, "F").value == 0.0
