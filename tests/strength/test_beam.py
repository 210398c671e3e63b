"""A beam that its supports hold both ways: closed forms, and its parts against each other."""

from __future__ import annotations

import math

import numpy as np
import pytest

from kit.job import Refusal
from kit.strength.beam import Beam, Loads
from kit.strength.line import Line, held

#: Closed forms and the kit differ by round-off alone.
ROUND_OFF = 1e-9


# --- closed forms ------------------------------------------------------------------------------


@pytest.mark.parametrize("ga", [math.inf, 3.1e5])
def test_one_load_off_centre(ga: float) -> None:
    a, b, load, ei = 310.0, 640.0, 870.0, 2.3e9
    span = a + b
    line = held(Beam((0.0, span), 0.0, span, ei, ga), Loads(((a, load),)), [0, 0])
    assert line.reactions_n == pytest.approx([load * b / span, load * a / span], rel=ROUND_OFF)
    assert float(line.moment_n_mm(a)) == pytest.approx(load * a * b / span, rel=ROUND_OFF)
    x = np.array([45.0, 150.0, 300.0])  # left of the load
    bent = load * b * x * (span**2 - b**2 - x**2) / (6 * span * ei)
    sheared = load * b / span * x / ga  # M / GA over simple supports
    assert line.height_mm(x) == pytest.approx(-bent - sheared, rel=ROUND_OFF)
    y = np.array([900.0, 500.0])  # right of it, seen from the other end
    bent = load * a * (span - y) * (span**2 - a**2 - (span - y) ** 2) / (6 * span * ei)
    sheared = load * a / span * (span - y) / ga
    assert line.height_mm(y) == pytest.approx(-bent - sheared, rel=ROUND_OFF)


@pytest.mark.parametrize("ga", [math.inf, 2.2e5])
@pytest.mark.parametrize("mirrored", [False, True])
def test_load_at_the_tip_of_an_overhang(ga: float, mirrored: bool) -> None:
    span, arm, load, ei = 830.0, 170.0, 460.0, 1.7e9
    beam = Beam((0.0, span), 0.0, span + arm, ei, ga)
    tip = span + arm
    if mirrored:
        beam, tip = Beam((0.0, span), -arm, span, ei, ga), -arm
    line = held(beam, Loads(((tip, load),)), [0, 0])
    pulled, pressed = -load * arm / span, load * (span + arm) / span
    expected = [pressed, pulled] if mirrored else [pulled, pressed]
    assert line.reactions_n == pytest.approx(expected, rel=ROUND_OFF)
    # The shear turns the whole beam by M / (GA span), so that both supports keep their heights.
    down = load * arm**2 * (span + arm) / (3 * ei) + load * arm * (span + arm) / (ga * span)
    assert float(line.height_mm(tip)) == pytest.approx(-down, rel=ROUND_OFF)
    if math.isinf(ga):
        x = span / math.sqrt(3)
        up = load * arm * span**2 / (9 * math.sqrt(3) * ei)
        assert float(line.height_mm(span - x if mirrored else x)) == pytest.approx(
            up, rel=ROUND_OFF
        )


def test_patch_on_part_of_a_span() -> None:
    a, b, c, each, ei = 210.0, 330.0, 420.0, 1.9, 1.1e9
    span = a + b + c
    line = held(Beam((0.0, span), 0.0, span, ei), Loads(patches=((a, a + b, each),)), [0, 0])
    left = each * b * (2 * c + b) / (2 * span)
    assert line.reactions_n == pytest.approx([left, each * b - left], rel=ROUND_OFF)
    assert line.greatest_moment_n_mm == pytest.approx(left * (a + left / (2 * each)), rel=ROUND_OFF)
    assert np.min(np.abs(line.turning_places_mm - (a + left / each))) < 1e-9 * span
    # Three places by the theorem of the moment's area, summed up over a fine grid.
    x, step = np.linspace(0, span, 96_001, retstep=True)
    moment = left * x - each * (np.maximum(x - a, 0) ** 2 - np.maximum(x - a - b, 0) ** 2) / 2
    for place in (130.0, 400.0, 800.0):
        unit = np.where(x < place, x * (span - place), place * (span - x)) / span
        bent = float(np.sum(moment * unit) * step) / ei  # both ends are 0; error of step²
        assert float(line.height_mm(place)) == pytest.approx(-bent, rel=1e-7)


