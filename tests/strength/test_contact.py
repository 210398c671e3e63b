"""A beam that only lies on its supports: closed forms, all contact sets, and properties."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.job import Refusal
from kit.strength.beam import Beam, Loads
from kit.strength.contact import Rest, rest
from kit.strength.line import held

#: Closed forms and the kit differ by round-off: parts of all loads, and mm.
PART, MM = 1e-9, 1e-8


def even(beam: Beam, each: float) -> Loads:
    return Loads(patches=((beam.start_mm, beam.end_mm, each),))


# --- every set of supports tried, by Macaulay's brackets ---------------------------------------


def bracket(at: np.ndarray, mark: np.ndarray | float, power: int) -> np.ndarray:
    return np.maximum(at - mark, 0.0) ** power


def lies_on(beam: Beam, loads: Loads, tops: np.ndarray, chosen: tuple[int, ...]) -> np.ndarray:
    """Reactions and gaps where the beam lies on the chosen supports, pulled down if need be.

    EI w = c + d x + Σ r <x - x_i>³/6 - Σ P <x - a>³/6 - Σ q (<x - s>⁴ - <x - e>⁴)/24, less EI/GA
    times the moment; c, d and r follow from the chosen tops and from equilibrium. Places in parts
    of the length, forces in parts of all loads.
    """
    size, at, whole = len(chosen), np.array(beam.supports_mm), loads.total_n
    length, right, on = at[-1] - at[0], at[-1], list(chosen)

    def line(force: np.ndarray, power: int) -> np.ndarray:
        return np.asarray(bracket(at[:, None], at, power) @ force / math.factorial(power))

    def pressed(power: int) -> np.ndarray:
        found = np.zeros(len(at))
        for place, force in loads.points:
            found += force * bracket(at, place, power) / math.factorial(power)
        for start, end, each in loads.patches:
            ramps = bracket(at, start, power + 1) - bracket(at, end, power + 1)
            found += each * ramps / math.factorial(power + 1)
        return found

    by_load = pressed(3) / beam.ei_n_mm2 - pressed(1) / beam.ga_n
    each = np.eye(len(at))[:, on]
    by_force = np.column_stack(
        [line(one, 3) / beam.ei_n_mm2 - line(one, 1) / beam.ga_n for one in each.T]
    )
    straight = np.column_stack([np.ones(len(at)), (at - at[0]) / length])
    lever = sum(force * (right - place) for place, force in loads.points) + sum(
        q * (end - start) * (right - (start + end) / 2) for start, end, q in loads.patches
    )
    matrix = np.zeros((size + 2, size + 2))
    matrix[:size] = np.hstack([by_force[on] * whole, straight[on]])
    matrix[size, :size] = 1
    matrix[size + 1, :size] = (right - at[on]) / length
    wanted = np.append(tops[on] + by_load[on], [1.0, lever / (whole * length)])
    found = np.linalg.solve(matrix, wanted)
    reactions = each @ found[:size] * whole
    gaps = by_force @ found[:size] * whole + straight @ found[size:] - by_load - tops
    return np.array([reactions, gaps])


def best_of_all_sets(beam: Beam, loads: Loads, tops: np.ndarray) -> np.ndarray:
    """Of every set of two supports or more, the one that pulls and sinks in least: not at all.

    What it sinks in is counted as the force that would press it so far into the shortest span.
    """
    press = 48 * beam.ei_n_mm2 / float(np.diff(beam.supports_mm).min()) ** 3
    every = range(len(tops))
    sets = [chosen for size in every[1:] for chosen in combinations(every, size + 1)]
    found = [lies_on(beam, loads, tops, chosen) for chosen in sets]
    wrong = [max(-r.min(), -gaps.min() * press) / loads.total_n for r, gaps in found]
    assert min(wrong) < 1e-6  # round-off of the dense solve
    return found[int(np.argmin(wrong))]


# --- shapes of lift-off ------------------------------------------------------------------------


def test_two_separate_lift_offs() -> None:
    beam = Beam((0.0, 410.0, 900.0, 1270.0, 1950.0), 0.0, 1950.0, 2.4e10)
    tops, q = np.array([0.0, -3.0, 0.0, -2.0, 0.0]), 0.9
    found = rest(beam, even(beam, q), tops)
    assert found.carries == (True, False, True, False, True)
    a, b = 900.0, 1050.0
    moment = q * (a**3 + b**3) / (8 * (a + b))
    ends = [q * a / 2 - moment / a, q * b / 2 - moment / b]
    expected = [ends[0], 0.0, q * (a + b) - sum(ends), 0.0, ends[1]]
    assert found.line.reactions_n == pytest.approx(expected, rel=PART)

    def sag(x: float, span: float) -> float:  # x from the outer end
        bent = q * x * (span**3 - 2 * span * x**2 + x**3) / 24
        return (bent - moment * x * (span**2 - x**2) / (6 * span)) / beam.ei_n_mm2

    gaps = [0, 3 - sag(410, a), 0, 2 - sag(1950 - 1270, b), 0]
    assert found.gaps_mm == pytest.approx(gaps, abs=MM)
    assert min(gaps[1], gaps[3]) > 1.5


@pytest.mark.parametrize("share", [0.2, 0.9, 0.9999, 1.0, 1.0001, 1.3, 2.0])
def test_growing_load_closes_a_gap(share: float) -> None:
    span, at, place, gap, ei = 1030.0, 440.0, 620.0, 0.7, 8.6e8
    beam = Beam((0.0, at, span), 0.0, span, ei)
    b = span - place
    soft = b * at * (span**2 - b**2 - at**2) / (6 * span * ei)  # sag at the middle for one newton
    closing = gap / soft
    load = share * closing
    found = rest(beam, Loads(((place, load),)), np.array([0.0, -gap, 0.0]))
    middle = max(0.0, load - closing) * soft * 3 * ei * span / (at * (span - at)) ** 2
    left = (load * b - middle * (span - at)) / span
    expected = [left, middle, load - middle - left]
    assert found.line.reactions_n == pytest.approx(expected, abs=PART * load)
    assert found.gaps_mm == pytest.approx([0, max(0.0, gap - load * soft), 0], abs=MM)
    # At exact touching either answer is right.
    assert share == 1.0 or found.carries[1] is (share > 1)


def test_growing_load_along_the_whole_path() -> None:
    """The kinds of bearing change one after the other; each step is checked against all sets."""
    beam = Beam((0.0, 300.0, 720.0, 1000.0, 1480.0, 1800.0), -60.0, 1890.0, 1.3e9, 4e5)
    tops = np.array([0.6, -0.9, 0.8, -1.4, 0.4, -0.3])
    growing = Loads(((510.0, 60.0), (1150.0, 110.0), (-60.0, 4.0)), ((0.0, 1800.0, 0.05),))
    seen: list[tuple[bool, ...]] = []
    for factor in np.geomspace(0.02, 300, 45):
        loads = growing.scaled(float(factor))
        found = rest(beam, loads, tops)
        reactions, gaps = best_of_all_sets(beam, loads, tops)
        assert found.line.reactions_n == pytest.approx(reactions, abs=PART * loads.total_n)
        assert found.gaps_mm == pytest.approx(gaps, abs=MM)
        if not seen or seen[-1] != found.carries:
            seen.append(found.carries)
    counts = [sum(one) for one in seen]
    assert counts[0] == 2
    # The last one hangs up in the end: the loads in the bays before it lift it.
    assert seen[-1] == (True, True, True, True, True, False)
    assert len(seen) >= 4


def test_all_idle_but_two() -> None:
    beam = Beam((0.0, 350.0, 800.0, 1170.0, 1900.0), -40.0, 1960.0, 5e10)
    tops = np.array([2.0, 0.5, 0.0, -0.5, 1.5])
    found = rest(beam, Loads(((640.0, 500.0),)), tops)
    left = 500 * (1900 - 640) / 1900
    assert found.line.reactions_n == pytest.approx([left, 0, 0, 0, 500 - left], rel=PART)
    assert found.carries == (True, False, False, False, True)
    alone = held(Beam((0.0, 1900.0), -40.0, 1960.0, 5e10), found.line.loads, [2.0, 1.5])
    heights = alone.height_mm([350.0, 800.0, 1170.0])
    assert found.gaps_mm[1:4] == pytest.approx(heights - tops[1:4], abs=MM)


@pytest.mark.parametrize("ei", [1e9, 1e10, 1e11, 1e12])
def test_balanced_on_one_support(ei: float) -> None:
    """It hangs as far down, by angle, on one side as on the other."""
    places, top = (0.0, 300.0, 700.0, 1500.0, 1700.0), 30.0
    a, b, down = 300.0, 1400.0, 98.0
    up = down * b / a  # at the short arm's end, for balance
    beam = Beam(places, 0.0, 1700.0, ei)
    found = rest(beam, Loads(((0.0, up), (1700.0, down))), [0, top, 0, 0, 0])
    assert found.line.reactions_n == pytest.approx([0, up + down, 0, 0, 0], abs=PART * (up + down))
    assert found.carries == (False, True, False, False, False)
    short, long = up * a**3 / (3 * ei), down * b**3 / (3 * ei)  # how far the arms droop
    angle = ((top - short) / a + (top - long) / b) / 2
    # Round-off of a stiffness of 1e12 N mm2 over heights of 30 mm.
    assert found.gaps_mm[[0, 1, 4]] == pytest.approx([angle * a, 0, angle * b], rel=1e-7)
    assert angle < min(found.gaps_mm[2] / 400, found.gaps_mm[3] / 1200)


def test_gap_over_an_end_support() -> None:
    span, arm, low, q, ei = 730.0, 260.0, 1.1, 0.8, 3.3e9
    beam = Beam((0.0, span, span + arm), 0.0, span + arm, ei)
    found = rest(beam, even(beam, q), [0.0, 0.0, -low])
    left, right = q * (span**2 - arm**2) / (2 * span), q * (span + arm) ** 2 / (2 * span)
    assert found.line.reactions_n == pytest.approx([left, right, 0], rel=PART, abs=1e-9)
    tip = q * arm * (4 * arm**2 * span - span**3 + 3 * arm**3) / (24 * ei)
    assert found.gaps_mm == pytest.approx([0, 0, low - tip], abs=MM)


# --- moving the tops, turning the beam round ---------------------------------------------------

BEAM = Beam((0.0, 210.0, 800.0, 1330.0, 1490.0, 2250.0), -75.0, 2290.0, 6.4e9, 5e5)
TOPS = np.array([0.4, -1.7, 1.1, -0.2, -2.6, 0.9])
LOADS = Loads(((333.0, 410.0), (1490.0, 220.0), (2290.0, 35.0)), ((-75.0, 1900.0, 0.4),))


def agree(a: Rest, reactions: np.ndarray, gaps: np.ndarray, *, mm: float = MM) -> None:
    assert a.line.reactions_n == pytest.approx(reactions, abs=PART * a.line.loads.total_n)
    assert a.gaps_mm == pytest.approx(gaps, abs=mm)


@pytest.mark.parametrize(("up", "tilt"), [(80.0, 0.0), (-4.0, 0.003), (0.0, -0.02)])
def test_moving_all_tops_as_one_changes_nothing(up: float, tilt: float) -> None:
    level = rest(BEAM, LOADS, TOPS)
    assert 2 <= sum(level.carries) <= 4
    moved = rest(BEAM, LOADS, TOPS + up + tilt * np.array(BEAM.supports_mm))
    agree(moved, level.line.reactions_n, level.gaps_mm)
    places = [-50.0, 500.0, 1400.0, 2290.0]
    rigid = up + tilt * np.array(places)
    assert moved.line.height_mm(places) - rigid == pytest.approx(
        level.line.height_mm(places), abs=MM
    )


def test_turned_round() -> None:
    beam = Beam(tuple(-x for x in BEAM.supports_mm[::-1]), -2290.0, 75.0, 6.4e9, 5e5)
    points = tuple((-x, force) for x, force in LOADS.points)
    turned = rest(beam, Loads(points, ((-1900.0, 75.0, 0.4),)), TOPS[::-1])
    there = rest(BEAM, LOADS, TOPS)
    agree(turned, there.line.reactions_n[::-1], there.gaps_mm[::-1])
    places = np.array([-60.0, 640.0, 2200.0])
    assert turned.line.height_mm(-places) == pytest.approx(there.line.height_mm(places), abs=MM)
    assert turned.line.moment_n_mm(-places) == pytest.approx(
        there.line.moment_n_mm(places), abs=1e-5
    )  # N mm of 1e5


def test_twice_the_load_on_twice_the_stiffness() -> None:
    there = rest(BEAM, LOADS, TOPS)
    beam = Beam(BEAM.supports_mm, BEAM.start_mm, BEAM.end_mm, 1.28e10, 1e6)
    twice = rest(beam, LOADS.scaled(2), TOPS)
    assert twice.carries == there.carries
    agree(twice, 2 * there.line.reactions_n, there.gaps_mm)


# --- tipping -----------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [2, 3, 7])
@pytest.mark.parametrize("seed", range(25))
def test_loads_beyond_the_outer_supports_tip_it(count: int, seed: int) -> None:
    """Many of them: what round-off leaves of a stiffness of nothing must not hold a beam."""
    rng = np.random.default_rng(seed)
    places = np.cumsum([0, *rng.uniform(60, 900, count - 1)])
    beam = Beam(tuple(places.tolist()), -200.0, float(places[-1] + 200), 10 ** rng.uniform(8, 11))
    beyond = float(rng.uniform(0.001, 200))
    place = -beyond if rng.random() < 0.5 else float(places[-1]) + beyond
    with pytest.raises(Refusal, match="found loads that would tip it off; allowed: loads whose"):
        rest(beam, Loads(((place, 300.0),)), rng.uniform(-3, 3, count))


def test_the_middle_of_the_loads_decides() -> None:
    beam = Beam((0.0, 480.0), -130.0, 590.0, 2e9)
    enough = Loads(((-100.0, 90.0), (310.0, 29.1)))
    found = rest(beam, enough, [0.3, -2.0])
    right = (310 * 29.1 - 100 * 90) / 480
    assert found.line.reactions_n == pytest.approx([119.1 - right, right], rel=1e-9)
    assert found.gaps_mm.tolist() == [0, 0]
    with pytest.raises(Refusal, match="tip it off"):
        rest(beam, Loads(((-100.0, 90.0), (310.0, 29.0))), [0.3, -2.0])


@pytest.mark.parametrize("place", [0.0, 480.0])
def test_load_right_over_an_outer_support(place: float) -> None:
    found = rest(Beam((0.0, 480.0), -130.0, 590.0, 2e9), Loads(((place, 75.0),)), [0.3, -2.0])
    expected = [75.0, 0.0] if place == 0 else [0.0, 75.0]
    assert found.line.reactions_n == pytest.approx(expected, abs=1e-9)
    assert found.gaps_mm == pytest.approx([0, 0], abs=MM)


@pytest.mark.parametrize(
    ("places", "tops", "ei"),
    [
        ((0.0, 100.0, 200.0, 300.0), [0.25, -1.0, -1.0, 0.25], 1e8),
        ((0.0, 100.0, 200.0, 300.0), [0.0, 0.0, 0.0, 0.0], 1e8),
        ((0.0, 256.0, 512.0), [0.0, 1.0, 0.0], 1e10),
    ],
)
@pytest.mark.parametrize("end", [0, -1])
def test_all_load_over_one_end_of_several(
    places: tuple[float, ...], tops: list[float], ei: float, end: int
) -> None:
    """Many ties: nothing else has anything to carry. Pivots without a rule for them go astray."""
    beam = Beam(places, -50.0, places[-1] + 50, ei)
    found = rest(beam, Loads(((places[end], 75.0),)), tops)
    expected = np.zeros(len(places))
    expected[end] = 75.0
    assert found.line.reactions_n == pytest.approx(expected, abs=PART * 75)
    assert found.gaps_mm[end] == 0
    # Nothing bends it: it lies straight over, or on, all tops.
    heights = np.array(tops) + found.gaps_mm
    assert np.diff(heights, 2) == pytest.approx(np.zeros(len(places) - 2), abs=MM)


@pytest.mark.parametrize("seed", range(12))
def test_loads_balanced_over_an_outer_support(seed: int) -> None:
    """Round-off must not decide whether it tips: it just does not."""
    rng = np.random.default_rng(seed)
    span, arm, at, force = rng.uniform([300, 20, 30, 50], [900, 190, 250, 900]).tolist()
    beam = Beam((0.0, span), -200.0, span, 2e9)
    found = rest(beam, Loads(((-arm, force), (at, force * arm / at))), [0.0, -1.0])
    whole = force * (1 + arm / at)
    assert found.line.reactions_n == pytest.approx([whole, 0], abs=PART * whole)
    assert found.carries == (True, False)
    assert not found.gaps_mm.any()


def test_loads_that_lift_are_refused() -> None:
    with pytest.raises(Refusal, match="tip it off"):
        rest(BEAM, Loads(((500.0, -10.0),)), TOPS)


@pytest.mark.parametrize("tops", [[0.0] * 5, [0.0, math.nan, 0.0, 0.0, 0.0, 0.0]])
def test_tops_that_do_not_fit(tops: list[float]) -> None:
    with pytest.raises(Refusal, match="a finite height for each of 6 supports"):
        rest(BEAM, LOADS, tops)


# --- hinges ------------------------------------------------------------------------------------


def test_lift_off_at_a_hinge() -> None:
    """The left part hangs by its hinge from the tip of the right part."""
    a, arm, span, low, ei = 420.0, 260.0, 910.0, 5.0, 4.2e9
    beam = Beam((0.0, a, a + arm, a + arm + span), 0.0, a + arm + span, ei, hinges=(1,))
    loads = Loads(((150.0, 320.0), (a + arm + span / 2, 900.0)))
    found = rest(beam, loads, [0.0, -low, 0.0, 0.0])
    hung = 320 * 150 / a
    right = 450 - hung * arm / span
    expected = [320 - hung, 0.0, 900 + hung - right, right]
    assert found.line.reactions_n == pytest.approx(expected, rel=PART, abs=1e-7)
    tip = hung * arm**2 * (span + arm) / (3 * ei) - 900 * span**2 * arm / (16 * ei)
    assert found.gaps_mm == pytest.approx([0, low - tip, 0, 0], abs=MM)
    assert float(found.line.moment_n_mm(a)) == pytest.approx(0, abs=1e-6)


def test_lift_off_beside_a_hinge_that_bears() -> None:
    beam = Beam((0.0, 390.0, 880.0, 1290.0, 1940.0), 0.0, 1940.0, 9e9, hinges=(2,))
    found = rest(beam, even(beam, 0.7), [0.0, -2.0, 0.0, -2.5, 0.0])
    expected = [0.35 * 880, 0, 0.35 * 1940, 0, 0.35 * 1060]
    assert found.line.reactions_n == pytest.approx(expected, rel=PART, abs=1e-7)
    gaps = [
        low - 0.7 * x * (span**3 - 2 * span * x**2 + x**3) / (24 * 9e9)
        for low, x, span in ((2.0, 390.0, 880.0), (2.5, 650.0, 1060.0))
    ]
    assert found.gaps_mm == pytest.approx([0, gaps[0], 0, gaps[1], 0], abs=MM)


@pytest.mark.parametrize("seed", range(10))
def test_part_beyond_a_hinge_that_would_tip_is_refused(seed: int) -> None:
    rng = np.random.default_rng(seed)
    a, b, arm = rng.uniform(150, 700, 3)
    beam = Beam((0.0, a, a + b), 0.0, a + b + arm, 10 ** rng.uniform(8, 11), hinges=(1,))
    # The left part holds the hinge down with 450 N; the tip pulls it up with a little more or less.
    tip = 450 * b / arm
    rest(beam, Loads(((a / 2, 900.0), (a + b + arm, 0.999 * tip))), rng.uniform(-1, 1, 3))
    loads = Loads(((a / 2, 900.0), (a + b + arm, 1.001 * tip)))
    with pytest.raises(Refusal, match="tip it off"):
        rest(beam, loads, rng.uniform(-1, 1, 3))


# --- ties --------------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [3, 5, 9, 21, 41])
@pytest.mark.parametrize("ei", [1e8, 2.4e8, 2.4e10, 1e13])
@pytest.mark.parametrize("pattern", ["level", "every other", "middle", "outer two", "dish"])
def test_symmetrical_ties_end_and_lie_symmetrically(count: int, ei: float, pattern: str) -> None:
    number, half = np.arange(count), (count - 1) / 2
    tops = {
        "level": 0.0 * number,
        "every other": (number % 2).astype(float),
        "middle": (number == half).astype(float),
        "outer two": np.isin(number, [1, count - 2]).astype(float),
        "dish": 0.01 * (number - half) ** 2,
    }[pattern]
    places = (400.0 * number).tolist()
    beam = Beam(tuple(places), 0.0, places[-1], ei)
    cases = [
        even(beam, 0.02),
        Loads(tuple((x, 100.0) for x in places)),
        Loads(((0.0, 50.0), (places[-1], 50.0))),
        Loads(((places[-1] / 2, 300.0),)),
    ]
    for loads in cases:
        found = rest(beam, loads, tops)
        total, r = loads.total_n, found.line.reactions_n
        assert math.fsum(r) == pytest.approx(total, rel=1e-8)
        # Stiffness of 1e13 N mm2 times round-off of 1 mm: 1e-6 of 100 N.
        assert r == pytest.approx(r[::-1], abs=1e-6 * total)
        assert found.gaps_mm == pytest.approx(found.gaps_mm[::-1], abs=1e-5)


def test_level_tops_under_loads_right_over_them_press_straight_down() -> None:
    forces = [30.0, 0.0, 45.0, 0.0, 70.0, 5.0]
    loads = Loads(tuple(zip(BEAM.supports_mm, forces, strict=True)))
    found = rest(BEAM, loads, np.zeros(6))
    agree(found, np.array(forces), np.zeros(6))
    assert found.carries == (True, False, True, False, True, True)


def test_support_that_is_just_touched_neither_carries_nor_gapes() -> None:
    beam = Beam((0.0, 500.0, 1200.0), 0.0, 1200.0, 1.5e9)
    alone = held(Beam((0.0, 1200.0), 0.0, 1200.0, 1.5e9), even(beam, 0.6), [0, 0])
    touch = float(alone.height_mm(500.0))
    found = rest(beam, even(beam, 0.6), [0.0, touch, 0.0])
    agree(found, np.array([360.0, 0, 360.0]), np.zeros(3))
    assert found.carries == (True, False, True)
    lower = rest(beam, even(beam, 0.6), [0.0, touch - 1e-3, 0.0])
    assert lower.gaps_mm == pytest.approx([0, 1e-3, 0], abs=MM)


# --- properties --------------------------------------------------------------------------------


@st.composite
def beams(draw: st.DrawFn, most: int) -> tuple[Beam, Loads, np.ndarray]:
    """Unequal spans, overhangs, tops within 3 mm, and loads whose middle lies well inside."""
    count = draw(st.integers(2, most))
    spans = draw(st.lists(st.floats(60, 900), min_size=count - 1, max_size=count - 1))
    places = np.cumsum([0.0, *spans])
    left, right = (draw(st.sampled_from([0.0, 15.0, 55.0])) for _ in range(2))
    ei = 10 ** draw(st.floats(8, 11))
    ga = draw(st.sampled_from([math.inf, ei / 900]))
    end = float(places[-1]) + right
    beam = Beam(tuple(places.tolist()), -left, end, ei, ga)
    share = st.floats(0, 1)
    points = draw(st.lists(st.tuples(share, st.floats(1, 3000)), max_size=6))
    at = tuple((-left + part * (end + left), force) for part, force in points)
    own = draw(st.floats(0.005, 0.05))
    patches = [(-left, end, own)]
    if draw(st.booleans()):
        a, b = sorted([draw(share), draw(share)])
        patches.append((a * end, b * end, draw(st.floats(0.1, 3))))
    tops = draw(st.lists(st.floats(-3, 3), min_size=count, max_size=count))
    return beam, Loads(at, tuple(patches)), np.array(tops)


def middle(loads: Loads) -> float:
    lever = sum(place * force for place, force in loads.points)
    lever += sum(q * (end - start) * (start + end) / 2 for start, end, q in loads.patches)
    return lever / loads.total_n


@given(beams(15))
def test_what_must_hold_of_every_beam(case: tuple[Beam, Loads, np.ndarray]) -> None:
    beam, loads, tops = case
    inside = 0 <= middle(loads) <= beam.supports_mm[-1]
    try:
        found = rest(beam, loads, tops)
    except Refusal:
        assert not inside
        return
    total, at = loads.total_n, np.array(beam.supports_mm)
    reactions, gaps = found.line.reactions_n, found.gaps_mm
    assert reactions.min() >= 0
    assert gaps.min() >= 0
    assert not (reactions * gaps).any()
    assert math.fsum(reactions) == pytest.approx(total, rel=1e-7)
    # 1e-7 of the load, over the length of the beam.
    assert reactions @ at / total == pytest.approx(middle(loads), abs=1e-7 * (at[-1] + 60))
    assert found.line.height_mm(at) == pytest.approx(tops + gaps, abs=MM)
    # Where it is held as it lies, it needs just these forces.
    needed = held(beam, loads, tops + gaps).reactions_n
    assert needed == pytest.approx(reactions, abs=1e-7 * total)


@settings(max_examples=120)
@given(beams(8))
def test_against_all_contact_sets(case: tuple[Beam, Loads, np.ndarray]) -> None:
    beam, loads, tops = case
    if not 0.5 < middle(loads) < beam.supports_mm[-1] - 0.5:
        return  # it tips, or just does not: tested above
    found = rest(beam, loads, tops)
    reactions, gaps = best_of_all_sets(beam, loads, tops)
    # Conditioning of the brackets' matrix: 1e-7 of the load, 1e-6 mm.
    assert found.line.reactions_n == pytest.approx(reactions, abs=1e-7 * loads.total_n)
    if sum(found.carries) > 1:
        assert found.gaps_mm == pytest.approx(gaps, abs=1e-6)
