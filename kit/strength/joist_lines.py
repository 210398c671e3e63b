"""All joists at once: how alike beams bend under point loads at given places.

`kit.strength.beam` finds what one newton at each place brings to the bearings; sag, moment and
shear of every joist are then sums over its loads. This gives what `kit.strength.line.held` gives
joist by joist, in a fraction of the time.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

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
    """What point loads at given places, and an even load, do to a beam.

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
        first, last = beam.supports_mm[0], beam.supports_mm[-1]
        each = [Loads(points=((float(place), 1.0),)) for place in places_mm]
        each.append(Loads(patches=((first, last, 1.0),)))
        forces = np.column_stack([frame.forces(loads) for loads in each])
        #: Of one newton at each place, and last of 1 N/mm all along: shape (supports, places + 1).
        self.reactions = -frame.condensed(forces)
        self.marks_mm = np.unique(np.concatenate([self.bearings_mm, places_mm]))
        self._moment = self._moments(self.marks_mm)
        self._shear = self._shears(self.marks_mm)

    def _moments(self, at_mm: Floats) -> Floats:
        """Bending moments, shape (at, places + 1)."""
        down = _ramp(at_mm, self.places_mm, 1)
        even = _ramp(at_mm, self.bearings_mm[:1], 2) / 2
        return _ramp(at_mm, self.bearings_mm, 1) @ self.reactions - np.hstack([down, even])

    def _shears(self, at_mm: Floats) -> Floats:
        """Shear just right of each place, shape (at, places + 1)."""
        down = at_mm[:, None] >= self.places_mm
        even = _ramp(at_mm, self.bearings_mm[:1], 1)
        return (at_mm[:, None] >= self.bearings_mm) @ self.reactions - np.hstack([down, even])

    def _bent(self, at_mm: Floats, power: int) -> Floats:
        """EI times the bent line (power 3) or its slope (power 2), before it is turned in."""
        factor = 6.0 if power == 3 else 2.0
        up = _ramp(at_mm, self.bearings_mm, power) @ self.reactions[:, :-1]
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
        return np.asarray(self._moments(at_mm)[:, :-1] / self.beam.ga_n - bent)  # Eq. (1)

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
        moment = forces_n @ self._moment[:-1, :-1].T
        shear = forces_n @ self._shear[:-1, :-1].T
        slope = forces_n @ (self._bent(marks, 2) + self._turn).T - shear * ei / self.beam.ga_n
        steps = [np.zeros_like(low), *_flat_places(shear / 2, moment, slope, lengths)]
        sags = np.stack(
            [low - (slope * s + moment * s**2 / 2 + shear * s**3 / 6) / ei for s in steps]
        )
        places = np.stack([marks + s for s in steps])
        number = np.searchsorted(self.bearings_mm, marks, side="right") - 1
        spans = np.broadcast_to(np.diff(self.bearings_mm)[number], sags.shape)
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

    def greatest(self, forces_n: Floats, each_n_per_mm: float) -> tuple[Floats, Floats]:
        """Find the greatest moment and shear of joists; exact.

        Parameters
        ----------
        forces_n : array of shape (joists, places)
            Downwards [N].
        each_n_per_mm : float
            Even load all along each joist, 0 or more [N/mm].

        Returns
        -------
        moment_n_mm, shear_n : arrays of shape (joists,)
            Without their signs [N mm, N].
        """
        loads = np.hstack([forces_n, np.full((len(forces_n), 1), each_n_per_mm)])
        moment, shear = loads @ self._moment.T, loads @ self._shear.T
        left = shear[:, :-1]
        right = left - each_n_per_mm * np.diff(self.marks_mm)
        greatest = np.abs(moment).max(axis=1)
        if each_n_per_mm > 0:
            # Where the shear passes through zero between two marks.
            inner = moment[:, :-1] + left**2 / (2 * each_n_per_mm)
            inner = np.where((left > 0) & (right < 0), np.abs(inner), 0.0)
            greatest = np.maximum(greatest, inner.max(axis=1))
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
