"""Linear algebra on one thread, where threads would only wait for each other."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, wraps
from typing import ParamSpec, TypeVar

from threadpoolctl import ThreadpoolController

P = ParamSpec("P")
T = TypeVar("T")


def one_thread(step: Callable[P, T]) -> Callable[P, T]:
    """Keep linear algebra to one thread: on small matrices threads only wait for each other.

    With a browser busy beside it, a survey of 110 readings took 8.8 s on two threads of two cores
    and 0.15 s on one.
    """

    @wraps(step)
    def limited(*args: P.args, **keywords: P.kwargs) -> T:
        with _threads().limit(limits=1, user_api="blas"):
            return step(*args, **keywords)

    return limited


@cache
def _threads() -> ThreadpoolController:
    return ThreadpoolController()
