"""One task after another here, or all of them on a cluster of any kind that Dask knows."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import CancelledError
from contextlib import ExitStack, contextmanager
from typing import TYPE_CHECKING, Any, TypeVar

from kit.job import refuse

if TYPE_CHECKING:
    from distributed import Client

Task = TypeVar("Task")
Result = TypeVar("Result")
Tell = Callable[[float], None]

#: Processes on one machine, at most.
MOST_WORKERS = 256
#: How often a task is tried again where the worker that had it fails it.
RETRIES = 2


def spread(
    work: Callable[[Task], Result],
    tasks: Sequence[Task],
    client: Client | None = None,
    tell: Tell | None = None,
) -> list[Result]:
    """Return what the work makes of each task, in the order of the tasks.

    Parameters
    ----------
    work : callable
        Takes one task, and depends on nothing else: wherever it runs, it gives the same.
    tasks : sequence
        What is to be done; each is sent to the worker that does it.
    client : distributed.Client, optional
        A cluster's; without one the tasks are done one by one, here.
    tell : callable, optional
        Told the share that is done, 0 to 1.

    Raises
    ------
    Refusal
        Where a task's workers were lost again and again, or the scheduler was. A worker that is
        lost once costs only the time of its tasks: they are done anew on another one.
    """
    done = _one_by_one(work, tasks) if client is None else _on_cluster(work, tasks, client)
    results: dict[int, Result] = {}
    for index, result in done:
        results[index] = result
        if tell is not None:
            tell(len(results) / len(tasks))
    return [results[index] for index in range(len(tasks))]


def _one_by_one(
    work: Callable[[Task], Result], tasks: Sequence[Task]
) -> Iterator[tuple[int, Result]]:
    for index, task in enumerate(tasks):
        yield index, work(task)


def _on_cluster(
    work: Callable[[Task], Result], tasks: Sequence[Task], client: Client
) -> Iterator[tuple[int, Result]]:
    distributed = _distributed()
    futures: list[Any] = []
    try:
        futures = client.map(work, tasks, pure=False, retries=RETRIES)
        place = {future.key: index for index, future in enumerate(futures)}
        for future in distributed.as_completed(futures):
            yield place[future.key], future.result()
    except distributed.KilledWorker as lost:
        found = f"a task whose workers were lost again and again ({lost})"
        raise refuse("cluster", found, "workers with more memory, or fewer tasks at once") from lost
    except (CancelledError, distributed.comm.CommClosedError) as lost:
        found = f"a scheduler that was lost meanwhile ({lost})"
        raise refuse("cluster", found, "a scheduler that stays until all is done") from lost
    finally:
        if client.status == "running":
            client.cancel(futures)  # type: ignore[no-untyped-call]


@contextmanager
def cluster(address: str | None = None, workers: int = 0) -> Iterator[Client | None]:
    """Give the client of a cluster, and part with it in the end.

    Parameters
    ----------
    address : str, optional
        Of a scheduler that runs already, as in ``"tcp://10.0.0.5:8786"``; it stays.
    workers : int
        Processes on this machine, for as long as they are needed; 0 for none: the tasks are done
        one by one.

    Yields
    ------
    distributed.Client or None

    Raises
    ------
    Refusal
        Where Dask is not installed, the scheduler does not answer, or so many processes cannot be.
    """
    if not 0 <= workers <= MOST_WORKERS:
        raise refuse("--workers", str(workers), f"0 to {MOST_WORKERS} processes on this machine")
    if address is None and workers == 0:
        yield None
        return
    distributed = _distributed()
    with _quiet("distributed.client"), ExitStack() as held:
        yield _client(distributed, address, workers, held)


@contextmanager
def _quiet(name: str) -> Iterator[None]:
    """Keep a library from logging what is told as a refusal."""
    logger = logging.getLogger(name)
    before, logger.disabled = logger.disabled, True
    try:
        yield
    finally:
        logger.disabled = before


def _client(distributed: Any, address: str | None, workers: int, held: ExitStack) -> Client:
    """Return a client that is closed with what holds it, its own cluster after it."""
    if address is None:
        local = distributed.LocalCluster(
            n_workers=workers,
            threads_per_worker=1,
            processes=True,
            dashboard_address=None,
            silence_logs=logging.ERROR,  # nothing is amiss where a process is slow to end
        )
        held.enter_context(local)
        return held.enter_context(distributed.Client(local))  # type: ignore[no-any-return]
    try:
        return held.enter_context(distributed.Client(address, timeout=10))  # type: ignore[no-any-return]
    except (OSError, ValueError, TypeError, ImportError, RuntimeError) as error:
        # Not only a scheduler that is silent: an address may ask for what Dask is not set up for.
        found = f"{address!r}, which does not answer ({error})"
        raise refuse("--scheduler", found, "the address of a Dask scheduler") from error


def _distributed() -> Any:
    try:
        import distributed  # noqa: PLC0415 - an extra
    except ImportError as error:
        allowed = 'pip install "uneven-floor-kit[cluster]", or one by one'
        raise refuse("cluster", "Dask, which is not installed", allowed) from error
    return distributed
