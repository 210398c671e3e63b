"""What hangs on one point, against brute force: take a point out and look what falls off."""

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy import sparse

from kit.readings import Readings
from kit.readings.ties import Net, find_ties


def net_of(readings: Readings) -> Net:
    return Net.of(readings.rows, readings.places)


def parts_without(readings: Readings, point: str) -> list[set[str]]:
    """Return the parts of set-ups and points once a point is taken out, by SciPy's search."""
    rows = readings.rows[readings.rows["point"] != point]
    names = sorted({*readings.rows["station_name"], *readings.places["point"]} - {point})
    number = {name: i for i, name in enumerate(names)}
    ends = (rows["station_name"].map(number), rows["point"].map(number))
    graph = sparse.coo_array((np.ones(len(rows)), ends), shape=(len(names), len(names)))
    count, label = sparse.csgraph.connected_components(graph, directed=False)
    return [{n for n, p in zip(names, label, strict=True) if p == part} for part in range(count)]


def thin_survey(seed: int) -> dict[str, dict[str, float]]:
    """Set-ups in a line, of which each pair shares one point or two, and each has its own."""
    rng = np.random.default_rng(seed)
    book: dict[str, dict[str, float]] = {f"S{i}": {f"B{i}": 1395.0} for i in range(7)}
    for one, other in pairwise(book):
        for share in range(rng.integers(1, 3)):
            book[one][f"K{one}{share}"] = book[other][f"K{one}{share}"] = 1400.0
    for i in range(5):
        book[f"S{rng.integers(7)}"][f"A{i}"] = 1390.0
    book["S2"]["A0"] = 1390.0
    return book


@pytest.mark.parametrize("seed", range(10))
def test_what_falls_off_is_what_hangs_there(staff: Callable[..., Any], seed: int) -> None:
    readings = staff(thin_survey(seed))
    net = net_of(readings)
    names = readings.places["point"].tolist()
    found = {}
    for tie in find_ties(net, "A0"):
        stations = {net.names[s] for s in tie.stations.tolist()}
        part = frozenset({*stations, *(names[p] for p in tie.points.tolist())})
        found[names[tie.point], part] = tie.unchecked
    expected = {}
    for point in names:
        parts = parts_without(readings, point)
        sizes = [len(part & set(names)) for part in parts]
        main = next((i for i, part in enumerate(parts) if "A0" in part), int(np.argmax(sizes)))
        for i, part in enumerate(parts):
            if i != main and len(parts) > 1:
                read = readings.rows[readings.rows["point"] == point]["station_name"]
                sides = (read.isin(part).sum(), read.isin(parts[main]).sum())
                expected[point, frozenset(part)] = min(sides) < 2
    assert found == expected


def test_a_tie_that_both_sides_read_twice_is_checked(staff: Callable[..., Any]) -> None:
    one = {"K": 1400.0, "A": 1401.0, "B": 1402.0}
    other = {"K": 1500.0, "C": 1501.0, "D": 1502.0, "E": 1504.0}
    book = {"S1": one, "S2": one, "S3": other, "S4": other}
    ties = find_ties(net_of(staff(book)), None)
    assert len(ties) == 1
    assert (len(ties[0].stations), len(ties[0].points), ties[0].unchecked) == (2, 2, False)


def test_the_benchmark_is_never_in_the_part_that_hangs(staff: Callable[..., Any]) -> None:
    book = {
        "S1": {"K": 1400.0, "A": 1401.0},
        "S2": {"K": 1500.0, "C": 1501.0, "D": 1502.0, "E": 1504.0},
    }
    readings = staff(book)
    free, held = (find_ties(net_of(readings), name) for name in (None, "A"))
    assert (len(free[0].points), len(held[0].points)) == (1, 3)


def test_a_line_of_the_level_with_one_point_is_no_part(table: Callable[..., Any]) -> None:
    rows = pd.DataFrame(
        {
            "point": ["B", "C", "A", "D", "E"],
            "x_mm": [900.0, 900.0, 0.0, 0.0, 50.0],
            "y_mm": [0.0, 700.0, 0.0, 800.0, 1600.0],
            "observed_mm": [3.0, 2.0, -5.0, 1.0, 2.0],
            "sd_mm": 0.5,
            "setup": "",
        }
    )
    one = table(rows, "lines.csv", "level")
    readings = one.readings.assign(start=["A", "B", "C", "C", "D"], turned=1.0)
    places = pd.DataFrame({"row": [2], "point": ["A"], "x_mm": [0.0], "y_mm": [0.0], "file": "p"})
    whole = Readings((type(one)("lines.csv", "level", "", readings, one.extra, places),))
    ties = find_ties(net_of(whole), None)
    # D and E hang on C; E alone on D is a reading that is unchecked, and no more.
    assert [whole.places["point"].iloc[tie.point] for tie in ties] == ["C"]
    assert {whole.places["point"].iloc[p] for p in ties[0].points} == {"D", "E"}
