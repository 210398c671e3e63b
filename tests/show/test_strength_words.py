"""Words of strength: signs told as words, settlement in the job's units."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

import kit
from kit.answer import Answer
from kit.ink.lengths import Units
from kit.show.strength_words import (
    left_out_words,
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
    rocking = Rocking("B3", "B1", "B5", 0.508, 1.27, (("B1", 0.254), ("B5", 0.762)))
    assert rocking_words(rocking, "in") == (
        "rocks on B3: 0.020 in over B1 or 0.050 in over B5; shims as it lies: 0.010 in at B1,"
        " 0.030 in at B5"
    )


def test_settlement_says_the_same_as_the_sums_in_either_unit(room: Answer) -> None:
    work = room.strength.joists
    assert isinstance(work, JoistWork)
    (one,) = work.settlements
    said = settlement_words(work, "mm")
    assert said[1:] == f"{work.said[1:]}."
    for figure in (
        one.front.mean_inst_mm,
        one.back.mean_inst_mm,
        one.front_drop_mm,
        one.front.differs_mm,
    ):
        assert f"{figure:.2f} mm" in said
        assert f"{figure / 25.4:.3f} in" in settlement_words(work, "in")
    turned = replace(one, back=one.front, front=one.back)
    assert "more, which asks for no front lift" in settlement_words(
        replace(work, settlements=(turned,)), "mm"
    )


def test_each_run_settles_in_its_own_words(room: Answer) -> None:
    work = room.strength.joists
    assert isinstance(work, JoistWork)
    (one,) = work.settlements
    nan = (math.nan, math.nan, math.nan)
    out = replace(one.back, inst_mm=nan, unknown=("C-B1", "C-B4"))
    both = replace(work, settlements=(one, replace(one, run="C", back=out)))
    first, second = settlement_words(both, "in").split("; run C: ")
    assert first.startswith("Run A: at full contents the front row settles")
    assert second == (
        "settlement not known: back row: C-B1, C-B4 stand on joists that are not computed."
    )


def test_settlement_that_is_not_known_has_its_reason(room: Answer) -> None:
    reason = "no [floor.joists] given"
    assert settlement_words(NoJoists(reason), "in") == f"Settlement not known: {reason}."
    work = room.strength.joists
    assert isinstance(work, JoistWork)
    (one,) = work.settlements
    nan = (math.nan, math.nan, math.nan)
    front = replace(one.front, inst_mm=nan, final_mm=nan, unknown=("F2",))
    out = replace(work, settlements=(replace(one, front=front),))
    assert settlement_words(out, "mm") == (
        "Settlement not known: front row: F2 stands on joists that are not computed."
    )


def test_why_a_joist_is_left_out(room: Answer) -> None:
    work = room.strength.joists
    assert isinstance(work, JoistWork)
    one = replace(work.joists[0], beyond=("F1", "F2"), before=(("B1", 2921.0), ("B2", 1016.0)))
    assert left_out_words(one, "mm") == (
        "F1, F2 stand beyond its outermost bearings; B1 stands 2921 mm before the first joist, B2"
        " stands 1016 mm before the first joist"
    )
    assert left_out_words(replace(one, beyond=()), "in") == (
        "B1 stands 115 in before the first joist, B2 stands 40 in before the first joist"
    )


def test_worst_span_is_the_one_that_sags_most_for_its_length(room: Answer) -> None:
    # On bearer F, piece 1, F4 to F5; a longer one that sags a little more is not worse.
    one = room.strength.laid[2]
    (span,) = worst_span(one)
    assert span.sag_mm / span.length_mm == max(s.sag_mm / s.length_mm for s in one.spans)
    assert (span.left, span.right) == ("F4", "F5")
