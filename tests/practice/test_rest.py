"""How an edge lies: closed forms, every rigid position tried, a linear programme, mirror images."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq, linprog

from kit.job import Refusal
from kit.practice.draws import Draws
from kit.practice.rest import FELT_MM_PER_M, ROCKS_WITHIN, rest

# Heights of a few mm over places of 2000 mm: slopes are good to about 1e-9 mm/m.
ROUND_OFF = 1e-9
STEP = 5.0


def grid(long: float) -> np.ndarray:
    return np.linspace(0.0, long, round(long / STEP) + 1)


@pytest.mark.parametrize("long", [600.0, 1205.0, 1800.0, 2000.0])
@pytest.mark.parametrize("rise", [0.0, 1.7, -3.3])
def test_on_a_plane_it_lies_as_the_plane_does_whatever_its_length(long, rise):
    at = grid(long)
    lies = rest(at, 4 + rise * at / 1000)
    assert lies.slope_mm_per_m == pytest.approx(rise, abs=1e-8)  # 1e-15 mm over facets of 5 mm
    assert float(lies.height_mm(long / 3)) == pytest.approx(4 + rise * long / 3000, abs=ROUND_OFF)
    assert not lies.rocks


def test_on_a_plane_kept_to_a_thousandth_it_never_seems_to_rock():
    draws = Draws("planes")
    for k in range(300):
        at, rise = grid((600.0, 1800.0, 2000.0)[k % 3]), draws.between(f"{k}", -6, 6)
        lies = rest(at, np.round(rise * at / 1000, 3))
        assert not lies.rocks
        # Concave, within 0.0005 mm either side of the plane: 0.001 mm over half the length.
        assert lies.slope_mm_per_m == pytest.approx(rise, abs=2 / at[-1] + 1e-9)


def test_two_points_carry_it():
    at = np.array([0.0, 300, 1100, 1700, 1800])
    lies = rest(at, np.array([-5, 1.2, -5, 2.6, -5]))
    assert (lies.left_mm, lies.right_mm) == (300, 1700)
    assert lies.slope_mm_per_m == pytest.approx(1.0, abs=ROUND_OFF)
    assert lies.height_mm([0, 1800]) == pytest.approx([0.9, 2.7], abs=ROUND_OFF)
    assert lies.middle_mm == 900


def test_two_points_on_one_side_do_not_carry_it():
    """It tips over the one nearer to its middle until its far end comes down."""
    at = np.array([0.0, 300, 700, 1800])
    lies = rest(at, np.array([0, 1.2, 2.1, -1.2]))
    assert (lies.left_mm, lies.right_mm) == (700, 1800)
    assert lies.slope_mm_per_m == pytest.approx(-3.0, abs=ROUND_OFF)


@pytest.mark.parametrize(
    ("corner", "slope", "touches"),
    [(700, 0.0, (700, 1800)), (1200, 3.0 / 1.2, (0, 1200))],
)
def test_on_a_step_it_lies_on_the_side_of_its_middle(corner, slope, touches):
    at = grid(1800.0)
    lies = rest(at, np.where(at < corner, 0.0, 3.0))
    assert lies.slope_mm_per_m == pytest.approx(slope, abs=ROUND_OFF)
    assert (lies.left_mm, lies.right_mm) == pytest.approx(touches, abs=ROUND_OFF)


def parabola(x, middle, half, high):
    return high * np.maximum(1 - ((x - middle) / half) ** 2, 0.0)


def bell(x, middle, half, high):
    return high * np.cos(np.pi / 2 * np.minimum(np.abs(x - middle) / half, 1)) ** 2


def parabola_slope(x, middle, half, high):
    return -2 * high * (x - middle) / half**2


def bell_slope(x, middle, half, high):
    return -high * np.pi / 2 / half * np.sin(np.pi * (x - middle) / half)


HUMPS = [
    # the height, its slope, its greatest bend [1/mm] for height 1 and half width 1
    pytest.param(parabola, parabola_slope, 2.0, id="parabola"),
    pytest.param(bell, bell_slope, np.pi**2 / 2, id="cosine bell"),
]


@pytest.mark.parametrize(("hump", "slope", "bend"), HUMPS)
@pytest.mark.parametrize(("middle", "half", "high"), [(540.0, 350.0, 3.0), (633.0, 500.0, 1.7)])
def test_on_a_hump_left_of_its_middle_it_touches_by_the_tangent_from_its_end(
    hump, slope, bend, middle, half, high
):
    at = grid(1800.0)
    shape = (middle, half, high)
    touch = brentq(
        lambda t: hump(t, *shape) + slope(t, *shape) * (1800 - t), middle, middle + half / 2
    )
    assert touch < 900
    lies = rest(at, hump(at, *shape))
    assert lies.right_mm == 1800
    assert lies.left_mm == pytest.approx(touch, abs=STEP)  # looked at every 5 mm
    # The place nearest to the contact lies at most half a step from it, and so far below the
    # tangent; the tangent's slope is out by that over its length.
    below = bend * high / half**2 * (STEP / 2) ** 2 / 2
    out = 1000 * below / (1800 - touch - STEP)
    assert lies.slope_mm_per_m == pytest.approx(1000 * slope(touch, *shape), abs=out)
    mirrored = rest(at, hump(1800 - at, *shape))
    assert mirrored.slope_mm_per_m == pytest.approx(-lies.slope_mm_per_m, abs=ROUND_OFF)


@pytest.mark.parametrize(("hump", "slope", "bend"), HUMPS)
def test_on_a_hump_under_its_middle_it_lies_level_on_the_top_and_rocks(hump, slope, bend):  # noqa: ARG001
    at = grid(1800.0)
    lies = rest(at, hump(at, 900.0, 500.0, 2.0))
    assert lies.rocks
    assert abs(lies.left_mm - 900) <= STEP
    assert abs(lies.right_mm - 900) <= STEP
    # Over the top's first step the hump falls by bend · step² / 2.
    assert abs(lies.slope_mm_per_m) <= 1000 * bend * 2.0 / 500**2 * STEP / 2 * 1.001


def test_a_contact_near_the_middle_rocks_one_farther_off_does_not():
    at = grid(2000.0)
    for place, expected in ((980, True), (1020, True), (975, False), (1025, False)):
        # 1 % of 2000 mm is 20 mm, both places included; 5 mm more is not.
        assert rest(at, np.where(at == place, 1.0, 0.0)).rocks is expected
        assert rest(at, np.where(at == 2000 - place, 1.0, 0.0)).rocks is expected
    for off in (-1e-9, 1e-9):  # round-off of a place at the limit decides nothing
        places = np.array([0, 980 + off, 1300, 2000])
        assert rest(places, np.array([0, 1.0, 0, 0])).rocks
    assert ROCKS_WITHIN == 0.01


def test_it_rocks_only_as_far_as_is_felt():
    at = np.array([0.0, 900, 1800])
    for high, expected in ((0.0040, False), (0.0050, True)):
        # It tips by 2 · high / 0.9 m: 0.0089 or 0.0111 mm/m.
        assert rest(at, np.array([0, high, 0])).rocks is expected
    assert FELT_MM_PER_M == 0.01


def profiles(count: int):
    """Profiles of 2 to 40 places, uneven steps, rough or in coarse steps with many ties."""
    for k in range(count):
        draws = Draws(f"profile {k}")
        n = draws.whole("places", 2, 40)
        at = np.cumsum(5 + 90 * draws.shares("steps", n))
        z = 3 * draws.normals("heights", n)
        yield at, np.round(z) if k % 3 == 0 else z


def every_pair(at, z):
    """Return every line on two of the places that stays above all: (middle height, slope)."""
    middle = (at[0] + at[-1]) / 2
    lines = []
    for a, b in itertools.combinations(range(len(at)), 2):
        slope = (z[b] - z[a]) / (at[b] - at[a])
        if np.all(z <= z[a] + slope * (at - at[a]) + 1e-9):
            lines.append((float(z[a] + slope * (middle - at[a])), float(slope)))
    return lines


def test_no_other_rigid_position_has_a_lower_middle():
    told = 0
    for at, z in profiles(400):
        lies, lines = rest(at, z), every_pair(at, z)
        lowest = min(height for height, _ in lines)
        middle = float(lies.height_mm(lies.middle_mm))
        assert np.all(z <= lies.height_mm(at) + 1e-9)
        assert middle == pytest.approx(lowest, abs=1e-9)
        slopes = [slope for height, slope in lines if height < lowest + 1e-9]
        if max(slopes) - min(slopes) < 1e-9:
            told += 1
            assert lies.slope_mm_per_m == pytest.approx(1000 * slopes[0], abs=1e-5)
        else:
            assert min(abs(lies.slope_mm_per_m / 1000 - slope) for slope in slopes) < 1e-8
    assert told > 350  # mostly one position is lowest, and then its slope is told


def test_a_linear_programme_finds_the_same_middle_and_slope():
    """Minimise the middle's height m over m and slope s, m + s (x - middle) >= z everywhere."""
    for at, z in profiles(200):
        lies, middle = rest(at, z), (at[0] + at[-1]) / 2
        above = np.column_stack([-np.ones(len(at)), -(at - middle) / 1000])
        best = linprog([1, 0], A_ub=above, b_ub=-z, bounds=[(None, None)] * 2, method="highs")
        # HiGHS keeps rows to 1e-7.
        assert float(lies.height_mm(middle)) == pytest.approx(best.fun, abs=1e-6)


