"""Packers and screws of every stack that some floor calls for, each worked out once."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import pandas as pd

from kit.base.bill import Item, packer_items, screw_items
from kit.base.screws import StackAt, choose_screws
from kit.base.stack_plan import StackPlan
from kit.buying.things import Key, counted, key_of
from kit.job import Job
from kit.parts import Answer

#: A stack at a support, by the support's place in the list and its packers from the floor up.
_Stack = tuple[int, tuple[int, ...]]


@dataclass(frozen=True)
class Met:
    """One stack that some floor calls for.

    Parameters
    ----------
    items : tuple of Item
        Its packers and screws.
    lengths_mm : tuple of float
        Of its screws [mm].
    wanting : bool
        Whether some step finds no length in stock that serves.
    """

    items: tuple[Item, ...]
    lengths_mm: tuple[float, ...]
    wanting: bool

    @cached_property
    def things(self) -> dict[Key, Item]:
        """One of each thing in it."""
        return {key_of(item): item for item in self.items}

    @cached_property
    def counts(self) -> tuple[tuple[Key, int], ...]:
        """How many of each."""
        return tuple(counted(self.items).items())


@dataclass(frozen=True, eq=False)
class StackStore:
    """What holds the stacks of one base, by the rules of `kit.base.screws`.

    Parameters
    ----------
    job : Job
        Floor, screws in stock, services, areas without screws.
    places : tuple of (str, float, float)
        Name of each support and its place in plan [mm].
    bearer_mm : float
        Thickness of the bearers [mm]; 0 where there are none.
    plan : StackPlan
        Of the answer.
    known : dict
        What was worked out so far; many floors have stacks in common.
    """

    job: Job
    places: tuple[tuple[str, float, float], ...]
    bearer_mm: float
    plan: StackPlan
    known: dict[_Stack, Met] = field(default_factory=dict, repr=False)

    @classmethod
    def of(cls, answer: Answer) -> StackStore:
        """Return the screws of an answer's stacks, none worked out yet."""
        columns = (answer.supports[name] for name in ("support", "x_mm", "y_mm"))
        places = tuple((str(s), float(x), float(y)) for s, x, y in zip(*columns, strict=True))
        return cls(answer.job, places, answer.datum.bearer_mm, answer.datum.plan)

    def met(self, stacks: Sequence[tuple[int, ...]]) -> list[Met]:
        """Return what one floor calls for, stack by stack; none where it has no stacks."""
        here = [(at, stack) for at, stack in enumerate(stacks) if stack]
        self._learn([stack for stack in here if stack not in self.known])
        return [self.known[stack] for stack in here]

    def _learn(self, stacks: Sequence[_Stack]) -> None:
        if not stacks:
            return
        kinds, job = self.job.stock.packers, self.job
        at = [
            # Its place in this list names it: two stacks may stand at one support.
            StackAt(
                str(number),
                *self.places[support][1:],
                tuple(kinds[kind].thickness_mm for kind in stack),
            )
            for number, (support, stack) in enumerate(stacks)
        ]
        table = choose_screws(job.floor, job.stock, self.bearer_mm, at, job.services, job.no_go)
        columns = (table[name].tolist() for name in ("support", "length_mm", "reason"))
        lengths: dict[int, list[float]] = {}
        wanting: set[int] = set()
        for name, length, reason in zip(*columns, strict=True):
            if not math.isnan(length):
                lengths.setdefault(int(name), []).append(length)
            elif reason.startswith("none in stock"):
                wanting.add(int(name))
        for number, stack in enumerate(stacks):
            held = tuple(lengths.get(number, ()))
            self.known[stack] = Met(self._items(stack[1], held), held, number in wanting)

    def _items(self, stack: tuple[int, ...], lengths_mm: tuple[float, ...]) -> tuple[Item, ...]:
        stock, plan = self.job.stock, replace(self.plan, stacks=(stack,))
        screws = pd.DataFrame({"length_mm": np.array(lengths_mm, dtype=float)})
        return (*packer_items(stock, plan), *screw_items(stock, screws))
