"""Reading a job: from its folder to the frozen model, or to everything that is wrong with it."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Mapping
from pathlib import Path

from pydantic import ValidationError

from kit.job.checks import check
from kit.job.judge import as_written, issues_of
from kit.job.keys import KeyPath
from kit.job.model import Job
from kit.job.normalise import Issue, Notes, normalise
from kit.job.refusal import Problem, Refusal, refuse
from kit.job.toml_text import JOB_FILE, decode, locate, parse, read_bytes
from kit.job.wording import place, show_value, value_at

#: The only version of the job file that there is.
SCHEMA = 1


def read_job(folder: str | Path) -> Job:
    """Return the job that lies in a folder.

    Parameters
    ----------
    folder : str or Path
        The job's folder, or the job.toml in it.

    Returns
    -------
    Job
        Complete and in millimetres, whatever units the file is written in.

    Raises
    ------
    Refusal
        If the file cannot be read or does not say a job; all problems at once, one a line.
    """
    place_of_job = locate(folder)
    return read_bytes_of(read_bytes(place_of_job), place_of_job)


def read_bytes_of(content: bytes, folder: Path) -> Job:
    """Return the job that a file's bytes say, with their fingerprint.

    Parameters
    ----------
    content : bytes
        The whole of a job.toml.
    folder : Path
        The folder in which it lies.

    Returns
    -------
    Job
        As `read_job`.

    Raises
    ------
    Refusal
        As `read_job`.
    """
    return job_of_tables(parse(decode(content)), folder, fingerprint=fingerprint_of(content))


def fingerprint_of(content: bytes) -> str:
    """Return what tells one version of a file from another: SHA-256 in hexadecimal."""
    return hashlib.sha256(content).hexdigest()


def read_text(text: str, folder: Path) -> Job:
    """Return the job that a text says.

    Parameters
    ----------
    text : str
        The content of a job.toml.
    folder : Path
        The folder in which it lies or will lie.

    Returns
    -------
    Job
        As `read_job`, without a fingerprint: the text may never have been a file.

    Raises
    ------
    Refusal
        As `read_job`.
    """
    return job_of_tables(parse(text), folder)


def job_of_tables(
    raw: Mapping[str, object],
    folder: Path,
    *,
    inside: Collection[str] = (),
    fingerprint: str = "",
) -> Job:
    """Return the job that a file's tables say; the one judge of every job.

    Parameters
    ----------
    raw : mapping
        The tables as they stand in a job.toml.
    folder : Path
        The folder in which it lies or will lie.
    inside : collection of str
        Names of tables that are known to lie in the folder: the disk is not asked again.
    fingerprint : str
        Of the file that the tables come from.

    Returns
    -------
    Job
        As `read_job`.

    Raises
    ------
    Refusal
        As `read_job`.
    """
    _refuse_other_schema(raw)
    notes = Notes()
    tree = normalise(Job, raw, notes)
    issues = [_written(issue, raw) for issue in check(tree, folder, inside)]
    settled = notes.settled | {issue.path for issue in issues}
    job: Job | None = None
    try:
        job = Job.model_validate({**tree, "folder": folder, "fingerprint": fingerprint})
    except ValidationError as error:
        judged = [i for i in issues_of(error, raw) if not _settles(i.path, settled)]
        issues += [_written(issue, raw) for issue in judged]
    issues += notes.issues
    if job is None or issues:
        raise Refusal(*_problems(issues, raw))
    return job


def _refuse_other_schema(raw: Mapping[str, object]) -> None:
    """Refuse a file of another version at once: its keys may mean other things."""
    given = raw.get("schema")
    if isinstance(given, int) and not isinstance(given, bool) and given != SCHEMA:
        raise refuse(f"{JOB_FILE}, schema", show_value(given), "1, the only version there is")


def _settles(path: KeyPath, settled: set[KeyPath]) -> bool:
    """Tell whether a place, or one inside it, has its message already."""
    return any(other[: len(path)] == path for other in settled)


def _written(issue: Issue, raw: Mapping[str, object]) -> Issue:
    return Issue(as_written(issue.path, raw), issue.found, issue.allowed)


def _problems(issues: list[Issue], raw: Mapping[str, object]) -> list[Problem]:
    """Return the problems in the order in which the file is read."""
    ordered = sorted(issues, key=lambda issue: _position(issue.path, raw))
    problems = [Problem(place(raw, i.path, JOB_FILE), i.found, i.allowed) for i in ordered]
    return list(dict.fromkeys(problems))


def _position(path: KeyPath, raw: Mapping[str, object]) -> tuple[int, ...]:
    """Return where a path stands among its neighbours; what is missing comes last."""
    order: list[int] = []
    for depth, step in enumerate(path):
        table = value_at(raw, path[:depth])
        if isinstance(step, int):
            order.append(step)
        elif isinstance(table, Mapping) and step in table:
            order.append(list(table).index(step))
        else:
            order.append(len(table) if isinstance(table, Mapping) else 0)
    return tuple(order)
