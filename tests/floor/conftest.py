"""One BLAS thread for this room's tests.

Hundreds of small sums gain nothing from a second one, and on a machine that is busy otherwise
each of them would wait for it.
"""

import pytest
from threadpoolctl import threadpool_limits


@pytest.fixture(autouse=True, scope="module")
def _one_thread():
    with threadpool_limits(limits=1):
        yield
