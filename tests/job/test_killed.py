"""Whatever moment a writer is killed at, the job's file is whole."""

import itertools
import os
import random
import signal
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from kit.job import amend, differences, read_job, save_differences, save_job_as

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a process to be killed")


def killed_while(
    write: Callable[[], None], chance: random.Random, watched: Path | None = None
) -> None:
    """Write in a child process over and over, until it is killed inside one of its first writes.

    The kill comes up to one write's time after the first write is done: measured each time, so
    that it falls inside the second however busy the machine is. Where a folder is watched it comes
    as soon as an unfinished file is seen there: on a fast disk hardly any other kill meets one.
    """
    done, tell = os.pipe()
    begun = time.perf_counter()
    child = os.fork()
    if not child:
        try:
            while True:
                write()
                os.write(tell, b".")
        finally:
            # Nothing of the test's own may run in the child.
            os._exit(1)
    os.close(tell)
    # Nothing is read where the child has ended by itself, which the status below tells.
    os.read(done, 1)
    took = time.perf_counter() - begun
    if watched is None:
        time.sleep(chance.uniform(0, took))
    else:
        until = time.perf_counter() + 3 * took
        while not _unfinished(watched) and time.perf_counter() < until:
            pass
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    os.close(done)
    # The child never ends by itself: a refusal or a defect in it fails the test.
    assert os.WIFSIGNALED(status)


def _unfinished(folder: Path) -> bool:
    return any("unfinished" in name for name in os.listdir(folder))


def back_mm(text: str) -> str:
    """Return the one number that the versions differ in."""
    return text.split("back_mm = ")[1].split(maxsplit=1)[0]


def test_three_hundred_killed_saves_leave_whole_files(job_folder: Path) -> None:
    chance = random.Random(20)
    file, before = job_folder / "job.toml", job_folder / "job.toml.before"
    text = file.read_text().replace(
        "[stock]", "back_mm = 45   # as built\n\n[stock]   # in the van"
    )
    file.write_text(text)
    unfinished, values = 0, set[str]()
    for attempt in range(300):
        opened = read_job(job_folder)
        known = [f"{attempt + n / 8:g}" for n in range(48, 51)]
        versions = [amend(opened, {"base[0].back_mm": float(value)}) for value in known]
        now = itertools.cycle(versions)
        last = [opened]

        def save() -> None:
            last.append(save_differences(last.pop(), next(now)))  # noqa: B023 - of this round

        known.append(back_mm(file.read_text()))
        killed_while(save, chance, job_folder if attempt % 2 else None)
        for whole in (file, before) if before.exists() else (file,):
            found = back_mm(whole.read_text())
            # Whole, comments and all: nothing but the one number is another one.
            assert whole.read_text() == text.replace("back_mm = 45 ", f"back_mm = {found} ")
        assert back_mm(file.read_text()) in known
        assert read_job(job_folder).bases[0].back_mm == float(back_mm(file.read_text()))
        values.add(back_mm(file.read_text()))
        unfinished += _unfinished(job_folder)
    # Kills while a file was being written leave a trace. Without any the test would have shown
    # nothing.
    assert unfinished > 3
    assert len(values) == 300
    save_differences(read_job(job_folder), amend(read_job(job_folder), {"base[0].back_mm": 999}))
    assert {path.name for path in job_folder.iterdir()} == {"job.toml", "job.toml.before"}


def test_a_job_saved_as_another_is_there_whole_or_not_at_all(job_folder: Path) -> None:
    chance = random.Random(21)
    home = job_folder / "boot-room"
    home.mkdir()
    (job_folder / "job.toml").rename(home / "job.toml")
    (home / "heights.csv").write_bytes(b"point\r\n" * 20000)
    job = read_job(home)
    there = 0
    for attempt in range(60):
        copies = iter(f"copy-{attempt}-{n}" for n in range(10000))

        def save() -> None:
            save_job_as(job, next(copies))  # noqa: B023 - called in this round

        killed_while(save, chance)
        for n in range(10000):
            copy = job_folder / f"copy-{attempt}-{n}"
            if not copy.exists():
                break
            there += 1
            assert not differences(read_job(copy), job)
            assert (copy / "heights.csv").read_bytes() == b"point\r\n" * 20000
        # The one that was being written can be written after all.
        save_job_as(job, copy.name)
        left = [p.name for p in job_folder.iterdir() if p.name.startswith(f".{copy.name}.")]
        assert left == []
    assert there >= 60
