"""F numbers: sums by hand and by the statistics module."""

import statistics

import numpy as np
import pytest

from kit.flatness import FNumber, combine, flatness_number, levelness_number, second_differences_mm
from kit.flatness.f_numbers import levelness_differences_mm
from kit.job import Refusal

HEIGHTS = [0.0, 1.2, 0.7, -0.4, 2.0, 2.6, 1.1, 0.3, 0.9, 3.0, 2.2, -1.0, 0.5]


def by_words(constant_in, differences_mm):
    inches = [d / 25.4 for d in differences_mm]
    return constant_in / (3 * statistics.stdev(inches) + abs(statistics.fmean(inches)))


def test_differences_of_stations():
    assert second_differences_mm(HEIGHTS[:5]).tolist() == pytest.approx([-1.7, -0.6, 3.5])
    assert levelness_differences_mm(HEIGHTS).tolist() == pytest.approx([2.2, -2.2, -0.2])


def test_f_numbers_are_as_they_are_written():
    q = [HEIGHTS[k] - 2 * HEIGHTS[k - 1] + HEIGHTS[k - 2] for k in range(2, 13)]
    z = [HEIGHTS[k] - HEIGHTS[k - 10] for k in range(10, 13)]
    assert flatness_number(HEIGHTS) == pytest.approx(by_words(4.57, q), rel=1e-12)
    assert levelness_number(HEIGHTS) == pytest.approx(by_words(12.5, z), rel=1e-12)
    # The constants are parameters, for who has the metric ones in hand.
    assert flatness_number(HEIGHTS, 58.039) == pytest.approx(by_words(4.57, q) / 2, rel=1e-12)
    assert levelness_number(HEIGHTS, 635.0) == pytest.approx(by_words(25.0, z), rel=1e-12)


def test_a_line_without_bend_or_fall_has_no_bound():
    assert flatness_number(3.0 * np.arange(6)) == np.inf
    assert levelness_number(np.full(13, 7.0)) == np.inf


def test_lines_combine_by_their_readings():
    """The formula for two, again with a third, in any order."""
    a, b, c = FNumber(31.0, 12), FNumber(19.0, 40), FNumber(55.0, 7)
    two = 31 * 19 * ((12 + 40) / (40 * 31**2 + 12 * 19**2)) ** 0.5
    assert combine([a, b]) == FNumber(pytest.approx(two), 52)
    three = two * 55 * ((52 + 7) / (7 * two**2 + 52 * 55**2)) ** 0.5
    for order in ([a, b, c], [c, a, b], [b, c, a]):
        assert combine(order).number == pytest.approx(three)
        assert combine(order).readings == 59
    assert combine([FNumber(np.inf, 3)]).number == np.inf
    assert combine([FNumber(np.inf, 3), FNumber(10, 1)]).number == pytest.approx(20)


@pytest.mark.parametrize(
    ("ask", "message"),
    [
        (lambda: combine([]), "F numbers to combine: found no readings; allowed: one line or more"),
        (lambda: flatness_number(HEIGHTS[:3]),
         "second differences 1 apart: found 3 stations; allowed: 4 or more"),
        (lambda: levelness_number(HEIGHTS[:11]),
         "levelness: found 11 stations; allowed: 12 or more"),
    ],
)  # fmt: skip
def test_too_few_are_refused(ask, message):
    with pytest.raises(Refusal) as refused:
        ask()
    assert str(refused.value) == message
