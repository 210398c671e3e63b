"""The boxes for numbers of zones and steps: what they say, and what they say cannot be."""

import pytest

from kit.job import Refusal
from kit.show.large_floor.zones_boxes import LEAST_PACKING, ZonesBoxes


@pytest.fixture
def told():
    return []


@pytest.fixture
def boxes(stalls, told):
    job, _ = stalls
    return ZonesBoxes(job, job.bases[0].levels, lambda: told.append("turned"))


def test_a_box_a_run_begins_with_the_least_packing(boxes, told):
    assert list(boxes.zones) == ["A", "B"]
    assert boxes.zones["B"].description == "zones in run B"
    expected = ((LEAST_PACKING, 0), ("1", 1), ("2", 2), ("3", 3))
    assert all(box.options == expected for box in boxes.zones.values())
    assert boxes.asked() == ((0, 0), (100.0, 200.0))
    boxes.zones["B"].value = 2
    assert boxes.asked() == ((0, 2), (100.0, 200.0))
    assert told == ["turned"]


def test_marks_say_what_cannot_be_and_change_no_number(boxes, zones, told):
    boxes.zones["A"].value = 3
    boxes.mark(zones.menu)
    labels = [label for label, _ in boxes.zones["A"].options]
    assert labels == [LEAST_PACKING, "1 (cannot be)", "2", "3"]
    assert boxes.zones["B"].options[3] == ("3 (cannot be)", 3)
    assert boxes.zones["A"].value == 3
    boxes.mark(())
    assert boxes.zones["A"].options[1] == ("1", 1)
    assert boxes.zones["A"].value == 3
    assert told == ["turned"]  # by hand, once


def test_numbers_known_not_to_be_are_refused_run_by_run(boxes, zones):
    boxes.refuse_impossible(zones.menu)
    boxes.zones["A"].value, boxes.zones["B"].value = 1, 3
    with pytest.raises(Refusal) as refused:
        boxes.refuse_impossible(zones.menu)
    one, other = refused.value.problems
    assert one.where == "job.toml, run A, 1 zone"
    assert one.allowed.startswith("2 or 3 in this run")
    assert (other.where, other.found) == ("job.toml, run B, 3 zones", "the run has 2 units only")
    boxes.refuse_impossible(())


def test_of_runs_that_meet_a_number_is_the_most(stalls, zones):
    job, _ = stalls
    # B begins where A ends, 20 mm away.
    near = job.runs[1].model_copy(update={"origin_mm": (4820.0, 0.0)})
    job = job.model_copy(update={"runs": (job.runs[0], near)})
    boxes = ZonesBoxes(job, job.bases[0].levels, lambda: None)
    boxes.mark(zones.menu)
    assert [label for label, _ in boxes.zones["A"].options][1:] == [
        "at most 1", "at most 2", "at most 3",
    ]  # fmt: skip
    boxes.zones["A"].value = 1  # what it could be alone does not decide
    boxes.refuse_impossible(zones.menu)


def test_inches_are_typed_as_inches(stalls):
    job, _ = stalls
    inch = ZonesBoxes(job.model_copy(update={"units": "in"}), job.bases[0].levels, lambda: None)
    assert inch.least.description == "least step [in]"
    assert inch.least.value == "3.93701"
    assert inch.asked() == ((0, 0), (100.0, 200.0))  # the box rounds, the job does not
    inch.greatest.value = "5 1/2"
    assert inch.asked() == ((0, 0), (100.0, pytest.approx(5.5 * 25.4)))
