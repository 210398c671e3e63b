"""How far the rows of stacks settle with the joists, run by run, and the lift that answers it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from kit.base.checks import CLOSED_MM
from kit.job import refuse

#: The greatest front lift that is taken from a settlement [mm]: beyond it the floor is the trouble
#: (common practice, no source).
LIFT_MOST_MM = 10.0

#: How far apart the lifts that runs want may be for one lift to answer them all [mm] (common
#: practice, no source).
LIFTS_APART_MM = 0.5

_WHERE = "base.front_lift_mm"
_NUMBER = "a number of millimetres"


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
    run : str
        Name of its run; where there is one run it needs none.
    """

    support: str
    row: str
    inst_mm: float
    final_mm: float
    run: str = ""


@dataclass(frozen=True)
class RowSag:
    """How far the stacks of one row of one run settle.

    Parameters
    ----------
    row : str
        Its label.
    inst_mm, final_mm : tuple of float
        Mean, least and greatest of its stacks [mm]; nan where one of them is not known, or where
        the row has no stack.
    unknown : tuple of str
        Its stacks that stand on joists that are not computed.
    """

    row: str
    inst_mm: tuple[float, float, float]
    final_mm: tuple[float, float, float]
    unknown: tuple[str, ...] = ()

    @property
    def known(self) -> bool:
        """Whether it has stacks, and all of them are known."""
        return not math.isnan(self.mean_inst_mm)

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

    @property
    def why_unknown(self) -> str:
        """Why nothing is known of it; empty where it is known."""
        if self.known:
            return ""
        if not self.unknown:
            return "it has no stack"
        stand = "stands" if len(self.unknown) == 1 else "stand"
        return f"{', '.join(self.unknown)} {stand} on joists that are not computed"


@dataclass(frozen=True)
class Settlement:
    """How far back and front row of one run settle under what the furniture adds, when full.

    Parameters
    ----------
    run : str
        Its name.
    back, front : RowSag
        The rows between and beside them do not matter here.
    """

    run: str
    back: RowSag
    front: RowSag

    @property
    def known(self) -> bool:
        """Whether both rows are known in full."""
        return self.back.known and self.front.known

    @property
    def why_unknown(self) -> str:
        """Which row is not known and why; empty where both are."""
        rows = (("back row", self.back), ("front row", self.front))
        return "; ".join(f"{name}: {row.why_unknown}" for name, row in rows if not row.known)

    @property
    def front_drop_mm(self) -> float:
        """Front row's mean less back row's, at once [mm]; negative where the back settles more."""
        return self.front.mean_inst_mm - self.back.mean_inst_mm

    @property
    def front_drop_final_mm(self) -> float:
        """Front row's mean less back row's, in the end [mm]."""
        return self.front.mean_final_mm - self.back.mean_final_mm

    @property
    def lift_mm(self) -> float:
        """The front lift that answers it at once [mm]: 0 where the back row settles more.

        It cannot press the front down, as joists along the wall or borne near the front row may
        ask; what stacks of one row settle unlike each other it leaves.
        """
        return max(0.0, self.front_drop_mm)

    def said_in(self, length: Callable[[float], str]) -> str:
        """Say what it comes to, and what a front lift does about it.

        Parameters
        ----------
        length : callable
            Writes a small length, given in millimetres, with its unit.
        """
        if not self.known:
            return f"settlement not known: {self.why_unknown}"
        drop = self.front_drop_mm
        rows = (
            f"at full contents the front row settles {length(self.front.mean_inst_mm)} and the back"
            f" row {length(self.back.mean_inst_mm)} (mean, at once, furniture alone)"
        )
        if abs(drop) <= CLOSED_MM:
            return f"{rows}: both go down alike, and a front lift of 0 answers it"
        if drop < 0:
            return f"{rows}: the back goes down {length(-drop)} more, which asks for no front lift"
        return (
            f"{rows}: a front lift of {length(drop)} answers the difference; one lift leaves the"
            f" {length(self.front.differs_mm)} by which supports of the front row differ"
        )


def settlements_of(stacks: Sequence[StackSag]) -> tuple[Settlement, ...]:
    """Return the settlement of back and front row of each run.

    Parameters
    ----------
    stacks : sequence of StackSag
        All stacks, of any rows and runs.

    Returns
    -------
    tuple of Settlement
        In the order in which the runs come in ``stacks``.
    """
    runs: dict[str, list[StackSag]] = {}
    for stack in stacks:
        runs.setdefault(stack.run, []).append(stack)
    return tuple(Settlement(run, _row("B", own), _row("F", own)) for run, own in runs.items())


def lift_of(settlements: Sequence[Settlement]) -> float:
    """Return the one front lift that answers the settlement of all runs, at once [mm].

    Parameters
    ----------
    settlements : sequence of Settlement
        One a run, one or more.

    Returns
    -------
    float
        The mean of what they want: a base has one lift, and it turns each run about its back row.

    Raises
    ------
    Refusal
        Where a row is not known, where a front row drops by more than `LIFT_MOST_MM`, or where
        runs want lifts more than `LIFTS_APART_MM` apart.
    """
    unknown = [
        f"{_of_run(one, settlements)}{one.why_unknown}" for one in settlements if not one.known
    ]
    if unknown:
        raise refuse(_WHERE, f'"settlement", and {"; ".join(unknown)}', _NUMBER)
    most = max(settlements, key=lambda one: one.front_drop_mm)
    if most.front_drop_mm > LIFT_MOST_MM + CLOSED_MM:
        found = f'"settlement", which is {_of_run(most, settlements)}{most.front_drop_mm:.1f} mm'
        allowed = f"at most {LIFT_MOST_MM:g} mm: have the floor looked at first"
        raise refuse(_WHERE, found, allowed)
    lifts = [one.lift_mm for one in settlements]
    if max(lifts) - min(lifts) > LIFTS_APART_MM + CLOSED_MM:
        drops = ", ".join(f"run {one.run} {one.front_drop_mm:.2f} mm" for one in settlements)
        found = f'"settlement", and the front rows drop unlike each other, {drops}'
        allowed = f"runs that want lifts within {LIFTS_APART_MM:g} mm; set {_NUMBER}"
        raise refuse(_WHERE, found, allowed)
    return math.fsum(lifts) / len(lifts)


def said_of(
    settlements: Sequence[Settlement], length: Callable[[float], str] = "{:.2f} mm".format
) -> str:
    """Say what the settlement comes to, run by run.

    Parameters
    ----------
    settlements : sequence of Settlement
        One a run.
    length : callable, optional
        Writes a small length, given in millimetres, with its unit.
    """
    return "; ".join(f"{_of_run(one, settlements)}{one.said_in(length)}" for one in settlements)


def _of_run(one: Settlement, among: Sequence[Settlement]) -> str:
    """Return what a run's words begin with: nothing where there is one run."""
    return f"run {one.run}: " if len(among) > 1 else ""


def _row(label: str, stacks: Sequence[StackSag]) -> RowSag:
    of_row = [stack for stack in stacks if stack.row == label]
    return RowSag(
        label,
        _mean_least_greatest([stack.inst_mm for stack in of_row]),
        _mean_least_greatest([stack.final_mm for stack in of_row]),
        tuple(stack.support for stack in of_row if math.isnan(stack.inst_mm)),
    )


def _mean_least_greatest(values: Sequence[float]) -> tuple[float, float, float]:
    if not values or any(math.isnan(value) for value in values):
        return math.nan, math.nan, math.nan
    return math.fsum(values) / len(values), min(values), max(values)
