"""Which layers make one surface, against a search cell by cell."""

import numpy as np
import pytest

from kit.scan.cells import Cells
from kit.scan.peaks import Peaks
from kit.scan.surfaces import find_surfaces, reach_mm


def made(n: int, seed: int) -> tuple[Peaks, Cells]:
    """Cells at random in a square, with none to three layers each."""
    rng = np.random.default_rng(seed)
    iy, ix = np.nonzero(rng.random((n, n + 3)) < 0.8)
    many = rng.integers(0, 4, len(ix))
    cell = np.repeat(np.arange(len(ix)), many)
    height = np.round(rng.random(len(cell)) * 60)
    order = np.lexsort((height, cell))
    count = rng.integers(5, 50, len(cell))
    cells = Cells(ix - 2, iy + 5, np.arange(len(ix) + 1))
    return Peaks(cell[order], height[order], np.full(len(cell), 2.0), count), cells


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_surfaces_are_those_of_a_plain_search(seed: int) -> None:
    peaks, cells = made(9, seed)
    found = find_surfaces(peaks, cells, 50.0, 1.0)
    place = [(int(cells.ix[c]), int(cells.iy[c])) for c in peaks.cell]

    def joined(a: int, b: int) -> bool:
        side = abs(place[a][0] - place[b][0]) + abs(place[a][1] - place[b][1]) == 1
        least = min(peaks.count[a], peaks.count[b])
        return side and abs(peaks.height_mm[a] - peaks.height_mm[b]) <= reach_mm(50, 1, least)

    group = [-1] * len(peaks)
    for start in range(len(peaks)):
        todo = [start] if group[start] < 0 else []
        while todo:
            one = todo.pop()
            group[one] = start
            todo += [b for b in range(len(peaks)) if group[b] < 0 and joined(one, b)]
    assert len(set(group)) == len(found.cells)
    pairs = set(zip(group, found.label.tolist(), strict=True))
    assert len(pairs) == len(found.cells)  # one name for one group
    for start, label in pairs:
        covered = {place[k] for k in range(len(peaks)) if group[k] == start}
        assert found.cells[label] == len(covered)


def test_reach_is_slope_and_noise() -> None:
    assert reach_mm(100.0, 2.0, 8) == pytest.approx(10 + 4 * 2 / 2)
