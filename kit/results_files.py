"""Files written whole or not at all, and never over the readings that they were worked out from."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path, PurePosixPath

from kit.job import Job, refuse

_WRITABLE = "a folder that can be written to"


def write_files(contents: Mapping[str, str | bytes], out: Path) -> list[Path]:
    """Write files into a folder, which is made where it does not exist.

    Parameters
    ----------
    contents : mapping of str to str or bytes
        What each file holds, a text as UTF-8, by its name; a name may have folders in front, as in
        ``"bearers/summary.json"``.
    out : Path
        The folder.

    Returns
    -------
    list of Path
        What was written, in the order of the contents.

    Raises
    ------
    Refusal
        Where the folder cannot be written to, a name leads out of it, or a file lies where a
        folder must go or the other way round: then nothing is replaced.

    Notes
    -----
    All files are written beside the place first, then all folders made, then each file replaced.
    """
    try:
        for name in contents:
            _refuse_name(name, out)
        out.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=out, prefix=".writing-") as beside:
            for name, content in contents.items():
                _write_one(Path(beside) / name, content)
            for name in contents:
                (out / name).parent.mkdir(parents=True, exist_ok=True)
            for name in contents:
                os.replace(Path(beside) / name, out / name)
    except OSError as error:
        raise refuse(f"--out {out}", error.strerror or str(error), _WRITABLE) from error
    return [out / name for name in contents]


def _write_one(path: Path, content: str | bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)


def _refuse_name(name: str, out: Path) -> None:
    """Refuse a file that cannot go where its name says."""
    parts = PurePosixPath(name).parts
    if not parts or PurePosixPath(name).is_absolute() or ".." in parts:
        raise refuse(f"--out {out}", f"a file called {name!r}", "a name within the folder")
    if (out / name).is_dir():
        raise refuse(
            f"--out {out}", f"a folder where the file {name} must go", "another folder to write to"
        )
    for folder in list((out / name).relative_to(out).parents)[:-1]:
        if (out / folder).exists() and not (out / folder).is_dir():
            raise refuse(
                f"--out {out}",
                f"a file where the folder {folder.as_posix()} must go",
                "another folder to write to",
            )


def readings_of(job: Job) -> frozenset[Path]:
    """Return where the job's own tables of readings lie, those on the finished base too."""
    names = (*job.tables, *job.tables_as_built)
    return frozenset((job.folder / name).resolve() for name in names)


def refuse_readings(job: Job, paths: Iterable[Path]) -> None:
    """Refuse to write where one of the job's own tables of readings lies.

    Parameters
    ----------
    job : Job
        With its surveys, as it was read from its folder.
    paths : iterable of Path
        All files that are about to be written.

    Raises
    ------
    Refusal
        For the first of them that is a table of readings.
    """
    given = readings_of(job)
    for path in paths:
        if _resolved(path) in given:
            raise refuse(
                f"--out {path.parent}",
                f"the job's own readings, {path.name}, which would be written over",
                "another folder",
            )


def _resolved(path: Path) -> Path:
    try:
        return path.resolve()
    except (OSError, RuntimeError) as error:  # the latter where links lead round in a circle
        raise refuse(f"--out {path.parent}", "links that lead nowhere", _WRITABLE) from error


def take_away(job: Job, paths: Iterable[Path]) -> None:
    """Remove files as far as they are there; folders and the job's own readings are left alone.

    Raises
    ------
    Refusal
        Where one cannot be removed.
    """
    given = readings_of(job)
    for path in paths:
        try:
            if path.is_file() and path.resolve() not in given:
                path.unlink()
        except OSError as error:
            raise refuse(
                f"--out {path.parent}", f"{path.name}: {error.strerror or error}", _WRITABLE
            ) from error
