"""A job with other figures for one base, judged as its file would be."""

from __future__ import annotations

from collections.abc import Mapping

from pydantic import ValidationError

from kit.job import Base, Job, Problem, Refusal, refuse
from kit.job.wording import describe, show_value

#: What the panel calls each figure that it changes.
LABELS = {
    "height_mm": "base height",
    "back_mm": "back set-back",
    "front_mm": "front set-back",
    "max_span_mm": "longest span",
    "tolerance_mm": "tolerance",
}


def base_index(job: Job, name: str) -> int:
    """Return the place of a base in the job's list."""
    return next(place for place, base in enumerate(job.bases) if base.name == name)


def with_base(job: Job, name: str, changes: Mapping[str, object]) -> Job:
    """Return the job with other figures for one of its bases.

    Parameters
    ----------
    job : Job
        The job as it was read.
    name : str
        Name of the base.
    changes : mapping
        New values by field, such as ``{"height_mm": 55.0}`` [mm].

    Returns
    -------
    Job

    Raises
    ------
    Refusal
        Where a value may not stand in a job file, in the panel's words.
    """
    place = base_index(job, name)
    old = job.bases[place]
    given = {field: getattr(old, field) for field in Base.model_fields}
    try:
        new = Base(**(given | dict(changes)))
    except ValidationError as error:
        raise Refusal(*_problems(error, changes)) from error
    length_mm = job.stock.packer_size_mm[0]
    if new.max_span_mm < 2 * length_mm:
        raise refuse(
            LABELS["max_span_mm"],
            f"{new.max_span_mm:g} mm, less than two packers of {length_mm:g} mm",
            f"{2 * length_mm:g} mm or more",
        )
    bases = (*job.bases[:place], new, *job.bases[place + 1 :])
    return job.model_copy(update={"bases": bases})


def _problems(error: ValidationError, changes: Mapping[str, object]) -> list[Problem]:
    """Return one problem a field, in the words of the job file."""
    fields = dict.fromkeys(str(found["loc"][0]) for found in error.errors() if found["loc"])
    return [
        Problem(
            LABELS.get(field, field),
            f"{show_value(changes.get(field))} mm",
            describe(field, Base.model_fields[field]),
        )
        for field in fields
    ]
