"""What all tests share."""

import os
from pathlib import Path

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
