"""What a board shows of a job to begin with."""

from __future__ import annotations

from contextlib import suppress

from kit.answer import Answer, choose_base, solve
from kit.job import Job, Refusal


def first_answer(job: Job, base: str | None = None) -> Answer:
    """Return an answer to begin with: of the job as it is, or of what of it can be built.

    A job that was saved while it could not be built is opened with its stacks where the rules
    have them, and at any height that can be made, if that is what it takes.

    Raises
    ------
    Refusal
        Where nothing of it can be built; the reasons are those of the job as it is.
    """
    try:
        return solve(job, base)
    except Refusal as refusal:
        design = choose_base(job, base)
        under = design.bearer.thickness_mm
        anywhere = (under + design.minimum_pack_mm, under + design.max_stack_mm)
        for changes in ({"moved": ()}, {"moved": (), "height_mm": anywhere}):
            other = design.model_copy(update=changes)
            bases = tuple(other if one is design else one for one in job.bases)
            with suppress(Refusal):
                return solve(job.model_copy(update={"bases": bases}), base)
        raise refusal