def test_shear_term_over_two_unequal_spans() -> None:
    """Three moments with shear: it takes load off the middle support."""
    a, b, each, ei, ga = 350.0, 520.0, 2.4, 6.1e8, 1.7e4
    beam = Beam((0.0, a, a + b), 0.0, a + b, ei, ga)
    line = held(beam, Loads(patches=((0.0, a + b, each),)), [0, 0, 0])
    stiff = each * (a**3 + b**3) / (8 * (a + b))
    moment = stiff / (1 + 3 * ei * (1 / a + 1 / b) / (ga * (a + b)))
    assert moment < 0.7 * stiff  # so that the term matters here
    assert float(line.moment_n_mm(a)) == pytest.approx(-moment, rel=ROUND_OFF)
    ends = [each * a / 2 - moment / a, each * b / 2 - moment / b]
    middle = each * (a + b) - sum(ends)
    assert line.reactions_n == pytest.approx([ends[0], middle, ends[1]], rel=ROUND_OFF)


def test_settled_middle_support() -> None:
    a, b, down, ei = 430.0, 710.0, 1.3, 2.9e9
    line = held(Beam((0.0, a, a + b), 0.0, a + b, ei), Loads(), [0, -down, 0])
    pull = 3 * ei * (a + b) * down / (a * b) ** 2
    expected = [pull * b / (a + b), -pull, pull * a / (a + b)]
    assert line.reactions_n == pytest.approx(expected, rel=ROUND_OFF)


# --- hinges ------------------------------------------------------------------------------------

PLACES = (0.0, 380.0, 1010.0, 1460.0)
HINGED = Loads(((120.0, 700.0), (1300.0, 410.0)), ((0.0, 1460.0, 0.6),))


def test_hinge_parts_a_beam_in_two() -> None:
    heights = [0.4, -0.7, 0.2, 1.1]
    whole = held(Beam(PLACES, 0.0, 1460.0, 8.8e8, 9.0e4, hinges=(1,)), HINGED, heights)
    left = held(
        Beam(PLACES[:2], 0.0, 380.0, 8.8e8, 9.0e4),
        Loads(((120.0, 700.0),), ((0.0, 380.0, 0.6),)),
        heights[:2],
    )
    right = held(
        Beam(PLACES[1:], 380.0, 1460.0, 8.8e8, 9.0e4),
        Loads(((1300.0, 410.0),), ((380.0, 1460.0, 0.6),)),
        heights[1:],
    )
    expected = np.append(left.reactions_n, [0.0, 0.0]) + np.append(0.0, right.reactions_n)
    assert whole.reactions_n == pytest.approx(expected, rel=ROUND_OFF)
    assert float(whole.moment_n_mm(380.0)) == pytest.approx(0, abs=1e-6)  # N mm of 1e5
    assert whole.height_mm([90.0, 300.0]) == pytest.approx(left.height_mm([90.0, 300.0]), rel=1e-9)
    places = [400.0, 800.0, 1200.0]
    assert whole.height_mm(places) == pytest.approx(right.height_mm(places), rel=1e-9)


def test_beam_hinged_over_every_inner_support_is_statics_alone() -> None:
    beam = Beam(PLACES, -90.0, 1500.0, 8.8e8, 9.0e4, hinges=(1, 2))
    line = held(beam, HINGED, [2.0, -1.0, 3.0, 0.5])
    a, c = 380.0, 450.0
    expected = [
        700 * 260 / a + 0.6 * a / 2,
        700 * 120 / a + 0.6 * (a + 630) / 2,
        410 * 160 / c + 0.6 * (630 + c) / 2,
        410 * 290 / c + 0.6 * c / 2,
    ]
    # How high the supports stand cannot matter, not even by what round-off would leave.
    assert line.reactions_n == pytest.approx(expected, rel=ROUND_OFF)
    assert not beam.frame.stiffness.any()
    assert not Beam((0.0, 517.3), -31.7, 601.9, 7.7e8, 1e5).frame.stiffness.any()


# --- one beam with everything on it ------------------------------------------------------------

