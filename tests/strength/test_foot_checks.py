"""Screw feet: what they and the boards under their plates bear, and what travel is left."""

import math
from collections.abc import Callable, Mapping
from typing import Any

import pytest

from kit.base.checks import Check
from kit.base.footing import Footing
from kit.base.layout import Layout, lay_out
from kit.job import Floor, Foot, Job
from kit.strength.direct import loads_apart
from kit.strength.foot_checks import (
    BOARD,
    BOARD_IDLE,
    LOAD,
    LOAD_IDLE,
    FootAt,
    foot_checks,
    idle_loads_n,
    square_mm,
    travel_checks,
)

PLATE = 50.0
BOARDED = Floor(kind="boarded", board_mm=21.0, board_strength_class="C16")


def layout_of(job: Job) -> Layout:
    return lay_out(job, job.bases[0], Footing(PLATE, (PLATE, PLATE), joined=False, shared=False))


def feet_on(layout: Layout, kind: Mapping[str, Any], **set_mm: float) -> list[FootAt]:
    foot = Foot.model_validate({"low_mm": 40.0, "high_mm": 65.0, **kind})
    rows = zip(layout.supports["support"], layout.supports["bearer"], strict=True)
    return [FootAt(name, row, foot, set_mm.get(name, 50.0)) for name, row in rows]


def rows_of(
    job: Job, kind: Mapping[str, Any], floor: Floor = BOARDED
) -> dict[tuple[str, str], Check]:
    layout = layout_of(job)
    found = foot_checks(layout, loads_apart(layout), feet_on(layout, kind), floor, 1)
    return {(row.check, row.subject.split(":")[0]): row for row in found}


def test_loads_by_hand_against_the_makers_figure(job_of: Callable[..., Job]) -> None:
    # rows at 45 + 25 = 70 and 320 - 55 - 25 = 240; centre of gravity 138: 0.6 behind, 0.4 before
    # division at 300 of 900, sides of 20: strips of 155, 440 and 305
    job = job_of({"divisions_mm": (300.0,), "centre_of_gravity_mm": 138.0})
    rows = rows_of(job, {"bears_n": 400.0})
    design = 9.81 * (1.35 * 30 + 1.5 * 60)  # contents that are stored or of people alike
    back, front = rows[LOAD, "B"], rows[LOAD, "F"]
    assert back.subject == "B: B2"
    assert back.value == pytest.approx(design * 0.6 * 440 / 900)
    assert front.value == pytest.approx(design * 0.4 * 440 / 900)
    assert (back.limit, back.verdict, front.verdict) == (400.0, "ok", "ok")
    assert rows_of(job, {"bears_n": 370.0})[LOAD, "B"].verdict == "refer"
    assert back.value > 370.0


def test_with_others_idle_one_foot_may_carry_half_of_a_unit(job_of: Callable[..., Job]) -> None:
    # no division: feet at 25 and 875 of 900. On three corners each end of the unit holds up half
    # of it: alone at the end with one foot, that has all of the half, but no more than its row
    job = job_of({"centre_of_gravity_mm": 138.0})
    layout = layout_of(job)
    design = 9.81 * (1.35 * 30 + 1.5 * 60)
    found = idle_loads_n(layout, 1.35, 1.5)
    assert found["B1"] == pytest.approx(0.5 * design)
    assert found["F2"] == pytest.approx(0.4 * design)
    rows = rows_of(job, {"bears_n": 600.0})
    assert rows[LOAD_IDLE, "B"].value == pytest.approx(0.5 * design)
    assert rows[LOAD_IDLE, "B"].verdict == "refer"
    assert rows[LOAD, "B"].verdict == "ok"


def test_without_the_makers_figure_nothing_is_checked(job_of: Callable[..., Job]) -> None:
    row = rows_of(job_of({}), {})[LOAD, "F"]
    assert row.verdict == "not_checked"
    assert math.isnan(row.limit)
    assert row.value > 0
    assert "no bears_n given of the foot 40-65 mm" in row.source


