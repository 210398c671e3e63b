"""One member of a ladder frame, long or a rung, and the places along it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from kit.base.no_go import SAME_PLACE_MM
from kit.base.runs import Floats, Frame


@dataclass(frozen=True)
class Member:
    """One long member or one rung, as it lies on the floor.

    Parameters
    ----------
    name : str
        ``"B"``, ``"A-F"`` as its row; ``"R1"``, ``"A-R1"`` of a rung.
    rung : bool
        Whether it is a rung.
    rows : tuple of str
        Its own row; of a rung the rows that it ties, from the wall into the room.
    frame : Frame
        Its own frame: x along it, from the run's left end, of a rung from the back row.
    across_mm : float
        Its centre line in that frame [mm].
    start_mm, end_mm : float
        Its ends along it [mm].
    own_x_mm : float
        Of a rung, its place along the run; nan of a long member [mm].
    crossings_mm : tuple of float
        Supports along a long member [mm]; none of a rung, whose ends butt against the members.
    closed : tuple of (from, to, name)
        Stretches over no-go areas, which it must clear [mm].
    lift : tuple of float
        Share of the front lift at 0 along it, and what it gains per mm.
    """

    name: str
    rung: bool
    rows: tuple[str, ...]
    frame: Frame
    across_mm: float
    start_mm: float
    end_mm: float
    own_x_mm: float
    crossings_mm: tuple[float, ...]
    closed: tuple[tuple[float, float, str], ...]
    lift: tuple[float, float]

    @property
    def length_mm(self) -> float:
        """Its length [mm]."""
        return self.end_mm - self.start_mm

    def places_mm(self, pitch_mm: float) -> Floats:
        """Return places along it at most so far apart [mm], crossings and area edges included."""
        steps = max(1, math.ceil(self.length_mm / pitch_mm - 1e-9))
        edges = (edge for low, high, _ in self.closed for edge in (low, high))
        inside = [x for x in edges if self.start_mm < x < self.end_mm]
        even = np.linspace(self.start_mm, self.end_mm, steps + 1)
        found = np.sort(np.concatenate([even, self.crossings_mm, inside]))
        new = np.diff(found, prepend=-math.inf) > SAME_PLACE_MM
        return np.asarray(found[new], dtype=float)

    def over(self, along_mm: Floats) -> list[str]:
        """Return the no-go area that it must clear at each place, empty where there is none."""
        names = [""] * len(along_mm)
        for low, high, name in self.closed:
            inside = (along_mm >= low - SAME_PLACE_MM) & (along_mm <= high + SAME_PLACE_MM)
            for index in np.flatnonzero(inside):
                names[index] = f"{names[index]} and {name}" if names[index] else name
        return names


def places_of(member: Member, pitch_mm: float, across_mm: Sequence[float]) -> pd.DataFrame:
    """Return places along a member.

    Parameters
    ----------
    member : Member
        Long or a rung.
    pitch_mm : float
        They are at most so far apart along it [mm].
    across_mm : sequence of float
        Lines along it, against its middle [mm].

    Returns
    -------
    DataFrame
        member, along_mm, own_x_mm (along the run), x_mm, y_mm, lift_share, over.
    """
    one_line = member.places_mm(pitch_mm)
    along = np.tile(one_line, len(across_mm))
    beside = np.repeat(np.asarray(across_mm, dtype=float), len(one_line))
    x, y = member.frame.to_site(along, member.across_mm + beside)
    share, gain = member.lift
    return pd.DataFrame(
        {
            "member": member.name,
            "along_mm": along,
            # A rung's own y runs against the run's x.
            "own_x_mm": member.own_x_mm - beside if member.rung else along,
            "x_mm": x,
            "y_mm": y,
            "lift_share": share + gain * along,
            "over": member.over(one_line) * len(across_mm),
        }
    )
