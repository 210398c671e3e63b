"""Part of a run as a run of its own, and the job that holds it alone."""

from __future__ import annotations

from kit.base.runs import Frame, place_units
from kit.job import Base, Job, Run


def part_of_run(run: Run, first: int, last: int, name: str | None = None) -> Run:
    """Return the units from ``first`` to ``last`` of a run as a run of its own.

    It stands where they stand: its origin is shifted along the run to the first of them, and only
    at the run's true ends is it against a wall.
    """
    placed = place_units(run)
    start = first > 0
    x, y = Frame(run.origin_mm, run.direction_deg).to_site(placed[first].left_mm, 0.0)
    units = list(run.units[first : last + 1])
    if start:
        units[0] = units[0].model_copy(update={"gap_before_mm": 0.0})
    return run.model_copy(
        update={
            "name": run.name if name is None else name,
            "origin_mm": (float(x), float(y)) if start else run.origin_mm,
            "units": tuple(units),
            "left_wall": run.left_wall and not start,
            "right_wall": run.right_wall and last == len(run.units) - 1,
        }
    )


def of_run(job: Job, run: Run, base: Base) -> tuple[Job, Base]:
    """Return the job with one run and one base, no stack of it moved by hand."""
    alone = base.model_copy(update={"moved": (), "levels": None})
    return job.model_copy(update={"runs": (run,), "bases": (alone,), "as_built": None}), alone
