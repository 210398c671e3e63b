"""What a board shows of a job to begin with."""

from __future__ import annotations

from contextlib import suppress

from kit.answer import Answer, choose_base, solve
from kit.job import Base, Job, Refusal, refuse
from kit.job.model import ON_BEARERS
from kit.job.wording import one_of, show_value

_DRAWN = f"a base of method {one_of([show_value(word) for word in ON_BEARERS])}"
_COMPARED = "notebook 03 compares bases of every method"


def board_base(job: Job, name: str | None) -> Base:
    """Return the base that a board sets out: the first that has bearers, or the one of that name.

    Raises
    ------
    Refusal
        Where the job has no such base, or it has no bearers that could be set out.
    """
    drawn = [base for base in job.bases if base.on_bearers]
    if name is None and drawn:
        return drawn[0]
    design = choose_base(job, name)
    if design.on_bearers:
        return design
    found = f"method = {show_value(design.method)}, which has no bearers to be set out on the board"
    other = f", chosen by base={show_value(drawn[0].name)}" if drawn else " in job.toml"
    raise refuse(f"base {show_value(design.name)}", found, f"{_DRAWN}{other}; {_COMPARED}")


def first_answer(job: Job, base: str | None = None) -> Answer:
    """Return an answer to begin with: of the job as it is, or of what of it can be built.

    A job that was saved while it could not be built is opened with its stacks where the rules
    have them, and at any height that can be made, if that is what it takes.

    Raises
    ------
    Refusal
        Where the board draws no such base, or nothing of it can be built; the reasons are those
        of the job as it is.
    """
    design = board_base(job, base)
    try:
        return solve(job, design.name)
    except Refusal as refusal:
        under = design.bearer.thickness_mm
        anywhere = (under + design.minimum_pack_mm, under + design.max_stack_mm)
        for changes in ({"moved": ()}, {"moved": (), "height_mm": anywhere}):
            other = design.model_copy(update=changes)
            bases = tuple(other if one is design else one for one in job.bases)
            with suppress(Refusal):
                return solve(job.model_copy(update={"bases": bases}), design.name)
        raise refusal
