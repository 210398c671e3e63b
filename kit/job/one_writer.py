"""One writer of a place at a time, and what a writer that was killed has left is cleared away."""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from kit.job.refusal import refuse
from kit.job.replace import unfinished_prefix, with_before
from kit.job.wording import clean

if os.name == "posix":
    import fcntl

#: How long a writer waits for another one [s]; a save takes some milliseconds.
LONGEST_WAIT_S = 5.0

_PAUSE_S = 0.005


@contextmanager
def one_writer(place: Path) -> Iterator[None]:
    """Keep other writers of this machine away from a place while something is written there.

    The lock is the system's own, on the folder, and goes with the process that holds it: a
    process that is killed leaves none behind. Where the system has no such locks (Windows, some
    network drives) nobody is kept away, and nothing is cleared away either.

    Parameters
    ----------
    place : Path
        The file or folder that is written, links followed. Half-written versions beside it,
        which only a killed writer leaves, are removed.

    Raises
    ------
    Refusal
        If another process writes there for longer than `LONGEST_WAIT_S`.
    """
    try:
        handle = os.open(place.parent, os.O_RDONLY)
    except OSError:
        # No folder can be opened on Windows; one may be writable without being readable.
        yield
        return
    try:
        if _locked(handle, place.name):
            _clear_away(place)
        yield
    finally:
        os.close(handle)


def _locked(handle: int, name: str) -> bool:
    """Wait for the lock of a folder; tell whether the system has such locks.

    The name is that of the place to be written, for the message.
    """
    until = time.monotonic() + LONGEST_WAIT_S
    while time.monotonic() < until:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            time.sleep(_PAUSE_S)
        except OSError:
            return False
        else:
            return True
    raise refuse(clean(name), "another process that is writing it", "one writer at a time")


def _clear_away(place: Path) -> None:
    """Remove half-written versions: whoever wrote them held the lock and does so no more."""
    prefixes = tuple(unfinished_prefix(p) for p in (place, with_before(place)))
    for path in place.parent.iterdir():
        if path.name.startswith(prefixes):
            if path.is_dir() and not path.is_symlink():
                shutil.rmtree(path, ignore_errors=True)
            else:
                with suppress(OSError):
                    path.unlink()
