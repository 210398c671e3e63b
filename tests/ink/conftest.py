"""The reading room's base as it was read, in millimetres and in inches."""

from pathlib import Path

import pytest

import kit
from kit.as_built import Checked

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="session")
def checked() -> Checked:
    """Two stacks of it are built wrong, B5 and F8."""
    return kit.check_base(kit.read_job(DATA / "reading-room"))


@pytest.fixture(scope="session")
def inch_checked(checked: Checked) -> Checked:
    """The same shown in inches."""
    job = checked.answer.job.model_copy(update={"units": "in"})
    return kit.check_base(job, answer=kit.solve(job, before=checked.answer))
