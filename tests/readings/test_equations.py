"""Rows of each kind, unknowns in order."""

from __future__ import annotations

import numpy as np
import pytest

from kit.readings.equations import assemble, difference_rows, height_rows, staff_rows
from kit.readings.least_squares import solve


def test_rows_of_each_kind(network):
    rows = network(2, points=4, setups=2, kinds=("staff", "heights")).readings.rows
    staff, heights = rows[rows["kind"] == "staff"], rows[rows["kind"] == "heights"]
    points = list(dict.fromkeys(rows["point"]))
    blocks = [
        staff_rows(staff),
        height_rows(heights, True),
        difference_rows(["P1"], ["P2"], [3], [1]),
    ]
    model = assemble(blocks, points)
    design = model.design.toarray()
    assert model.names[: len(points)].tolist() == points
    assert model.kinds.tolist() == ["height"] * len(points) + ["set-up"] * 2 + ["offset"]
    assert design.sum(axis=1).tolist() == [0] * len(staff) + [2] * len(heights) + [0]
    assert (design @ model.lift == 0).all()
    last = dict(zip(model.names, design[-1], strict=True))
    assert (last["P1"], last["P2"]) == (-1, 1)


def test_heights_above_the_benchmark_hold_the_height_themselves(network):
    rows = network(2, points=4, kinds=("heights",)).readings.rows
    model = assemble([height_rows(rows, False)])
    assert np.array_equal(model.design.toarray(), np.eye(len(rows)))


def test_differences_alone_make_a_free_network():
    model = assemble([difference_rows("ABC", "BCA", [2.0, 3.0, -5.6], 0.5)])
    solution = solve(model, {})
    # Misclosure -0.6: a third of it, 0.2, goes to each difference; heights about their mean.
    assert solution.residual_mm == pytest.approx([0.2, 0.2, 0.2], abs=1e-12)
    assert solution.values == pytest.approx([-7.6 / 3, -7.6 / 3 + 2.2, -7.6 / 3 + 5.4], abs=1e-9)
    assert solution.redundancy_numbers == pytest.approx([1 / 3] * 3)


def test_a_point_measured_to_itself_adds_up():
    model = assemble([difference_rows("AA", "AB", [0.0, 1.0], 0.5)])
    assert model.design.toarray().tolist() == [[0, 0], [-1, 1]]
