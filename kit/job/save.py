"""Saving a job: checked in full first, comments kept, the file whole throughout."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from pathlib import Path

from kit.job.change import parse_change
from kit.job.changed_text import changed_text, text_towards
from kit.job.differ import differences
from kit.job.model import Job
from kit.job.one_writer import one_writer
from kit.job.read import fingerprint_of, read_bytes_of, read_text
from kit.job.refusal import Refusal, refuse
from kit.job.replace import replace_keeping
from kit.job.toml_text import JOB_FILE, decode, locate, parse, read_bytes
from kit.job.wording import clean


def save_job(
    job_folder: str | Path, changes: Mapping[str, object], *, expected: str | None = None
) -> None:
    """Write changes into a job's file.

    Parameters
    ----------
    job_folder : str or Path
        The job's folder, or the job.toml in it.
    changes : mapping
        New values by key path, for example ``{"base[0].height_mm": [55, 75]}``; members count
        from 0, lengths are in the unit that the path ends in. A length that the file has in
        inches is written back in inches. None takes a key or a member away; a table at one
        place past the end of a list is added to it. A whole list of tables is matched with the
        old one by name: comments stay with the member that they describe.
    expected : str, optional
        The fingerprint that the job had when it was opened; without it any version is changed.

    Raises
    ------
    Refusal
        If the file has another fingerprint, a change names no place, the job would not be a job
        with the changes in it, or the folder cannot be written. Nothing is written then.
    """
    asked = [parse_change(path, value) for path, value in changes.items()]
    _write(locate(job_folder), lambda text: changed_text(text, asked), expected)


def save_differences(opened: Job, now: Job) -> Job:
    """Write into a job's file what differs between the job as it was opened and as it is now.

    Parameters
    ----------
    opened : Job
        As it was read from its folder.
    now : Job
        As it is to be.

    Returns
    -------
    Job
        As it stands in the file: `now` with the file's new fingerprint (a length that the file
        has in inches is kept to the picometre).

    Raises
    ------
    Refusal
        As `save_job`; also if the file is laid out in a way that cannot be kept.
    """
    folder = locate(opened.folder)

    def towards(text: str) -> str:
        # Without a fingerprint only what the file says tells whether it is the one meant.
        if not opened.fingerprint and differences(read_text(text, folder), opened):
            raise changed_elsewhere()
        return text_towards(text, now, folder)

    return _write(folder, towards, opened.fingerprint or None)


def changed_elsewhere() -> Refusal:
    """Return the refusal to write over what somebody else has written."""
    return refuse(
        JOB_FILE,
        "a file that something else has changed since it was opened here; nothing was written",
        "saving as another job, or opening it again and making the changes there",
    )


def _write(folder: Path, make: Callable[[str], str], expected: str | None) -> Job:
    with one_writer(Path(os.path.realpath(folder / JOB_FILE))):
        old = read_bytes(folder)
        if expected is not None and fingerprint_of(old) != expected:
            raise changed_elsewhere()
        text = decode(old)
        parse(text)
        new = make(text).encode("utf-8")
        job = read_bytes_of(new, folder)
        if new != old:
            _replace(folder, old, new)
    return job


def _replace(folder: Path, old: bytes, new: bytes) -> None:
    if read_bytes(folder) != old:
        raise refuse(JOB_FILE, "another version than a moment ago", "one writer at a time")
    try:
        replace_keeping(folder / JOB_FILE, old, new)
    except OSError as error:
        why = clean(error.strerror or str(error))
        raise refuse(JOB_FILE, f"it cannot be written ({why})", "a folder with room") from error
