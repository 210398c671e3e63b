"""What has to be bought so that it suffices although the floor is not known exactly."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pandas as pd

from kit.base.bill import Item
from kit.base.plinth_items import plinth_items
from kit.buying.floors import Demand, OnProgress, demand
from kit.buying.lines import Line, lines_of
from kit.buying.suffice import InPlace, choose_counts, in_place
from kit.buying.things import Key, counted, key_of
from kit.buying.words import Found, notes_of
from kit.ground import SEED
from kit.job import Base, refuse
from kit.methods.ladder import board_name
from kit.parts import Answer

#: Floors drawn unless another number is asked for: a share of 95 % is then good to 0.014, two
#: standard errors of the half that judges.
FLOORS = 2000

#: So many of the judging floors at least are to be beyond the list, else nothing tells where it
#: ends.
LEAST_BEYOND = 5

#: Below this a list is a toss.
LEAST_CERTAINTY = 0.5


@dataclass(frozen=True, eq=False)
class BuyingList:
    """What has to be bought.

    Parameters
    ----------
    lines : tuple of Line
        Things, those of one name together.
    floors, seed : int
        Floors that were drawn, and from which seed.
    certainty : float
        Asked for, 0 to 1.
    reached : float
        On which share of the floors that the list is judged by, of those on which the base can be
        built, it suffices; nan where there are none.
    plan_suffices : float
        On which share of the floors on which the base can be built the plan's own counts suffice.
    moved : float
        On which share of all floors it can be built only at another level than planned.
    not_built : float
        On which share of all floors it cannot be built so at all, whatever is bought.
    notes : tuple of str
        What must be said along with the figures.
    money : str
        What prices are counted in.
    """

    lines: tuple[Line, ...]
    floors: int
    seed: int
    certainty: float
    reached: float
    plan_suffices: float
    moved: float
    not_built: float
    notes: tuple[str, ...]
    money: str

    @property
    def table(self) -> pd.DataFrame:
        """The list as a table.

        Columns: item; detail; size_mm as printed, or length [mm]; plan, enough, spares,
        in_stock (empty where nobody said), to_buy [pieces]; sold_by; pack [pieces]; packs;
        bought [pieces]; price of one and cost [``money`` of the job], empty where no price is
        given.
        """
        columns = ["item", "detail", "size_mm", "plan", "enough", "spares", "in_stock", "to_buy"]
        columns += ["sold_by", "pack", "packs", "bought", "price", "cost"]
        rows = [[getattr(line, name) for name in columns] for line in self.lines]
        return pd.DataFrame(rows, columns=columns).astype({"in_stock": "Int64"})

    @property
    def cost(self) -> float:
        """Of all that is bought and has a price [``money``]."""
        return math.fsum(line.cost for line in self.lines if math.isfinite(line.cost))

    @property
    def unpriced(self) -> tuple[Line, ...]:
        """What is bought and has no price."""
        return tuple(line for line in self.lines if math.isnan(line.cost))


def buying_list(
    answer: Answer,
    *,
    certainty: float = 0.95,
    floors: int = FLOORS,
    seed: int = SEED,
    on_progress: OnProgress = lambda *_: None,
) -> BuyingList:
    """Work out what has to be bought for a base.

    Parameters
    ----------
    answer : Answer
        From `kit.solve`.
    certainty : float
        On which share of the floors that fit the readings the list is to suffice, 0.5 to below 1.
    floors, seed : int
        Floors drawn, and from which seed: the same give the same list.
    on_progress : callable
        Told how many floors are done, and of how many.

    Returns
    -------
    BuyingList
        Never less of anything than the plan takes, unless a deeper board serves in its place.

    Raises
    ------
    Refusal
        Where the certainty is none, or so few floors cannot tell.

    Notes
    -----
    A list suffices on a floor if it has at least as many of each thing as that floor's exact
    stacks take; in truth other stacks may often do. The share is of the floors on which the base
    can be built: where it cannot, nothing that is bought helps. What does not hang on the floor
    is as in the plan.
    """
    _check(certainty, floors)
    wanted = demand(answer, floors, seed, on_progress)
    enough, reached = _enough(wanted, answer.base, certainty)
    plinth = plinth_items(answer.base.plinth, answer.layout, answer.plinth)
    items = {key_of(item): item for item in (*wanted.things, *plinth.items)}
    lines = lines_of(answer.job, answer.base, items, {**counted(plinth.items), **enough})
    found = Found(
        floors=floors,
        seed=seed,
        certainty=certainty,
        reached=reached,
        plan_suffices=_share(_in_place(wanted, answer.base), wanted),
        moved=float(wanted.moved.mean()),
        not_built=float(1 - wanted.built.mean()),
        unscrewed=float(wanted.unscrewed.mean()),
    )
    return BuyingList(
        lines=lines,
        floors=floors,
        seed=seed,
        certainty=certainty,
        reached=reached,
        plan_suffices=found.plan_suffices,
        moved=found.moved,
        not_built=found.not_built,
        notes=(*notes_of(answer, lines, found), *plinth.notes),
        money=answer.job.rates.money,
    )


def _check(certainty: float, floors: int) -> None:
    if not LEAST_CERTAINTY <= certainty < 1:
        found = f"{certainty}"
        raise refuse("certainty of the buying list", found, f"{LEAST_CERTAINTY:g} to below 1")
    least = math.ceil(2 * LEAST_BEYOND / (1 - certainty) - 1e-6)
    if floors < least:
        allowed = f"{least} or more, so that some are beyond the list"
        raise refuse(f"floors for a certainty of {certainty:g}", f"{floors}", allowed)


def _enough(wanted: Demand, base: Base, certainty: float) -> tuple[dict[Key, int], float]:
    """Return how many of each thing suffice, and on which share of the judging floors."""
    serving = _in_place(wanted, base)
    prices = np.array([thing.price for thing in wanted.things], dtype=float)
    chosen = choose_counts(
        serving.at_least(wanted.counts[wanted.built]),
        serving.at_least(wanted.plan),
        serving.steps(prices),
        certainty,
    )
    counts = serving.each(chosen.counts).tolist()
    return dict(zip(map(key_of, wanted.things), counts, strict=True)), chosen.reached


def _in_place(wanted: Demand, base: Base) -> InPlace:
    """Return what serves in place of what: a deeper board is ripped to a shallower one."""
    things: tuple[Item, ...] = wanted.things
    boards = sorted(base.ladder.boards, key=lambda board: board.mm) if base.ladder else []
    names = [board_name(board) for board in boards]
    return in_place([one.item for one in things], [one.size_mm for one in things], names)


def _share(serving: InPlace, wanted: Demand) -> float:
    """Return on which share of the floors that it can be built on the plan's counts suffice."""
    if not wanted.built.any():
        return math.nan
    counts = serving.at_least(wanted.counts[wanted.built])
    return float((counts <= serving.at_least(wanted.plan)).all(axis=1).mean())