def test_every_slope_on_a_fine_grid_puts_the_middle_no_lower():
    """By slopes instead of contacts: the edge at each slope comes down until it touches."""
    slopes = np.linspace(-0.4, 0.4, 4001)  # mm/mm, in steps of 0.2 mm/m
    for at, z in itertools.islice(profiles(60), 60):
        lies = rest(at, z)
        middles = np.max(z[None, :] - slopes[:, None] * (at - lies.middle_mm)[None, :], axis=1)
        best = float(lies.height_mm(lies.middle_mm))
        assert np.all(middles >= best - 1e-9)
        if abs(lies.slope_mm_per_m) < 399:
            # Half a step of slope over half the edge.
            assert float(middles.min()) <= best + 1e-4 * (at[-1] - at[0]) / 2


@given(st.lists(st.integers(-6, 6), min_size=2, max_size=31), st.sampled_from([5.0, 7.3, 50.0]))
def test_seen_from_the_other_side_it_lies_on_the_same_contacts(heights, step):
    z = np.array(heights, dtype=float)
    at = step * np.arange(len(z))
    lies, back = rest(at, z), rest(at, z[::-1])
    mirrored = back.mirrored
    # Two facets that mirror each other about the middle: both lies are as low.
    tie = abs(lies.left_mm - back.left_mm) < 1e-6 and lies.slope_mm_per_m == pytest.approx(
        back.slope_mm_per_m, abs=1e-9
    )
    assume(not (tie and lies.slope_mm_per_m != 0))
    for name in ("left_mm", "right_mm", "left_height_mm", "right_height_mm", "middle_mm"):
        assert getattr(lies, name) == pytest.approx(getattr(mirrored, name), abs=1e-9)
    assert lies.slope_mm_per_m == pytest.approx(-back.slope_mm_per_m, abs=1e-6)
    assert lies.rocks is back.rocks


