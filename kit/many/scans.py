"""Many scans at once, each reduced to a grid where its file lies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from kit.job import Refusal, ScanFrame
from kit.many.spread import Tell, spread
from kit.scan import ScanFloor, reduce_scan

if TYPE_CHECKING:
    from distributed import Client


@dataclass(frozen=True)
class ScanTask:
    """One scan to be reduced.

    Parameters
    ----------
    path : Path
        The file, which every worker must be able to read at that path: scans are too large to be
        sent about.
    cell_mm : float
        Side of the cells [mm].
    file_unit : str or None
        What it counts in; what the file says, or metres, unless given.
    frame : ScanFrame or None
        How it lies in the plan.
    """

    path: Path
    cell_mm: float
    file_unit: Literal["m", "mm", "in", "ft"] | None = None
    frame: ScanFrame | None = None


def reduce_one(task: ScanTask) -> ScanFloor | Refusal:
    """Return the floor in one scan, or why there is none."""
    try:
        return reduce_scan(
            task.path, task.path.name, task.cell_mm, file_unit=task.file_unit, frame=task.frame
        )
    except Refusal as refusal:
        return refusal


def reduce_many(
    tasks: Sequence[ScanTask], client: Client | None = None, tell: Tell | None = None
) -> tuple[ScanFloor | Refusal, ...]:
    """Reduce many scans, on a cluster or one by one: the same grids to the last bit.

    Parameters
    ----------
    tasks : sequence of ScanTask
        The scans.
    client : distributed.Client, optional
        A cluster's; without one they are reduced here, one by one.
    tell : callable, optional
        Told the share of the scans that is done, 0 to 1.

    Returns
    -------
    tuple of ScanFloor or Refusal
        In the order of the tasks; a scan that is refused stops no other one.
    """
    return tuple(spread(reduce_one, tasks, client, tell))
