"""How many zones are asked for, run by run, and what is no number of a run."""

import numpy as np
import pytest

from kit.job import Refusal, Run
from kit.levels.asked import numbers_asked


@pytest.fixture(scope="module")
def runs():
    unit = {"name": "u", "width_mm": 600.0, "depth_mm": 400.0, "height_mm": 800.0}
    return [Run.model_validate({"name": name, "unit": (unit,)}) for name in ("A", "B", "North")]


def test_one_number_is_for_every_run_and_a_named_one_for_its_own(runs):
    assert numbers_asked(None, runs) == {}
    assert numbers_asked(3, runs) == {"A": 3, "B": 3, "North": 3}
    assert numbers_asked({"North": 2, "A": np.int64(1)}, runs) == {"North": 2, "A": 1}


def test_a_wrong_number_for_all_runs_is_told_once(runs):
    with pytest.raises(Refusal) as told:
        numbers_asked(0, runs)
    assert str(told.value) == "zones: found 0; allowed: a whole number, 1 or more"


@pytest.mark.parametrize("number", [0, -2, 1.5, True, "2"])
def test_what_is_no_number_is_refused_by_its_run(runs, number):
    with pytest.raises(Refusal, match=rf"zones of run B: found {number};"):
        numbers_asked({"A": 2, "B": number}, runs)


def test_an_unknown_run_and_a_wrong_number_are_told_in_one_go(runs):
    with pytest.raises(Refusal) as told:
        numbers_asked({"b": 2, "A": 0}, runs)
    assert str(told.value).splitlines() == [
        "zones: found run 'b'; allowed: the job's runs: A, B, North",
        "zones of run A: found 0; allowed: a whole number, 1 or more",
    ]


def test_more_zones_than_a_run_can_be_parted_into_are_refused_before_any_is_looked_for(runs):
    assert numbers_asked({"A": 50}, runs) == {"A": 50}
    with pytest.raises(Refusal) as told:
        numbers_asked({"A": 51, "B": 999_999_999}, runs)
    assert str(told.value).splitlines() == [
        "zones of run A: found 51; allowed: at most 50 zones in a run",
        "zones of run B: found 999999999; allowed: at most 50 zones in a run",
    ]
