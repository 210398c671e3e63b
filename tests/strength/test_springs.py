"""Shares of a weight on springs that cannot pull, against a general optimiser."""

import numpy as np
import pytest
from scipy.optimize import minimize

from kit.strength.springs import spring_shares


def test_springs_that_cannot_pull_share_with_the_least_sum_of_squares() -> None:
    rng = np.random.default_rng(12)
    let_go = 0
    for _ in range(60):
        count = int(rng.integers(3, 9))
        places = rng.random((count, 2)) * [1000.0, 300.0]
        about = places - rng.dirichlet(np.full(count, 0.5)) @ places
        got = spring_shares(about)
        place = np.column_stack([np.ones(count), about / 1000])
        # reference: sequential quadratic programming of scipy
        best = minimize(
            lambda force: force @ force,
            np.full(count, 1 / count),
            jac=lambda force: 2 * force,
            bounds=[(0, 1)] * count,
            constraints={
                "type": "eq",
                "fun": lambda force, place=place: place.T @ force - [1, 0, 0],
                "jac": lambda _, place=place: place.T,
            },
            options={"ftol": 1e-14, "maxiter": 500},
        )
        assert best.success
        assert place.T @ got == pytest.approx([1, 0, 0], abs=1e-9)
        assert got == pytest.approx(best.x, abs=2e-5)  # what the reference stops at
        let_go += bool((got == 0).any())
    assert let_go > 10
