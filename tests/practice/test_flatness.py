"""Flatness of a line: sums by hand, every pair of contacts tried, the table of grades."""

import itertools
import statistics
from dataclasses import replace

import numpy as np
import pytest

from kit.job import Refusal
from kit.practice.flatness import (
    flatness_along,
    flatness_number,
    grade_table,
    levelness_number,
    second_differences_mm,
    worst_gap_mm,
)
from kit.practice.floors import LooseBoard, Patch, PracticeFloor, make_floor
from kit.practice.grades import GRADES
from kit.practice.shapes import Bump, Crown, Fall

HEIGHTS = np.array([0.0, 1.2, 0.7, -0.4, 2.0, 2.6, 1.1, 0.3, 0.9, 3.0, 2.2, -1.0, 0.5])


def test_second_differences_one_and_three_stations_apart():
    assert second_differences_mm(HEIGHTS[:5]).tolist() == pytest.approx([-1.7, -0.6, 3.5])
    # 0 + 0.8 + 1.1, 1.2 - 4.0 + 0.3, 0.7 - 5.2 + 0.9
    assert second_differences_mm(HEIGHTS[:9], 3).tolist() == pytest.approx([1.9, -2.5, -3.6])


def test_a_parabola_bends_by_its_bend_times_the_square():
    x = 300.0 * np.arange(11)
    for apart in (1, 2, 3, 4):
        bends = second_differences_mm(2e-6 * (x - 700) ** 2, apart)
        assert bends == pytest.approx(4e-6 * (300 * apart) ** 2, abs=1e-9)  # round-off


def by_words(constant_in: float, differences_mm: list[float]) -> float:
    """F = constant / (3 S + |mean|) in inches, S with n-1, by the statistics module."""
    inches = [d / 25.4 for d in differences_mm]
    return constant_in / (3 * statistics.stdev(inches) + abs(statistics.fmean(inches)))


def test_f_numbers_are_as_they_are_written():
    h = HEIGHTS.tolist()
    q = [h[k] - 2 * h[k - 1] + h[k - 2] for k in range(2, len(h))]
    z = [h[k] - h[k - 10] for k in range(10, len(h))]
    assert flatness_number(HEIGHTS) == pytest.approx(by_words(4.57, q), rel=1e-12)
    assert levelness_number(HEIGHTS) == pytest.approx(by_words(12.5, z), rel=1e-12)


def test_a_line_without_bend_or_fall_has_no_bound():
    assert flatness_number(3.0 * np.arange(6)) == np.inf
    assert levelness_number(np.full(13, 7.0)) == np.inf


def brute_gap(at, z, edge_mm):
    """Every placement, every pair of contacts that clears all: the one with the lowest middle."""
    step, worst = at[1] - at[0], 0.0
    n = round(edge_mm / step)
    for k in range(len(at) - n):
        a, h = at[k : k + n + 1], z[k : k + n + 1]
        best = None
        for i, j in itertools.combinations(range(n + 1), 2):
            edge = h[i] + (h[j] - h[i]) / (a[j] - a[i]) * (a - a[i])
            if np.all(edge >= h - 1e-9):
                rank = (round(float(edge[0] + edge[-1]), 9), -(j - i))
                if best is None or rank < best[0]:
                    best = rank, float(np.max((edge - h)[i : j + 1]))
        assert best is not None
        worst = max(worst, best[1])
    return worst


@pytest.mark.parametrize("step", [100.0, 50.0])
def test_the_worst_gap_is_that_of_every_pair_of_contacts(step):
    for seed in range(12 if step == 100 else 3):
        floor = make_floor(seed, GRADES[seed % 3])
        at = np.arange(0, 4201, step)
        z = floor.carried_mm(at, np.full_like(at, 200.0 + 100 * seed))
        assert worst_gap_mm(at, z) == pytest.approx(brute_gap(at, z, 2000), abs=1e-9)
        assert worst_gap_mm(at, z, 1200) == pytest.approx(brute_gap(at, z, 1200), abs=1e-9)


def test_only_what_lies_between_the_contacts_counts():
    """An edge that juts out over a fall hangs there; that is no gap."""
    at = np.arange(0, 2001, 100.0)
    z = np.where(at <= 1500, 0.0, -(at - 1500) / 50)
    z[3] = -0.8
    assert worst_gap_mm(at, z) == pytest.approx(0.8, abs=1e-9)


def test_a_hollow_as_long_as_the_edge_shows_its_depth():
    """A parabola under 2 m: bend · (L/2)² / 2, wherever the edge lies."""
    at = np.arange(0, 4001, 25.0)
    assert worst_gap_mm(at, 3e-6 * (at - 900) ** 2) == pytest.approx(3.0, abs=1e-9)


ROOM = PracticeFloor(0, GRADES[0], 4200, 2400, (Fall(2.0, -1.0), Crown(2100, 2100, -4.41)))


