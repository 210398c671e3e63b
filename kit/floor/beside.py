"""Independent pieces of work, one processor each."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from itertools import islice
from typing import TypeVar

Piece = TypeVar("Piece")
Found = TypeVar("Found")

#: Processors used at most: sums of millions of numbers wait for memory, not for processors.
MOST = 8
#: Pieces handed out ahead of the one that is waited for.
AHEAD = 4


def beside(work: Callable[[Piece], Found], pieces: Iterable[Piece]) -> Iterator[Found]:
    """Yield what work makes of each piece, in their order, several pieces at a time.

    Notes
    -----
    Threads, not processes: numpy lets others run while it sums. What a piece gives depends on
    nothing but the piece, so the answer is the same on any machine; linear algebra should be
    held to one thread meanwhile (`kit.threads`).
    """
    workers = min(_processors(), MOST)
    rest = iter(pieces)
    with ThreadPoolExecutor(workers) as pool:
        waiting = [pool.submit(work, piece) for piece in islice(rest, workers * AHEAD)]
        while waiting:
            yield waiting.pop(0).result()
            waiting += [pool.submit(work, piece) for piece in islice(rest, 1)]


def _processors() -> int:
    """Return how many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
