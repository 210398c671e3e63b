"""A stiff body on uneven supports, against linear programming, trying all triples, equilibrium."""

from collections.abc import Callable
from itertools import combinations

import numpy as np
import pytest
from scipy.optimize import linprog

from kit.base.footing import Footing
from kit.base.layout import lay_out
from kit.job import Job, Refusal
from kit.strength.stiff import (
    gravity_of,
    greatest_shares,
    props_of,
    stand_stiff,
    stiff_units,
)


def random_case(rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray, tuple[float, float]]:
    """Return supports at random and a centre of gravity among them; nothing is in line."""
    count = int(rng.integers(3, 13))
    places = rng.random((count, 2)) * [1100.0, 400.0]
    x, y = rng.dirichlet(np.full(count, 2.0)) @ places
    return places, rng.normal(size=count) * 0.4, (float(x), float(y))


def test_it_lies_as_linear_programming_lays_it_and_presses_with_its_duals() -> None:
    rng = np.random.default_rng(3)
    for _ in range(300):
        places, tops, gravity = random_case(rng)
        got = stand_stiff(places, tops, gravity)
        about = np.column_stack([np.ones(len(tops)), places - gravity])
        # reference: HiGHS through scipy
        best = linprog([1, 0, 0], A_ub=-about, b_ub=-tops, bounds=[(None, None)] * 3)
        assert got.height_mm == pytest.approx(best.fun, abs=1e-9)  # HiGHS is feasible to 1e-7
        assert got.slope == pytest.approx(best.x[1:], abs=1e-8)
        assert got.shares == pytest.approx(-best.ineqlin.marginals, abs=1e-7)


def test_it_lies_as_the_one_triple_that_holds_it_and_clears_all_others() -> None:
    rng = np.random.default_rng(5)
    for _ in range(100):
        places, tops, gravity = random_case(rng)
        about = np.column_stack([np.ones(len(tops)), places - gravity])
        held = []
        for triple in map(list, combinations(range(len(tops)), 3)):
            plane = np.linalg.solve(about[triple], tops[triple])
            share = np.linalg.solve(about[triple].T, [1.0, 0.0, 0.0])
            if share.min() >= 0 and (about @ plane - tops).min() >= -1e-9:
                held.append((triple, plane, share))
        ((triple, plane, share),) = held
        got = stand_stiff(places, tops, gravity)
        assert np.flatnonzero(got.shares > 0).tolist() == triple
        assert got.shares[triple] == pytest.approx(share, abs=1e-9)  # condition of a thin triangle
        assert got.gaps_mm == pytest.approx(about @ plane - tops, abs=1e-7)
        assert (got.gaps_mm[triple] == 0).all()


def test_forces_are_in_equilibrium_and_only_where_it_touches_ties_and_rocking_included() -> None:
    rng = np.random.default_rng(9)
    more = 0
    for trial in range(300):
        across = np.sort(rng.random(int(rng.integers(2, 6)))) * 1000
        places = np.array([(x, y) for y in (60.0, 270.0) for x in across])
        tops = np.round(rng.normal(size=len(places)) * (trial % 5))  # 0: all level
        gravity = float((across[0] + across[-1]) / 2), 150.0
        got = stand_stiff(places, tops, gravity)
        moments = got.shares @ (places - gravity)
        assert got.shares.sum() == pytest.approx(1.0, abs=1e-9)
        assert moments == pytest.approx([0, 0], abs=1e-6)  # of arms up to 500 mm
        assert got.shares.min() >= 0
        assert got.gaps_mm.min() == 0
        assert got.shares @ got.gaps_mm == 0
        more += (got.shares > 1e-6).sum() > 3
    assert more > 30