BUSY = Beam((0.0, 270.0, 905.0, 1330.0, 2010.0), -140.0, 2115.0, 2.7e9, 3.9e5)
ON_IT = Loads(
    ((-140.0, 55.0), (100.0, 340.0), (270.0, 120.0), (777.0, 610.0), (2080.0, 90.0)),
    ((-140.0, 2115.0, 0.05), (60.0, 1100.0, 1.1), (800.0, 1900.0, 0.4)),
)
TOPS = [0.3, -0.4, 0.9, 0.0, -1.2]


@pytest.fixture(scope="module")
def line() -> Line:
    return held(BUSY, ON_IT, TOPS)


def clear_places(margin_mm: float) -> np.ndarray:
    """Places away from all that makes a jump."""
    marks = [*BUSY.supports_mm, BUSY.start_mm, BUSY.end_mm, *(p for p, _ in ON_IT.points)]
    marks += [edge for start, end, _ in ON_IT.patches for edge in (start, end)]
    places = np.arange(BUSY.start_mm + 5, BUSY.end_mm - 5, 7.3)
    near = np.abs(places[:, None] - np.array(marks)).min(axis=1)
    return np.asarray(places[near > margin_mm])


def test_the_line_lies_on_its_supports(line: Line) -> None:
    assert line.height_mm(BUSY.supports_mm) == pytest.approx(TOPS, abs=1e-12)
    # Approached from the left, through the whole element before it: round-off of some mm.
    assert line.height_mm(np.array(BUSY.supports_mm) - 1e-7) == pytest.approx(TOPS, abs=1e-7)


def test_height_bends_as_the_moment_says(line: Line) -> None:
    at, h = clear_places(3.0), 2.0
    assert len(at) > 200

    def bent(x: np.ndarray) -> np.ndarray:
        return line.height_mm(x) + line.moment_n_mm(x) / BUSY.ga_n

    curvature = (bent(at - h) - 2 * bent(at) + bent(at + h)) / h**2
    moment = line.moment_n_mm(at)
    patch = 1.55 * h**2 / 12  # the fourth difference of the heaviest patches
    # Round-off of heights of 1 mm over h² = 4 mm², times EI: below 1 N mm.
    assert curvature * BUSY.ei_n_mm2 == pytest.approx(moment, abs=patch + 1.0)
    assert np.abs(moment).max() > 1e4


def test_moment_grows_by_the_shear(line: Line) -> None:
    at, h = clear_places(3.0), 1.0
    slope = (line.moment_n_mm(at + h) - line.moment_n_mm(at - h)) / (2 * h)
    # A parabola's central difference is its slope: round-off of 1e5 N mm only.
    assert line.shear_n(at) == pytest.approx(slope, abs=1e-8)


def test_slope_turns_by_shear_at_a_point_load_only(line: Line) -> None:
    """The section does not turn there; the line does by P / GA."""
    for place, jump in ((777.0, 610.0), (640.0, 0.0)):
        left, here, right = line.height_mm([place - 1e-2, place, place + 1e-2])
        kink = (right - 2 * here + left) / 1e-2
        bending = float(line.moment_n_mm(place)) / BUSY.ei_n_mm2 * 1e-2
        assert kink - bending == pytest.approx(jump / BUSY.ga_n, abs=1e-7)


def test_shear_jumps_by_what_stands_or_presses_there(line: Line) -> None:
    at = np.array([-140.0, 0.0, 100.0, 270.0, 640.0, 777.0, 905.0, 1330.0, 2010.0, 2080.0])
    r = line.reactions_n
    jumps = [-55, r[0], -340, r[1] - 120, 0, -610, r[2], r[3], r[4], -90]
    found = line.shear_n(at) - line.shear_n(at, left=True)
    assert found == pytest.approx(np.array(jumps), abs=1e-10)


def test_nothing_is_left_over_at_the_end(line: Line) -> None:
    assert math.fsum(line.reactions_n) == pytest.approx(ON_IT.total_n, rel=1e-12)
    assert float(line.shear_n(BUSY.end_mm)) == pytest.approx(0, abs=1e-9)
    assert float(line.moment_n_mm(BUSY.end_mm)) == pytest.approx(0, abs=1e-6)
    assert float(line.moment_n_mm(BUSY.start_mm)) == 0


