"""What is checked and said of movement joints."""

from pathlib import Path
from typing import Any

import pytest

from kit.base.footing import Footing
from kit.base.joint_checks import joint_cautions, joint_checks
from kit.base.layout import Layout, lay_out
from kit.job import Job


def job_of(*joints: dict[str, Any], **base: Any) -> Job:
    units = [
        {"name": name, "width_mm": wide, "depth_mm": 500.0, "height_mm": 900.0}
        for name, wide in (("counter", 900.0), ("till", 1100.0))
    ]
    return Job.model_validate(
        {
            "schema": 1,
            "title": "market hall",
            "floor": {"kind": "solid"},
            "survey": ({"kind": "heights", "file": "h.csv"},),
            "run": ({"name": "A", "unit": tuple(units)},),
            "movement_joint": joints,
            "base": ({"name": "b", "height_mm": (40.0, 60.0), **base},),
            "stock": {"packers": ({"mm": 18.0},), "packer_size_mm": (75.0, 40.0)},
            "folder": Path(),
        }
    )


def joint(x: float, clear: float = 12.0, **more: Any) -> dict[str, Any]:
    ends = {"from_mm": (x, -50.0), "to_mm": (x, 900.0)}
    return {"name": "bay line", **ends, "clear_mm": clear, **more}


def laid(job: Job) -> Layout:
    return lay_out(job, job.bases[0])


PLINTH = {"set_back_mm": 40.0, "thickness_mm": 18.0, "board_mm": (95.0,)}
POUR = {
    "least_mm": 3.0,
    "greatest_mm": 30.0,
    "powder_kg_per_l": 1.7,
    "set_kg_per_l": 2.0,
    "drying": ({"to_mm": 30.0, "days": 3.0},),
}


def test_a_job_without_joints_is_told_nothing() -> None:
    job = job_of(plinth=PLINTH)
    assert list(joint_checks(job, job.bases[0], laid(job))) == []
    assert list(joint_cautions(job, job.bases[0], laid(job))) == []


def test_bearers_are_clear_of_a_joint() -> None:
    job = job_of(joint(1234.0))
    (check,) = joint_checks(job, job.bases[0], laid(job))
    assert check.check == "bearers clear of movement joint bay line"
    assert (check.subject, check.value, check.limit) == ("Ba", 12.0, 12.0)
    assert (check.unit, check.verdict) == ("mm", "ok")


def test_a_base_laid_out_for_another_floor_fails() -> None:
    """The layout is of a job that knew of no joint: its bearers run through."""
    job = job_of(joint(1234.0))
    (check,) = joint_checks(job, job.bases[0], laid(job_of()))
    assert (check.value, check.verdict) == (0.0, "fail")


def test_a_joint_beside_the_run_is_as_far_as_it_is() -> None:
    job = job_of(joint(2300.0))
    (check,) = joint_checks(job, job.bases[0], laid(job))
    assert (check.value, check.verdict) == (300.0, "ok")
    assert list(joint_cautions(job, job.bases[0], laid(job))) == []


def test_supports_that_nothing_joins_are_called_so() -> None:
    job = job_of(joint(1234.0), method="stacks")
    layout = lay_out(job, job.bases[0], Footing(40.0, (75.0, 40.0), joined=False))
    (check,) = joint_checks(job, job.bases[0], layout)
    assert check.check == "stacks clear of movement joint bay line"
    assert check.value == pytest.approx(1234.0 - 900.0 - 37.5)  # the stack of two sides


def test_a_unit_across_a_joint_is_fixed_to_one_side_only() -> None:
    job = job_of(joint(1234.0), plinth=PLINTH)
    said = list(joint_cautions(job, job.bases[0], laid(job)))
    assert said[0] == (
        "Unit 'till' stands across movement joint 'bay line': screw it to one side only, so that"
        " the floor can move."
    )
    assert said[1] == (
        "Part the plinth at 1234 mm along it, over movement joint 'bay line': no board runs"
        " through."
    )
    assert said[2].startswith("Join nothing across movement joint 'bay line'")
    assert len(said) == 3


def test_a_joint_along_the_run_is_told_of_every_unit_on_it() -> None:
    along = joint(0.0, from_mm=(-100.0, 250.0), to_mm=(2500.0, 250.0))
    job = job_of(along, plinth=PLINTH)
    said = list(joint_cautions(job, job.bases[0], laid(job)))
    assert said[0].startswith("Units 'counter' and 'till' stand across movement joint 'bay line'")
    assert not any("plinth at" in one for one in said)


def test_between_two_units_nobody_stands_across() -> None:
    job = job_of(joint(900.0))
    (said,) = joint_cautions(job, job.bases[0], laid(job))
    assert said.startswith("Join nothing across")


def test_a_pour_is_parted_at_the_joint() -> None:
    job = job_of(joint(1234.0), joint(1500.0, from_mm=(1500.0, 400.0), name="short"),
                 method="compound", compound=POUR)  # fmt: skip
    layout = laid(job)
    first, second = joint_checks(job, job.bases[0], layout)
    assert first.check == "pour parted at movement joint bay line"
    assert [first.value, second.value] == pytest.approx([500.0, 100.0])
    assert first.verdict == second.verdict == "not_checked"
    said = list(joint_cautions(job, job.bases[0], layout))
    assert any("'short' runs 100 mm under the pour: stop the compound at it" in one for one in said)
