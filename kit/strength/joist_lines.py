"""All joists at once: how alike beams bend under point loads at given places.

`kit.strength.beam` finds what one newton at each place brings to the bearings; sag, moment and
shear of every joist are then sums over its loads. This gives what `kit.strength.line.held` gives
joist by joist, in a fraction of the time.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from kit.strength.beam import Beam, Floats, Loads


@dataclass(frozen=True)
class Deepest:
    """Where a joist sags most.

    Parameters
    ----------
    sag_mm, at_mm : float
        Its greatest sag, down positive, and the place of that along it [mm].
    span_sag_mm, span_mm : float
        The sag or rise that is greatest as a share of the span that it lies in, without its sign;
        that span [mm].
    """

    sag_mm: float
    at_mm: float
    span_sag_mm: float
    span_mm: float


#: Of a joist that is not computed.
NOWHERE = Deepest(math.nan, math.nan, math.nan, math.nan)


class JoistLines:
    """What point loads at given places, and an even load on each span, do to a beam.

    Parameters
    ----------
    beam : Beam
        It starts at its first support and ends at its last; no hinges.
    places_mm : array of shape (places,)
        Where loads may press, ascending [mm].
    """

    def __init__(self, beam: Beam, places_mm: Floats) -> None:
        self.beam, self.places_mm = beam, places_mm
        self.bearings_mm = np.array(beam.supports_mm)
        frame = beam.frame
        each = [Loads(points=((float(place), 1.0),)) for place in places_mm]
        each += [Loads(patches=((*span, 1.0),)) for span in pairwise(beam.supports_mm)]
        forces = np.column_stack([frame.forces(loads) for loads in each])
        #: Of one newton at each place, then of 1 N/mm on each span: shape (supports, places +
        #: spans).
        self.reactions = -frame.condensed(forces)
        self.marks_mm = np.unique(np.concatenate([self.bearings_mm, places_mm]))
        #: In which span each mark but the last begins a part.
        self._span = np.searchsorted(self.bearings_mm, self.marks_mm[:-1], side="right") - 1
        self._moment = self._moments(self.marks_mm)
        self._shear = self._shears(self.marks_mm)

    def _moments(self, at_mm: Floats) -> Floats:
        """Bending moments, shape (at, places + spans)."""
        down = _ramp(at_mm, self.places_mm, 1)
        even = -np.diff(_ramp(at_mm, self.bearings_mm, 2)) / 2
        return _ramp(at_mm, self.bearings_mm, 1) @ self.reactions - np.hstack([down, even])

    def _shears(self, at_mm: Floats) -> Floats:
        """Shear just right of each place, shape (at, places + spans)."""
        down = at_mm[:, None] >= self.places_mm
        even = -np.diff(_ramp(at_mm, self.bearings_mm, 1))
        return (at_mm[:, None] >= self.bearings_mm) @ self.reactions - np.hstack([down, even])

    def _bent(self, at_mm: Floats, power: int) -> Floats:
        """EI times the bent line (power 3) or its slope (power 2), before it is turned in."""
        factor = 6.0 if power == 3 else 2.0
        up = _ramp(at_mm, self.bearings_mm, power) @ self.reactions[:, : len(self.places_mm)]
        return np.asarray((up - _ramp(at_mm, self.places_mm, power)) / factor)

    @property
    def _turn(self) -> Floats:
        """EI times the slope at the first support that lays the line on the last one."""
        last = self.bearings_mm[-1:]
        return np.asarray(-self._bent(last, 3)[0] / (last[0] - self.bearings_mm[0]))

    def sag_mm(self, at_mm: Floats) -> Floats:
        """Return the sag under one newton at each place, down positive [mm/N].

        Parameters
        ----------
        at_mm : array of shape (at,)
            Along the joist, between its outer bearings [mm].

        Returns
        -------
        array of shape (at, places)

        Notes
        -----
        Eq. (1): EI w'' = M, w' = turn - V/GA (Timoshenko), with w = 0 on the outer bearings; on
        the inner ones by the reactions.
        """
        turned = (at_mm - self.bearings_mm[0])[:, None] * self._turn
        bent = (self._bent(at_mm, 3) + turned) / self.beam.ei_n_mm2
        moments = self._moments(at_mm)[:, : len(self.places_mm)]
        return np.asarray(moments / self.beam.ga_n - bent)  # Eq. (1)

    def deepest(self, forces_n: Floats) -> list[Deepest]:
        """Find where joists sag most under point loads; exact.

        Parameters
        ----------
        forces_n : array of shape (joists, places)
            Downwards [N].

        Returns
        -------
        list of Deepest
            One a joist.

        Notes
        -----
        Between neighbouring marks the line is a cubic, w = w0 + c s + (M s²/2 + V s³/6)/EI: it
        is flat at roots of a quadratic; with shear it may also have its lowest place at a kink.
        """
        marks, ei = self.marks_mm[:-1], self.beam.ei_n_mm2
        lengths = np.diff(self.marks_mm)
        low = forces_n @ self.sag_mm(marks).T
        moment = forces_n @ self._moment[:-1, : len(self.places_mm)].T
        shear = forces_n @ self._shear[:-1, : len(self.places_mm)].T
        slope = forces_n @ (self._bent(marks, 2) + self._turn).T - shear * ei / self.beam.ga_n
        steps = [np.zeros_like(low), *_flat_places(shear / 2, moment, slope, lengths)]
        sags = np.stack(
            [low - (slope * s + moment * s**2 / 2 + shear * s**3 / 6) / ei for s in steps]
        )
        places = np.stack([marks + s for s in steps])
        spans = np.broadcast_to(np.diff(self.bearings_mm)[self._span], sags.shape)
        joists = np.arange(len(forces_n))
        sags, places, spans = (_joist_first(each) for each in (sags, places, spans))
        most, share = sags.argmax(axis=1), (np.abs(sags) / spans).argmax(axis=1)
        figures = np.column_stack(
            [
                sags[joists, most],
                places[joists, most],
                np.abs(sags[joists, share]),
                spans[joists, share],
            ]
        )
        return [Deepest(*each) for each in figures.tolist()]

    def greatest(self, forces_n: Floats, each_n_per_mm: ArrayLike) -> tuple[Floats, Floats]:
        """Find the greatest moment and shear of joists; exact.

        Parameters
        ----------
        forces_n : array of shape (joists, places)
            Downwards [N].
        each_n_per_mm : array_like of shape () or (spans,)
            Even load on every joist, all along it or span by span, 0 or more [N/mm].

        Returns
        -------
        moment_n_mm, shear_n : arrays of shape (joists,)
            Without their signs [N mm, N].
        """
        each = np.broadcast_to(np.asarray(each_n_per_mm, float), len(self.bearings_mm) - 1)
        loads = np.hstack([forces_n, np.tile(each, (len(forces_n), 1))])
        moment, shear = loads @ self._moment.T, loads @ self._shear.T
        here, left = each[self._span], shear[:, :-1]
        right = left - here * np.diff(self.marks_mm)
        # Where the shear passes through zero between two marks, which it can under a load only.
        rise = left**2 / (2 * np.where(here > 0, here, 1.0))
        passes = (here > 0) & (left > 0) & (right < 0)
        inner = np.where(passes, np.abs(moment[:, :-1] + rise), 0.0)
        greatest = np.maximum(np.abs(moment).max(axis=1), inner.max(axis=1))
        return greatest, np.maximum(np.abs(left), np.abs(right)).max(axis=1)


def _ramp(at: Floats, marks: Floats, power: int) -> Floats:
    return np.asarray(np.maximum(at[:, None] - marks, 0.0) ** power)


def _joist_first(values: Floats) -> Floats:
    """Turn (steps, joists, marks) into (joists, steps times marks)."""
    return np.moveaxis(values, 1, 0).reshape(values.shape[1], -1)


def _flat_places(a: Floats, b: Floats, c: Floats, lengths: Floats) -> tuple[Floats, Floats]:
    """Return the roots of a s² + b s + c within 0 to the length; 0 where there is none.

    The root of the greater size is found first, the other from their product, so that neither
    is a difference of two equal numbers.
    """
    inside = np.maximum(b**2 - 4 * a * c, 0.0)
    q = -(b + np.copysign(np.sqrt(inside), b)) / 2
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        roots = q / a, c / q
    real = b**2 >= 4 * a * c
    return tuple(  # type: ignore[return-value]
        np.where(real & (root > 0) & (root < lengths), root, 0.0) for root in roots
    )
