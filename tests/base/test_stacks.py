"""The datum and the stacks against enumeration, against an integer programme, and by property."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from time import perf_counter

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import LinearConstraint, milp

from kit.base.stacks import PackerKind, StackPlan, StackRules, optimise_stacks, piece_curve
from kit.job.refusal import Refusal

CLOSED = 1e-9  # the allowance for round-off that the rules themselves state
SAME_MM = 2e-8  # twenty allowances: the enumeration adds floats in another order


def kinds(*thicknesses: float) -> list[PackerKind]:
    return [PackerKind(t, t) for t in thicknesses]


def names(count: int) -> list[str]:
    return [f"B{i + 1}" for i in range(count)]


def laid(plan: StackPlan, packers: Sequence[PackerKind]) -> list[tuple[float, ...]]:
    return [tuple(packers[i].thickness_mm for i in stack) for stack in plan.stacks]


def listed(plan: StackPlan, packers: Sequence[PackerKind]) -> list[tuple[float, ...]]:
    return [tuple(sorted(stack, reverse=True)) for stack in laid(plan, packers)]


@dataclass(frozen=True)
class Best:
    pieces: int
    error: float
    datum: float
    lists: tuple[tuple[float, ...], ...]


def enumerate_all(
    floor: Sequence[float],
    low: float,
    high: float,
    thick: Sequence[float],
    rules: StackRules,
) -> Best | None:
    """Every candidate datum, every stack at every support."""
    options = [
        (sum(c * t for c, t in zip(counts, thick, strict=True)), sum(counts), counts)
        for counts in product(range(rules.max_pieces + 1), repeat=len(thick))
        if 1 <= sum(counts) <= rules.max_pieces
    ]
    options = [
        o for o in options if rules.minimum_pack_mm - CLOSED <= o[0] <= rules.max_stack_mm + CLOSED
    ]
    shifts = (-rules.tolerance_mm, 0.0, rules.tolerance_mm)
    data = {low, high} | {f + o[0] + d for f in floor for o in options for d in shifts}
    best: Best | None = None
    for datum in sorted(d for d in data if low <= d <= high):
        found = _stacks_at(datum, floor, thick, options, rules.tolerance_mm)
        if found is None:
            continue
        pieces, error, lists = found
        if (
            best is None
            or pieces < best.pieces
            or (pieces == best.pieces and error < best.error - CLOSED)
        ):
            best = Best(pieces, error, datum, lists)
    return best


def _stacks_at(datum, floor, thick, options, tolerance):  # type: ignore[no-untyped-def]
    pieces, error, lists = 0, 0.0, []
    for height in floor:
        near = [o for o in options if abs(o[0] - (datum - height)) <= tolerance + CLOSED]
        if not near:
            return None
        fewest = min(o[1] for o in near)
        least = min(abs(o[0] - datum + height) for o in near if o[1] == fewest)
        lists.append(
            max(
                tuple(sorted((t for c, t in zip(o[2], thick, strict=True) for _ in range(c)))[::-1])
                for o in near
                if o[1] == fewest and abs(o[0] - datum + height) <= least + CLOSED
            )
        )
        pieces, error = pieces + fewest, error + least
    return pieces, error, tuple(lists)


hundredths = st.integers(-1200, 0).map(lambda k: k / 100)
thicknesses = st.lists(
    st.sampled_from([1.0, 1.02, 1.5, 2.0, 2.97, 3.0, 5.95, 6.0, 9.0, 12.7, 17.8]),
    min_size=1,
    max_size=3,
    unique=True,
)


@settings(max_examples=80, deadline=None)
@given(
    floor=st.lists(hundredths, min_size=1, max_size=3),
    thick=thicknesses,
    low=st.integers(200, 2500).map(lambda k: k / 100),
    width=st.sampled_from([0.0, 0.35, 2.0, 7.5]),
    tolerance=st.sampled_from([0.0, 0.01, 0.3, 0.5, 1.25]),
    max_pieces=st.integers(1, 4),
)
def test_small_cases_agree_with_enumeration(floor, thick, low, width, tolerance, max_pieces):
    rules = StackRules(tolerance, max_pieces, 32.5, 1.0)
    expected = enumerate_all(floor, low, low + width, thick, rules)
    packers, zero = kinds(*thick), np.zeros(len(floor))
    if expected is None:
        with pytest.raises(Refusal, match=r"job\.toml, (base|stock)\."):
            optimise_stacks(names(len(floor)), floor, zero, low, low + width, packers, rules)
        return
    plan = optimise_stacks(names(len(floor)), floor, zero, low, low + width, packers, rules)
    assert plan.pieces == expected.pieces
    assert plan.total_error_mm == pytest.approx(expected.error, abs=SAME_MM)
    assert plan.datum_mm == pytest.approx(expected.datum, abs=SAME_MM)
    assert listed(plan, packers) == list(expected.lists)
    assert any(a - CLOSED <= plan.datum_mm <= b + CLOSED for a, b in plan.feasible)


@settings(max_examples=40, deadline=None)
@given(
    floor=st.lists(st.floats(-9, 0), min_size=2, max_size=3),
    thick=st.lists(st.floats(0.8, 9), min_size=2, max_size=3, unique=True),
    low=st.floats(3, 14),
    tolerance=st.sampled_from([0.2, 0.5]),
)
def test_binary_fractions_agree_with_enumeration(floor, thick, low, tolerance):
    rules = StackRules(tolerance, 4, 30.0, 1.0)
    expected = enumerate_all(floor, low, low + 3, thick, rules)
    assume(expected is not None)
    assert expected is not None
    packers = kinds(*thick)
    plan = optimise_stacks(
        names(len(floor)), floor, 0 * np.array(floor), low, low + 3, packers, rules
    )
    assert plan.pieces == expected.pieces
    assert plan.total_error_mm == pytest.approx(expected.error, abs=SAME_MM)
    assert plan.datum_mm == pytest.approx(expected.datum, abs=SAME_MM)


def fewest_by_programme(
    floor: Sequence[float],
    low: float,
    high: float,
    packers: Sequence[PackerKind],
    rules: StackRules,
) -> int | None:
    """The straight formulation: a whole count for each support and kind, one free datum."""
    n, k = len(floor), len(packers)
    thick = np.array([p.thickness_mm for p in packers])
    sums = np.zeros((n, n * k + 1))
    number = np.zeros((n, n * k + 1))
    for i in range(n):
        sums[i, i * k : (i + 1) * k] = thick
        number[i, i * k : (i + 1) * k] = 1
    off = sums.copy()
    off[:, -1] = -1
    height = np.array(floor)
    rows = [
        LinearConstraint(off, -height - rules.tolerance_mm, -height + rules.tolerance_mm),
        LinearConstraint(sums, rules.minimum_pack_mm, rules.max_stack_mm),
        LinearConstraint(number, 1, rules.max_pieces),
    ]
    whole = np.append(np.ones(n * k), 0)
    lower, upper = np.zeros(n * k + 1), np.full(n * k + 1, float(rules.max_pieces))
    lower[-1], upper[-1] = low, high
    for j, packer in enumerate(packers):
        if packer.count is not None:
            row = np.zeros((1, n * k + 1))
            row[0, j : n * k : k] = 1
            rows.append(LinearConstraint(row, 0, packer.count))
    found = milp(
        whole,
        constraints=rows,
        integrality=whole,
        bounds=(lower, upper),
        options={"mip_rel_gap": 0},
    )
    return None if found.status == 2 else round(found.fun)


@pytest.mark.parametrize("seed", [3, 8, 21])
def test_fewest_packers_agree_with_integer_programme_on_a_datum_grid(seed):
    # Independent check: scipy.optimize.milp (HiGHS). The grid keeps 0.013 mm off every limit, more
    # than the programme's own feasibility tolerance of 1e-6.
    rng = np.random.default_rng(seed)
    floor = rng.integers(-180, 0, 25) / 10
    packers, rules = kinds(1.0, 3.0, 6.1, 17.8), StackRules(0.45, 9, 100, 3)
    for datum in np.arange(31.013, 45, 2.9):
        plan = optimise_stacks(names(25), floor, np.zeros(25), datum, datum, packers, rules)
        assert plan.pieces == fewest_by_programme(floor, datum, datum, packers, rules)


def test_free_datum_agrees_with_integer_programme():
    rng = np.random.default_rng(5)
    floor = rng.integers(-90, 0, 7) / 10
    packers, rules = kinds(1.0, 3.0, 6.0, 17.8), StackRules(0.5, 9, 100, 3)
    plan = optimise_stacks(names(7), floor, np.zeros(7), 20, 32, packers, rules)
    assert plan.pieces == fewest_by_programme(floor, 20, 32, packers, rules)


case = st.tuples(
    st.lists(hundredths, min_size=2, max_size=12),
    st.sampled_from([0.5, 0.65, 0.8]),  # whole millimetres leave no hole from 0.5 on
    st.floats(20, 45).map(lambda d: round(d, 2)),
)


@settings(max_examples=40, deadline=None)
@given(case=case, extra=st.sampled_from([0.5, 2.0, 4.2, 10.0, 25.0]))
def test_a_further_kind_never_costs_packers(case, extra):
    floor, tolerance, low = case
    rules, zero = StackRules(tolerance, 9, 100, 3), np.zeros(len(floor))
    few, more = kinds(1.0, 3.0, 6.0, 18.0), kinds(1.0, 3.0, 6.0, 18.0, extra)
    site = names(len(floor))
    before = optimise_stacks(site, floor, zero, low, low + 8, few, rules)
    after = optimise_stacks(site, floor, zero, low, low + 8, more, rules)
    assert after.pieces <= before.pieces


@settings(max_examples=40, deadline=None)
@given(case=case, rise=st.integers(-3000, 3000).map(lambda k: k / 100))
def test_raising_every_floor_raises_the_datum_alike(case, rise):
    floor, tolerance, low = np.array(case[0]), case[1], case[2]
    rules, zero, packers = (
        StackRules(tolerance, 9, 100, 3),
        np.zeros(len(case[0])),
        kinds(1, 3, 6, 18),
    )
    site = names(len(floor))
    plan = optimise_stacks(site, floor, zero, low, low + 8, packers, rules)
    raised = optimise_stacks(site, floor + rise, zero, low + rise, low + rise + 8, packers, rules)
    assert raised.stacks == plan.stacks
    assert raised.datum_mm == pytest.approx(plan.datum_mm + rise, abs=SAME_MM)


@settings(max_examples=40, deadline=None)
@given(case=case, seed=st.integers(0, 99))
def test_order_of_supports_changes_no_stack(case, seed):
    floor, tolerance, low = np.array(case[0]), case[1], case[2]
    lift = np.linspace(0, 1.5, len(floor)).round(2)
    rules, packers, site = StackRules(tolerance, 9, 100, 3), kinds(1, 3, 6, 18), names(len(floor))
    order = np.random.default_rng(seed).permutation(len(floor))
    plan = optimise_stacks(site, floor, lift, low, low + 8, packers, rules)
    mixed = optimise_stacks(
        [site[i] for i in order], floor[order], lift[order], low, low + 8, packers, rules
    )
    assert mixed.stacks == tuple(plan.stacks[i] for i in order)
    assert mixed.datum_mm == plan.datum_mm


def test_places_errors_and_order_in_the_stack():
    # Floor 0.0, -11.2, -27.9 and lift 0.4 at the last: targets at datum 18 are 18, 29.2, 46.3.
    packers = kinds(1.0, 3.0, 6.0, 18.0)
    rules = StackRules(0.5, 9, 100, 3)
    plan = optimise_stacks(names(3), [0.0, -11.2, -27.9], [0, 0, 0.4], 18, 18, packers, rules)
    assert laid(plan, packers) == [(18.0,), (18.0, 3.0, 1.0, 1.0, 6.0), (18.0, 6.0, 3.0, 1.0, 18.0)]
    assert plan.error_mm == pytest.approx([0.0, -0.2, -0.3], abs=1e-12)  # decimals are exact
    assert (plan.pieces, plan.binding_low, plan.binding_high) == (11, "window", "window")
    assert plan.proven
    assert plan.gap_pieces == 0


def test_equal_piece_counts_take_the_thickest_list():
    packers = kinds(3.0, 6.0, 9.0)  # 12 is 6 + 6 or 9 + 3
    plan = optimise_stacks(["F1"], [0.0], [0.0], 12, 12, packers, StackRules(0.0, 3, 50, 3))
    assert laid(plan, packers) == [(9.0, 3.0)]


def test_tolerance_is_closed_and_lowest_datum_wins_a_tie():
    packers, rules = kinds(6.0), StackRules(0.5, 1, 100, 3)
    edge = optimise_stacks(["F1"], [0.1 + 0.2], [0.0], 6.8, 6.8, packers, rules)  # target 6.5
    assert edge.error_mm == pytest.approx([-0.5], abs=CLOSED)
    # Targets 6 + x and 6 + x - 0.4 err by 0.4 together wherever 0 <= x <= 0.4.
    tie = optimise_stacks(names(2), [0.0, 0.4], [0, 0], 3, 20, packers, rules)
    assert tie.datum_mm == 6.0
    assert tie.feasible == ((5.9, 6.5),)


def test_measured_twins_count_as_one_kind_and_the_first_listed_is_used():
    packers = [PackerKind(5.95, 6), PackerKind(5.95, 6.35), PackerKind(1.0, 1)]
    plan = optimise_stacks(["F1"], [0.0], [0.0], 11.9, 11.9, packers, StackRules(0.2, 4, 50, 3))
    assert plan.stacks == ((0, 0),)


def test_feasible_datums_have_holes_and_both_ends_are_named():
    packers = kinds(1.0, 3.0, 6.0, 18.0)
    plan = optimise_stacks(
        names(2), [0.0, -2.3], [0, 0], 0, 200, packers, StackRules(0.5, 5, 100, 3)
    )
    # Lowest: 3 less the tolerance at B1. Highest: 75 (18 18 18 18 3) at B1 with 78 (18 18 18 18 6)
    # at B2, whose target is 2.3 more; 76 and 77 would take six packers.
    assert plan.feasible[0][0] == 2.5
    assert plan.feasible[-1] == pytest.approx((75.2, 75.5), abs=1e-12)
    assert len(plan.feasible) > 2
    assert plan.binding_low == "minimum pack at B1"
    assert plan.binding_high == "most pieces at B1"
    tall = optimise_stacks(
        names(2), [0.0, -2.3], [0, 0], 20, 200, packers, StackRules(0.5, 9, 60, 3)
    )
    assert tall.feasible == ((20.0, 58.2),)
    assert tall.binding_high == "longest stack at B2"


def test_no_sum_within_the_tolerance_is_named():
    plan = optimise_stacks(
        names(2), [0.0, -0.6], [0, 0], 5, 11, kinds(6.0), StackRules(0.5, 2, 100, 3)
    )
    assert plan.feasible == ((5.5, 5.9),)
    assert plan.binding_high == "no sum within the tolerance at B2"


def test_impossible_support_is_named_with_the_packer_that_would_do():
    packers, rules = kinds(3.0, 6.0, 18.0), StackRules(0.5, 9, 100, 3)
    floor = [0.0, -6.0, -4.4, -9.1]
    with pytest.raises(Refusal) as caught:
        optimise_stacks(["F1", "F2", "F3", "F4"], floor, np.zeros(4), 12, 12.2, packers, rules)
    assert str(caught.value) == (
        "job.toml, stock.packers: found support F3 missed by 0.9 mm: the stack would be 16.4 mm,"
        " the nearest these packers make are 15 and 18 mm, and base.tolerance_mm is 0.5;"
        " allowed: a packer of 1 mm, or base.tolerance_mm of 1.4"
    )
    more = optimise_stacks(
        ["F1", "F2", "F3", "F4"], floor, np.zeros(4), 12, 12.2, [*packers, PackerKind(1, 1)], rules
    )
    assert more.pieces > 0


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [(130, 140, "max_stack_mm"), (1.0, 1.5, "minimum_pack_mm"), (9, 8, "lowest not above")],
)
def test_windows_beyond_the_rules_are_refused(low, high, words):
    with pytest.raises(Refusal, match=words):
        optimise_stacks(
            ["F1"], [0.0], [0.0], low, high, kinds(1, 3, 6, 18), StackRules(0.5, 9, 100, 3)
        )


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: StackRules(-0.1, 9, 100, 3), "tolerance_mm"),
        (lambda: StackRules(0.5, 0, 100, 3), "max_pieces"),
        (lambda: StackRules(0.5, 9, 100, 0), "minimum_pack_mm"),
        (lambda: PackerKind(0.0, 1), "thickness"),
        (lambda: PackerKind(1.0, 1, -2), "count"),
    ],
)
def test_rules_that_make_no_sense_are_refused(make, words):
    with pytest.raises(Refusal, match=words):
        make()


def refused(
    floor: Sequence[float], low: float, high: float, thick: Sequence[float], rules: StackRules
) -> Refusal:
    site = [f"F{i + 1}" for i in range(len(floor))]
    with pytest.raises(Refusal) as caught:
        optimise_stacks(site, floor, np.zeros(len(floor)), low, high, kinds(*thick), rules)
    return caught.value


ORDINARY = StackRules(0.5, 9, 100, 3)
REFUSALS = [
    pytest.param(
        ([0.0, -2.3, -12.632, -7.1, -1.0], 270.0, 280.0, (1, 3, 6, 18), ORDINARY),
        "job.toml, base.max_stack_mm: found support F3 (and F4, F2 and 2 more) short by 182.1 mm:"
        " the stack would be 282.6 mm, the longest these packers make is 100 mm, and"
        " base.tolerance_mm is 0.5; allowed: a base 182.2 mm lower (base.height_mm),"
        " or base.max_stack_mm of 283 and base.max_pieces of 18,"
        " or the base in level zones (kit levels)",
        id="longest",  # 283 = 15 x 18 + 2 x 6 + 1 is 18 packers, and 282 is 0.632 off
    ),
    pytest.param(
        ([0.0, -1.44, -9.0], 1.0, 2.0, (1, 3, 6, 18), ORDINARY),
        "job.toml, base.minimum_pack_mm: found support F1 too high by 0.5 mm: the stack would be"
        " 2 mm, the thinnest these packers make is 3 mm, and base.tolerance_mm is 0.5; allowed: a"
        " base 0.5 mm higher (base.height_mm), or base.minimum_pack_mm of 2",
        id="thinnest",
    ),
    pytest.param(
        ([0.0, -2.3], -4.0, -3.0, (1, 3, 6, 18), ORDINARY),
        "job.toml, base.minimum_pack_mm: found support F1 (and F2) too high by 5.5 mm: the floor"
        " there is 3 mm above the foot of the base, the thinnest these packers make is 3 mm, and"
        " base.tolerance_mm is 0.5; allowed: a base 5.5 mm higher (base.height_mm)",
        id="below the floor",
    ),
    pytest.param(
        ([0.0, -2.3], 75.9, 76.1, (1, 3, 6, 18), StackRules(0.5, 5, 100, 3)),
        "job.toml, base.max_pieces: found support F1 out of reach: the stack would be 75.9 mm,"
        " which takes 6 of these packers; allowed: base.max_pieces of 6, or a packer of 4 mm, or a"
        " base 0.4 mm lower (base.height_mm)",
        id="pieces",
    ),
    pytest.param(
        ([0.0, -60.0, -110.4, -98.0], 2.0, 2.0, (1, 3, 6, 18), ORDINARY),
        "job.toml, base.minimum_pack_mm: found support F1 too high by 0.5 mm: the stack would be"
        " 2 mm, the thinnest these packers make is 3 mm, and base.tolerance_mm is 0.5; allowed:"
        " base.minimum_pack_mm of 2\n"
        "job.toml, base.max_stack_mm: found support F3 short by 11.9 mm: the stack would be"
        " 112.4 mm, the longest these packers make is 100 mm, and base.tolerance_mm is 0.5;"
        " allowed: base.max_stack_mm of 112, or the base in level zones (kit levels)",
        id="two rules, and no height serves all",
    ),
    pytest.param(
        ([0.0], 10.0, 10.0, (300,), ORDINARY),
        "job.toml, stock.packers: found support F1 without a stack: the stack would be 10 mm, and"
        " these packers make none that the rules allow; allowed: a packer of 2 mm",
        id="no stack at all",
    ),
]


@pytest.mark.parametrize(("asked", "words"), REFUSALS)
def test_a_refusal_has_one_line_for_each_rule_in_the_words_of_the_job_file(asked, words):
    assert str(refused(*asked)) == words


def test_what_a_refusal_allows_is_then_possible():
    floor, zero, packers = [0.0, -2.3, -12.632, -7.1, -1.0], np.zeros(5), kinds(1, 3, 6, 18)
    lower = optimise_stacks(names(5), floor, zero, 270 - 182.2, 280, packers, ORDINARY)
    longer = optimise_stacks(names(5), floor, zero, 270, 270, packers, StackRules(0.5, 18, 283, 3))
    assert lower.feasible[0][0] == pytest.approx(270 - 182.2, abs=CLOSED)
    assert longer.worst_error_mm <= 0.5 + CLOSED


def test_too_many_heights_are_refused_soon_with_what_to_do():
    thick = np.random.default_rng(1).uniform(1, 18, 12)
    start = perf_counter()
    refusal = refused([0.0, -3.0], 40, 50, thick.tolist(), StackRules(0.5, 20, 100, 3))
    assert perf_counter() - start < 5  # 0.4 s alone, 15 s before; room for a busy machine
    assert str(refusal) == (
        "job.toml, stock.packers: found 12 thicknesses that give more than 300,000 stacks of"
        " different height; allowed: fewer kinds, thicknesses measured to 0.05 mm or coarser, or a"
        " lower base.max_pieces or base.max_stack_mm"
    )
    refined = np.round(thick * 20) / 20  # what the refusal asks for
    plan = optimise_stacks(
        names(2), [0, -3], [0, 0], 40, 50, kinds(*refined), StackRules(0.5, 20, 100, 3)
    )
    assert plan.pieces == 6


def test_cautions_say_which_step_is_not_proven():
    plan = optimise_stacks(["F1"], [0.0], [0.0], 6, 6, kinds(6), ORDINARY)
    assert (plan.caution, plan.feasible_note) == ("", "")
    told = {
        step: replace(plan, proven=False, unproven=step, gap_pieces=gap).caution
        for step, gap in [
            ("fewest packers", 1),
            ("least error", 0),
            ("lowest datum", 0),
            ("thickest lists", 0),
        ]
    }
    start = "The search was cut short before the stacks were proven best: "
    assert told == {
        "fewest packers": start + "up to 1 packer fewer may be possible.",
        "least error": start
        + "no plan has fewer packers, but one with as many may keep closer to the heights.",
        "lowest datum": start
        + "no plan has fewer packers or smaller errors, but one just as good may set the base"
        " lower.",
        "thickest lists": start
        + "no plan is better in packers, errors or height, but one just as good may have thicker"
        " packers in the first stacks.",
    }
    more = replace(plan, proven=False, unproven="fewest packers", gap_pieces=3)
    assert more.caution == start + "up to 3 packers fewer may be possible."


def test_missing_heights_and_empty_stock_are_refused():
    rules = StackRules(0.5, 9, 100, 3)
    with pytest.raises(Refusal, match="not a number"):
        optimise_stacks(["F1"], [float("nan")], [0.0], 20, 30, kinds(3), rules)
    with pytest.raises(Refusal, match="at least one kind"):
        optimise_stacks(["F1"], [0.0], [0.0], 20, 30, [PackerKind(3, 3, 0)], rules)
    with pytest.raises(Refusal, match="one name"):
        optimise_stacks(["F1", "F2"], [0.0], [0.0], 20, 30, kinds(3), rules)


def test_piece_curve_gives_the_fewest_at_any_datum_inside_its_runs():
    rng = np.random.default_rng(11)
    floor = rng.integers(-140, 0, 9) / 10
    packers, rules, site = kinds(1.02, 5.95, 17.8), StackRules(0.4, 7, 100, 3), names(9)
    curve = piece_curve(site, floor, np.zeros(9), 30, 50, packers, rules)
    assert list(curve.columns) == ["from_mm", "to_mm", "pieces"]
    assert (curve.to_mm >= curve.from_mm).all()
    assert (curve.from_mm.to_numpy()[1:] >= curve.to_mm.to_numpy()[:-1] - CLOSED).all()
    for datum in rng.uniform(30, 50, 24):
        inside = curve[(curve.from_mm < datum) & (datum < curve.to_mm)]
        if len(inside):
            plan = optimise_stacks(site, floor, np.zeros(9), datum, datum, packers, rules)
            assert plan.pieces == inside.pieces.iloc[0]
        else:
            with pytest.raises(Refusal):
                optimise_stacks(site, floor, np.zeros(9), datum, datum, packers, rules)
    best = optimise_stacks(site, floor, np.zeros(9), 30, 50, packers, rules)
    assert best.pieces == curve.pieces.min()