def test_places_keep_their_shape(line: Line) -> None:
    at = np.array([[-100.0, 50.0, 500.0], [905.0, 1700.0, 2100.0]])
    for of in (line.height_mm, line.moment_n_mm, line.shear_n):
        found = of(at)
        assert found.shape == (2, 3)
        each = [float(of(x)) for x in at.ravel().tolist()]
        # Sums in another order: round-off of moments of 1e5 N mm.
        assert found.ravel().tolist() == pytest.approx(each, rel=1e-12, abs=1e-8)


@pytest.mark.parametrize("seed", range(12))
def test_greatest_against_a_fine_grid(seed: int) -> None:
    rng = np.random.default_rng(seed)
    places = np.cumsum([0, *rng.uniform(60, 900, 4)])
    beam = Beam(tuple(places.tolist()), -80.0, float(places[-1] + 130), 3e9)
    ends = np.sort(rng.uniform(-80, places[-1] + 130, (2, 2)), axis=1)
    patches = tuple((a, b, q) for (a, b), q in zip(ends.tolist(), (1.4, 0.3), strict=True))
    loads = Loads(((float(rng.uniform(0, places[-1])), 500.0),), patches)
    found = held(beam, loads, rng.uniform(-1, 1, 5))
    grid = np.linspace(beam.start_mm, beam.end_mm, 60_001)
    moment = float(np.abs(found.moment_n_mm(grid)).max())
    shear = float(np.abs(found.shear_n(grid)).max())
    step = float(grid[1] - grid[0])
    # The grid misses a peak by half a step at most, on a slope no steeper than the shear.
    assert moment <= found.greatest_moment_n_mm * (1 + 1e-12)
    assert found.greatest_moment_n_mm <= moment + found.greatest_shear_n * step
    assert shear <= found.greatest_shear_n * (1 + 1e-12)
    assert found.greatest_shear_n <= shear + 1.7 * step  # the shear's slope: both patches


# --- stiffness ---------------------------------------------------------------------------------


def test_stiffness_is_symmetric_and_moves_the_whole_for_nothing() -> None:
    stiffness = BUSY.frame.stiffness
    assert stiffness == pytest.approx(stiffness.T, rel=1e-14)
    tilted = stiffness @ (700.0 - 0.3 * np.array(BUSY.supports_mm))
    assert np.abs(tilted).max() < 1e-12 * 700 * np.abs(stiffness).max()
    values = np.linalg.eigvalsh(stiffness) / np.abs(stiffness).max()
    assert values[:2] == pytest.approx([0, 0], abs=1e-14)
    assert values[2] > 1e-5


def test_stiffness_is_what_settlements_add_to_the_reactions(line: Line) -> None:
    level = held(BUSY, ON_IT, np.zeros(5)).reactions_n
    assert line.reactions_n - level == pytest.approx(BUSY.frame.stiffness @ TOPS, rel=1e-9)


@pytest.mark.parametrize("overhang", [1e-12, 1e-8, 1e-6, 1e-4, 1e-2, 0.1])
def test_hair_of_an_overhang_changes_nothing(overhang: float) -> None:
    """A cut is not made to the micrometre, and its round-off must not become forces."""
    places, loads = (0.0, 510.0, 1270.0), Loads(((300.0, 800.0),), ((0.0, 1270.0, 2.0),))
    even = held(Beam(places, 0.0, 1270.0, 1.2e9), loads, [0, 0.2, 0])
    longer = held(Beam(places, -overhang, 1270.0 + overhang, 1.2e9), loads, [0, 0.2, 0])
    # 1e-5 N of 3,340 N: what an element of 0.1 mm leaves of it in round-off.
    assert longer.reactions_n == pytest.approx(even.reactions_n, abs=1e-5)
    assert longer.height_mm([200.0, 900.0]) == pytest.approx(
        even.height_mm([200.0, 900.0]), abs=1e-6
    )


# --- loads, refusals ---------------------------------------------------------------------------


