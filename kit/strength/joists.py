"""What the joists do under the base: their sag, the settlement of the stacks, their stress.

Only what the furniture adds counts as sag: the floor's own weight is in the readings already.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from kit.job import Joists, refuse
from kit.strength.beam import Beam, Floats
from kit.strength.joist_lines import NOWHERE, JoistLines
from kit.strength.joist_parts import Parts, parts_of
from kit.strength.joist_places import Grid, Pressed, grid_of, why_not
from kit.strength.joist_settlement import StackSag, settlements_of
from kit.strength.joist_stress import NOT_STRESSED, governing
from kit.strength.joist_work import Carried, JoistSag, JoistWork, NoJoists, Unloaded
from kit.strength.section import Rectangle
from kit.strength.timber import kdef, psi2, timber_class

__all__ = ["JoistSag", "JoistWork", "NoJoists", "Pressed", "joists_under"]

#: Shear coefficient of a rectangle.
SHEAR_COEFFICIENT = 1.2


def joists_under(
    joists: Joists | None,
    floor_kind: Literal["boarded", "solid"],
    pressed: Sequence[Pressed],
    service_class: int,
) -> JoistWork | NoJoists:
    """Find what the joists do under a base.

    Parameters
    ----------
    joists : Joists or None
        ``job.floor.joists``.
    floor_kind : str
        ``job.floor.kind``.
    pressed : sequence of Pressed
        What every stack presses on the floor.
    service_class : int
        1, 2 or 3.

    Returns
    -------
    JoistWork or NoJoists
        The latter with its reason, where there are no joists, none are given, or those given are
        no row of beams.

    Raises
    ------
    Refusal
        Where two stacks have one name, or the service class is none.

    Notes
    -----
    Eq. (1), EN 1995-1-1 2.2.3: u_fin = u_G (1 + kdef) + sum of u_Q (1 + psi2 kdef), here with all
    variable loads in full (psi0 = 1, the unfavourable side). psi2 is 0.8 for what is stored, 0.3
    for people.
    """
    if service_class not in (1, 2, 3):
        raise refuse("service class", repr(service_class), "1, 2 or 3")
    names = [stack.support for stack in pressed]
    if len(set(names)) < len(names):
        raise refuse("stacks", ", ".join(names), "each name once")
    if floor_kind == "solid":
        return NoJoists("a solid floor has none: its bearing capacity is for others to judge")
    if joists is None:
        return NoJoists("no [floor.joists] given")
    reason = why_not(joists, pressed)
    return NoJoists(reason) if reason else _Case(joists, tuple(pressed), service_class).work()


def beam_of(joists: Joists) -> Beam:
    """Return one joist as a beam on its bearings, with the mean stiffness of its class."""
    timber, section = timber_class(joists.strength_class), _section(joists)
    return Beam(
        joists.bearing_mm,
        joists.bearing_mm[0],
        joists.bearing_mm[-1],
        timber.e0_mean * section.second_moment_mm4,
        timber.g_mean * section.area_mm2 / SHEAR_COEFFICIENT,
    )


def _section(joists: Joists) -> Rectangle:
    return Rectangle(joists.width_mm, joists.depth_mm)


@dataclass(frozen=True)
class _Case:
    """Joists under one base, worked out step by step."""

    joists: Joists
    pressed: tuple[Pressed, ...]
    service_class: int

    @cached_property
    def grid(self) -> Grid:
        return grid_of(self.joists)

    @cached_property
    def parts(self) -> Parts:
        return parts_of(self.grid, self.pressed, self.joists.bearing_mm)

    @cached_property
    def beam(self) -> Beam:
        return beam_of(self.joists)

    @cached_property
    def lines(self) -> JoistLines:
        return JoistLines(self.beam, self.parts.places_mm)

    @cached_property
    def forces_n(self) -> Floats:
        """Permanent, stored, people of each part, shape (parts, 3) [N]."""
        groups = np.array([(s.permanent_n, s.stored_n, s.people_n) for s in self.pressed])
        return np.asarray(self.parts.share[:, None] * groups[self.parts.stack])

    @cached_property
    def on_joists_n(self) -> Floats:
        """The same by joist and place, shape (3, joists, places) [N]."""
        parts = self.parts
        found = np.zeros((len(parts.computed), len(parts.places_mm), 3))
        np.add.at(found, (parts.joist[parts.used], parts.place), self.forces_n[parts.used])
        return np.moveaxis(found, 2, 0)

    @cached_property
    def factors(self) -> Floats:
        """What makes the final sag out of the instantaneous one, by group: Eq. (1)."""
        return 1.0 + kdef(self.service_class) * np.array([1.0, psi2("stored"), psi2("rooms")])

    @cached_property
    def crept_n(self) -> Floats:
        """The forces that would bring the final sag at once, shape (joists, places) [N]."""
        return np.tensordot(self.factors, self.on_joists_n, 1)

    @cached_property
    def sags_mm(self) -> Floats:
        """Sag of each part's joist at its place, at once and final, shape (parts, 2) [mm]."""
        parts, under = self.parts, self.lines.sag_mm(self.parts.places_mm).T
        found = np.full((len(parts.share), 2), math.nan)
        for column, forces in enumerate((self.on_joists_n.sum(axis=0), self.crept_n)):
            found[parts.used, column] = (forces @ under)[parts.joist[parts.used], parts.place]
        return found

    def work(self) -> JoistWork:
        stacks = tuple(self._stack_sags())
        off = [
            (s.support, self.grid.edge_distance_mm(s, self.joists.width_mm)) for s in self.pressed
        ]
        return JoistWork(
            self.joists,
            self.service_class,
            tuple(self._joist_sags()),
            {stack.support: stack for stack in stacks},
            settlements_of(stacks),
            tuple(s.support for s in self.pressed if self._is_on_first(s)),
            max(off, key=lambda one: one[1]),
            self.beam,
            self._unloaded(),
        )

    def _unloaded(self) -> Unloaded:
        nothing = np.zeros((3, 1, self.on_joists_n.shape[2]))
        return Unloaded(*governing(self.joists, self.service_class, self.lines, nothing)[0])

    def _is_on_first(self, stack: Pressed) -> bool:
        """Tell whether a stack before the first joist is near enough for it to carry all of it."""
        before, too_far = self.grid.before_first_mm(stack), self.grid.too_far_before_mm(stack)
        return before > 0 and not too_far

    def _stack_sags(self) -> Iterator[StackSag]:
        """Yield each stack's settlement: what its joists sag there, by the same lever."""
        found = np.zeros((len(self.pressed), 2))
        np.add.at(found, self.parts.stack, self.parts.share[:, None] * self.sags_mm)
        for stack, (inst, final) in zip(self.pressed, found.tolist(), strict=True):
            yield StackSag(stack.support, stack.row, inst, final, stack.run)

    def _joist_sags(self) -> Iterator[JoistSag]:
        deepest = self.lines.deepest(self.crept_n)
        ratios = governing(self.joists, self.service_class, self.lines, self.on_joists_n)
        carried = self._carried()
        for joist, computed in enumerate(self.parts.computed.tolist()):
            deep = deepest[joist] if computed else NOWHERE
            bending, shear = ratios[joist] if computed else (NOT_STRESSED, NOT_STRESSED)
            yield JoistSag(
                joist + 1,
                self.grid.across_mm(joist + 1),
                tuple(carried[joist]),
                tuple(self._names_at(joist, self.parts.beyond)),
                tuple(self._too_far_before(joist)),
                deep.sag_mm,
                deep.at_mm,
                deep.span_sag_mm,
                deep.span_mm,
                bending,
                shear,
            )

    def _names_at(self, joist: int, which: NDArray[np.bool_]) -> Iterator[str]:
        """Yield the names of some of the stacks on a joist."""
        for stack in self.parts.stack[which & (self.parts.joist == joist)].tolist():
            yield self.pressed[stack].support

    def _too_far_before(self, joist: int) -> Iterator[tuple[str, float]]:
        far = self.parts.before_mm
        distances = far[(far > 0) & (self.parts.joist == joist)].tolist()
        return zip(self._names_at(joist, far > 0), distances, strict=True)

    def _carried(self) -> list[list[Carried]]:
        """Return what each joist carries."""
        parts = self.parts
        carried: list[list[Carried]] = [[] for _ in range(len(parts.computed))]
        figures = np.column_stack(
            [
                parts.share,
                parts.along_mm,
                self.forces_n.sum(axis=1),
                self.forces_n @ self.factors,
                self.sags_mm,
            ]
        ).tolist()
        for joist, stack, row in zip(
            parts.joist.tolist(), parts.stack.tolist(), figures, strict=True
        ):
            carried[joist].append(Carried(self.pressed[stack].support, *row))
        return carried