def test_a_weak_kind_among_strong_ones_is_the_one_that_is_named(job_of: Callable[..., Job]) -> None:
    layout = layout_of(job_of({"divisions_mm": (300.0,)}))
    feet = feet_on(layout, {"bears_n": 2000.0})
    weak = Foot(low_mm=40.0, high_mm=65.0, bears_n=100.0)
    feet[0] = FootAt("B1", "B", weak, 50.0)
    found = foot_checks(layout, loads_apart(layout), feet, Floor(kind="solid"), 1)
    first = next(row for row in found if row.check == LOAD)
    assert (first.subject, first.limit, first.verdict) == ("B: B1", 100.0, "refer")


def test_a_plate_presses_on_boards_over_its_own_area(job_of: Callable[..., Job]) -> None:
    job = job_of({"contents_are": "stored"})
    row = rows_of(job, {"plate_mm": 30.0})["bearing on board", "F"]
    load = 9.81 * (1.35 * 30 + 1.5 * 60) * (160 - 70) / (240 - 70) / 2
    # EN 338 C16: 2.2 N/mm2 across the grain; EN 1995-1-1: kmod 0.7 for stored goods, 1.3; round
    strength = 2.2 * 0.7 / 1.3
    assert row.value == pytest.approx(load / (math.pi * 30**2 / 4 * strength))
    assert "square of equal area" in row.source
    along, across = square_mm(30.0)
    assert along * across == pytest.approx(math.pi * 15**2)


@pytest.mark.parametrize(("contents", "k"), [("stored", 0.7), ("people", 0.8)])
def test_boards_are_judged_with_other_feet_idle_too(
    contents: str, k: float, job_of: Callable[..., Job]
) -> None:
    # As above: half of the unit on B1 or B2 alone, its front row's 0.4 on F1 or F2. All bearing,
    # each corner of the back row has 0.3 of it.
    job = job_of({"centre_of_gravity_mm": 138.0, "contents_are": contents})
    rows = rows_of(job, {"plate_mm": 25.0})
    design = 9.81 * (1.35 * 30 + 1.5 * 60)
    # EN 338 C16: 2.2 N/mm2 across the grain; EN 1995-1-1 table 3.1: kmod 0.7 for stored goods,
    # 0.8 for people; gamma_M 1.3; round-off
    bears = math.pi * 25**2 / 4 * 2.2 * k / 1.3
    assert rows[BOARD_IDLE, "B"].value == pytest.approx(0.5 * design / bears)
    assert rows[BOARD_IDLE, "F"].value == pytest.approx(0.4 * design / bears)
    assert rows[BOARD, "B"].value == pytest.approx(0.3 * design / bears)
    small = rows_of(job, {"plate_mm": 22.0})
    assert (small[BOARD, "B"].verdict, small[BOARD_IDLE, "B"].verdict) == ("ok", "refer")
    assert "stiff carcass on any three of its feet" in rows[BOARD_IDLE, "B"].source


def test_solid_floors_have_no_boards_and_unknown_boards_are_not_checked(
    job_of: Callable[..., Job],
) -> None:
    solid = rows_of(job_of({}), {}, Floor(kind="solid"))
    assert {check for check, _ in solid} == {LOAD, LOAD_IDLE}
    unknown = rows_of(job_of({}), {}, Floor(kind="boarded", board_mm=21.0))
    assert unknown["bearing on board", "B"].verdict == "not_checked"


def test_travel_left_is_told_for_the_worst_foot_of_each_row(job_of: Callable[..., Job]) -> None:
    layout = layout_of(job_of({}))
    feet = feet_on(layout, {}, B1=41.5, B2=62.9, F1=42.0, F2=63.0)
    rows = {(row.check, row.subject): row for row in travel_checks(feet)}
    up, down = "travel left of a foot, up", "travel left of a foot, down"
    assert rows[up, "B: B2"].value == pytest.approx(2.1)
    assert rows[down, "B: B1"].value == pytest.approx(1.5)
    assert [rows[key].verdict for key in ((up, "B: B2"), (down, "B: B1"))] == ["ok", "refer"]
    assert rows[up, "F: F2"].verdict == rows[down, "F: F1"].verdict == "ok"  # 2 mm, closed
    assert "set to 41.5 mm" in rows[down, "B: B1"].source
