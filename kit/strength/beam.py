"""A straight elastic beam over supports: its stiffness, and its line under loads.

Heights w are positive up, rotations from x towards z; moments are positive where the beam sags,
shear is the sum of what pushes up left of a place. Loads push down and are positive.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.job import refuse

Floats = NDArray[np.float64]

#: Places nearer to each other than this are one place [mm]: no saw cuts nearer, and an overhang so
#: short would be so stiff that it drowned all else in round-off.
SAME_MM = 1e-2

#: Two places of Gauss and Legendre in 0 to 1: exact for cubics.
_GAUSS = (0.5 - math.sqrt(1 / 12), 0.5 + math.sqrt(1 / 12))


@dataclass(frozen=True)
class Loads:
    """What presses on a beam.

    Parameters
    ----------
    points : tuple of (place, force)
        Along the beam [mm], downwards [N].
    patches : tuple of (from, to, force per length)
        Along the beam [mm], downwards [N/mm].
    """

    points: tuple[tuple[float, float], ...] = ()
    patches: tuple[tuple[float, float, float], ...] = ()

    def __post_init__(self) -> None:
        for start, end, _ in self.patches:
            if not start <= end:
                raise refuse("patch of load", f"from {start:g} to {end:g} mm", "from left to right")
        if not math.isfinite(self.total_n):
            raise refuse("loads", f"{self.total_n} N in all", "finite forces")

    @property
    def total_n(self) -> float:
        """Sum of all loads [N]."""
        whole = math.fsum(force for _, force in self.points)
        return whole + math.fsum((end - start) * each for start, end, each in self.patches)

    def scaled(self, factor: float) -> Loads:
        """Return the same loads, all of them as many times as heavy."""
        return Loads(
            tuple((place, factor * force) for place, force in self.points),
            tuple((start, end, factor * each) for start, end, each in self.patches),
        )

    def __add__(self, other: Loads) -> Loads:
        return Loads(self.points + other.points, self.patches + other.patches)


@dataclass(frozen=True)
class Beam:
    """A beam of one section over two supports or more.

    Parameters
    ----------
    supports_mm : tuple of float
        Places of its supports, ascending [mm].
    start_mm, end_mm : float
        Its ends; it may reach beyond its outer supports [mm].
    ei_n_mm2 : float
        Bending stiffness [N mm2].
    ga_n : float
        Shear stiffness: shear modulus times area over the shear coefficient (1.2 for a
        rectangle) [N]; infinite where shear is left out (Bernoulli's beam).
    hinges : tuple of int
        Inner supports, counted from 0, over which it is jointed: no moment passes there.
    """

    supports_mm: tuple[float, ...]
    start_mm: float
    end_mm: float
    ei_n_mm2: float
    ga_n: float = math.inf
    hinges: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        places = self.supports_mm
        if len(places) < 2 or not all(b - a >= SAME_MM for a, b in pairwise(places)):
            raise refuse("supports_mm", f"{places}", "two places or more, ascending")
        if not self.start_mm <= places[0] or not places[-1] <= self.end_mm:
            raise refuse("start_mm, end_mm", f"{self.start_mm}, {self.end_mm}", "ends not within")
        if not (math.isfinite(self.start_mm) and math.isfinite(self.end_mm)):
            raise refuse("start_mm, end_mm", f"{self.start_mm}, {self.end_mm}", "finite places")
        if not (self.ei_n_mm2 > 0 and math.isfinite(self.ei_n_mm2) and self.ga_n > 0):
            raise refuse("stiffness", f"{self.ei_n_mm2}, {self.ga_n}", "more than 0")
        if any(not 0 < hinge < len(places) - 1 for hinge in self.hinges):
            raise refuse("hinges", f"{self.hinges}", "inner supports only")

    @cached_property
    def frame(self) -> Frame:
        """Its stiffness, condensed to the heights of its supports."""
        return Frame(self)


class Frame:
    """The stiffness of a beam, condensed to the heights of its supports.

    S w = f + r: the forces r [N] that its supports must give where its supports lie at the
    heights w [mm] and loads press on their places with f (negative) once everything between them
    is let go. S is symmetric and takes no force to move the beam as a whole.

    Parameters
    ----------
    beam : Beam

    Notes
    -----
    Slope-deflection with Timoshenko's shear term, phi = 12 EI/(GA L²): Przemieniecki, Theory of
    Matrix Structural Analysis (1968), section 5.6 (from memory). Exact for these loads, with no
    division of the spans.
    """

    def __init__(self, beam: Beam) -> None:
        self.beam = beam
        self.nodes_mm = np.array(_with_ends(beam))
        first = int(beam.start_mm < beam.supports_mm[0] - SAME_MM)
        self.held = np.arange(first, first + len(beam.supports_mm))
        self.turns = _numbers_of_turns(len(self.nodes_mm), {first + h for h in beam.hinges})
        size = 1 + int(self.turns.max())
        stiffness = np.zeros((size, size))
        for element, dofs in enumerate(self._dofs):
            stiffness[np.ix_(dofs, dofs)] += self._element(element)
        free = np.setdiff1d(np.arange(size), self.held)
        self._free = free
        self._free_of_held = -np.linalg.solve(
            stiffness[np.ix_(free, free)], stiffness[np.ix_(free, self.held)]
        )
        self._flexible = np.linalg.inv(stiffness[np.ix_(free, free)])
        self.stiffness = self._condensed_stiffness()

    @cached_property
    def _dofs(self) -> tuple[list[int], ...]:
        """Heights and turns at both ends of each element."""
        turns = self.turns
        return tuple(
            [node, int(turns[node, 1]), node + 1, int(turns[node + 1, 0])]
            for node in range(len(self.nodes_mm) - 1)
        )

    @cached_property
    def _node_at(self) -> dict[float, int]:
        """Nodes by their places: most loads stand right on one."""
        return {place: node for node, place in enumerate(self.nodes_mm.tolist())}

    @cached_property
    def lengths_mm(self) -> Floats:
        """Lengths of the elements [mm]."""
        return np.diff(self.nodes_mm)

    def _phi(self, length: float) -> float:
        return 12 * self.beam.ei_n_mm2 / (self.beam.ga_n * length**2)

    def _element(self, number: int) -> Floats:
        length = float(self.lengths_mm[number])
        phi, l2 = self._phi(length), length**2
        near, far = (4 + phi) * l2, (2 - phi) * l2
        six = 6 * length
        shape = [
            [12, six, -12, six],
            [six, near, -six, far],
            [-12, -six, 12, -six],
            [six, far, -six, near],
        ]
        return self.beam.ei_n_mm2 / (length**3 * (1 + phi)) * np.array(shape)

    def _condensed_stiffness(self) -> Floats:
        """Return S by the equation of three moments [N/mm].

        Kinks of the line of the supports times what the beam resists to each: a movement of the
        whole beam takes no force down to round-off, and where no support is one too many (two
        supports; a hinge over each further one) S is 0 and not what round-off leaves of it.
        """
        places = np.array(self.beam.supports_mm)
        kinks, soft = np.zeros((2, len(places), len(places)))
        ei, ga = self.beam.ei_n_mm2, self.beam.ga_n
        for left, span in enumerate(np.diff(places)):
            both = slice(left, left + 2)
            kinks[both, both] += np.array([[-1, 1], [1, -1]]) / span
            soft[both, both] += span / (6 * ei) * np.array([[2, 1], [1, 2]])
            soft[both, both] += np.array([[1, -1], [-1, 1]]) / (ga * span)
        whole = np.setdiff1d(np.arange(1, len(places) - 1), self.beam.hinges)
        rows = kinks[whole]
        found = rows.T @ np.linalg.solve(soft[np.ix_(whole, whole)], rows)
        return np.asarray((found + found.T) / 2)

    def forces(self, loads: Loads) -> Floats:
        """Return what loads do at heights and turns while all of these are held [N, N mm]."""
        found = np.zeros(1 + int(self.turns.max()))
        for place, force in self._as_points(loads):
            if place in self._node_at:
                found[self._node_at[place]] -= force
                continue
            number = self.element_of(place)
            length = float(self.lengths_mm[number])
            a = place - self.nodes_mm[number]
            b, phi = length - a, self._phi(length)
            left = force * a * b * (b + phi * length / 2) / (length**2 * (1 + phi))
            right = force * a * b * (a + phi * length / 2) / (length**2 * (1 + phi))
            up = (force * b + left - right) / length
            found[self._dofs[number]] -= [up, left, force - up, -right]
        return found

    def _as_points(self, loads: Loads) -> Iterator[tuple[float, float]]:
        """Yield point loads; patches, cut at the nodes, as two each.

        What a load does at the ends of an element is cubic in its place, so that two places of
        Gauss give what a patch does exactly.
        """
        yield from loads.points
        for start, end, each in loads.patches:
            inner = self.nodes_mm[(self.nodes_mm > start) & (self.nodes_mm < end)]
            for a, b in pairwise((start, *inner.tolist(), end)):
                for share in _GAUSS:
                    yield a + share * (b - a), each * (b - a) / 2

    def element_of(self, place_mm: float) -> int:
        """Return the element that a place lies on."""
        low, high = self.beam.start_mm - SAME_MM, self.beam.end_mm + SAME_MM
        if not low <= place_mm <= high:
            raise refuse("load", f"{place_mm:g} mm", f"a place from {low:g} to {high:g} mm")
        found = int(np.searchsorted(self.nodes_mm, place_mm, side="right")) - 1
        return min(max(found, 0), len(self.nodes_mm) - 2)

    def heights(self, heights_mm: ArrayLike) -> Floats:
        """Return heights of the supports, refused where they are not one finite number each."""
        heights = np.array(heights_mm, dtype=float)
        if heights.shape != self.held.shape or not np.isfinite(heights).all():
            allowed = f"a finite height for each of {len(self.held)} supports"
            raise refuse("heights", f"{heights.tolist()}", allowed)
        return heights

    def condensed(self, forces: Floats) -> Floats:
        """Return the forces as they come down on the supports, all else let go [N]."""
        return np.asarray(forces[self.held] + self._free_of_held.T @ forces[self._free])

    def all_of(self, heights_mm: Floats, forces: Floats) -> Floats:
        """Return all heights and turns where the supports lie at the heights given."""
        whole = np.zeros(len(forces))
        whole[self.held] = heights_mm
        whole[self._free] = self._flexible @ forces[self._free] + self._free_of_held @ heights_mm
        return whole


def _with_ends(beam: Beam) -> list[float]:
    nodes = list(beam.supports_mm)
    if beam.start_mm < nodes[0] - SAME_MM:
        nodes.insert(0, beam.start_mm)
    if beam.end_mm > nodes[-1] + SAME_MM:
        nodes.append(beam.end_mm)
    return nodes


def _numbers_of_turns(nodes: int, hinged: set[int]) -> NDArray[np.int64]:
    """Give the rotations left and right of each node their numbers; one where it is whole."""
    turns, number = np.zeros((nodes, 2), dtype=np.int64), nodes
    for node in range(nodes):
        turns[node] = number, number + (node in hinged)
        number = int(turns[node, 1]) + 1
    return turns
