"""The line of a beam under its loads: heights, moments and shear anywhere along it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from kit.strength.beam import Beam, Floats, Loads


@dataclass(frozen=True)
class Line:
    """A beam under its loads, at rest.

    Parameters
    ----------
    beam : Beam
    loads : Loads
    reactions_n : array of shape (supports,)
        What each support gives, upwards [N].
    heights_mm : array of shape (supports,)
        Where the beam lies at its supports [mm].
    """

    beam: Beam
    loads: Loads
    reactions_n: Floats
    heights_mm: Floats

    @cached_property
    def _moves(self) -> Floats:
        frame = self.beam.frame
        return frame.all_of(self.heights_mm, frame.forces(self.loads))

    # Places lie on the beam; beyond its ends nothing is said.

    def moment_n_mm(self, places_mm: ArrayLike) -> Floats:
        """Return the bending moment, positive where the beam sags [N mm]."""
        at = np.asarray(places_mm, dtype=float)[..., None]
        found = _ramp(at, self._up[0], 1) @ self._up[1]
        start, end, each = self._patches
        return np.asarray(found - (_ramp(at, start, 2) - _ramp(at, end, 2)) @ each / 2)

    def shear_n(self, places_mm: ArrayLike, *, left: bool = False) -> Floats:
        """Return the shear just right of each place, or just left of it [N]."""
        at = np.asarray(places_mm, dtype=float)[..., None]
        passed = at > self._up[0] if left else at >= self._up[0]
        start, end, each = self._patches
        return np.asarray(passed @ self._up[1] - (_ramp(at, start, 1) - _ramp(at, end, 1)) @ each)

    @cached_property
    def _up(self) -> tuple[Floats, Floats]:
        """Places and sizes of all that pushes up at a point; loads push up negatively."""
        places = [*self.beam.supports_mm, *(place for place, _ in self.loads.points)]
        forces = [*self.reactions_n, *(-force for _, force in self.loads.points)]
        return np.array(places, dtype=float), np.array(forces, dtype=float)

    @cached_property
    def _between(self) -> tuple[Floats, Floats]:
        """Places and sizes of the point loads beside the nodes."""
        nodes = set(self.beam.frame.nodes_mm.tolist())
        beside = [one for one in self.loads.points if one[0] not in nodes]
        rows = np.array(beside, dtype=float).reshape(-1, 2)
        return rows[:, 0], rows[:, 1]

    @cached_property
    def _patches(self) -> tuple[Floats, Floats, Floats]:
        rows = np.array(self.loads.patches, dtype=float).reshape(-1, 3)
        return rows[:, 0], rows[:, 1], rows[:, 2]

    def height_mm(self, places_mm: ArrayLike) -> Floats:
        """Return how high the beam lies [mm].

        Eq. (1): EI w'' = M; w' = turn - V/GA, integrated from the left end of each element.
        """
        frame, beam = self.beam.frame, self.beam
        at = np.asarray(places_mm, dtype=float)
        number = np.clip(
            np.searchsorted(frame.nodes_mm, at, side="right") - 1, 0, len(frame.nodes_mm) - 2
        )
        origin = frame.nodes_mm[number]
        s = at - origin
        moment, shear = self.moment_n_mm(origin), self.shear_n(origin)
        places, forces = self._between
        here = origin[..., None]
        twice = moment * s**2 / 2 + shear * s**3 / 6
        twice -= (_ramp(at[..., None], places, 3) * (here < places)) @ forces / 6
        start, end, each = self._patches
        begun = _ramp(at[..., None], np.maximum(start, here), 4)
        ended = _ramp(at[..., None], np.maximum(end, here), 4)
        twice -= (begun - ended) @ each / 24
        turn = self._moves[frame.turns[number, 1]]
        by_shear = (self.moment_n_mm(at) - moment) / beam.ga_n
        return np.asarray(self._moves[number] + turn * s + twice / beam.ei_n_mm2 - by_shear)

    @cached_property
    def turning_places_mm(self) -> Floats:
        """Places where the bending moment may be greatest: points, ends of patches, no shear."""
        loads = self.loads
        marks = {*self.beam.supports_mm, *(place for place, _ in loads.points)}
        marks |= {edge for start, end, _ in loads.patches for edge in (start, end)}
        marks |= {self.beam.start_mm, self.beam.end_mm}
        places = np.array(sorted(marks))
        here, there = self.shear_n(places[:-1]), self.shear_n(places[1:], left=True)
        through = here * there < 0
        a, b = places[:-1][through], places[1:][through]
        share = here[through] / (here[through] - there[through])
        return np.concatenate([places, a + share * (b - a)])

    @property
    def greatest_moment_n_mm(self) -> float:
        """Greatest bending moment, without its sign [N mm]; exact."""
        return float(np.abs(self.moment_n_mm(self.turning_places_mm)).max())

    @property
    def greatest_shear_n(self) -> float:
        """Greatest shear, without its sign [N]; exact."""
        places = self.turning_places_mm
        both = np.concatenate([self.shear_n(places), self.shear_n(places, left=True)])
        return float(np.abs(both).max())


def _ramp(at: Floats, mark: Floats, power: int) -> Floats:
    return np.asarray(np.maximum(at - mark, 0.0) ** power)


def held(beam: Beam, loads: Loads, heights_mm: ArrayLike) -> Line:
    """Find the line of a beam that its supports hold both ways.

    Parameters
    ----------
    beam : Beam
    loads : Loads
    heights_mm : array_like of shape (supports,)
        Heights of the supports [mm].

    Returns
    -------
    Line
        With reactions that pull where they are negative.

    Raises
    ------
    Refusal
        Where a load lies beyond the beam.
    """
    frame = beam.frame
    heights = frame.heights(heights_mm)
    pressed = frame.condensed(frame.forces(loads))
    return Line(beam, loads, frame.stiffness @ heights - pressed, heights)
