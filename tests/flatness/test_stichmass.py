"""Stichmass: by hand, over a floor cell by cell, distances that a grid does not allow."""

import numpy as np
import pytest

from kit.flatness import limit_mm, stichmass_mm, stichmass_of_floor
from kit.job import Refusal


def test_the_middle_over_the_mean_of_its_neighbours():
    h = [0.0, 3.0, 1.0, -2.0, 5.0, 4.0]
    assert stichmass_mm(h).tolist() == [2.5, 0.5, -5.0, 4.0]
    assert stichmass_mm(h, 2).tolist() == [1 - 2.5, -2 - 3.5]
    assert stichmass_mm(h, 3).size == 0
    assert stichmass_mm(h, 0).size == 0


def test_limits_are_linear_between_and_rounded_halves_up():
    # Line 3 from 2 at 0.1 m to 4 at 1 m: 2.5 at 0.325 m, and just below.
    assert [limit_mm(m) for m in (0.1, 0.32, 0.325, 1, 2.25, 4, 8, 15, 40)] == [
        2, 2, 3, 4, 7, 10, 11, 15, 15,
    ]  # fmt: skip
    assert limit_mm(0.1 + 1e-12, 6) == 3


def test_the_worst_of_a_floor_is_the_worst_of_all_triples(hall):
    table = stichmass_of_floor(hall, 3, [1, 2, 4]).set_index("distance_m")
    h = hall.height_mm
    for metres, row in table.iterrows():
        k, found = int(metres * 5), []
        for r, c in np.ndindex(h.shape):
            if c + 2 * k < 151:
                found.append((h[r, c + k] - (h[r, c] + h[r, c + 2 * k]) / 2, "x", c + k, r))
            if r + 2 * k < 91:
                found.append((h[r + k, c] - (h[r, c] + h[r + 2 * k, c]) / 2, "y", c, r + k))
        found = [each for each in found if np.isfinite(each[0])]
        assert row["positions"] == len(found)
        worst = max(found, key=lambda each: abs(each[0]))
        assert row["worst_mm"] == pytest.approx(worst[0], abs=1e-12)
        assert abs(row["worst_mm"]) > 0.3
        at = (row["axis"], row["x_mm"] / 100, row["y_mm"] / 100)
        same = [e[1:] for e in found if abs(abs(e[0]) - abs(worst[0])) < 1e-9]
        assert at in [(axis, pytest.approx(x), pytest.approx(y)) for axis, x, y in same]
        beyond = sum(abs(each[0]) > row["limit_mm"] for each in found)
        assert row["beyond"] == beyond
        assert row["state"] == ("not kept" if beyond else "kept")


def test_a_single_hump_is_found_with_its_sign_and_place(grid_of):
    h = np.zeros((9, 13))
    h[4, 7] = 6.0
    h[2, 3] = -4.5
    row = stichmass_of_floor(grid_of(h, 500.0, x0=250, y0=150), 3, [1.0]).iloc[0]
    assert (row["worst_mm"], row["x_mm"], row["y_mm"]) == (6.0, 250 + 3500, 150 + 2000)
    # The hump along x and y; the hollow along x and y; beside them at most 3 mm.
    assert (row["limit_mm"], row["beyond"], row["state"]) == (4, 4, "not kept")
    assert row["positions"] == 9 * 11 + 7 * 13


def test_what_a_grid_does_not_allow_is_not_checked(hall):
    table = stichmass_of_floor(hall).set_index("distance_m")
    assert table["state"].tolist() == ["not checked", "kept", "kept", "kept", "kept"]
    assert table.loc[0.1, "why"] == "not twice a whole number of 100 mm cells"
    assert np.isnan(table.loc[0.1, "worst_mm"])
    assert table.loc[15, "positions"] == 91  # along x alone, one place a row
    long = stichmass_of_floor(hall, 3, [20]).iloc[0]
    assert long["why"] == "the floor is nowhere known over 20 m on a line"
    assert long["state"] == "not checked"


@pytest.mark.parametrize(
    ("ask", "message"),
    [
        (lambda: limit_mm(0.05), "measuring distance: found 0.05 m; allowed: 0.1 m or more"),
        (lambda: limit_mm(1, 8),
         "DIN 18202, table 3: found line 8; allowed: line 1, 2, 3, 4, 5, 6, 7"),
    ],
)  # fmt: skip
def test_what_the_table_does_not_have_is_refused(ask, message):
    with pytest.raises(Refusal) as refused:
        ask()
    assert message in str(refused.value)
