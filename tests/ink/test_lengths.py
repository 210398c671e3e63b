"""Printed sizes in the words of the job's units."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from kit.ink.lengths import (
    measured_size,
    printed_figures,
    printed_size,
    printed_sizes,
    printed_unit,
    printed_with_unit,
)

# One inch is 25.4 mm exactly (NIST SP 811, appendix B.8): sizes worked by hand.
SIZES = [
    (19.05, "3/4 in"),
    (0.79375, "1/32 in"),
    (1.190625, "3/64 in"),
    (41.275, "1 5/8 in"),
    (63.5, "2 1/2 in"),
    (25.4, "1 in"),
    (18.0, "18 mm"),
    # 1.6 mm is 0.79 % more than 1/16 in: a metric packer, not one of 1/16 in.
    (1.6, "1.6 mm"),
    (19.0501, "19.0501 mm"),
]


@pytest.mark.parametrize(("mm", "said"), SIZES)
def test_a_printed_size_in_a_job_in_inches(mm: float, said: str) -> None:
    assert printed_size(mm, "in") == printed_with_unit(mm, "in") == said


def test_every_64th_up_to_six_inches_is_said_in_inches() -> None:
    for parts in range(1, 6 * 64 + 1):
        said = printed_size(25.4 * parts / 64, "in")
        assert said.endswith(" in")
        assert sum(map(Fraction, said.removesuffix(" in").split())) == Fraction(parts, 64)


def test_a_printed_size_in_a_job_in_millimetres_is_the_bare_figure() -> None:
    assert printed_size(19.05, "mm") == "19.05"
    assert printed_with_unit(3.0, "mm") == "3 mm"


def test_several_sizes_share_their_unit_or_tell_each_their_own() -> None:
    assert printed_sizes([19.05, 1.5875, 6.35], "in") == "3/4 + 1/16 + 1/4 in"
    assert printed_sizes([19.05, 6.0], "in") == "3/4 in + 6 mm"
    assert printed_sizes([30.0, math.nan], "in", ", ") == "30, none mm"
    assert printed_sizes([30.0, math.nan], "mm") == "30 + none"
    assert printed_figures([6.35, 3.175], "in") == (("1/4", "1/8"), "in")
    assert printed_sizes([], "in") == ""


def test_heads_and_measured_sizes() -> None:
    assert (printed_unit("mm"), printed_unit("in")) == ("mm", "as printed")
    # 17.8 / 25.4 = 0.70079
    assert measured_size(17.8, "in") == "0.701 in"
    assert measured_size(17.8, "mm") == "17.8 mm"
