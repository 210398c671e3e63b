"""What a base sets on the floor, as far as its layout in plan has to know."""

from __future__ import annotations

from dataclasses import dataclass

from kit.job import Base, Job


@dataclass(frozen=True)
class Words:
    """What a way of building calls its parts, for what is said where a layout finds no place.

    Parameters
    ----------
    along : str
        What runs along a row: "bearer".
    stand, stands : str
        What stands at one place of it, one and several: "stack".
    pad : str
        What must not overlap there, several: "packers".
    smaller : str
        What takes less room: "a shorter packer".
    nearer : str
        What brings a stand nearer to its side or division.
    stiffer : str
        What carries further.
    """

    along: str
    stand: str
    stands: str
    pad: str
    smaller: str
    nearer: str
    stiffer: str


BEARERS = Words(
    along="bearer",
    stand="stack",
    stands="stacks",
    pad="packers",
    smaller="a shorter packer",
    nearer="a smaller end_inset_mm, fewer divisions, a shorter packer",
    stiffer="a stiffer bearer with a longer span",
)

#: Of a frame of boards on edge: what stands at one place is where a rung may meet a member.
MEMBERS = Words(
    along="member",
    stand="crossing",
    stands="crossings",
    pad="crossings",
    smaller="thinner boards",
    nearer="a smaller end_inset_mm, fewer divisions, thicker boards",
    stiffer="deeper boards with a longer span",
)

#: Of supports that nothing joins.
APART = Words(
    along="row",
    stand="support",
    stands="supports",
    pad="supports",
    smaller="smaller supports",
    nearer="fewer divisions, or smaller supports",
    stiffer="a base whose bearers or frame bridge it",
)


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
    own_fronts : bool
        Whether each unit that is deeper than the shallowest of its run stands on a row at its own
        front edge instead of the front row, as on a surface that bears it up to there; else it
        has a further row only where its centre of gravity asks for one.
    keeps_off_joints : bool
        Whether what stands there keeps off movement joints; a pour is parted along them instead.
    words : Words
        What all that is called.
    """

    strip_mm: float
    pad_mm: tuple[float, float]
    joined: bool = True
    shared: bool = True
    own_fronts: bool = False
    keeps_off_joints: bool = True
    words: Words = BEARERS

    @property
    def across_mm(self) -> float:
        """Room that a row takes across itself [mm]."""
        return max(self.strip_mm, self.pad_mm[1])


def bearer_footing(job: Job, base: Base) -> Footing:
    """Return the footing of bearers on packers."""
    return Footing(base.bearer.width_mm, job.stock.packer_size_mm)
