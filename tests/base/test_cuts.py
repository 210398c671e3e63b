"""Cutting the bearers, against every possible way of cutting small ones."""

from __future__ import annotations

import math
from functools import cache
from itertools import combinations, pairwise, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.base import cut_least, cuts
from kit.base.cuts import BearerLine, CutPlan, cut_bearers
from kit.base.effort import STEPS_A_SECOND
from kit.job import Bearer, Refusal

PACKER_MM = 75.0
ROUNDING_MM = 1e-6  # sums of a few decimal lengths


def line(name: str, end: float, stacks: list[float], neighbours: tuple[str, ...] = ()):
    names = tuple(f"{name}{i + 1}" for i in range(len(stacks)))
    return BearerLine(name, "A", name, 0.0, end, tuple(stacks), names, neighbours)


def bearer(stock: tuple[float, ...], kerf: float = 3.0) -> Bearer:
    return Bearer(stock_mm=stock, kerf_mm=kerf)


def same_station(x: float, y: float, one: BearerLine, other: BearerLine) -> bool:
    """The rule once more, in other words: too near, or each the other's only nearest."""

    def only_nearest(place: float, to: float, among: BearerLine) -> bool:
        rest = [abs(s - place) for s in among.supports_mm if s != to]
        return all(abs(to - place) < d - 1e-9 for d in rest)

    return abs(x - y) < PACKER_MM - 1e-9 or (only_nearest(x, y, other) and only_nearest(y, x, one))


def face(lines, joints) -> bool:
    return any(
        same_station(x, y, a, b)
        for (a, in_a), (b, in_b) in combinations(zip(lines, joints, strict=True), 2)
        if a.name in b.neighbours or b.name in a.neighbours
        for x in in_a
        for y in in_b
    )


def brute_force(lines, stock: tuple[float, ...], kerf: float):
    """Least (bought, pieces, bars) over all joints and all partitions of the pieces."""
    inner = [one.supports_mm[1:-1] for one in lines]
    every = [[c for n in range(len(xs) + 1) for c in combinations(xs, n)] for xs in inner]
    best = (math.inf, 0, 0)
    for joints in product(*every):
        if face(lines, joints):
            continue
        pieces = [
            right - left
            for one, xs in zip(lines, joints, strict=True)
            for left, right in pairwise((one.start_mm, *xs, one.end_mm))
        ]
        bought, bars = cheapest_partition(tuple(sorted(pieces)), stock, kerf)
        best = min(best, (round(bought, 6), len(pieces), bars))
    return best


@cache
def cheapest_partition(pieces: tuple[float, ...], stock, kerf: float) -> tuple[float, int]:
    if not pieces:
        return 0.0, 0
    rest, best = pieces[:-1], (math.inf, 0)
    for n in range(len(rest) + 1):
        for mates in combinations(range(len(rest)), n):
            used = pieces[-1] + sum(rest[i] for i in mates) + n * kerf
            bar = min((s for s in stock if used <= s + 1e-9), default=math.inf)
            if bar < math.inf:
                left = tuple(p for i, p in enumerate(rest) if i not in mates)
                bought, bars = cheapest_partition(left, stock, kerf)
                best = min(best, (bar + bought, bars + 1))
    return best


def order(plan: CutPlan) -> tuple[float, int, int]:
    bought = float((plan.bought["stock_mm"] * plan.bought["count"]).sum())
    return round(bought, 6), len(plan.cuts), int(plan.bought["count"].sum())


