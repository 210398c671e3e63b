"""What bases on packer stacks share, with bearers on them or without."""

from __future__ import annotations

import pandas as pd

from kit.base.datum import Datum
from kit.base.screws import StackAt, choose_screws
from kit.job import Job


def stack_table(job: Job, supports: pd.DataFrame, datum: Datum) -> pd.DataFrame:
    """Return every packer: support, position from the floor, thickness_mm, nominal_mm."""
    packers = job.stock.packers
    rows = [
        (support, position, packers[kind].thickness_mm, packers[kind].mm)
        for support, stack in zip(supports["support"], datum.plan.stacks, strict=True)
        for position, kind in enumerate(stack, start=1)
    ]
    return pd.DataFrame(rows, columns=["support", "position", "thickness_mm", "nominal_mm"])


def screw_table(job: Job, supports: pd.DataFrame, datum: Datum, bearer_mm: float) -> pd.DataFrame:
    """Return the screw of every step; ``bearer_mm`` is 0 where units stand on the stacks."""
    packers = job.stock.packers
    columns = (supports["support"], supports["x_mm"], supports["y_mm"], datum.plan.stacks)
    at = [
        StackAt(support, float(x), float(y), tuple(packers[kind].thickness_mm for kind in stack))
        for support, x, y, stack in zip(*columns, strict=True)
    ]
    return choose_screws(job.floor, job.stock, bearer_mm, at, job.services, job.no_go)


def into_the_floor(screws: pd.DataFrame) -> int:
    """Return how many screws reach below the floor's surface."""
    return int((screws["point_below_floor_mm"] > 0).sum())