def test_loads_add_up_and_scale() -> None:
    one = Loads(((10.0, 4.0),), ((0.0, 30.0, 0.5),))
    both = one.scaled(3.0) + Loads(((25.0, 7.0),))
    assert both == Loads(((10.0, 12.0), (25.0, 7.0)), ((0.0, 30.0, 1.5),))
    assert (one.total_n, both.total_n) == (19.0, 64.0)


@pytest.mark.parametrize(
    ("places", "start", "end", "ei", "ga", "hinges", "said"),
    [
        ((5.0,), 0.0, 9.0, 1.0, 1.0, (), "supports_mm: found .* two places or more, ascending"),
        ((5.0, 4.0), 0.0, 9.0, 1.0, 1.0, (), "two places or more, ascending"),
        ((0.0, 5.0, 5.0), 0.0, 9.0, 1.0, 1.0, (), "two places or more, ascending"),
        ((0.0, math.nan, 9.0), 0.0, 9.0, 1.0, 1.0, (), "two places or more, ascending"),
        ((0.0, 9.0), 1.0, 9.0, 1.0, 1.0, (), "start_mm, end_mm: found 1.0, 9.0"),
        ((0.0, 9.0), 0.0, 8.0, 1.0, 1.0, (), "start_mm, end_mm"),
        ((0.0, 9.0), 0.0, math.inf, 1.0, 1.0, (), "start_mm, end_mm"),
        ((0.0, 9.0), math.nan, 9.0, 1.0, 1.0, (), "start_mm, end_mm"),
        ((0.0, 9.0), 0.0, 9.0, 0.0, 1.0, (), "stiffness: found 0.0, 1.0; allowed: more than 0"),
        ((0.0, 9.0), 0.0, 9.0, math.inf, 1.0, (), "stiffness"),
        ((0.0, 9.0), 0.0, 9.0, 1.0, -2.0, (), "stiffness"),
        ((0.0, 9.0), 0.0, 9.0, 1.0, math.nan, (), "stiffness"),
        ((0.0, 4.0, 9.0), 0.0, 9.0, 1.0, 1.0, (0,), "hinges: found .* inner supports only"),
        ((0.0, 4.0, 9.0), 0.0, 9.0, 1.0, 1.0, (2,), "inner supports only"),
    ],
)
def test_beams_that_are_none(
    places: tuple[float, ...],
    start: float,
    end: float,
    ei: float,
    ga: float,
    hinges: tuple[int, ...],
    said: str,
) -> None:
    with pytest.raises(Refusal, match=said):
        Beam(places, start, end, ei, ga, hinges)


@pytest.mark.parametrize(
    "points", [((-50.5, 1.0),), ((940.0, 1.0),), ((math.nan, 1.0),)], ids=["left", "right", "nan"]
)
def test_loads_beyond_the_beam(points: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(Refusal, match=r"load: found .* mm; allowed: a place from -50"):
        held(Beam((0.0, 900.0), -50.0, 900.0, 1e9), Loads(points), [0, 0])


def test_patch_partly_beyond_the_beam() -> None:
    with pytest.raises(Refusal, match="load: found"):
        held(Beam((0.0, 900.0), 0.0, 900.0, 1e9), Loads(patches=((400.0, 900.5, 1.0),)), [0, 0])


@pytest.mark.parametrize(
    ("points", "patches", "said"),
    [
        (((1.0, math.nan),), (), "loads: found nan N in all; allowed: finite forces"),
        (((1.0, math.inf),), (), "finite forces"),
        ((), ((700.0, 100.0, 1.0),), "patch of load: found from 700 to 100 mm"),
        ((), ((100.0, 700.0, math.nan),), "finite forces"),
    ],
)
def test_loads_that_are_none(
    points: tuple[tuple[float, float], ...],
    patches: tuple[tuple[float, float, float], ...],
    said: str,
) -> None:
    with pytest.raises(Refusal, match=said):
        Loads(points, patches)


@pytest.mark.parametrize("heights", [[0.0, 1.0], 0.0, [0.0, math.nan, 0.0]])
def test_heights_that_do_not_fit(heights: object) -> None:
    beam = Beam((0.0, 400.0, 900.0), 0.0, 900.0, 1e9)
    with pytest.raises(Refusal, match="a finite height for each of 3 supports"):
        held(beam, Loads(((1.0, 1.0),)), heights)  # type: ignore[arg-type]
