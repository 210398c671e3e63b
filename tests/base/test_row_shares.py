"""A unit's load among its rows, as of a rigid body on rows that yield alike."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from kit.base.row_shares import rigid_shares

PLACES = st.lists(st.floats(0, 1500), min_size=2, max_size=5, unique=True).map(sorted)


@pytest.mark.parametrize(
    ("places", "gravity", "shares"),
    [
        ((50.0, 250.0), 90.0, (0.8, 0.2)),  # two rows: the lever rule
        ((0.0, 300.0, 600.0), 300.0, (1 / 3, 1 / 3, 1 / 3)),
        # By hand: m = 300, sum of squares 180000; 1/3 -+ 100 * 300 / 180000.
        ((0.0, 300.0, 600.0), 200.0, (0.5, 1 / 3, 1 / 6)),
        # The rearmost row would pull: the lever rule between the other two.
        ((0.0, 300.0, 600.0), 520.0, (0.0, 80 / 300, 220 / 300)),
        ((0.0, 300.0, 600.0), 100.0, (2 / 3, 1 / 3, 0.0)),
    ],
)
def test_shares_by_hand(places, gravity, shares):
    assert rigid_shares(places, gravity) == pytest.approx(shares)


@given(PLACES, st.floats(0, 1))
def test_shares_keep_force_and_moment_and_never_pull(places, forward):
    assume(all(b - a >= 1 for a, b in pairwise(places)))
    gravity = places[0] + forward * (places[-1] - places[0])
    shares = rigid_shares(places, gravity)
    assert min(shares) >= -1e-12
    assert math.fsum(shares) == pytest.approx(1)
    # A moment about the run's back, to a thousandth of a millimetre: round-off of five terms.
    assert float(np.dot(shares, places)) == pytest.approx(gravity, abs=1e-3)
