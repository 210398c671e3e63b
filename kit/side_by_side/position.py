"""One thing that can be turned on a job, and the job with it turned so far."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from kit.job import Base, Job
from kit.parts import Survey

#: How far a setting is turned unless asked otherwise: up to so many times what it is now
#: (common practice, no source).
TIMES = 4.0


@dataclass(frozen=True)
class Position:
    """A setting turned so far.

    Parameters
    ----------
    jobs : tuple of Job
        Of both bases, with that figure in them.
    survey : Survey
        The floor with it.
    bases : tuple of Base
        Both bases with it.
    """

    jobs: tuple[Job, Job]
    survey: Survey
    bases: tuple[Base, Base]


@dataclass(frozen=True, eq=False)
class Setting:
    """One thing that can be turned.

    Parameters
    ----------
    key : str
        ``"fall"``, ``"load"``, ``"span"``, or ``"price …"`` of an item.
    words, unit : str
        What it is, and its unit.
    now : float
        Where it stands in the job.
    low, high : float
        How far it is turned, ``low`` <= ``now`` <= ``high``.
    criteria : tuple of str
        Keys of the measures that it can decide.
    at : callable
        Takes a value and gives the position.
    """

    key: str
    words: str
    unit: str
    now: float
    low: float
    high: float
    criteria: tuple[str, ...]
    at: Callable[[float], Position]
