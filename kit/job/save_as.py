"""Saving a job as another one: a folder of its own with every table that it names."""

from __future__ import annotations

import os
import shutil
import tempfile
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

from kit.job.changed_text import text_of, text_towards
from kit.job.model import Job
from kit.job.one_writer import one_writer
from kit.job.read import fingerprint_of, read_job, read_text
from kit.job.refusal import Refusal, refuse
from kit.job.replace import unfinished_prefix, with_before
from kit.job.toml_text import JOB_FILE, decode, read_bytes
from kit.job.wording import clean

#: A table is copied by pieces of this size.
PIECE_BYTES = 1_000_000


def save_job_as(job: Job, folder: str | Path) -> Job:
    """Write a job, with every table that it names, into a new folder.

    The folder is filled beside its place under another name and then renamed, so that it is
    there whole or not at all (POSIX.1-2017, rename). What a killed writer leaves under that other
    name is removed by the next one that saves under the same name.

    Parameters
    ----------
    job : Job
        As it is to be in the new folder. Its own folder gives the comments and the tables, and
        stays as it is; where its file has been changed since, the comments are the ones of the
        version that was opened if that is still there, else the file's. Where the file is no
        more, the new one has no comments.
    folder : str or Path
        The new folder. A relative name counts from the folder in which the job's own folder
        lies: ``"reading-room-2"`` lies beside ``reading-room``.

    Returns
    -------
    Job
        As read from the new folder.

    Raises
    ------
    Refusal
        If something lies there already (an empty folder excepted), the place cannot be written,
        a table of the job is missing, or the file is laid out in a way that cannot be kept.
        Nothing is left in the new place then.
    """
    target = Path(os.path.abspath(job.folder.parent / folder))
    _refuse_taken(target)
    text = _text_for(job)
    try:
        with one_writer(target):
            _fill(job, text, target)
    except (OSError, ValueError) as error:
        _refuse_taken(target)
        raise _unwritable(target, error) from error
    return read_job(target)


def _shown(target: Path) -> str:
    return clean(str(target), longest=4096)


def _refuse_taken(target: Path) -> None:
    """Refuse a place where something lies that is not an empty folder."""
    try:
        if not target.parent.is_dir():
            raise refuse(_shown(target.parent), "no such folder", "a folder that is there")
        if target.is_symlink() or (target.exists() and not target.is_dir()):
            raise refuse(_shown(target), "a file of that name already", "a name that is free")
        if target.is_dir() and any(target.iterdir()):
            found = "a folder of that name already, and it is not empty"
            raise refuse(_shown(target), found, "a name that is free")
    except OSError as error:
        raise _unwritable(target, error) from error


def _unwritable(target: Path, error: OSError | ValueError) -> Refusal:
    why = clean(str(getattr(error, "strerror", None) or error))
    found = f"it cannot be written ({why})"
    return refuse(_shown(target), found, "a new folder in a place with room")


def _text_for(job: Job) -> str:
    """Return the new file's text, with the comments of the version that was opened if it can be."""
    versions: list[str] = []
    file = job.folder / JOB_FILE
    for path in (file, with_before(Path(os.path.realpath(file)))):
        with suppress(OSError, Refusal):
            content = path.read_bytes()
            if fingerprint_of(content) == job.fingerprint:
                versions.append(decode(content))
    with suppress(Refusal):
        text = decode(read_bytes(job.folder))
        read_text(text, job.folder)
        versions.append(text)
    return text_towards(versions[0], job, job.folder) if versions else text_of(job)


def _fill(job: Job, text: str, target: Path) -> None:
    """Write everything under another name beside its place, then give it its own."""
    unfinished = Path(tempfile.mkdtemp(prefix=unfinished_prefix(target), dir=target.parent))
    try:
        _write(unfinished / JOB_FILE, text.encode("utf-8"))
        for name in _tables(job):
            copy = unfinished / name
            copy.parent.mkdir(parents=True, exist_ok=True)
            _copy(job, name, copy)
        unfinished.chmod(_mode(job.folder))
        if os.name != "posix" and target.is_dir():
            # Only POSIX lets a folder take an empty one's place.
            target.rmdir()
        unfinished.rename(target)
    finally:
        shutil.rmtree(unfinished, ignore_errors=True)


def _tables(job: Job) -> list[str]:
    there = (name for name in job.tables_as_built if (job.folder / name).is_file())
    return list(dict.fromkeys((*job.tables, *there)))


def _copy(job: Job, name: str, copy: Path) -> None:
    """Write a table's copy, piece by piece: a scan may be larger than the memory."""
    try:
        source = (job.folder / name).open("rb")
    except OSError as error:
        raise _unreadable(name, error) from error
    with source, copy.open("wb") as file:
        while piece := _piece(source, name):
            file.write(piece)
        file.flush()
        os.fsync(file.fileno())


def _piece(source: BinaryIO, name: str) -> bytes:
    try:
        return source.read(PIECE_BYTES)
    except OSError as error:
        raise _unreadable(name, error) from error


def _unreadable(name: str, error: OSError) -> Refusal:
    why = clean(error.strerror or str(error))
    found = f"a table of the job that cannot be read ({why}); nothing was written"
    return refuse(clean(name), found, "every table that the job names")


def _mode(folder: Path) -> int:
    """Return who may read a job's folder: the new one is for the same people."""
    try:
        return folder.stat().st_mode & 0o777 | 0o700
    except OSError:
        return 0o755


def _write(path: Path, content: bytes) -> None:
    with path.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
