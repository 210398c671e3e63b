"""Joists under a base: sag, settlement, stress, by hand and by what must hold in any room."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.job import Joists, Refusal
from kit.strength.beam import Loads
from kit.strength.joists import JoistWork, Pressed, beam_of, joists_under
from kit.strength.line import held

JOISTS = Joists(
    along="y",
    width_mm=47.0,
    depth_mm=195.0,
    centres_mm=400.0,
    first_mm=150.0,
    bearing_mm=(-60.0, 2100.0, 3700.0),
    strength_class="C16",
)
SIMPLE = JOISTS.model_copy(update={"bearing_mm": (0.0, 3600.0)})

BASE = (
    Pressed("B1", "B", 40.0, 67.0, 110.0, 330.0, 0.0),
    Pressed("B2", "B", 480.0, 67.0, 180.0, 420.0, 90.0),
    Pressed("B3", "B", 1010.0, 67.0, 70.0, 210.0, 0.0),
    Pressed("M1", "M", 480.0, 390.0, 60.0, 150.0, 0.0),
    Pressed("F1", "F", 40.0, 720.0, 120.0, 310.0, 40.0),
    Pressed("F2", "F", 660.0, 720.0, 190.0, 510.0, 0.0),
    Pressed("F3", "F", 1010.0, 760.0, 80.0, 260.0, 0.0),
)

# Stacks of any room, some before the first joist, some with nothing on them.
ANY = st.lists(
    st.tuples(
        st.sampled_from("BMFD"),
        st.floats(-50.0, 4000.0),  # 200 mm before the first joist, half the centres
        st.floats(-60.0, 3700.0),
        st.floats(0.0, 900.0),
        st.floats(0.0, 2500.0),
        st.floats(0.0, 800.0),
    ),
    min_size=1,
    max_size=8,
).map(lambda rows: [Pressed(f"S{number}", *row) for number, row in enumerate(rows)])


def work_of(pressed, joists: Joists = JOISTS, service_class: int = 1) -> JoistWork:
    work = joists_under(joists, "boarded", pressed, service_class)
    assert isinstance(work, JoistWork)
    return work


def scaled(pressed, factor: float) -> list[Pressed]:
    return [
        replace(
            one,
            permanent_n=factor * one.permanent_n,
            stored_n=factor * one.stored_n,
            people_n=factor * one.people_n,
        )
        for one in pressed
    ]


def settled(work: JoistWork) -> np.ndarray:
    """Inst and final of each stack, by its name."""
    return np.array([[s.inst_mm, s.final_mm] for _, s in sorted(work.stacks.items())])


def test_one_stack_between_two_joists() -> None:
    """C16, E 8000, G 500: w = P a²b²/(3 E I L) + P a b / (L G A / 1.2), each joist its part."""
    stack = Pressed("F1", "F", 250.0, 900.0, 400.0, 1000.0, 200.0)
    work = work_of([stack], SIMPLE, 2)
    a, b = 900.0, 2700.0
    ei, ga = 8000 * 47 * 195**3 / 12, 500 * 47 * 195 / 1.2
    each_n = (a * b) ** 2 / (3 * ei * (a + b)) + a * b / ((a + b) * ga)
    first, second = work.joists
    assert (first.across_mm, second.across_mm) == (150.0, 550.0)
    (near,), (far,) = first.carries, second.carries
    assert (near.support, near.share, near.along_mm, near.force_n) == ("F1", 0.75, 900.0, 1200.0)
    # Closed forms: round-off only.
    assert near.inst_mm == pytest.approx(1200.0 * each_n, rel=1e-9)
    assert far.inst_mm == pytest.approx(400.0 * each_n, rel=1e-9)
    # The stack goes down by 3/4 of one and 1/4 of the other.
    assert work.stacks["F1"].inst_mm == pytest.approx(1000.0 * each_n, rel=1e-9)
    # kdef 0.8 in service class 2; psi2 0.8 of what is stored, 0.3 of people.
    crept = 400.0 * 1.8 + 1000.0 * 1.64 + 200.0 * 1.24
    assert near.creep_n == pytest.approx(0.75 * crept)
    assert near.final_mm == pytest.approx(0.75 * crept * each_n, rel=1e-9)
    assert work.stacks["F1"].final_mm == pytest.approx((0.5625 + 0.0625) * crept * each_n)


def test_what_lies_where() -> None:
    work = work_of(BASE)
    assert [joist.across_mm for joist in work.joists] == [150.0, 550.0, 950.0, 1350.0]
    assert [joist.number for joist in work.joists] == [1, 2, 3, 4]
    on = [{c.support: round(c.share, 4) for c in joist.carries} for joist in work.joists]
    assert on == [
        {"B1": 1.0, "B2": 0.175, "M1": 0.175, "F1": 1.0},
        {"B2": 0.825, "M1": 0.825, "F2": 0.725},
        {"B3": 0.85, "F2": 0.275, "F3": 0.85},
        {"B3": 0.15, "F3": 0.15},
    ]
    assert work.before_first == ("B1", "F1")
    assert work.off_joist == ("B1", pytest.approx(86.5))  # 150 - 23.5 - 40
    assert work.settled
    assert work.service_class == 1


def test_each_joist_against_the_beam_alone() -> None:
    work = work_of(BASE)
    beam = beam_of(JOISTS)
    for joist in work.joists:
        points = tuple((c.along_mm, c.force_n) for c in joist.carries)
        line = held(beam, Loads(points), [0.0] * 3)
        for part in joist.carries:
            # Fractions of a millimetre: round-off.
            assert part.inst_mm == pytest.approx(-float(line.height_mm(part.along_mm)), abs=1e-9)
        # What comes down on the bearings is what stands on the joist.
        assert line.reactions_n.sum() == pytest.approx(sum(c.force_n for c in joist.carries))
        finals = work.sag_final_mm(joist, [c.along_mm for c in joist.carries])
        assert finals == pytest.approx([c.final_mm for c in joist.carries], abs=1e-9)
        deepest = float(work.sag_final_mm(joist, joist.greatest_at_mm))
        assert deepest == pytest.approx(joist.greatest_final_mm, abs=1e-9)


def test_all_that_presses_stands_on_a_joist() -> None:
    work = work_of(BASE)
    carried = sum(part.force_n for joist in work.joists for part in joist.carries)
    assert carried == pytest.approx(sum(stack.total_n for stack in BASE), rel=1e-12)


def test_rows_settle_as_their_stacks_do() -> None:
    work = work_of(BASE)
    front = [work.stacks[name].inst_mm for name in ("F1", "F2", "F3")]
    back = [work.stacks[name].inst_mm for name in ("B1", "B2", "B3")]
    (settlement,) = work.settlements
    assert settlement.front.inst_mm == (math.fsum(front) / 3, min(front), max(front))
    assert work.front_lift_mm() == pytest.approx(sum(front) / 3 - sum(back) / 3, rel=1e-12)
    assert work.front_lift_mm() > 0  # the back row stands near the bearings
    assert work.said == settlement.said_in("{:.2f} mm".format)


def test_a_room_the_other_way_round_is_the_same_room() -> None:
    """x and y change places: joists along x carry what joists along y carried."""
    turned = [replace(stack, x_mm=stack.y_mm, y_mm=stack.x_mm) for stack in BASE]
    other = work_of(turned, JOISTS.model_copy(update={"along": "x"}))
    assert settled(other) == pytest.approx(settled(work_of(BASE)), rel=1e-12)
    assert other.grid.across == "y"


def test_a_mirrored_room() -> None:
    """Turned end for end along the joists: bearings from the other side, sag at the same stacks."""
    mirrored = [replace(stack, y_mm=-stack.y_mm) for stack in BASE]
    joists = JOISTS.model_copy(update={"bearing_mm": (-3700.0, -2100.0, 60.0)})
    here, there = work_of(BASE), work_of(mirrored, joists)
    assert settled(there) == pytest.approx(settled(here), rel=1e-9)
    for one, other in zip(here.joists, there.joists, strict=True):
        assert other.greatest_at_mm == pytest.approx(-one.greatest_at_mm, abs=1e-4)  # flat there
        assert other.bending.ratio == pytest.approx(one.bending.ratio, rel=1e-9)
        assert other.shear.ratio == pytest.approx(one.shear.ratio, rel=1e-9)


def test_mirrored_across_the_joists() -> None:
    """The first joist of one room is the last that carries anything in the other."""
    within = [replace(stack, x_mm=stack.x_mm + 200.0) for stack in BASE]
    mirrored = [replace(stack, x_mm=1500.0 - stack.x_mm) for stack in within]
    here = work_of(within)
    there = work_of(mirrored, JOISTS.model_copy(update={"first_mm": 1500.0 - 1350.0}))
    assert settled(there) == pytest.approx(settled(here), rel=1e-9)


@given(pressed=ANY, factor=st.floats(0.0, 4.0))
def test_settlement_is_linear_in_the_loads(pressed, factor) -> None:
    once, more = settled(work_of(pressed)), settled(work_of(scaled(pressed, factor)))
    assert more == pytest.approx(factor * once, rel=1e-9, abs=1e-9)  # round-off


@given(pressed=ANY)
def test_settlement_adds_up_stack_by_stack(pressed) -> None:
    """What all do together is the sum of what each does alone, all others standing unloaded."""
    alone = [
        settled(work_of([one if one is loaded else scaled([one], 0.0)[0] for one in pressed]))
        for loaded in pressed
    ]
    assert sum(alone) == pytest.approx(settled(work_of(pressed)), abs=1e-9)  # round-off


@given(pressed=ANY, service_class=st.sampled_from([1, 2, 3]))
def test_final_is_never_less_and_no_stack_rises_under_its_own_load(pressed, service_class) -> None:
    for loaded in pressed:
        work = work_of([loaded], service_class=service_class)
        sag = work.stacks[loaded.support]
        assert sag.final_mm >= sag.inst_mm >= -1e-12


@given(pressed=ANY)
def test_reciprocity_across_joists(pressed) -> None:
    """1 kN on stack i lowers j as 1 kN on j lowers i, through boards and joists (Maxwell)."""
    names = [stack.support for stack in pressed]
    bare = scaled(pressed, 0.0)
    table = np.array(
        [
            [
                work_of([replace(s, stored_n=1000.0 * (s.support == loaded)) for s in bare])
                .stacks[name]
                .inst_mm
                for name in names
            ]
            for loaded in names
        ]
    )
    assert table == pytest.approx(table.T, abs=1e-9)  # some millimetres at most: round-off


def test_where_a_stack_stands_beyond_the_bearings() -> None:
    pressed = [*BASE, Pressed("B4", "B", 1400.0, -61.1, 50.0, 100.0)]
    work = work_of(pressed)
    out = [joist for joist in work.joists if not joist.computed]
    assert [(joist.number, joist.beyond) for joist in out] == [(4, ("B4",)), (5, ("B4",))]
    figures = [out[0].greatest_final_mm, out[0].span_mm, out[0].bending.ratio, out[0].shear.kmod]
    assert all(math.isnan(figure) for figure in figures)
    # B3 and F3 stand on the fourth joist too; the others go on as before.
    unknown = {name for name, sag in work.stacks.items() if math.isnan(sag.inst_mm)}
    assert unknown == {"B3", "F3", "B4"}
    assert work.stacks["F1"] == work_of(BASE).stacks["F1"]
    assert not work.settled
    with pytest.raises(Refusal, match="not computed"):
        work.front_lift_mm()
    assert np.isnan(work.sag_final_mm(out[0], [100.0, 200.0])).tolist() == [True, True]


def test_all_stacks_beyond_the_bearings() -> None:
    work = work_of([replace(stack, y_mm=-500.0) for stack in BASE])
    assert not any(joist.computed for joist in work.joists if joist.carries)
    assert all(math.isnan(sag.final_mm) for sag in work.stacks.values())


def test_too_far_before_the_first_joist() -> None:
    """Up to 200 mm, half the centres, the first joist carries it; 3 m before it nobody knows."""
    joists = JOISTS.model_copy(update={"first_mm": 3000.0})
    near = Pressed("F4", "F", 2800.0, 720.0, 120.0)
    pressed = [
        Pressed("B1", "B", 100.0, 67.0, 110.0),
        near,
        Pressed("F5", "F", 3400.0, 720.0, 50.0),
    ]
    work = work_of(pressed, joists)
    first, second = work.joists
    assert (first.computed, first.before, first.beyond) == (False, (("B1", 2900.0),), ())
    assert (second.computed, second.before) == (True, ())
    assert work.before_first == ("F4",)
    unknown = {name for name, sag in work.stacks.items() if math.isnan(sag.inst_mm)}
    assert unknown == {"B1", "F4"}  # F4 on the same joist, as beyond a bearing
    with pytest.raises(Refusal, match="back row: B1 stands on joists that are not computed"):
        work.front_lift_mm()
    alone = work_of([near], joists)
    assert alone.joists[0].computed
    assert alone.stacks["F4"].inst_mm > 0
    further = work_of([replace(near, x_mm=2799.9)], joists)
    assert further.joists[0].before == (("F4", pytest.approx(200.1)),)


def test_what_stands_out_on_both_axes_is_named_for_both() -> None:
    work = work_of([*BASE, Pressed("D1", "D", -51.0, -61.1, 5.0)])
    assert (work.joists[0].beyond, work.joists[0].before) == (("D1",), (("D1", 201.0),))


def test_each_run_settles_by_itself() -> None:
    """Two runs on other parts of the same joists, with unequal counts of stacks."""
    own = [replace(stack, run="A") for stack in BASE]
    deeper = [
        replace(stack, support=f"b{stack.support}", run="B", y_mm=stack.y_mm + 900.0)
        for stack in BASE
        if stack.support not in ("B3", "F3", "M1")
    ]
    both = work_of([*own, *deeper])
    assert [one.run for one in both.settlements] == ["A", "B"]
    for one, label in zip(both.settlements, ("", "b"), strict=True):
        names = [f"{label}F1", f"{label}F2"] + ["F3"] * (not label)
        mean = sum(both.stacks[name].inst_mm for name in names) / len(names)
        assert one.front.mean_inst_mm == pytest.approx(mean, rel=1e-12)
    a, b = (one.front_drop_mm for one in both.settlements)
    assert abs(a - b) > 0.02  # each goes down its own way
    assert both.said.startswith("run A: at full contents")
    assert "; run B: at full contents" in both.said


def test_two_runs_alike_and_mirrored_want_the_lift_of_one() -> None:
    """The other run stands across the room, its front towards this one: by symmetry the same."""
    joists = SIMPLE.model_copy(update={"first_mm": -50.0})
    here = [replace(stack, run="A") for stack in BASE]
    there = [
        replace(stack, support=f"b{stack.support}", run="B", y_mm=3600.0 - stack.y_mm)
        for stack in BASE
    ]
    a, b = work_of([*here, *there], joists).settlements
    assert b.front_drop_mm == pytest.approx(a.front_drop_mm, rel=1e-9)
    assert b.front_drop_final_mm == pytest.approx(a.front_drop_final_mm, rel=1e-9)
    assert a.front_drop_mm > 0


def test_rows_between_load_the_joists_and_settle_no_row() -> None:
    """A middle row adds to what back and front go down; heights of its own stacks do not count."""
    with_middle, without = work_of(BASE), work_of([one for one in BASE if one.row != "M"])
    (one,), (other,) = with_middle.settlements, without.settlements
    assert one.front.mean_inst_mm > other.front.mean_inst_mm
    idle = [replace(s, permanent_n=0.0, stored_n=0.0) if s.row == "M" else s for s in BASE]
    (unloaded,) = work_of(idle).settlements
    assert unloaded.front_drop_mm == pytest.approx(other.front_drop_mm, rel=1e-12)


def test_within_a_millimetre_of_the_bearing_is_on_it() -> None:
    work = work_of([Pressed("B1", "B", 300.0, -61.0, 500.0)])
    assert work.stacks["B1"].inst_mm == pytest.approx(0.0, abs=1e-12)


def test_floor_itself_and_its_use_add_no_settlement() -> None:
    heavy = JOISTS.model_copy(update={"dead_kn_per_m2": 3.0, "imposed_kn_per_m2": 5.0})
    assert settled(work_of(BASE, heavy)).tolist() == settled(work_of(BASE)).tolist()
    assert work_of(BASE, heavy).joists[1].bending.ratio > work_of(BASE).joists[1].bending.ratio


def test_what_is_refused() -> None:
    with pytest.raises(Refusal, match="each name once"):
        joists_under(JOISTS, "boarded", [BASE[0], replace(BASE[1], support="B1")], 1)
    with pytest.raises(Refusal, match=r"service class.*4"):
        joists_under(JOISTS, "boarded", BASE, 4)
