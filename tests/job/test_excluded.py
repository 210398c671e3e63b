"""Areas that flatness is not asked of: rectangles by name."""

import pytest

from kit.job import Excluded, Job, Refusal, amend, read_job

RAMP = {"name": "ramp", "corner_mm": [300, 40], "size_mm": [150, 90.5]}


@pytest.fixture
def job(job_folder) -> Job:
    return read_job(job_folder)


def test_areas_are_read_by_name(job):
    found = amend(job, {"excluded": [RAMP, RAMP | {"name": "gutter"}]})
    assert found.excluded[0] == Excluded(name="ramp", corner_mm=(300, 40), size_mm=(150, 90.5))
    assert [one.name for one in found.excluded] == ["ramp", "gutter"]
    assert job.excluded == ()


def test_two_of_one_name_and_none_of_a_size_are_refused(job):
    with pytest.raises(Refusal, match='excluded 2, name: found "ramp" a second time'):
        amend(job, {"excluded": [RAMP, RAMP]})
    with pytest.raises(Refusal, match='excluded "ramp", size_mm, value 2: found 0'):
        amend(job, {"excluded": [RAMP | {"size_mm": [150, 0]}]})
