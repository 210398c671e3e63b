"""A cluster of two workers on this machine, for all tests of the room."""

import pytest

from kit.many import cluster


@pytest.fixture(scope="session")
def two():
    with cluster(workers=2) as client:
        yield client