@pytest.mark.parametrize(
    ("places", "heights", "touches"),
    [
        ([0, 500, 900, 1800], [-9, 0, 1.0, 0.5], (900, 1800)),  # the longer, though steeper
        ([0, 900, 1300, 1800], [0.5, 1.0, 0, -9], (0, 900)),
        ([0, 900, 1800], [0.8, 1.0, 0.1], (0, 900)),  # of one length: the flatter
        ([0, 900, 1800], [0.1, 1.0, 0.8], (900, 1800)),
        ([0, 900, 1800], [0.4, 1.0, 0.4], (0, 900)),  # a mirror image of itself: the left
    ],
)
def test_where_the_middle_is_a_contact_it_lies_on_the_steadier_side(places, heights, touches):
    lies = rest(np.array(places, dtype=float), np.array(heights, dtype=float))
    assert (lies.left_mm, lies.right_mm) == touches


def test_a_middle_contact_that_round_off_moves_is_still_one():
    """Without it, which facet carries would hang on the last bit of a place."""
    for off in (-1e-10, 0.0, 1e-10):
        at = np.array([0.0, 400, 900 + off, 1800])
        lies = rest(at, np.array([-9, 0.4, 1.0, 0.2]))
        assert (lies.left_mm, lies.right_mm) == (900 + off, 1800)


def test_a_mirrored_lie_is_the_same_edge_counted_from_its_other_end():
    lies = rest(np.array([0.0, 300, 1800]), np.array([-4, 1.0, 2.5]))
    other = lies.mirrored
    assert (other.left_mm, other.right_mm) == (0, 1500)
    assert other.slope_mm_per_m == pytest.approx(-1.0, abs=ROUND_OFF)
    for place in (0, 450, 1800):
        assert float(other.height_mm(1800 - place)) == pytest.approx(
            float(lies.height_mm(place)), abs=ROUND_OFF
        )


@pytest.mark.parametrize("places", [[], [3.0]])
def test_less_than_two_places_carry_nothing(places):
    with pytest.raises(Refusal, match=f"found {len(places)} places under it; allowed: two or more"):
        rest(np.array(places), np.array(places))


def test_heights_along_it_are_a_straight_line():
    lies = rest(np.array([100.0, 400, 1300]), np.array([2.0, -1, 5.0]))
    assert math.isclose(float(lies.height_mm(700)), 2 + 3 * 600 / 1200)
    assert lies.height_mm(np.array([[100.0], [1300.0]])).shape == (2, 1)
