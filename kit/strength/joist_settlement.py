"""How far the rows of stacks settle with the joists, and the front lift that answers it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from kit.base.checks import CLOSED_MM
from kit.job import refuse

#: The greatest front lift that is taken from a settlement [mm]: beyond it the floor is the trouble
#: (common practice, no source).
LIFT_MOST_MM = 10.0


@dataclass(frozen=True)
class StackSag:
    """How far one stack settles with the joists under it.

    Parameters
    ----------
    support, row : str
        Its name, and the label of its row.
    inst_mm, final_mm : float
        At once under all loads in full, and in the end with creep, down positive [mm]; nan where
        a joist that carries it is not computed.
    """

    support: str
    row: str
    inst_mm: float
    final_mm: float


@dataclass(frozen=True)
class RowSag:
    """How far the stacks of one row settle: all rows of that label, of all runs.

    Parameters
    ----------
    row : str
        Its label.
    inst_mm, final_mm : tuple of float
        Mean, least and greatest of its stacks [mm]; nan where one of them is not known, or where
        the row has no stack.
    """

    row: str
    inst_mm: tuple[float, float, float]
    final_mm: tuple[float, float, float]

    @property
    def mean_inst_mm(self) -> float:
        """Mean, at once [mm]."""
        return self.inst_mm[0]

    @property
    def mean_final_mm(self) -> float:
        """Mean, in the end [mm]."""
        return self.final_mm[0]

    @property
    def differs_mm(self) -> float:
        """Greatest less least, at once [mm]."""
        return self.inst_mm[2] - self.inst_mm[1]

    @property
    def differs_final_mm(self) -> float:
        """Greatest less least, in the end [mm]."""
        return self.final_mm[2] - self.final_mm[1]


@dataclass(frozen=True)
class Settlement:
    """How far back and front row settle under what the furniture adds, at full contents."""

    back: RowSag
    front: RowSag

    @property
    def known(self) -> bool:
        """Whether both rows are known in full."""
        return not math.isnan(self.front_drop_mm)

    @property
    def front_drop_mm(self) -> float:
        """Front row's mean less back row's, at once [mm]; negative where the back settles more."""
        return self.front.mean_inst_mm - self.back.mean_inst_mm

    @property
    def front_drop_final_mm(self) -> float:
        """Front row's mean less back row's, in the end [mm]."""
        return self.front.mean_final_mm - self.back.mean_final_mm

    def front_lift_mm(self) -> float:
        """Return the front lift that answers the settlement: max(0, front - back), at once [mm].

        One lift turns the whole base about its back row: what stacks of one row settle unlike each
        other it leaves. It cannot press the front down, so that it is 0 where the back settles
        more, as with joists along the wall or borne near the front row it may.

        Raises
        ------
        Refusal
            Where a row is not known, or where the front would drop by more than `LIFT_MOST_MM`.
        """
        allowed = "a number of millimetres"
        if not self.known:
            found = '"settlement", and a row stands on joists that are not computed'
            raise refuse("base.front_lift_mm", found, allowed)
        if self.front_drop_mm > LIFT_MOST_MM + CLOSED_MM:
            found = f'"settlement", which is {self.front_drop_mm:.1f} mm'
            allowed = f"at most {LIFT_MOST_MM:g} mm: have the floor looked at first"
            raise refuse("base.front_lift_mm", found, allowed)
        return max(0.0, self.front_drop_mm)

    @property
    def said(self) -> str:
        """What the settlement comes to, and what a front lift does about it, in a sentence."""
        if not self.known:
            return "settlement not known: a row stands on joists that are not computed"
        rows = (
            f"at full contents the front row settles {self.front.mean_inst_mm:.2f} mm and the back"
            f" row {self.back.mean_inst_mm:.2f} mm (mean, at once)"
        )
        if self.front_drop_mm <= CLOSED_MM:
            return f"{rows}: the front does not drop, and a front lift of 0 answers it"
        return (
            f"{rows}: a front lift of {self.front_drop_mm:.2f} mm answers the difference; one lift"
            f" leaves the {self.front.differs_mm:.2f} mm by which stacks of the front row differ"
        )


def settlement_of(stacks: Sequence[StackSag]) -> Settlement:
    """Return the settlement of back and front row.

    Parameters
    ----------
    stacks : sequence of StackSag
        All stacks, of any rows.

    Returns
    -------
    Settlement
    """
    return Settlement(_row("B", stacks), _row("F", stacks))


def _row(label: str, stacks: Iterable[StackSag]) -> RowSag:
    of_row = [stack for stack in stacks if stack.row == label]
    return RowSag(
        label,
        _mean_least_greatest([stack.inst_mm for stack in of_row]),
        _mean_least_greatest([stack.final_mm for stack in of_row]),
    )


def _mean_least_greatest(values: Sequence[float]) -> tuple[float, float, float]:
    if not values or any(math.isnan(value) for value in values):
        return math.nan, math.nan, math.nan
    return math.fsum(values) / len(values), min(values), max(values)