def test_by_hand_on_two_corners_and_the_one_beside_the_centre_of_gravity() -> None:
    places = np.array([(0.0, 0.0), (900.0, 0.0), (0.0, 200.0), (900.0, 200.0)])
    # on the diagonal 0.6, 0.6; the centre of gravity is nearer to the back right corner (0.444 of
    # the width, 0.4 of the depth), so that it comes down there and lifts off the front left one
    got = stand_stiff(places, np.array([0.6, 0.0, 0.2, 0.6]), (400.0, 80.0))
    assert got.slope == pytest.approx((-0.6 / 900, 0.6 / 200))
    assert got.gaps_mm == pytest.approx([0.0, 0.0, 1.0, 0.0])
    assert got.height_mm == pytest.approx(0.6 - 0.6 * 4 / 9 + 0.6 * 0.4)
    assert got.shares == pytest.approx([5 / 9, 4 / 9 - 0.4, 0.0, 0.4])


def test_over_two_high_supports_it_rocks_and_the_larger_gap_is_told() -> None:
    places = np.array([(x, y) for y in (60.0, 260.0) for x in (10.0, 500.0, 990.0)])
    tops = np.array([-0.2, 0.4, -0.5, 0.0, 0.4, -0.1])
    got = stand_stiff(places, tops, (500.0, 160.0))
    # down to the left it touches the front at 0.0, and is at 0.8 over the right, 1.3 over its
    # back; down to the right it touches the front at -0.1, and is at 0.9, 1.1 over the left back
    assert got.height_mm == pytest.approx(0.4)
    assert got.slope == pytest.approx((0.4 / 490, 0.0), abs=1e-12)
    assert got.gaps_mm == pytest.approx([0.2, 0.0, 1.3, 0.0, 0.0, 0.9], abs=1e-9)
    assert got.shares == pytest.approx([0, 0.5, 0, 0, 0.5, 0], abs=1e-9)


def test_the_greatest_share_on_each_support_is_that_of_linear_programming() -> None:
    rng = np.random.default_rng(6)
    for _ in range(60):
        places, _, gravity = random_case(rng)
        about = np.column_stack([np.ones(len(places)), places - gravity])
        got = greatest_shares(places, gravity)
        for number in range(len(places)):
            most = linprog(
                -np.eye(len(places))[number], A_eq=about.T, b_eq=[1, 0, 0], bounds=(0, None)
            )
            assert got[number] == pytest.approx(-most.fun, abs=1e-7)  # as HiGHS is feasible


def test_a_centre_of_gravity_outside_or_supports_in_line_are_refused() -> None:
    corners = np.array([(0.0, 0.0), (900.0, 0.0), (0.0, 200.0), (900.0, 200.0)])
    with pytest.raises(Refusal, match="outside their outline"):
        stand_stiff(corners, np.zeros(4), (400.0, 230.0))
    with pytest.raises(Refusal, match="all of them in line"):
        stand_stiff(corners[:, :1] * [1.0, 0.5], np.zeros(4), (400.0, 200.0))


def test_units_stand_on_what_is_under_their_own_panels(job_of: Callable[..., Job]) -> None:
    job = job_of({"divisions_mm": (300.0,)}, {"width_mm": 560.0, "centre_of_gravity_mm": 130.0})
    layout = lay_out(job, job.bases[0], Footing(45.0, (75.0, 45.0), joined=False))
    first, second = layout.units
    names = [(prop.support, prop.x_mm) for prop in props_of(layout, second)]
    # the side between both stands on the stack that both share, where its own edge is
    assert names == [("B3", 910.0), ("B4", 1450.0), ("F3", 910.0), ("F4", 1450.0)]
    fixed = [prop.x_mm for prop in props_of(layout, second, fixed=True)]
    assert fixed == [900.0, 1422.5, 900.0, 1422.5]
    assert gravity_of(second) == (1180.0, 130.0)
    errors = dict.fromkeys(layout.supports["support"], 0.0) | {"B3": 0.5, "F1": -0.3}
    one, two = stiff_units(layout, errors)
    assert one.placed is first
    # the plane passes through the tops that carry, and lies as high as told elsewhere
    for unit in (one, two):
        for prop, gap in zip(unit.props, unit.rest.gaps_mm.tolist(), strict=True):
            height = unit.height_mm(prop.x_mm, prop.y_mm)
            assert height == pytest.approx(errors[prop.support] + gap, abs=1e-9)
    assert two.rest.gaps_mm.max() > 0.3
