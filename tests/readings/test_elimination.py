"""The sparse solver against dense algebra, on patterns of every sort."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import linalg, sparse

from kit.readings import elimination
from kit.readings.elimination import eliminate, neighbour_pairs


def chain(n):
    """Differences from point to point, the first one held."""
    rows = np.repeat(np.arange(n), 2)[1:]
    columns = np.sort(np.concatenate([np.arange(n), np.arange(n - 1)]))
    values = np.where(rows == columns, 1.0, -1.0)
    return sparse.csr_array((values, (rows, columns)), shape=(n, n))


def net(width, depth):
    """Differences between neighbours of a grid, one corner held."""
    number = np.arange(width * depth).reshape(depth, width)
    ends = np.concatenate(
        [
            np.column_stack([number[:, :-1].ravel(), number[:, 1:].ravel()]),
            np.column_stack([number[:-1].ravel(), number[1:].ravel()]),
        ]
    )
    rows = np.arange(len(ends))
    design = sparse.coo_array(
        (
            np.concatenate([-np.ones(len(ends)), np.ones(len(ends)), [1.0]]),
            (np.concatenate([rows, rows, [len(ends)]]), np.append(ends.T.ravel(), 0)),
        )
    )
    return sparse.csr_array(design)


def scattered(seed, rows, columns):
    rng = np.random.default_rng(seed)
    at = (np.repeat(np.arange(rows), 3), rng.integers(0, columns, 3 * rows))
    part = sparse.coo_array((rng.normal(size=3 * rows), at), shape=(rows, columns))
    return sparse.csr_array(sparse.vstack([part, sparse.eye_array(columns)]))


CASES = {
    "chain": chain(61),
    "net": net(9, 7),
    "scattered": scattered(3, 90, 40),
    "tied to all": sparse.csr_array(np.hstack([np.eye(30), np.ones((30, 1))])[:, 1:]),
    "single": sparse.csr_array(np.array([[2.0]])),
}


@pytest.mark.parametrize("design", CASES.values(), ids=CASES.keys())
@pytest.mark.parametrize("small", [0, 5, 500])
def test_solution_and_inverse(monkeypatch, design, small):
    monkeypatch.setattr(elimination, "SMALL", small)
    weights = np.random.default_rng(1).uniform(0.5, 3, design.shape[0])
    normal = (design.T @ sparse.diags_array(weights) @ design).toarray()
    inverse = linalg.inv(normal)
    system = eliminate(design, weights)
    right = np.random.default_rng(2).normal(size=(design.shape[1], 3))
    # Relative to the largest number of the inverse, as for any backward stable solver.
    tolerance = 1e-11 * abs(inverse).max() * len(inverse)
    assert system.solve(right) == pytest.approx(inverse @ right, abs=tolerance)
    assert system.solve(right[:, 0]) == pytest.approx(inverse @ right[:, 0], abs=tolerance)
    row, column = np.nonzero(normal)
    assert system.inverse().at(row, column) == pytest.approx(inverse[row, column], abs=tolerance)


def test_rounds_are_really_used(monkeypatch):
    monkeypatch.setattr(elimination, "SMALL", 5)
    assert len(eliminate(chain(61), np.ones(61)).rounds) >= 3


def test_unknowns_whose_products_cancel_belong_to_the_pattern(monkeypatch):
    """A bubble that is turned end for end: its normal matrix has a zero where it needs none."""
    monkeypatch.setattr(elimination, "SMALL", 0)
    design = sparse.csr_array(np.array([[1.0, 1.0], [1.0, -1.0], [1.0, 0.0]]))
    assert (design.T @ design).toarray()[0, 1] == 0
    system = eliminate(design, np.ones(3))
    got = system.inverse().at(np.array([0, 0, 1]), np.array([0, 1, 1]))
    assert got == pytest.approx([1 / 3, 0, 1 / 2])


def test_pairs_in_portions_are_all_pairs(monkeypatch):
    design = scattered(5, 20, 12)
    whole = [np.concatenate(part) for part in zip(*neighbour_pairs(design), strict=True)]
    monkeypatch.setattr(elimination, "PAIRS_AT_ONCE", 7)
    parts = list(neighbour_pairs(design))
    assert len(parts) > 5
    assert np.array_equal(whole, [np.concatenate(part) for part in zip(*parts, strict=True)])
    rows = np.repeat(np.arange(design.shape[0]), np.diff(design.indptr))
    expected = {(i, j) for i in range(len(rows)) for j in range(len(rows)) if rows[i] == rows[j]}
    assert set(zip(whole[0].tolist(), whole[1].tolist(), strict=True)) == expected


@pytest.mark.parametrize("small", [0, 500])
def test_rows_that_do_not_determine_all(monkeypatch, small):
    monkeypatch.setattr(elimination, "SMALL", small)
    design = chain(12)[1:]
    with pytest.raises(np.linalg.LinAlgError):
        eliminate(sparse.csr_array(design), np.ones(11))
