"""What a base sets on the floor, as far as its layout in plan has to know."""

from __future__ import annotations

from dataclasses import dataclass

from kit.job import Base, Job


@dataclass(frozen=True)
class Footing:
    """What runs along each row, and what stands at one place of it.

    Parameters
    ----------
    strip_mm : float
        Width of what runs along a row: of a bearer, of a frame's member, of a foot's plate [mm].
    pad_mm : tuple of float
        Plan size of what stands at one place, along the row and across it [mm].
    joined : bool
        Whether a bearer or a member runs along each row, so that its ends are carried, its spans
        are held and a place that cannot be used is bridged.
    shared : bool
        Whether sides of neighbouring units may stand on one support.
    """

    strip_mm: float
    pad_mm: tuple[float, float]
    joined: bool = True
    shared: bool = True

    @property
    def across_mm(self) -> float:
        """Room that a row takes across itself [mm]."""
        return max(self.strip_mm, self.pad_mm[1])


def bearer_footing(job: Job, base: Base) -> Footing:
    """Return the footing of bearers on packers."""
    return Footing(base.bearer.width_mm, job.stock.packer_size_mm)