def check(plan: CutPlan, lines, stock: tuple[float, ...], kerf: float) -> None:
    """Every property that a plan has, whatever its waste."""
    for one in lines:
        of = plan.cuts[plan.cuts["bearer"] == one.name]
        assert of["piece"].tolist() == list(range(1, len(of) + 1))
        assert of["from_x_mm"].tolist() == [one.start_mm, *of["to_x_mm"].tolist()[:-1]]
        assert of["to_x_mm"].iloc[-1] == one.end_mm
        assert set(of["from_x_mm"].tolist()[1:]) <= set(one.supports_mm[1:-1])
    spans = plan.cuts["to_x_mm"] - plan.cuts["from_x_mm"]
    assert np.abs(plan.cuts["length_mm"] - spans).max() < ROUNDING_MM
    for _, bar in plan.cuts.groupby("bar"):
        assert bar["stock_mm"].nunique() == 1
        assert bar["stock_mm"].iloc[0] in stock
        used = bar["length_mm"].sum() + (len(bar) - 1) * kerf
        assert used <= bar["stock_mm"].iloc[0] + 2e-9  # closed to 1e-9, and the sum's own rounding
    bars = plan.cuts.drop_duplicates("bar")["stock_mm"].value_counts().sort_index()
    assert bars.to_dict() == dict(plan.bought.itertuples(index=False))
    where = {
        (one.name, name): x
        for one in lines
        for name, x in zip(one.support_names, one.supports_mm, strict=True)
    }
    joints = [[where[j] for j in plan.joints if j[0] == one.name] for one in lines]
    assert sum(map(len, joints)) == len(plan.cuts) - len(lines)
    assert not face(lines, joints)
    total = sum(one.length_mm for one in lines)
    assert plan.waste_mm == pytest.approx(order(plan)[0] - total, abs=ROUNDING_MM)


def first_fit(lines, stock: tuple[float, ...], kerf: float) -> float:
    """What a person would buy: longest piece next, into the first bar with room."""
    joints: list[list[float]] = []
    pieces: list[float] = []
    for i, one in enumerate(lines):
        joints.append([])
        at = one.start_mm
        while one.end_mm - at > stock[-1]:
            reach = [
                x
                for x in one.supports_mm[1:-1]
                if at < x <= at + stock[-1] and not face(lines[: i + 1], [*joints[:-1], [x]])
            ]
            if not reach:
                return math.inf
            joints[-1].append(max(reach))
            pieces.append(max(reach) - at)
            at = max(reach)
        pieces.append(one.end_mm - at)
    bars: list[tuple[float, float]] = []
    for piece in sorted(pieces, reverse=True):
        for n, (bar, room) in enumerate(bars):
            if piece + kerf <= room:
                bars[n] = (bar, room - piece - kerf)
                break
        else:
            bar = min(s for s in stock if s >= piece)
            bars.append((bar, bar - piece))
    return sum(bar for bar, _ in bars)


@st.composite
def small_jobs(draw):
    """Two or three bearers of one run, each with its own stacks, some of them close together."""
    stock = tuple(
        sorted(draw(st.sets(st.sampled_from([900.0, 1200.0, 1500.5, 2000.0]), min_size=1)))
    )
    kerf = draw(st.sampled_from([0.0, 3.0, 2.5]))
    lines = []
    for i in range(draw(st.integers(1, 3))):
        gaps = draw(
            st.lists(st.sampled_from([75.0, 310.0, 433.3, 520.0, 610.0]), min_size=2, max_size=5)
        )
        stacks = [37.5 + sum(gaps[:n]) for n in range(len(gaps) + 1)]
        lines.append(line("BMF"[i], stacks[-1] + 37.5, stacks, ("BMF"[i - 1],) if i else ()))
    return lines, stock, kerf


@settings(max_examples=60, deadline=None, derandomize=True)
@given(small_jobs())
def test_least_of_all_ways(job):
    lines, stock, kerf = job
    best = brute_force(lines, stock, kerf)
    if best[0] == math.inf:
        with pytest.raises(Refusal):
            cut_bearers(lines, bearer(stock, kerf), PACKER_MM)
        return
    plan = cut_bearers(lines, bearer(stock, kerf), PACKER_MM)
    check(plan, lines, stock, kerf)
    assert order(plan) == best
    assert (plan.proven, plan.gap_mm, plan.pieces_proven) == (True, 0.0, True)
    assert order(plan)[0] <= first_fit(lines, stock, kerf)


