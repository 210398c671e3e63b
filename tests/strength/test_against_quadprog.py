"""Beams that only lie on their supports, against a general solver of quadratic programmes.

The kit works with stiffness and heights; here the reactions are the unknowns. Clamp the beam in
thought between its two middle supports, so that it is two cantilevers. F (flexibility, symmetric,
positive definite) and u say how far they bend at the supports under one newton at each of them and
under the loads. Of all reactions r that no support has to pull and that carry the loads, the right
ones make the complementary energy

    1/2 r'F r - (u + tops)'r     least, with r >= 0, sum r = sum of loads, sum d r = their lever

(Engesser's theorem; d are the distances from the clamp). The multipliers of the two equations give
the clamp its height and slope; those of r >= 0 are F r - u - tops + height + slope d, which is the
gap over each support.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import quadprog

from kit.strength.beam import Beam, Loads
from kit.strength.contact import rest

CASES = 200


def case(seed: int) -> tuple[Beam, Loads, np.ndarray]:
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 41))
    places = np.cumsum([0, *rng.uniform(60, 900, count - 1)])
    left, right = rng.uniform(0, 60, 2) * (rng.random(2) < 0.6)
    ei = float(10 ** rng.uniform(8, 11))
    ga = math.inf if rng.random() < 0.5 else float(ei / rng.uniform(100, 2000))
    end = float(places[-1] + right)
    beam = Beam(tuple(places.tolist()), -float(left), end, ei, ga)
    spread = rng.uniform(-left, end, (int(rng.integers(0, 8)), 1))
    points = np.hstack([spread, rng.uniform(5, 3000, spread.shape)])
    a, b = np.sort(rng.uniform(0, end, 2))
    patches = ((-float(left), end, 0.03), (float(a), float(b), float(rng.uniform(0, 3))))
    tops = rng.uniform(-3, 3, count) * rng.choice([1.0, 0.3, 0.03])
    return beam, Loads(tuple(map(tuple, points.tolist())), patches), tops


def bends(at: np.ndarray, under: np.ndarray, beam: Beam) -> np.ndarray:
    """How far a cantilever moves at one place under one newton at another, both from the clamp."""
    near, far = np.minimum(abs(at), abs(under)), np.maximum(abs(at), abs(under))
    moved = near**2 * (3 * far - near) / (6 * beam.ei_n_mm2) + near / beam.ga_n
    return np.where(at * under > 0, moved, 0.0)


def as_points(loads: Loads, cuts: np.ndarray) -> np.ndarray:
    """Loads as points, patches by Gauss's four places in each part between two cuts: exact."""
    places, weights = np.polynomial.legendre.leggauss(4)
    found = [np.array(loads.points).reshape(-1, 2)]
    for start, end, each in loads.patches:
        marks = np.unique(np.clip(np.append(cuts, [start, end]), start, end))
        half = np.diff(marks) / 2
        at = (marks[:-1] + half)[:, None] + half[:, None] * places
        found.append(np.column_stack([at.ravel(), (each * half[:, None] * weights).ravel()]))
    return np.vstack(found)


def by_quadprog(beam: Beam, loads: Loads, tops: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Reactions [N] and gaps [mm]; forces in parts of all loads, places in parts of the length."""
    at = np.array(beam.supports_mm)
    middle = len(at) // 2
    clamp = (at[middle - 1] + at[middle]) / 2
    d, length = at - clamp, at[-1] - at[0]
    soft = bends(d[:, None], d, beam)
    place, force = as_points(loads, np.append(at, clamp)).T
    by_loads = bends(d[:, None], place - clamp, beam) @ force
    total = float(force.sum())
    scale = float(np.diag(soft).mean()) * total
    equations = np.column_stack([np.ones(len(at)), d / length])
    lever = float(force @ (place - clamp)) / (total * length)
    solved = quadprog.solve_qp(
        soft * total / scale,
        (by_loads + tops) / scale,
        np.hstack([equations, np.eye(len(at))]),
        np.array([1.0, lever, *np.zeros(len(at))]),
        meq=2,
    )
    return solved[0] * total, solved[4][2:] * scale


@pytest.mark.parametrize("seed", range(CASES))
def test_reactions_gaps_and_what_carries(seed: int) -> None:
    beam, loads, tops = case(seed)
    found = rest(beam, loads, tops)
    reactions, gaps = by_quadprog(beam, loads, tops)
    total = loads.total_n
    # Round-off of both, F being conditioned like the fourth power of the number of supports: the
    # worst of these cases is ten times better.
    assert found.line.reactions_n == pytest.approx(reactions, abs=1e-8 * total)
    assert found.gaps_mm == pytest.approx(gaps, abs=1e-6)
    sure = (reactions > 1e-6 * total) | (gaps > 1e-5)
    assert (np.array(found.carries) == (gaps == 0))[sure].all()
    assert sure.sum() >= len(tops) - 1


def test_the_cases_are_not_all_of_one_kind() -> None:
    counts = [
        (len(tops), sum(rest(b, loads, tops).carries)) for b, loads, tops in map(case, range(CASES))
    ]
    idle = np.array([count - carry for count, carry in counts])
    assert max(count for count, _ in counts) == 40
    assert (idle == 0).sum() >= 10
    assert (idle >= 20).sum() >= 10
