"""What all tests share."""

import os
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

# A deadline would test the machine; the seed is fixed so that a run can be repeated.
settings.register_profile("kit", deadline=None, derandomize=True, max_examples=60)
settings.load_profile("kit")

# Two workers fill two cores; threads of linear algebra would only stand in each other's way.
if "PYTEST_XDIST_WORKER" in os.environ:
    for one in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(one, "1")

HERE = Path(__file__).parent

#: What takes longest, the longest first: the workers take whole files in this order, and the many
#: short ones after them let both end together.
LONG = [
    HERE / "browser" / "test_board.py",
    HERE / "browser" / "test_notebooks.py",
    HERE / "browser" / "test_practice.py",
    HERE / "browser",
    HERE.parent / "notebooks",
    HERE / "practice" / "drills",
    HERE / "test_house.py",
]


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the longest files first; the tests of a file stay together and in their order."""

    def rank(item: pytest.Item) -> int:
        places = (n for n, one in enumerate(LONG) if item.path.is_relative_to(one))
        return next(places, len(LONG))

    items.sort(key=rank)


@pytest.fixture(scope="session")
def checked() -> Any:
    """The reading room's base as it was read: two of its stacks are built wrong, B5 and F8."""
    import kit  # only where a test asks for it

    return kit.check_base(kit.read_job(HERE.parent / "data" / "reading-room"))


@pytest.fixture(scope="session")
def inch_checked(checked: Any) -> Any:
    """The same shown in inches."""
    import kit

    job = checked.answer.job.model_copy(update={"units": "in"})
    return kit.check_base(job, answer=kit.solve(job, before=checked.answer))


@pytest.fixture(scope="session")
def slipped(checked: Any, tmp_path_factory: pytest.TempPathFactory) -> Any:
    """The reading room's base with a slip of 10 mm at F3, and no word of what stands."""
    import kit

    folder = tmp_path_factory.mktemp("slipped")
    lines = (HERE.parent / "data" / "reading-room" / "as-built.csv").read_text().splitlines()
    (place,) = [n for n, line in enumerate(lines) if line.startswith("T2,F3,")]
    lines[place] = f"T2,F3,{float(lines[place].split(',')[2]) + 10:.1f}"
    (folder / "as-built.csv").write_text("\n".join(lines) + "\n")
    given = checked.as_built.model_copy(update={"stacks_file": None})
    job = checked.answer.job.model_copy(update={"as_built": given, "folder": folder})
    return kit.check_base(job, answer=checked.answer)
