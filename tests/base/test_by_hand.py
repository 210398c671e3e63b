"""Stacks moved by hand: where they stand, what they carry, and why they cannot stand there."""

from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.base.layout import Layout, lay_out, set_out
from kit.base.moves import kept_moves
from kit.job import Job, PlacedProblem, Refusal

#: Two cases of 900 and 1100: sides at 9, 900 (shared), 1991; packers of 75.
UNITS = (
    {"name": "left", "width_mm": 900.0, "depth_mm": 320.0, "height_mm": 1000.0, "mass_kg": 50.0},
    {"name": "right", "width_mm": 1100.0, "depth_mm": 320.0, "height_mm": 1000.0, "mass_kg": 70.0},
)


def job_of(*moves: tuple[str, float, float], **changes: Any) -> Job:
    moved = tuple({"bearer": b, "from_mm": a, "to_mm": z} for b, a, z in moves)
    base = {"name": "b", "height_mm": (50.0, 70.0), "max_span_mm": 600.0, "moved": moved}
    run = {"name": "A", "origin_mm": (200.0, 30.0), "direction_deg": 0.0, "unit": UNITS}
    return Job.model_validate(
        {
            "schema": 1,
            "title": "market hall",
            "floor": {"kind": "solid"},
            "survey": ({"kind": "heights", "file": "h.csv"},),
            "run": ({**run, **changes.pop("run", {})},),
            "base": ({**base, **changes.pop("base", {})},),
            "stock": {"packers": ({"mm": 3.0},)},
            "folder": Path(),
            **changes,
        }
    )


def layout_of(*moves: tuple[str, float, float], **changes: Any) -> Layout:
    job = job_of(*moves, **changes)
    return lay_out(job, job.bases[0])


def wrong_with(*moves: tuple[str, float, float], **changes: Any) -> list[PlacedProblem]:
    job = job_of(*moves, **changes)
    problems = set_out(job, job.bases[0])[1]
    with pytest.raises(Refusal) as refused:
        lay_out(job, job.bases[0])
    assert refused.value.problems == problems
    return [problem for problem in problems if isinstance(problem, PlacedProblem)]


def test_a_moved_stack_stands_where_it_was_moved_to_and_says_so() -> None:
    before = layout_of().supports.set_index("support")
    after = layout_of(("B", 900.0, 922.5), ("F", 450.0 + 18.75, 500.0)).supports
    after = after.set_index("support")
    assert list(after.index) == list(before.index)
    assert after.loc["B3", "own_x_mm"] == 922.5
    assert after.loc["B3", "x_mm"] == 1122.5  # the run begins at x = 200
    assert after.loc["B3", "rules_mm"] == 900.0
    assert after.loc["B3", "reasons"] == "side+by_hand"
    assert after.loc["F2", "own_x_mm"] == 500.0
    others = after.index.difference(["B3", "F2"])
    assert after.loc[others].equals(before.loc[others])
    # A panel brings its load down through its own stack, wherever under it that lies.
    assert after["load_N"].to_list() == before["load_N"].to_list()


@pytest.mark.parametrize(
    ("move", "support", "found", "allowed"),
    [
        (("B", 900.0, 937.6), "B3", "the side or division at 891 mm", "within 37.5 mm"),
        (("B", 900.0, 850.0), "B3", "the side or division at 891, 909 mm", "within 37.5 mm"),
        (("B", 468.75, 290.0), "B2", "a span of 610 mm from 290 to 900 mm", "max_span_mm = 600"),
        (("F", 468.75, 830.0), "F2", "packers that overlap: 70 mm", "at least 75 mm"),
        (("F", 1962.5, 1970.0), "F5", "do not lie whole under bearer F", "from 37.5 to 1962.5"),
    ],
)
def test_what_cannot_be_is_told_with_its_place(
    move: tuple[str, float, float], support: str, found: str, allowed: str
) -> None:
    problems = wrong_with(move)
    told = [p for p in problems if found in p.found]
    assert len(told) == 1
    assert told[0].support == support
    assert allowed in told[0].allowed
    assert told[0].at_mm[0] == pytest.approx(200.0 + move[2])
    row_y = {"B": 67.5, "F": 242.5}[move[0]]  # set-backs of 45 and 55, bearers 45 wide
    assert told[0].at_mm[1] == pytest.approx(30.0 + row_y)


