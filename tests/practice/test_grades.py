"""Grades: three, each worse than the one before in everything that it has."""

from itertools import pairwise

import pytest

from kit.job import Refusal
from kit.practice.grades import GRADES, grade_named


def test_each_grade_is_worse_than_the_one_before():
    assert [grade.name for grade in GRADES] == ["fair", "ordinary", "rough"]
    for better, worse in pairwise(GRADES):
        assert better.bend_mm < worse.bend_mm
        assert better.crown_mm < worse.crown_mm
        for name in ("fall_mm_per_m", "bump_mm", "bumps", "step_mm"):
            least, most = getattr(better, name)
            more = getattr(worse, name)
            assert least <= most
            assert least <= more[0]
            assert most <= more[1]


def test_a_grade_is_had_by_its_name():
    assert grade_named("ordinary") is GRADES[1]


@pytest.mark.parametrize("name", ["Rough", "", "smooth"])
def test_no_other_name_is_taken(name):
    with pytest.raises(Refusal) as refused:
        grade_named(name)
    assert str(refused.value) == f"grade: found {name!r}; allowed: fair | ordinary | rough"
