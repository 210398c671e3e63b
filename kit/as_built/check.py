"""The check of a finished base: readings on it in, how level it is and what to change out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

import numpy as np
import pandas as pd

from kit.answer import solve
from kit.as_built.changes import Changes, no_changes, plan_changes
from kit.as_built.changes_exact import MOST_STEPS
from kit.as_built.feet_turns import Turns, plan_turns
from kit.as_built.judged import CONTRADICT, NOT_READ, Verdict, judge, worst
from kit.as_built.level import BestLevel, best_level
from kit.as_built.standing import what_stands
from kit.as_built.tops import Tops, Weights, look_at_tops
from kit.as_built.units import UnitStands, look_at_units, units_table
from kit.as_built.whole import Whole, look_at_whole
from kit.as_built.words import cautions_of, sentences_of
from kit.base.runs import Floats
from kit.job import Job, refuse
from kit.job.model import AsBuilt
from kit.parts import Answer
from kit.threads import one_thread


@dataclass(frozen=True, eq=False)
class Checked:
    """A finished base as it was read; it approves nothing.

    Parameters
    ----------
    answer : Answer
        The base as planned, with its job.
    as_built : AsBuilt
        What was read, when, with what, by whom.
    folder : Path
        The job's, in which the tables lie that were read.
    tolerance_mm : float
        How far off one level a support may be [mm].
    tops : Tops
        Heights of the top where it was read, with what the readings say of each other.
    level : BestLevel
        The level that the supports fit best, the planned front lift taken off; taken as it comes
        out, with no doubt of its own.
    supports : DataFrame
        Each support: support, run, row, bearer, own_x_mm, x_mm, y_mm, how (``read``, ``between``
        two readings, ``not read``, or ``readings contradict``), height_mm (of the top as it is),
        lift_mm (planned), top_mm (height less lift), off_mm (off the level, positive = high), sd_mm
        (of that, the level taken as chosen), verdict, and where heights are in the frame of the
        job planned_top_mm, off_plan_mm, off_plan_sd_mm; else those are nan.
    whole : Whole
        Fall, flatness, front against back.
    units : tuple of UnitStands
        How each unit would stand.
    changes : Changes
        What to change.
    """

    answer: Answer = field(repr=False)
    as_built: AsBuilt
    folder: Path = field(repr=False)
    tolerance_mm: float
    tops: Tops
    level: BestLevel
    supports: pd.DataFrame
    whole: Whole
    units: tuple[UnitStands, ...]
    changes: Changes

    @property
    def verdict(self) -> Verdict:
        """The worst verdict of any support on its height against the others."""
        return worst(list(self.supports["verdict"]))

    @property
    def units_verdict(self) -> Verdict:
        """The worst verdict of any unit on level and wind."""
        return worst([one.verdict for one in self.units])

    @property
    def unread(self) -> tuple[str, ...]:
        """Supports of which nothing is known."""
        return tuple(self.supports["support"][self.supports["verdict"] == NOT_READ])

    @property
    def units_table(self) -> pd.DataFrame:
        """Units as a table, one row each."""
        return units_table(self.units)

    @cached_property
    def sentences(self) -> tuple[str, ...]:
        """The whole of it in words, one sentence or two each."""
        return tuple(
            sentences_of(
                self.answer, self.tolerance_mm, self.tops, self.supports, self.whole, self.units,
                self.changes,
            )
        )  # fmt: skip

    @cached_property
    def cautions(self) -> tuple[str, ...]:
        """What this check leaves open, and what can hurt someone; one sentence or two each."""
        return tuple(cautions_of(self.answer, self.tops, self.unread, self.changes))


@one_thread
def check_base(job: Job, *, answer: Answer | None = None, steps: float = MOST_STEPS) -> Checked:
    """Check a finished base by the readings on it.

    Parameters
    ----------
    job : Job
        With the table ``[as_built]``; its folder holds the readings.
    answer : Answer, optional
        The base as planned, where it is worked out already.
    steps : float
        Work allowed for the changes, as `kit.base.effort` counts it.

    Returns
    -------
    Checked

    Raises
    ------
    Refusal
        Where the job has no ``[as_built]``, names no base of the job, or the readings, stacks or
        packers cannot be used; all by name.
    """
    as_built = job.as_built
    if as_built is None:
        allowed = "a table headed [as_built] with date, by, instrument and [[as_built.survey]]"
        raise refuse("job.toml, as_built", "no such table", allowed)
    answer = _answer(job, as_built, answer)
    tolerance = as_built.tolerance_mm or answer.base.tolerance_mm
    tops = look_at_tops(job.folder, answer, as_built)
    supports, level = _supports(answer, tops, tolerance)
    if answer.base.method in ("packers", "stacks"):
        standing = what_stands(job.folder, answer, as_built)
        changes = plan_changes(
            answer, standing, supports, tolerance, absolute=tops.absolute, steps=steps
        )
    elif answer.base.method == "feet":
        changes = no_changes(tolerance, _turns(answer, supports, tops, tolerance))
    else:
        changes = no_changes(tolerance)
    return Checked(
        answer=answer,
        as_built=as_built,
        folder=job.folder,
        tolerance_mm=tolerance,
        tops=tops,
        level=level,
        supports=supports,
        whole=look_at_whole(tops, answer.layout),
        units=tuple(look_at_units(tops, answer.layout)),
        changes=changes,
    )


def _answer(job: Job, as_built: AsBuilt, answer: Answer | None) -> Answer:
    names = [base.name for base in job.bases]
    name = as_built.base or names[0]
    if name not in names:
        found = ", ".join(repr(one) for one in names)
        raise refuse("job.toml, as_built.base", repr(name), f"one of {found}")
    if answer is None:
        return solve(job, name)
    if answer.base.name != name:
        raise refuse("answer", f"base {answer.base.name!r}", f"that of base {name!r}")
    return answer


def _turns(answer: Answer, supports: pd.DataFrame, tops: Tops, tolerance_mm: float) -> Turns:
    """Return which feet to turn; the window of the height holds only in the frame of the job."""
    feet, datum = answer.details["feet.csv"], answer.datum
    if not tops.absolute:
        return plan_turns(supports, feet, tolerance_mm)
    bounds = (datum.window.low, datum.window.high)
    low, high = (bound.datum_mm + datum.bearer_mm for bound in bounds)
    return plan_turns(supports, feet, tolerance_mm, (low, high))


def _supports(answer: Answer, tops: Tops, tolerance_mm: float) -> tuple[pd.DataFrame, BestLevel]:
    """Return every support with how far off the level it is, and that level."""
    planned = answer.supports
    at = [
        tops.at_support(str(support), str(bearer), float(x))
        for support, bearer, x in zip(
            planned["support"], planned["bearer"], planned["own_x_mm"], strict=True
        )
    ]
    weights = [found for found, _ in at]
    top = np.array([tops.value_mm(found) for found in weights])
    level = best_level(top[np.isfinite(top)], tolerance_mm)
    off, sd = top - level.level_mm, _sd_of_off(tops, weights)
    lift = answer.datum.front_lift_mm * planned["lift_share"].to_numpy(dtype=float)
    base_top = answer.datum.base_top_mm if tops.absolute else math.nan
    table = planned[["support", "run", "row", "bearer", "own_x_mm", "x_mm", "y_mm"]].assign(
        how=[how for _, how in at],
        height_mm=top + lift,
        lift_mm=lift,
        top_mm=top,
        off_mm=off,
        sd_mm=sd,
        verdict=[
            CONTRADICT if how == CONTRADICT else judge(float(o), tolerance_mm, float(s))
            for o, s, (_, how) in zip(off, sd, at, strict=True)
        ],
        planned_top_mm=base_top + lift,
        off_plan_mm=top - base_top,
        off_plan_sd_mm=_sd(tops, tops.matrix(weights), top) if tops.absolute else math.nan,
    )
    return table.reset_index(drop=True), level


def _sd_of_off(tops: Tops, weights: Sequence[Weights]) -> Floats:
    """Return the sd of each support against the mean of all: what all share moves none.

    The level is chosen by the readings, and a verdict is on that level: how far another sample of
    readings would move the choice is not in it. With J the weights less their mean over the
    supports read, var = J C Jᵀ.
    """
    rows = tops.matrix(weights)
    known = np.array([bool(found) for found in weights])
    apart = rows - rows[known].mean(axis=0)
    return _sd(tops, apart, np.where(known, 0.0, math.nan))


def _sd(tops: Tops, rows: Floats, known: Floats) -> Floats:
    variance = np.einsum("ij,jk,ik->i", rows, tops.covariance, rows)
    return np.where(np.isnan(known), math.nan, np.sqrt(np.maximum(variance, 0.0)))