def test_a_side_may_stay_as_far_from_its_stack_as_the_rules_had_it() -> None:
    # Let in by 40 mm the end stack lies at 77.5, 68.5 from its side: nearer is fine, further not.
    base = {"base": {"end_inset_mm": 40.0}}
    first = layout_of(**base).supports.iloc[0]
    assert first["own_x_mm"] == 77.5
    told = wrong_with(("B", 77.5, 79.0), **base)
    assert "the side or division at 9 mm" in told[0].found


def test_no_go_areas_hold_for_moved_stacks_too() -> None:
    area = {"name": "hatch", "corner_mm": (800.0, 30.0), "size_mm": (100.0, 320.0)}
    # run's own 600 to 700: packer centres from 562.5 to 737.5 are closed
    told = wrong_with(("B", 468.75, 600.0), no_go=(area,))
    assert [p.found for p in told] == ["at 600 mm, in the no-go area 'hatch'"]
    assert "562.5" in told[0].allowed
    assert "737.5" in told[0].allowed


def test_what_is_bridged_follows_the_lever_when_a_stack_moves() -> None:
    # The shared sides at 891 and 909 (one stack at 900) lie in an area of own 850 to 950:
    # stacks at 812.5 and 987.5 carry them, half each; moved to 800 the left arm is 12.5 longer.
    area = {"name": "hatch", "corner_mm": (1050.0, 30.0), "size_mm": (100.0, 320.0)}
    rules = layout_of(no_go=(area,)).supports.set_index("support")
    moved = layout_of(("B", 812.5, 800.0), no_go=(area,)).supports.set_index("support")
    names = {float(x): n for n, x in rules["rules_mm"].items() if n.startswith("B")}
    left, right = names[812.5], names[987.5]
    both = rules.loc[left, "load_N"] + rules.loc[right, "load_N"]
    assert rules.loc[left, "load_N"] == pytest.approx(both / 2)
    assert moved.loc[left, "load_N"] == pytest.approx(both * 87.5 / 187.5)
    assert moved.loc[right, "load_N"] == pytest.approx(both * 100.0 / 187.5)


def test_an_end_stack_that_carries_no_side_may_move_in_by_a_packer() -> None:
    # Two gaps of 300 at the ends: the bearer's ends carry nothing of the unit.
    units = ({**UNITS[0], "gap_before_mm": 300.0}, UNITS[1])
    run = {"run": {"unit": units}}
    assert layout_of(**run).supports.iloc[0]["reasons"] == "end"
    assert layout_of(("B", 37.5, 112.5), **run).supports.iloc[0]["own_x_mm"] == 112.5
    assert "from the end of bearer B" in wrong_with(("B", 37.5, 113.1), **run)[0].found


def test_moves_of_nothing_are_refused_with_what_is_there() -> None:
    job = job_of(("B", 901.0, 930.0), ("G", 37.5, 50.0))
    problems = set_out(job, job.bases[0])[1]
    words = [str(problem) for problem in problems]
    assert "no stack that the rules place there" in words[0]
    assert "37.5, 468.75, 900, " in words[0]
    assert "one of B, F" in words[1]
    rows = set_out(job, job.bases[0])[0]
    assert kept_moves(job.bases[0], rows.rows, rows.stands) == ()
    good = job_of(("B", 900.3, 930.0), ("B", 902.0, 930.0))
    rows = set_out(good, good.bases[0])[0]
    assert kept_moves(good.bases[0], rows.rows, rows.stands) == good.bases[0].moved[:1]


def test_the_wrong_stack_is_the_one_moved_further() -> None:
    told = wrong_with(("B", 468.75, 440.0), ("B", 900.0, 937.0), base={"max_span_mm": 480.0})
    spans = [p for p in told if "a span of 497 mm" in p.found]
    assert [p.support for p in spans] == ["B3"]


@given(to=st.floats(min_value=0.0, max_value=2000.0), row=st.sampled_from("BF"))
def test_a_move_is_refused_or_keeps_every_rule(to: float, row: str) -> None:
    job = job_of((row, 468.75, to))
    layout, problems = set_out(job, job.bases[0])
    places = sorted(layout.on_bearer(row)["own_x_mm"])
    gaps = [b - a for a, b in pairwise(places)]
    # 1e-6: places are compared to that
    fine = max(gaps) <= 600 + 1e-6 and min(gaps) >= 75 - 1e-6 and 37.5 <= to <= 1962.5
    order = layout.on_bearer(row)["own_x_mm"].is_monotonic_increasing
    assert bool(problems) != (fine and order)
