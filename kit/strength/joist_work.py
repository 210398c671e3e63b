"""What is known of the joists under a base: each one's sag and stress, each stack's settlement."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from kit.job import Joists, refuse
from kit.strength.beam import Beam, Floats, Loads
from kit.strength.joist_places import Grid, grid_of
from kit.strength.joist_settlement import Settlement, StackSag, lift_of, said_of
from kit.strength.joist_stress import Governing
from kit.strength.line import held


@dataclass(frozen=True)
class Carried:
    """The part of one stack that one joist carries.

    Parameters
    ----------
    support : str
        Name of the stack.
    share : float
        The joist's part of it, more than 0, at most 1.
    along_mm : float
        Its place along the joist [mm].
    force_n : float
        That part of all its loads in full [N].
    creep_n : float
        The force that would bring the final sag at once [N].
    inst_mm, final_mm : float
        Sag of the joist there, down positive [mm]; nan where the joist is not computed.
    """

    support: str
    share: float
    along_mm: float
    force_n: float
    creep_n: float
    inst_mm: float
    final_mm: float


@dataclass(frozen=True)
class JoistSag:
    """One joist under what the furniture adds.

    Parameters
    ----------
    number : int
        From 1, the one at ``first_mm``.
    across_mm : float
        Place of its middle on the axis across the joists [mm].
    carries : tuple of Carried
        What stands on it.
    beyond : tuple of str
        Stacks on it that stand beyond its outermost bearings: with any it is not computed, and
        all its figures are nan.
    before : tuple of (str, float)
        Of the first joist: stacks that stand too far before it, and how far [mm]. With any it is
        not computed either.
    greatest_final_mm, greatest_at_mm : float
        Its greatest final sag, and the place of that along it [mm].
    span_sag_mm, span_mm : float
        Final sag or rise that is greatest as a share of its span, without its sign; that span.
    bending, shear : Governing
        Design stress over design strength, with the floor's own loads.
    """

    number: int
    across_mm: float
    carries: tuple[Carried, ...]
    beyond: tuple[str, ...]
    before: tuple[tuple[str, float], ...]
    greatest_final_mm: float
    greatest_at_mm: float
    span_sag_mm: float
    span_mm: float
    bending: Governing
    shear: Governing

    @property
    def computed(self) -> bool:
        """Whether all that it is taken to carry stands where it can carry it."""
        return not (self.beyond or self.before)


@dataclass(frozen=True)
class Unloaded:
    """A joist under the floor's own loads alone, without any furniture."""

    bending: Governing
    shear: Governing


@dataclass(frozen=True)
class NoJoists:
    """Why there is nothing to say about joists."""

    reason: str

    @property
    def settled(self) -> bool:
        """Whether the settlement of back and front rows is known: it is not."""
        return False

    @property
    def said(self) -> str:
        """The same in words."""
        return f"settlement not known: {self.reason}"

    def front_lift_mm(self) -> float:
        """Refuse a front lift from a settlement that nobody knows."""
        found = f'"settlement", which is not known: {self.reason}'
        raise refuse("base.front_lift_mm", found, "a number of millimetres")


@dataclass(frozen=True)
class JoistWork:
    """All joists under a base, and how far its stacks settle with them.

    Parameters
    ----------
    given : Joists
        The joists as the job gives them.
    service_class : int
        That their factors belong to.
    joists : tuple of JoistSag
        From the first one to one at or beyond the last stack.
    stacks : mapping of str to StackSag
        Each stack's settlement, by its name.
    settlements : tuple of Settlement
        Of back and front row of each run, in the order of the runs.
    before_first : tuple of str
        Stacks before the first joist, which carries all of them.
    off_joist : tuple of (str, float)
        The stack furthest from a joist's edge, and how far its middle is from it [mm].
    beam : Beam
        Any of the joists.
    unloaded : Unloaded
        What the floor's own loads ask of each, before the furniture comes.
    under : str
        What the sags are of: furniture, or furniture and compound.
    """

    given: Joists
    service_class: int
    joists: tuple[JoistSag, ...]
    stacks: Mapping[str, StackSag]
    settlements: tuple[Settlement, ...]
    before_first: tuple[str, ...]
    off_joist: tuple[str, float]
    beam: Beam
    unloaded: Unloaded
    under: str = "furniture"

    @property
    def settled(self) -> bool:
        """Whether the settlement of back and front row of all runs is known."""
        return all(one.known for one in self.settlements)

    @property
    def said(self) -> str:
        """What the settlement comes to, run by run."""
        return said_of(self.settlements)

    @cached_property
    def grid(self) -> Grid:
        """Where the joists lie."""
        return grid_of(self.given)

    def front_lift_mm(self) -> float:
        """Return the front lift for the settlement: `kit.strength.joist_settlement.lift_of`."""
        return lift_of(self.settlements)

    def sag_final_mm(self, joist: JoistSag, along_mm: ArrayLike) -> Floats:
        """Return the final sag of one of its joists, down positive, for a picture.

        Parameters
        ----------
        joist : JoistSag
        along_mm : array_like
            Places along it, between its outermost bearings [mm].

        Returns
        -------
        array of the shape of ``along_mm``
            nan where the joist is not computed [mm].

        Raises
        ------
        Refusal
            Where a place lies beyond its outermost bearings.
        """
        places = np.asarray(along_mm, dtype=float)
        first, last = self.beam.start_mm, self.beam.end_mm
        if places.size and not (places.min() >= first and places.max() <= last):
            found = f"{places.min():g} to {places.max():g} mm"
            raise refuse("place along a joist", found, f"from {first:g} to {last:g} mm")
        if not joist.computed:
            return np.full(places.shape, math.nan)
        points = tuple((each.along_mm, each.creep_n) for each in joist.carries)
        line = held(self.beam, Loads(points), np.zeros(len(self.beam.supports_mm)))
        return -line.height_mm(places)
