"""The job's title where the head of a paper had no room for all of it."""

from __future__ import annotations

from kit.job import Job
from kit.paper.document import Heading, Part, Words


def whole_title(job: Job) -> tuple[Part, ...]:
    """Return what stands at the end of a paper that is headed by `Job.short_title`.

    Parameters
    ----------
    job : Job
        With its title.

    Returns
    -------
    tuple of Part
        The title in full; empty where the head has it.
    """
    if job.short_title == job.title:
        return ()
    return (Heading("Title of the job in full", 2), Words(job.title))