@pytest.mark.parametrize("listed", [0, 300])
@settings(max_examples=15, deadline=None, derandomize=True)
@given(small_jobs())
def test_integer_programme_alone(listed, job):
    """Without the search: exact where all patterns are listed, honest where they are generated."""
    lines, stock, kerf = job
    best = brute_force(lines, stock, kerf)
    if best[0] == math.inf:
        return
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(cut_least, "MOST_PLACEMENTS", 0)
        patch.setattr(cut_least, "MOST_LISTED", listed)
        cuts._solve.cache_clear()
        plan = cut_bearers(lines, bearer(stock, kerf), PACKER_MM, steps=STEPS_A_SECOND)
        cuts._solve.cache_clear()
    check(plan, lines, stock, kerf)
    bought = order(plan)[0]
    assert bought - plan.gap_mm <= best[0] <= bought
    assert plan.proven == (plan.gap_mm == 0)
    assert order(plan) == best or not (plan.proven and plan.pieces_proven)


def test_integer_programme_over_all_patterns_proves_its_plan(monkeypatch):
    """Bearers as the search gets them, but left to the integer programme."""
    lines = [
        line("B", 2300.0, [37.5, 640.0, 1210.0, 1720.0, 2262.5], ("F",)),
        line("F", 2250.0, [37.5, 590.0, 1160.0, 1690.0, 2212.5]),
    ]
    monkeypatch.setattr(cut_least, "MOST_PLACEMENTS", 0)
    cuts._solve.cache_clear()
    plan = cut_bearers(lines, bearer((1200.0, 2400.0)), PACKER_MM)
    cuts._solve.cache_clear()
    assert (plan.proven, plan.pieces_proven) == (True, True)
    assert order(plan) == brute_force(lines, (1200.0, 2400.0), 3.0)


def test_places_of_one_known_plan():
    """By hand: 2 x 1500 from 1200 + 1800 (0 waste), joints at different stations."""
    stacks = [37.5, 300.0, 600.0, 900.0, 1200.0, 1462.5]
    lines = [line("B", 1500.0, stacks, ("F",)), line("F", 1500.0, stacks)]
    plan = cut_bearers(lines, bearer((1200.0, 1800.0), kerf=0.0), PACKER_MM)
    assert order(plan) == (3000.0, 3, 2)
    assert plan.waste_mm == 0.0
    assert sorted(plan.cuts["length_mm"]) == [300.0, 1200.0, 1500.0]
    assert len(plan.joints) == 1
    assert plan.cuts.columns.tolist() == [
        "bearer", "stock_mm", "piece", "length_mm", "from_x_mm", "to_x_mm", "bar",
    ]  # fmt: skip


def test_kerf_forbids_the_exact_fit():
    """The same with a saw cut of 3 mm: 1500 + 300 + 3 > 1800, so 600 mm more is bought."""
    stacks = [37.5, 300.0, 600.0, 900.0, 1200.0, 1462.5]
    lines = [line("B", 1500.0, stacks, ("F",)), line("F", 1500.0, stacks)]
    plan = cut_bearers(lines, bearer((1200.0, 1800.0), kerf=3.0), PACKER_MM)
    assert order(plan) == (3600.0, 2, 2)


def test_a_bar_that_is_used_up_exactly_is_allowed():
    lines = [line("B", 1000.0, [37.5, 500.0, 962.5]), line("C", 1397.0, [37.5, 1359.5])]
    plan = cut_bearers(lines, bearer((2400.0,), kerf=3.0), PACKER_MM)
    assert plan.waste_mm == pytest.approx(3.0, abs=ROUNDING_MM)
    assert plan.cuts["bar"].tolist() == [1, 1]


def test_joints_of_neighbours_do_not_face():
    """Only the stack at 1000 is in reach of both halves, and only one bearer may use it."""
    lines = [
        line("B", 2000.0, [37.5, 800.0, 1000.0, 1962.5], ("F",)),
        line("F", 2000.0, [37.5, 1000.0, 1962.5]),
    ]
    plan = cut_bearers(lines, bearer((1250.0,)), PACKER_MM)
    assert plan.joints == (("B", "B2"), ("F", "F2"))