def test_along_a_line_of_a_known_floor():
    found = flatness_along(ROOM, (0, 300), (4200, 300))
    # A crown of -4.41 mm over 2100 mm bends 2e-6/mm upwards; heights are kept to 0.001 mm, so
    # that a second difference is out by 0.002 mm at most, a gap by 0.001.
    assert found.bends_mm == pytest.approx([0.18, 0.72, 1.62, 2.88], abs=0.002)
    assert found.worst_gap_mm == pytest.approx(1.0, abs=0.002)
    short = flatness_along(ROOM, (0, 300), (4200, 300), edge_mm=1000)
    assert short.worst_gap_mm == pytest.approx(0.25, abs=0.002)
    # q is 0.18 everywhere but for round-off; F_F = 116.078 / 0.18 at most, S under 0.001.
    assert 116.078 / (0.182 + 3 * 0.001) < found.flatness < 116.078 / 0.178
    # z over 3 m from 0, 300, .. 1200: 6 mm of fall, and the crown's -3.6 + 1.8 for each step.
    z = [6 + 1e-6 * ((x + 3000 - 2100) ** 2 - (x - 2100) ** 2) for x in range(0, 1201, 300)]
    assert found.levelness == pytest.approx(by_words(12.5, z), rel=0.002)


def test_a_line_may_go_any_way_and_loose_boards_are_pressed_down():
    plain = flatness_along(ROOM, (300, 0), (300 + 2880, 2160))
    loose = replace(ROOM, loose=(LooseBoard(Patch(1000, 0, 200, 2400), 3.0),))
    assert flatness_along(loose, (300, 0), (300 + 2880, 2160)) == plain
    # 4-3-5: along it the crown bends by 0.64 of its bend.
    assert plain.bends_mm[1] == pytest.approx(0.64 * 0.72, abs=0.002)


def test_a_hump_off_the_middle_is_found_wherever_it_is():
    for x in (700, 1900, 3300):
        floor = replace(ROOM, shapes=(Bump(x, 300, -3.0, 600),))
        # A hollow 1200 mm wide is bridged: its whole depth shows, to half a step's curve.
        assert flatness_along(floor, (0, 300), (4200, 300)).worst_gap_mm == pytest.approx(
            3.0, abs=0.01
        )


@pytest.mark.parametrize(
    ("ask", "message"),
    [
        (lambda: second_differences_mm(HEIGHTS[:5], 2),
         "second differences 2 apart: found 5 stations; allowed: 6 or more"),
        (lambda: flatness_number(HEIGHTS[:3]),
         "second differences 1 apart: found 3 stations; allowed: 4 or more"),
        (lambda: levelness_number(HEIGHTS[:11]),
         "levelness: found 11 stations; allowed: 12 or more"),
        (lambda: worst_gap_mm(np.arange(0, 1001, 100.0), np.zeros(11), 1050),
         "straight edge: found 1050 mm; allowed: a whole number of 100 mm steps, up to 1000 mm"),
        (lambda: worst_gap_mm(np.arange(0, 1001, 100.0), np.zeros(11), 1100),
         "straight edge: found 1100 mm; allowed: a whole number of 100 mm steps, up to 1000 mm"),
        (lambda: flatness_along(ROOM, (0, 0), (0, 0)),
         "line: found 0 mm long; allowed: 300 mm or more"),
        (lambda: flatness_along(ROOM, (0, 0), (3000, 0)),
         "levelness: found 11 stations; allowed: 12 or more"),
        (lambda: flatness_along(ROOM, (0, 0), (4203, 0)),
         "place on the floor: found x 4203, y 0 mm, outside the room; "
         "allowed: x 0 to 4200, y 0 to 2400 mm"),
        (lambda: grade_table([]), "seeds: found none; allowed: one or more"),
    ],
)  # fmt: skip
def test_what_a_line_does_not_allow_is_refused(ask, message):
    with pytest.raises(Refusal) as refused:
        ask()
    assert str(refused.value) == message


def test_the_table_of_grades_comes_from_its_floors():
    table = grade_table(range(5, 9))
    assert table["grade"].tolist() == ["fair", "ordinary", "rough"]
    assert table.columns.tolist() == [
        "grade", "words", "bend_300_mm", "bend_600_mm", "bend_900_mm", "bend_1200_mm",
        "F_F", "F_L", "gap_median_mm", "gap_95_mm",
    ]  # fmt: skip
    for row, grade in zip(table.to_dict("records"), GRADES, strict=True):
        lines = [
            flatness_along(make_floor(seed, grade), (0, 300), (4200, 300)) for seed in range(5, 9)
        ]
        assert row["F_F"] == pytest.approx(statistics.median(one.flatness for one in lines))
        assert row["F_L"] == pytest.approx(statistics.median(one.levelness for one in lines))
        gaps = sorted(one.worst_gap_mm for one in lines)
        assert row["gap_median_mm"] == pytest.approx(statistics.median(gaps))
        # 0.95 of the way from the first to the fourth: 0.85 of the last step.
        assert row["gap_95_mm"] == pytest.approx(gaps[2] + 0.85 * (gaps[3] - gaps[2]))
        for k in (1, 2, 3, 4):
            squares = [one.bends_mm[k - 1] ** 2 for one in lines]
            bend = statistics.fmean(squares) ** 0.5
            assert row[f"bend_{300 * k}_mm"] == pytest.approx(bend)
