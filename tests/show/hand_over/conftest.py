"""The reading room's base as it was read: two of its stacks are built wrong, B5 and F8."""

from pathlib import Path

import pytest

import kit
from kit.as_built import Checked

DATA = Path(__file__).parents[3] / "data"


@pytest.fixture(scope="session")
def checked() -> Checked:
    """In millimetres."""
    return kit.check_base(kit.read_job(DATA / "reading-room"))


@pytest.fixture(scope="session")
def inch_checked(checked: Checked) -> Checked:
    """In inches."""
    job = checked.answer.job.model_copy(update={"units": "in"})
    return kit.check_base(job, answer=kit.solve(job, before=checked.answer))
