"""What a base takes on each floor that fits the readings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from kit.base.bill import Bill, Item
from kit.base.datum import Datum
from kit.buying.kept_level import KeptLevel, Stack
from kit.buying.stacks_met import StackStore
from kit.buying.things import Key, counted, key_of
from kit.job import Base, Job, Refusal
from kit.methods import Lie, method_of
from kit.methods.drawn import draw_floors
from kit.parts import Answer
from kit.side_by_side.doubt import well_stocked
from kit.threads import one_thread

Counts = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: Told how many floors are done, and of how many.
OnProgress = Callable[[int, int], None]

#: After so many floors the progress is told.
TOLD_EVERY = 50


@dataclass(frozen=True, eq=False)
class Demand:
    """What a base takes on every drawn floor.

    Parameters
    ----------
    things : tuple of Item
        One of each thing that some floor or the plan takes; its count is that of the plan.
    counts : array of shape (floors, things)
        How many of each a floor takes; 0 where it cannot be built.
    built : array of shape (floors,)
        Whether it can be built there.
    moved : array of shape (floors,)
        Whether it can be built there only at another level than planned.
    unscrewed : array of shape (floors,)
        Whether some step of a stack finds no length in stock there that serves.
    """

    things: tuple[Item, ...]
    counts: Counts
    built: Bools
    moved: Bools
    unscrewed: Bools

    @property
    def plan(self) -> Counts:
        """What the plan takes of each thing, (things,)."""
        return np.array([thing.count for thing in self.things], dtype=np.int64)

    def sufficing(self, counts: Counts) -> Bools:
        """Return on which of the floors that it can be built on so many of each suffice."""
        return np.asarray((self.counts[self.built] <= counts).all(axis=1))


@dataclass(frozen=True, eq=False)
class _Floor:
    """What a base takes on one floor."""

    counts: Counter[Key] = field(default_factory=Counter)
    built: bool = False
    moved: bool = False
    unscrewed: bool = False


@one_thread
def demand(
    answer: Answer, floors: int, seed: int, on_progress: OnProgress = lambda *_: None
) -> Demand:
    """Count what a base takes on floors that fit the readings.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    floors : int
        How many floors.
    seed : int
        The same seed gives the same floors.
    on_progress : callable
        Told how many floors are done, and of how many.

    Returns
    -------
    Demand

    Notes
    -----
    The base top stays where it was planned, for the level is set out once; only where it cannot
    be built so, it is chosen anew within the heights asked for. Stacks and screws are exact for
    each floor, with as many packers and feet as wanted: what is short is bought.
    """
    site = _Site.of(answer)
    found = []
    for done, lie in enumerate(draw_floors((answer,), floors, seed).lies(answer.ground)):
        if done % TOLD_EVERY == 0:
            on_progress(done, floors)
        found.append(site.on_floor(lie))
    on_progress(floors, floors)
    return _demand(answer.bill, site.things, found)


@dataclass(frozen=True, eq=False)
class _Site:
    """One base where it is to be built, with as many packers and feet as wanted.

    Parameters
    ----------
    answer : Answer
        What was planned.
    job, base : Job, Base
        The same, well supplied.
    stacks : StackStore
        What was met so far of stacks.
    kept : tuple of KeptLevel
        One for a base that stands on packers.
    beside : Counter
        What does not hang on the stacks.
    things : dict
        One of each thing that was met.
    """

    answer: Answer
    job: Job
    base: Base
    stacks: StackStore
    kept: tuple[KeptLevel, ...]
    beside: Counter[Key]
    things: dict[Key, Item]

    @classmethod
    def of(cls, answer: Answer) -> _Site:
        """Return the site of an answer."""
        job, base = well_stocked(answer.job, answer.base)
        on_packers = any(answer.datum.plan.stacks)
        kept = (KeptLevel.of(job, base, answer),) if on_packers else ()
        beside = (one for one in answer.bill.items if one.item not in ("packer", "screw"))
        things = {key_of(item): item for item in answer.bill.items}
        return cls(answer, job, base, StackStore.of(answer), kept, counted(beside), things)

    def on_floor(self, lie: Lie) -> _Floor:
        """Return what it takes on one floor."""
        for kept in self.kept:
            if stacks := kept.stacks(lie):
                return self._stacked(stacks)
        planned = self._level(self._fixed(lie), lie)
        datum = planned or self._level(self.base, lie)
        if datum is None:
            return _Floor()
        return self._billed(lie, datum, moved=planned is None)

    def _stacked(self, stacks: Sequence[Stack]) -> _Floor:
        """Count what stacks take, and what is the same on every floor."""
        met = self.stacks.met(stacks)
        counts = self.beside.copy()
        for one in met:
            for key, count in one.counts:
                counts[key] += count
            self.things.update(one.things)
        return _Floor(counts, True, False, any(one.wanting for one in met))

    def _billed(self, lie: Lie, datum: Datum, *, moved: bool) -> _Floor:
        """Count what the method's own bill has."""
        met = self.stacks.met(datum.plan.stacks)
        lengths = [length for one in met for length in one.lengths_mm]
        screws = pd.DataFrame({"length_mm": np.array(lengths, dtype=float)})
        bill = method_of(self.base).bill(
            self.job, self.base, self.answer.ground, lie, datum, screws
        )
        self.things.update({key_of(item): item for item in bill.items})
        return _Floor(counted(bill.items), True, moved, any(one.wanting for one in met))

    def _fixed(self, lie: Lie) -> Base:
        """Return the base with its top where it was planned: heights count from a high point."""
        height = self.answer.datum.base_top_mm - lie.high_point_mm
        return self.base.model_copy(update={"height_mm": (height, height)})

    def _level(self, base: Base, lie: Lie) -> Datum | None:
        try:
            return method_of(base).set_level(self.job, base, self.answer.ground, lie)
        except Refusal:
            return None


def _demand(plan: Bill, met: dict[Key, Item], found: Sequence[_Floor]) -> Demand:
    things, planned = _in_order(plan, met), counted(plan.items)
    keys = [key_of(thing) for thing in things]
    return Demand(
        tuple(replace(thing, count=planned[key]) for thing, key in zip(things, keys, strict=True)),
        np.array([[floor.counts[key] for key in keys] for floor in found], dtype=np.int64),
        *(
            np.array([getattr(floor, name) for floor in found], dtype=bool)
            for name in ("built", "moved", "unscrewed")
        ),
    )


def _in_order(plan: Bill, met: dict[Key, Item]) -> list[Item]:
    """Return one of each thing: those of one name together, by size, names as in the plan."""
    names = dict.fromkeys([*(one.item for one in plan.items), *sorted(name for name, _ in met)])
    places = {name: place for place, name in enumerate(names)}
    return sorted(met.values(), key=lambda one: (places[one.item], one.size_mm))
