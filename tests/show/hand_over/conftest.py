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


@pytest.fixture(scope="session")
def slipped(checked: Checked, tmp_path_factory: pytest.TempPathFactory) -> Checked:
    """The reading room's base with a slip of 10 mm at F3, and no word of what stands."""
    folder = tmp_path_factory.mktemp("slipped")
    lines = (DATA / "reading-room" / "as-built.csv").read_text().splitlines()
    (place,) = [n for n, line in enumerate(lines) if line.startswith("T2,F3,")]
    lines[place] = f"T2,F3,{float(lines[place].split(',')[2]) + 10:.1f}"
    (folder / "as-built.csv").write_text("\n".join(lines) + "\n")
    given = checked.as_built.model_copy(update={"stacks_file": None})
    job = checked.answer.job.model_copy(update={"as_built": given, "folder": folder})
    return kit.check_base(job, answer=checked.answer)
