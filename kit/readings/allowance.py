"""How far a line of levels may miss its known height, and what is done with what it misses."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import pandas as pd

from kit.job.refusal import refuse
from kit.readings.doubt import TWO_SIDED_95


@dataclass(frozen=True)
class Allowance:
    """A rule for the largest misclosure that is distributed: a·sqrt(count) mm.

    Parameters
    ----------
    work : str
        What it is for.
    mm : float
        a, what one set-up or one kilometre is allowed [mm].
    per : {"set-up", "km"}
        What is counted.
    source : str
        Where it comes from.
    """

    work: str
    mm: float
    per: Literal["set-up", "km"]
    source: str = "from memory"

    @property
    def formula(self) -> str:
        """The rule in signs."""
        counted = "√n mm, n set-ups" if self.per == "set-up" else "√K mm, K km levelled"
        return f"{self.mm:g}·{counted}"

    def allowed_mm(self, setups: int, length_km: float) -> float:
        """Return the allowed misclosure [mm]: a·sqrt(n) or a·sqrt(K); nan without a length."""
        return self.mm * math.sqrt(setups if self.per == "set-up" else length_km)


CONSTRUCTION = Allowance("set-ups on a construction site", 5.0, "set-up")
ORDINARY = Allowance("ordinary levelling, third order", 12.0, "km")
ROUGH = Allowance("rough levelling", 24.0, "km")

#: Rules that are shown beside the one that decides.
RULES = (CONSTRUCTION, ORDINARY, ROUGH)


@dataclass(frozen=True)
class Closure:
    """What a line of levels found where the height is known.

    Parameters
    ----------
    found_mm, known_mm : float
        Height of the last point as found and as known [mm]; nan where it is not known.
    setups : int
        How many set-ups the line has.
    sd_mm : float
        Standard deviation of one reading [mm].
    allowance : Allowance
        The rule that decides.
    length_km : float
        Length of the line [km]; nan if not given.
    """

    found_mm: float
    known_mm: float
    setups: int
    sd_mm: float
    allowance: Allowance = CONSTRUCTION
    length_km: float = float("nan")

    def __post_init__(self) -> None:
        if self.allowance.per == "km" and not self.length_km > 0:
            found = f"{self.length_km:g}"
            raise refuse("length_km", found, f"above 0, for {self.allowance.formula}")

    @property
    def checked(self) -> bool:
        """Whether the line ends on a known height."""
        return math.isfinite(self.known_mm)

    @property
    def misclosure_mm(self) -> float:
        """Found less known [mm]; nan where it is not known."""
        return self.found_mm - self.known_mm

    @property
    def allowed_mm(self) -> float:
        """What the rule allows [mm]."""
        return self.allowance.allowed_mm(self.setups, self.length_km)

    @property
    def expected_mm(self) -> float:
        """What 19 in 20 lines stay within if the readings are as good as stated [mm].

        1.96·sd·sqrt(2 n), Eq. (1): n set-ups with two readings each (Ghilani, Adjustment
        Computations, ch. 9, from memory).
        """
        return TWO_SIDED_95 * self.sd_mm * math.sqrt(2 * self.setups)  # Eq. (1)

    @property
    def within(self) -> bool:
        """Whether there is a misclosure and it is allowed; a picometre does not decide."""
        return self.checked and abs(self.misclosure_mm) <= self.allowed_mm + 1e-9

    @property
    def per_setup_mm(self) -> float:
        """Correction that each set-up adds [mm]: -misclosure/n where it is allowed, else 0."""
        return -self.misclosure_mm / self.setups + 0.0 if self.within else 0.0

    @property
    def limits(self) -> pd.DataFrame:
        """Every rule that can be applied: ``work, formula, allowed_mm, within, decides, source``.

        The last is what the sd of a reading makes likely.
        """
        here = (self.allowance, *(rule for rule in RULES if rule != self.allowance))
        rows = [
            (rule.work, rule.formula, rule.allowed_mm(self.setups, self.length_km), rule.source)
            for rule in here
            if rule.per == "set-up" or self.length_km > 0
        ]
        likely = f"1.96·{self.sd_mm:g}·√(2n) mm, n set-ups"
        rows.append(("19 in 20 lines of such readings", likely, self.expected_mm, "from memory"))
        frame = pd.DataFrame(rows, columns=["work", "formula", "allowed_mm", "source"])
        frame.insert(3, "within", frame["allowed_mm"] + 1e-9 >= abs(self.misclosure_mm))
        frame.insert(4, "decides", [i == 0 for i in range(len(frame))])
        return frame

    @property
    def verdict(self) -> str:
        """What came out and what follows from it, in one sentence."""
        if not self.checked:
            return (
                "The misclosure is not checked: the sheet ends on no known height, so a slip in a"
                " change point stays unseen."
            )
        said = (
            f"Misclosure {self.misclosure_mm:+.1f} mm, allowed {self.allowed_mm:.1f} mm"
            f" ({self.allowance.formula}; {self.allowance.work}, {self.allowance.source})"
        )
        if not self.within:
            return (
                f"{said}: beyond the allowance. Find the slip, or level again; nothing is"
                " distributed, the heights stay as they were read."
            )
        return f"{said}: within the allowance; each set-up takes {self.per_setup_mm:+.2f} mm."
