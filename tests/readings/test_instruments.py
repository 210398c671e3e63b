"""The own error of a level, a spirit level and a laser is found, told with its sign, and judged."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.job.refusal import Refusal
from kit.readings import Readings, Table, adjust
from kit.readings.instruments import (
    OwnErrorFound,
    TwoPegTest,
    Use,
    reversal_test,
    sights_beyond,
    two_peg_test,
    two_wall_test,
)

ERRORS = st.floats(-2, 2, allow_subnormal=False)
NAN = float("nan")


# --- simulated instruments ---------------------------------------------------------------------


def staffs(error: float, sight_mm: float, pegs_mm: tuple[float, float], at: tuple) -> tuple:
    """Return what a level reads on two pegs over sights of unequal length."""
    return tuple(sight_mm + error * m - peg for peg, m in zip(pegs_mm, at, strict=True))


def packers(error: float, higher_mm: float, length_m: float) -> tuple[float, float]:
    """Return what centres the bubble as booked and turned, worked out from the level's body.

    A level of error e rests with its body out of true by e: with the bubble centred its end at
    ``to`` is e·L lower than its end at ``from``. Turned, it is e·L higher.
    """
    booked = higher_mm + error * length_m
    turned = higher_mm - error * length_m
    return booked, turned


def marks(error: float, beam_mm: float, floors: tuple, at: tuple) -> tuple:
    """Return the heights of marks above what is fixed on either wall."""
    return tuple(beam_mm + error * m - floor for floor, m in zip(floors, at, strict=True))


@settings(max_examples=80, deadline=None)
@given(ERRORS, st.floats(5, 60), st.floats(-0.4, 0.5))
def test_the_error_of_a_line_of_sight_comes_back(error: float, apart: float, share: float) -> None:
    pegs = (17.0, 231.5)
    sights = sights_beyond(apart, share * apart)
    midway = staffs(error, 1700.0, pegs, (apart / 2, apart / 2))
    second = staffs(error, 1842.0, pegs, sights)
    found = two_peg_test(midway, second, sights)
    # Readings of metres over differences of a metre: rounding alone.
    assert found.error_mm_per_m == pytest.approx(error, abs=1e-9)
    assert found.true_mm == pytest.approx(staffs(0.0, 1842.0, pegs, sights), abs=1e-8)
    assert found.difference_mm == pytest.approx(231.5 - 17.0, abs=1e-9)


@settings(max_examples=80, deadline=None)
@given(ERRORS, st.floats(-9, 9), st.floats(0.3, 2.4))
def test_the_error_of_a_spirit_level_comes_back(error: float, higher: float, length: float) -> None:
    booked, turned = packers(error, higher, length)
    found = reversal_test(booked, turned, 1000 * length)
    assert found.error_mm_per_m == pytest.approx(error, abs=1e-9)
    assert found.difference_mm == pytest.approx((higher,), abs=1e-9)


@settings(max_examples=80, deadline=None)
@given(ERRORS, st.floats(3, 20), st.floats(0, 0.45), st.floats(0, 0.45))
def test_the_error_of_a_laser_comes_back(error: float, apart: float, a: float, b: float) -> None:
    near, floors = (a * apart, b * apart), (3.0, -41.0)
    at_first, at_second = (near[0], apart - near[0]), (apart - near[1], near[1])
    first = marks(error, 1210.0, floors, at_first)
    second = marks(error, 1265.0, floors, at_second)
    found = two_wall_test(first, second, apart, near)
    assert found.error_mm_per_m == pytest.approx(error, abs=1e-8)
    assert found.true_first_mm == pytest.approx(marks(0.0, 1210.0, floors, at_first), abs=1e-7)
    assert found.true_second_mm == pytest.approx(marks(0.0, 1265.0, floors, at_second), abs=1e-7)
    assert found.difference_mm == pytest.approx(44.0, abs=1e-7)


def noisy_pegs(rng: np.random.Generator) -> OwnErrorFound:
    sights = (33.0, 3.0)
    one, other = (
        tuple(mm + rng.normal(0, 0.6) for mm in staffs(0.13, 1600.0, (0.0, 90.0), at))
        for at in ((15.0, 15.0), sights)
    )
    return two_peg_test(one, other, sights, sd_mm=0.6)


def noisy_level(rng: np.random.Generator) -> OwnErrorFound:
    booked, turned = packers(-0.4, 3.0, 1.2)
    return reversal_test(booked + rng.normal(0, 0.2), turned + rng.normal(0, 0.2), 1200.0, 0.2)


def noisy_laser(rng: np.random.Generator) -> OwnErrorFound:
    first = tuple(mm + rng.normal(0, 0.3) for mm in marks(0.2, 1e3, (0, 7), (0.5, 5.5)))
    second = tuple(mm + rng.normal(0, 0.3) for mm in marks(0.2, 1e3, (0, 7), (5.2, 0.8)))
    return two_wall_test(first, second, 6.0, (0.5, 0.8), 0.3)


@pytest.mark.parametrize(
    ("draw", "error"), [(noisy_pegs, 0.13), (noisy_level, -0.4), (noisy_laser, 0.2)]
)
def test_the_doubt_of_each_test_by_simulation(
    draw: Callable[[np.random.Generator], OwnErrorFound], error: float
) -> None:
    rng = np.random.default_rng(11)
    found = [draw(rng) for _ in range(1500)]
    errors = [one.error_mm_per_m for one in found]
    # The sd of 1500 draws has itself an sd of 1/sqrt(3000) = 1.8 %, their mean one of 2.6 % of it.
    assert np.std(errors) == pytest.approx(found[0].sd_mm_per_m, rel=0.075)
    assert np.mean(errors) == pytest.approx(error, abs=4 * found[0].sd_mm_per_m / 1500**0.5)


# --- worked values -----------------------------------------------------------------------------


def test_a_level_that_reads_too_high() -> None:
    # Midway B is 113 lower; from near B, A at 33 m reads 4 mm too much against B at 3 m.
    found = two_peg_test((1391.0, 1504.0), (1486.0, 1595.0), (33.0, 3.0), sd_mm=0.6)
    assert found.error_mm_per_m == pytest.approx(4 / 30)
    assert found.sd_mm_per_m == pytest.approx(2 * 0.6 / 30)
    assert found.true_mm == pytest.approx((1486 - 4.4, 1595 - 0.4))
    assert found.difference_mm == -113.0
    assert found.over(12.0) == pytest.approx(1.6)


def test_several_lines_of_a_spirit_level() -> None:
    booked, turned = [4.1, -1.3, 0.6], [3.5, -2.2, 0.3]
    found = reversal_test(booked, turned, 1500.0, sd_mm=0.05)
    single = [0.6 / 3, 0.9 / 3, 0.3 / 3]
    assert found.error_mm_per_m == pytest.approx(0.2)
    assert found.scatter_mm_per_m == pytest.approx(np.std(single, ddof=1))
    assert found.sd_mm_per_m == pytest.approx(0.1 / math.sqrt(3))
    assert found.difference_mm == pytest.approx((3.8, -1.75, 0.45))


def test_lines_that_happen_to_agree_do_not_make_a_packer_better() -> None:
    found = reversal_test([2.0, 5.0], [1.4, 4.4], 1200.0, sd_mm=0.2)
    assert found.scatter_mm_per_m == pytest.approx(0, abs=1e-12)
    assert found.sd_mm_per_m == pytest.approx(0.2 / (1.2 * 2))


def test_a_single_line_has_no_scatter() -> None:
    found = reversal_test(4.1, 2.9, 1200.0)
    assert math.isnan(found.scatter_mm_per_m)
    assert found.sd_mm_per_m == pytest.approx(0.2 / (1.2 * math.sqrt(2)))


def test_a_stand_between_the_pegs() -> None:
    assert sights_beyond(30.0, 4.0) == (34.0, 4.0)
    assert sights_beyond(30.0, -4.0) == (26.0, 4.0)
    with pytest.raises(Refusal, match="midway"):
        sights_beyond(30.0, -16.0)


def test_the_adjustment_takes_the_same_error_out() -> None:
    """Heights come out right with the error that the test finds, and not with its opposite."""
    heights = {"P": 0.0, "Q": 6.3, "R": -2.4}
    x = {"P": 0.0, "Q": 1100.0, "R": 2500.0}
    error = 0.7
    rows = [
        (start, end, 1.0, heights[end] - heights[start] + error * abs(x[end] - x[start]) / 1000)
        for start, end in (("P", "Q"), ("Q", "R"))
    ]
    frame = pd.DataFrame(rows, columns=["start", "point", "turned", "observed_mm"])
    frame = frame.assign(x_mm=NAN, y_mm=NAN, sd_mm=0.2, setup="", row=[2, 3])
    places = pd.DataFrame({"point": list(x), "x_mm": list(x.values()), "y_mm": 0.0})
    places = places.assign(row=[2, 3, 4], file="points.csv")
    booked, turned = packers(error, 6.3, 1.1)
    found = reversal_test(booked, turned, 1100.0)
    extra = pd.DataFrame(index=frame.index)
    table = Table("level.csv", "level", "", frame, extra, places, found.error_mm_per_m)
    points = adjust(Readings((table,)), "P", 0.0).points.set_index("point")["height_mm"]
    assert points[list(heights)].tolist() == pytest.approx(list(heights.values()), abs=1e-9)


# --- verdicts ----------------------------------------------------------------------------------


def judged(error: float, sd: float, service: float = 0.5, use: Use | None = None) -> tuple:
    found = TwoPegTest(error, sd, service)
    verdict = found.verdict(use or Use(4.0, 0.5))
    return verdict.action, verdict.sentence


@pytest.mark.parametrize("sign", [1, -1])
@pytest.mark.parametrize(
    ("error", "sd", "action"),
    [
        (0.05, 0.03, "use"),  # (0.05 + 0.059)·4 = 0.44
        (0.05, 0.04, "correct"),  # (0.05 + 0.078)·4 = 0.51; 0.078·4 = 0.31
        (0.30, 0.06, "correct"),
        (0.30, 0.07, "test again"),  # 0.137·4 = 0.55
        (0.55, 0.06, "service"),
        (0.52, 0.07, "test again"),  # not surely above 0.5
        (0.80, 0.10, "service"),  # surely above 0.5 although it scatters
    ],
)
def test_four_verdicts(sign: int, error: float, sd: float, action: str) -> None:
    found, sentence = judged(sign * error, sd)
    assert found == action
    assert sentence.startswith(
        {
            "use": "use it: over 4 m",
            "correct": f"correct by {error:.3f} mm a metre: ",
            "service": "have it serviced: ",
            "test again": "test again: the readings scatter too much to tell.",
        }[action]
    )


def test_the_limit_follows_from_the_use() -> None:
    assert judged(0.2, 0.01, use=Use(2.0, 0.5))[0] == "use"
    assert judged(0.2, 0.01, use=Use(4.0, 0.5))[0] == "correct"
    assert judged(0.2, 0.01, service=0.1, use=Use(4.0, 0.5))[0] == "service"


def test_which_way_to_shift_a_reading() -> None:
    use = Use(4.0, 0.5)
    high = two_peg_test((1391.0, 1504.0), (1486.0, 1595.0), (33.0, 3.0))
    assert "take 0.133 mm off a staff reading" in high.verdict(use).sentence
    low = two_peg_test((1391.0, 1504.0), (1478.0, 1595.0), (33.0, 3.0))
    assert "add 0.133 mm to a staff reading" in low.verdict(use).sentence
    up = two_wall_test((1012.0, 1020.5), (1037.0, 1043.0), 6.4, (0.5, 0.7), 0.3)
    assert "set a mark 0.240 mm lower" in up.verdict(use).sentence
    down = two_wall_test((1012.0, 1020.5), (1037.0, 1048.0), 6.4, (0.5, 0.7), 0.3)
    assert "set a mark 0.240 mm higher" in down.verdict(use).sentence


def test_which_end_of_a_spirit_level_is_lower() -> None:
    positive = reversal_test([4.1, 1.0], [3.6, 0.5], 1200.0, 0.1).verdict(Use(2.0, 0.4)).sentence
    assert "as booked, take 0.208 mm off the height of 'to' above 'from'" in positive
    assert "turned end for end, add it" in positive
    assert "end at 'to' is really the lower" in positive
    negative = reversal_test([3.6, 0.5], [4.1, 1.0], 1200.0, 0.1).verdict(Use(2.0, 0.4)).sentence
    assert "as booked, add 0.208 mm to the height" in negative
    assert "turned end for end, take it off" in negative
    assert "end at 'from' is really the lower" in negative


@settings(max_examples=60, deadline=None)
@given(st.floats(-1, 1), st.floats(0.001, 0.2), st.floats(0.5, 20), st.floats(0.05, 5))
def test_what_may_be_used_is_within_what_is_allowed(
    error: float, sd: float, longest: float, allowed: float
) -> None:
    found = TwoPegTest(error, sd, 0.5)
    action = found.verdict(Use(longest, allowed)).action
    surely = (abs(error) + found.doubt_mm_per_m) * longest <= allowed
    assert (action == "use") == surely
    if action == "correct":
        assert found.doubt_mm_per_m * longest <= allowed
        assert abs(error) <= 0.5


# --- refusals ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("test", "words"),
    [
        (lambda: two_peg_test((NAN, 1.4e3), (1.5e3, 1.6e3), (33, 3)), "midway readings"),
        (lambda: two_peg_test((1.3e3, -4), (1.5e3, 1.6e3), (33, 3)), "0 or more"),
        (
            lambda: two_peg_test((1.3e3, 1.4e3), (1.5e3, 1.6e3), (20, 20)),
            "differ by 1 m or more",
        ),
        (lambda: two_peg_test((1.3e3, 1.4e3), (1.5e3, 1.6e3), (-20, 20)), "found -20 m"),
        (lambda: two_peg_test((1.391, 1.504), (1.486, 1.595), (33, 3)), "looks like metres"),
        (lambda: two_peg_test((1.3e3, 1.4e3), (1.5e3, 1.6e3), (33, 3), 0.0), "sd of a reading"),
        (lambda: sights_beyond(-4.0, 2.0), "distance of the pegs"),
        (lambda: sights_beyond(4.0, NAN), "distance beyond the second peg"),
        (lambda: reversal_test([1.0, 2.0], [1.0], 1200.0), "2 direct and 1 reversed"),
        (lambda: reversal_test([], [], 1200.0), "0 direct"),
        (lambda: reversal_test(1.0, math.inf, 1200.0), "reversed readings"),
        (lambda: reversal_test(1.0, 2.0, 1.2), "from 50 to 10000 mm"),
        (lambda: reversal_test(1.0, 2.0, 1200.0, service_mm_per_m=-1), "limit for service"),
        (lambda: two_wall_test((1, 2), (3, 4), 6.0, (0.5, 3.0)), "below half the distance"),
        (lambda: two_wall_test((1, 2), (3, 4), 0.0, (0.0, 0.0)), "below half the distance"),
        (lambda: two_wall_test((1, NAN), (3, 4), 6.0, (0.5, 0.5)), "marks of the first"),
        (lambda: two_wall_test((1, 2), (3, 4), 6.0, (-0.5, 0.5)), "distances from the near wall"),
        (lambda: Use(0.0, 0.5), "longest_m"),
        (lambda: Use(4.0, NAN), "allowed_mm"),
    ],
)
def test_what_cannot_be_is_refused(test: Callable[[], object], words: str) -> None:
    with pytest.raises(Refusal, match=words):
        test()
