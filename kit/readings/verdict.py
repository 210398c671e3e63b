"""Whether an instrument with a known own error will do for a piece of work."""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import Literal

from kit.job.refusal import refuse
from kit.readings.doubt import TWO_SIDED_95

Action = Literal["use", "correct", "service", "test again"]


@dataclass(frozen=True)
class Use:
    """What an instrument is wanted for.

    Parameters
    ----------
    longest_m : float
        Longest distance over which its error tells: of a spirit level or a laser the longest
        line, of a level the largest difference of two sights [m].
    allowed_mm : float
        What it may be off over that distance [mm].
    """

    longest_m: float
    allowed_mm: float

    def __post_init__(self) -> None:
        for what, value in (("longest_m", self.longest_m), ("allowed_mm", self.allowed_mm)):
            if not (math.isfinite(value) and value > 0):
                raise refuse(f"use of the instrument, {what}", f"{value:g}", "above 0")


@dataclass(frozen=True)
class Verdict:
    """One of four: what to do, and the sentence that says so."""

    action: Action
    sentence: str


@dataclass(frozen=True)
class OwnErrorFound(ABC):
    """The own error of an instrument, as a test found it.

    Parameters
    ----------
    error_mm_per_m : float
        A reading is too large by this for every metre [mm/m].
    sd_mm_per_m : float
        Its standard deviation [mm/m].
    service_mm_per_m : float
        Above this it is no matter of sums any more [mm/m] (common practice, no source).
    """

    error_mm_per_m: float
    sd_mm_per_m: float
    service_mm_per_m: float

    @abstractmethod
    def shift(self, by: str) -> str:
        """Return which way to shift a reading that is off by so much a metre."""

    def over(self, distance_m: float) -> float:
        """Return the error of a reading over a distance [mm]."""
        return self.error_mm_per_m * distance_m

    @property
    def doubt_mm_per_m(self) -> float:
        """What 19 in 20 such tests are off by at most [mm/m]: 1.96 sd."""
        return TWO_SIDED_95 * self.sd_mm_per_m

    def verdict(self, use: Use) -> Verdict:
        """Return what to do with the instrument.

        Parameters
        ----------
        use : Use
            What it is wanted for: distance L, allowed error a.

        Returns
        -------
        Verdict
            With e the error and t = 1.96 sd: use it where (e + t)·L <= a; have it serviced
            where e - t is above the limit for that; else test again where t·L > a; else have it
            serviced where e is above that limit, and correct by e where it is not.

        Notes
        -----
        Common practice, no source.
        """
        size, doubt = abs(self.error_mm_per_m), self.doubt_mm_per_m
        if (size + doubt) * use.longest_m <= use.allowed_mm:
            return Verdict("use", f"use it: {self._off(use)}")
        if size - doubt > self.service_mm_per_m:
            return Verdict("service", self._service())
        if doubt * use.longest_m > use.allowed_mm:
            return Verdict("test again", self._again(use))
        if size > self.service_mm_per_m:
            return Verdict("service", self._service())
        return Verdict("correct", self._correct(use))

    def _off(self, use: Use) -> str:
        return (
            f"over {use.longest_m:g} m it is {self.over(use.longest_m) + 0.0:+.2f}"
            f" ± {self.doubt_mm_per_m * use.longest_m:.2f} mm off, {use.allowed_mm:g} mm are"
            " allowed."
        )

    def _correct(self, use: Use) -> str:
        by = f"{abs(self.error_mm_per_m):.3f} mm"
        return f"correct by {by} a metre: {self.shift(by)}. Uncorrected, {self._off(use)}"

    def _service(self) -> str:
        return (
            f"have it serviced: its own error of {abs(self.error_mm_per_m):.3f} mm a metre is"
            f" above {self.service_mm_per_m:g} (common practice, no source)."
        )

    def _again(self, use: Use) -> str:
        doubt = self.doubt_mm_per_m * use.longest_m
        return (
            "test again: the readings scatter too much to tell. Over"
            f" {use.longest_m:g} m the error is known to ± {doubt:.2f} mm, {use.allowed_mm:g} mm"
            " are allowed; a longer line or more readings tell more."
        )
