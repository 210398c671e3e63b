"""Words of strength: signs told as words, settlement in the job's units."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

import kit
from kit.answer import Answer
from kit.show.lengths import Units
from kit.show.strength_words import (
    rocking_words,
    settlement_words,
    shim_words,
    way_words,
    worst_span,
)
from kit.strength.bearers import Rocking
from kit.strength.joists import JoistWork, NoJoists

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="module")
def room() -> Answer:
    """Return the reading room, on joists."""
    return kit.solve(kit.read_job(DATA / "reading-room"))


@pytest.mark.parametrize(
    ("mm", "units", "text"),
    [
        (0.281, "mm", "0.28 up"),
        (-0.281, "mm", "0.28 down"),
        (0.004, "mm", "0.00 none"),
        (-0.004, "mm", "0.00 none"),
        (-0.281, "in", "0.011 down"),
        (math.nan, "mm", "–"),
    ],
)
def test_signs_are_words(mm: float, units: Units, text: str) -> None:
    assert way_words(mm, units, "up", "down", "none") == text


def test_shims_and_rocking() -> None:
    assert shim_words(0.215, "mm") == "shim 0.21 mm"  # binary: just under 0.215
    assert shim_words(0.215, "in") == "shim 0.008 in"
    assert shim_words(0.004, "mm") == "just touches"
    rocking = Rocking("B3", "B1", "B5", 0.508, 1.27)
    assert rocking_words(rocking, "in") == "rocks on B3: 0.020 in over B1 or 0.050 in over B5"


def test_settlement_says_the_same_as_the_sums_in_either_unit(room: Answer) -> None:
    work = room.strength.joists
    assert isinstance(work, JoistWork)
    said = settlement_words(work, "mm")
    for figure in (
        work.settlement.front.mean_inst_mm,
        work.settlement.back.mean_inst_mm,
        work.settlement.front_drop_mm,
        work.settlement.front.differs_mm,
    ):
        assert f"{figure:.2f} mm" in said
        assert f"{figure:.2f} mm" in work.said
        assert f"{figure / 25.4:.3f} in" in settlement_words(work, "in")
    turned = replace(work.settlement, back=work.settlement.front, front=work.settlement.back)
    assert "a front lift of 0 answers it" in settlement_words(
        replace(work, settlement=turned), "mm"
    )


def test_settlement_that_is_not_known_has_its_reason(room: Answer) -> None:
    reason = "no [floor.joists] given"
    assert settlement_words(NoJoists(reason), "in") == f"Settlement not known: {reason}."
    work = room.strength.joists
    assert isinstance(work, JoistWork)
    nan = (math.nan, math.nan, math.nan)
    front = replace(work.settlement.front, inst_mm=nan, final_mm=nan)
    out = replace(work, settlement=replace(work.settlement, front=front))
    assert settlement_words(out, "mm") == (
        "Settlement not known: a row stands on joists that are not computed."
    )


def test_worst_span_is_the_one_that_sags_most_for_its_length(room: Answer) -> None:
    # On bearer F, piece 1, F4 to F5; a longer one that sags a little more is not worse.
    one = room.strength.laid[2]
    (span,) = worst_span(one)
    assert span.sag_mm / span.length_mm == max(s.sag_mm / s.length_mm for s in one.spans)
    assert (span.left, span.right) == ("F4", "F5")
