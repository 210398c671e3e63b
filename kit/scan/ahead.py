"""Read the next piece of a file while the last one is worked on."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

_T = TypeVar("_T")


def read_ahead(pieces: Iterator[_T]) -> Iterator[_T]:
    """Yield what an iterator yields, in its order, while another thread fetches the next.

    Parameters
    ----------
    pieces : iterator
        Is asked by one other thread, once at a time. What it raises is raised here.

    Notes
    -----
    One piece more is in memory than is worked on.
    """
    end = object()
    with ThreadPoolExecutor(max_workers=1) as reader:
        coming = reader.submit(next, pieces, end)
        while (piece := coming.result()) is not end:
            coming = reader.submit(next, pieces, end)
            yield piece  # type: ignore[misc]
