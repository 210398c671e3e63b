"""The same two bases on many floors that all fit the readings: how often one is the better."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.answer import solve_on
from kit.base.runs import Floats
from kit.ground import SEED
from kit.job import Base, Job, Refusal
from kit.methods import Lie, method_of
from kit.methods.drawn import DrawnFloors, draw_floors
from kit.parts import Answer
from kit.side_by_side.measure import ROUND_OFF
from kit.side_by_side.measures import drawn_measures, wish_of
from kit.threads import one_thread

#: Floors drawn unless another number is asked for: a share is then good to 0.07, two standard
#: errors.
FLOORS = 200


@dataclass(frozen=True, eq=False)
class Drawn:
    """What one base comes to on every drawn floor.

    Parameters
    ----------
    built : array of shape (floors,)
        Whether it can be built there at all.
    values : mapping of str to array of shape (floors,)
        By the key of a measure; nan where it cannot be built.
    packers : int
        How many it takes on the expected floor with as many as wanted.
    """

    built: NDArray[np.bool_]
    values: Mapping[str, Floats]
    packers: int = 0


@dataclass(frozen=True, eq=False)
class Doubt:
    """Two bases on the same drawn floors.

    Parameters
    ----------
    floors : int
        How many.
    a, b : Drawn
        What each comes to there.
    """

    floors: int
    a: Drawn
    b: Drawn

    def odds(self, key: str) -> Odds:
        """Return in which share of floors one base has less of a measure than the other.

        Only floors on which both can be built count.
        """
        if key not in self.a.values or key not in self.b.values:
            return NOT_DRAWN
        both = self.a.built & self.b.built
        one, other = self.a.values[key][both], self.b.values[key][both]
        known = ~(np.isnan(one) | np.isnan(other))
        count = int(known.sum())
        if not count:
            return Odds(0, 0.0, 0.0, of=self.floors)
        difference = (other - one)[known]
        return Odds(
            count,
            float((difference > ROUND_OFF).mean()),
            float((difference < -ROUND_OFF).mean()),
            tuple(_quantile(difference, *shares) for shares in _BAND),
            of=self.floors,
        )


#: Shares of floors below the three differences that are told, and above them.
_BAND = ((0.025, 0.975), (0.5, 0.5), (0.975, 0.025))


def _quantile(difference: Floats, lower: float, upper: float) -> float:
    """Return the quantile from below and from above, so that it is the same both ways round."""
    below, above = np.quantile(difference, lower), np.quantile(-difference, upper)
    return float((below - above) / 2)


@dataclass(frozen=True)
class Odds:
    """How often one base has less of a measure than the other.

    Parameters
    ----------
    floors : int
        On how many drawn floors both could be compared.
    a_less, b_less : float
        Share of them on which a, or b, has less (0 to 1); on the rest they are alike.
    difference : tuple of float
        b less a: 2.5 %, 50 % and 97.5 % of the floors lie below.
    of : int
        How many floors were drawn; 0 where the measure is known on the expected floor only.
    """

    floors: int
    a_less: float
    b_less: float
    difference: tuple[float, ...] = ()
    of: int = 0

    @property
    def drawn(self) -> bool:
        """Whether the measure was worked out on drawn floors, whatever came of it."""
        return self.of > 0


#: Of a measure that is known on the expected floor only.
NOT_DRAWN = Odds(0, 0.0, 0.0)


@one_thread
def draw(a: Answer, b: Answer, floors: int = FLOORS, seed: int = SEED) -> Doubt:
    """Work out two bases on floors that fit the readings, the same floors for both.

    Parameters
    ----------
    a, b : Answer
        Over one survey.
    floors : int
        How many floors.
    seed : int
        The same seed gives the same floors.

    Returns
    -------
    Doubt

    Notes
    -----
    On each floor the level is chosen anew, with everything that follows from it, as if there were
    as many packers and feet as wanted: what is short can be bought. Screws are counted as the base
    so stocked takes them on the floor that is expected; what carries it is not worked out again.
    """
    drawn = draw_floors((a, b), floors, seed)
    return Doubt(floors, *(_on_floors(well_supplied(answer), drawn) for answer in (a, b)))


def well_supplied(answer: Answer) -> Answer:
    """Return an answer as it would be with as many packers and feet as wanted."""
    job, base = well_stocked(answer.job, answer.base)
    if (job.stock, base) == (answer.job.stock, answer.base):
        return answer
    return solve_on(job, answer.survey, base, before=answer)


def _on_floors(answer: Answer, drawn: DrawnFloors) -> Drawn:
    """Set the level of a base on every floor, and count what it takes there."""
    values = [_on_floor(answer, lie) for lie in drawn.lies(answer.ground)]
    keys = dict.fromkeys(key for one in values for key in one)
    return Drawn(
        np.array([bool(one) for one in values]),
        {key: np.array([one.get(key, math.nan) for one in values]) for key in keys},
        answer.pieces,
    )


def well_stocked(job: Job, base: Base) -> tuple[Job, Base]:
    """Return a job and a base with as many packers and feet as wanted, of the kinds there are."""
    packers = tuple(
        one.model_copy(update={"count": None}) if one.count else one for one in job.stock.packers
    )
    feet = tuple(one.model_copy(update={"count": None}) if one.count else one for one in base.feet)
    stock = job.stock.model_copy(update={"packers": packers})
    return job.model_copy(update={"stock": stock}), base.model_copy(update={"feet": feet})


def _on_floor(answer: Answer, lie: Lie) -> dict[str, float]:
    """Return what a base comes to on one floor, by measure; empty where it cannot be built."""
    job, base, ground = answer.job, answer.base, answer.ground
    method = method_of(base)
    try:
        datum = method.set_level(job, base, ground, lie)
        bill = method.bill(job, base, ground, lie, datum, answer.screws)
    except Refusal:
        return {}
    drawn = drawn_measures(datum, bill, job.rates, wish_of(base))
    return {measure.key: measure.value for measure in drawn}