def test_no_way_to_keep_joints_apart_is_refused_by_name():
    stacks = [37.5, 1000.0, 1962.5]
    lines = [line("B", 2000.0, stacks, ("F",)), line("F", 2000.0, stacks)]
    with pytest.raises(Refusal, match=r"bearers B, F: .*one stack apart"):
        cut_bearers(lines, bearer((1250.0,)), PACKER_MM)
    apart = [line("B", 2000.0, stacks), line("F", 2000.0, stacks)]
    assert len(cut_bearers(apart, bearer((1250.0,)), PACKER_MM).joints) == 2


def test_no_stack_in_reach_is_refused_by_name():
    lines = [line("B", 2600.0, [37.5, 500.0, 1850.0, 2562.5])]
    with pytest.raises(Refusal, match=r"bearer B: .*1350 mm from B2 to B3.*1300 mm"):
        cut_bearers(lines, bearer((900.0, 1300.0)), PACKER_MM)


def test_three_unequal_rows_share_bars():
    lines = [
        line("B", 2300.0, [37.5, 640.0, 1210.0, 1720.0, 2262.5], ("M",)),
        line("M", 2300.0, [37.5, 640.0, 1210.0, 1720.0, 2262.5], ("F",)),
        line("F", 1150.0, [37.5, 640.0, 1112.5]),
    ]
    stock = (1200.0, 2400.0)
    plan = cut_bearers(lines, bearer(stock), PACKER_MM)
    check(plan, lines, stock, 3.0)
    assert order(plan) == brute_force(lines, stock, 3.0)


def test_waste_comes_before_joints():
    """2 x 1700: unjoined 2 x 2400; one joint saves 1200 mm."""
    stacks = [37.5, 650.0, 1120.0, 1662.5]
    lines = [line("B", 1700.0, stacks, ("F",)), line("F", 1700.0, stacks)]
    plan = cut_bearers(lines, bearer((1200.0, 2400.0)), PACKER_MM)
    assert order(plan) == (3600.0, 3, 2)


def test_same_call_same_plan_and_no_shared_tables():
    lines = [line("B", 1700.0, [37.5, 650.0, 1120.0, 1662.5])]
    first = cut_bearers(lines, bearer((1200.0,)), PACKER_MM)
    kept = first.cuts.copy()
    first.cuts.loc[:, "bar"] = 99
    assert cut_bearers(lines, bearer((1200.0,)), PACKER_MM).cuts.equals(kept)


def test_hall_is_bounded_and_honest():
    """A market hall: 60 m, two rows, 200 stacks with unequal bays."""
    rng = np.random.default_rng(11)
    bays = rng.choice([560.0, 590.0, 615.0, 640.0], 99)
    stacks = [37.5, *(37.5 + np.cumsum(bays)).tolist()]
    lines = [line("B", stacks[-1] + 37.5, stacks, ("F",)), line("F", stacks[-1] + 37.5, stacks)]
    stock = (2400.0, 3600.0, 4800.0)
    plan = cut_bearers(lines, bearer(stock), PACKER_MM, steps=2 * STEPS_A_SECOND)
    check(plan, lines, stock, 3.0)
    total = sum(one.length_mm for one in lines)
    assert total <= order(plan)[0] - plan.gap_mm  # the bound is no less than the bearers
    assert order(plan)[0] <= first_fit(lines, stock, 3.0)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"end_mm": 0.0}, "end > start"),
        ({"supports_mm": (37.5, 900.0, 500.0)}, "ascending"),
        ({"support_names": ("B1",)}, "one name for each stack"),
        ({"neighbours": ("Q",)}, "'Q'"),
    ],
)
def test_lines_that_do_not_hold_together_are_refused(change, words):
    given = {"supports_mm": (37.5, 500.0, 962.5), "support_names": ("B1", "B2", "B3")}
    fields = {"end_mm": 1000.0, "neighbours": (), **given, **change}
    with pytest.raises(Refusal, match=words):
        cut_bearers([BearerLine("B", "A", "B", 0.0, **fields)], bearer((1200.0,)), PACKER_MM)


def test_nothing_to_cut():
    plan = cut_bearers([], bearer((1200.0,)), PACKER_MM)
    assert plan.cuts.empty
    assert plan.joints == ()
    assert plan.proven
    with pytest.raises(Refusal):
        cut_bearers([], bearer((1200.0,)), 0.0)
