"""What a base takes: things from the van or the merchant, and minutes of work."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from kit.base.stacks import StackPlan
from kit.job import Bearer, Rates, Stock


@dataclass(frozen=True)
class Item:
    """So many of one thing.

    Parameters
    ----------
    item : str
        What it is.
    size_mm : float
        Its thickness, length or depth, whichever it is sold by [mm].
    count : int
        How many.
    in_stock : int or None
        How many there are; None means as many as wanted.
    price : float
        Of one, in the job's money; nan where none is given.
    """

    item: str
    size_mm: float
    count: int
    in_stock: int | None = None
    price: float = math.nan

    @property
    def cost(self) -> float:
        """Of all of them; nan where no price is given."""
        return self.price * self.count


@dataclass(frozen=True)
class Operation:
    """One step of the work, so many times.

    Parameters
    ----------
    operation : str
        What is done.
    count : float
        How often, in ``unit``.
    unit : str
        Of what: "packer", "m", "m2".
    minutes_each : float
        What one takes [min].
    source : str
        Which key of the job gives that, or that it is from memory.
    """

    operation: str
    count: float
    unit: str
    minutes_each: float
    source: str

    @property
    def minutes(self) -> float:
        """What all take [min]."""
        return self.count * self.minutes_each


@dataclass(frozen=True)
class Bill:
    """All that a base takes.

    Parameters
    ----------
    items : tuple of Item
        Each thing; of those of which there is none only such as might serve in the place of
        others, had they a price.
    work : tuple of Operation
        Each step.
    beside : tuple of Item
        What hides the base and is no part of it: neither in the cost nor in the work.
    mass_kg : float
        Timber or compound [kg]; packers, screws and feet are left out.
    litres : float
        Compound poured [l].
    wait_days : float
        Before the units may stand, besides the work itself [days].
    """

    items: tuple[Item, ...]
    work: tuple[Operation, ...]
    beside: tuple[Item, ...] = ()
    mass_kg: float = 0.0
    litres: float = 0.0
    wait_days: float = 0.0

    @property
    def cost(self) -> float:
        """Of all items that make the base; nan where one has no price."""
        return math.fsum(item.cost for item in self.items)

    @property
    def unpriced(self) -> tuple[str, ...]:
        """Items without a price."""
        return tuple(dict.fromkeys(i.item for i in self.items if math.isnan(i.price)))

    @property
    def minutes(self) -> float:
        """Of all work [min]."""
        return math.fsum(step.minutes for step in self.work)

    def count_of(self, item: str) -> int:
        """Return how many there are of one thing, all its sizes together."""
        return sum(one.count for one in self.items if one.item == item)

    def take_off(self) -> pd.DataFrame:
        """Return all items as a table: item, size_mm, count, in_stock, price, cost."""
        every = (*self.items, *self.beside)
        rows = [(i.item, i.size_mm, i.count, i.in_stock, i.price, i.cost) for i in every]
        columns = ["item", "size_mm", "count", "in_stock", "price", "cost"]
        return pd.DataFrame(rows, columns=columns).astype({"in_stock": "Int64"})

    def steps(self) -> pd.DataFrame:
        """Return the work as a table: operation, count, unit, minutes_each, minutes, source."""
        rows = [
            (w.operation, float(w.count), w.unit, w.minutes_each, w.minutes, w.source)
            for w in self.work
        ]
        columns = ["operation", "count", "unit", "minutes_each", "minutes", "source"]
        return pd.DataFrame(rows, columns=columns)


def price_of(price: float | None) -> float:
    """Return a price of the job file, nan where none is given."""
    return math.nan if price is None else price


def packer_items(stock: Stock, plan: StackPlan) -> list[Item]:
    """Return the packers of all stacks, kind by kind."""
    used = Counter(kind for stack in plan.stacks for kind in stack)
    return [
        Item("packer", packer.mm, used[kind], packer.count, price_of(packer.price))
        for kind, packer in enumerate(stock.packers)
        if used[kind]
    ]


def screw_items(stock: Stock, screws: pd.DataFrame) -> list[Item]:
    """Return the screws by length; an empty length needs no screw from stock."""
    lengths = Counter(screws["length_mm"].dropna().tolist())
    price = price_of(stock.screw_price)
    return [Item("screw", float(size), lengths[size], None, price) for size in sorted(lengths)]


def bearer_items(bearer: Bearer, bought: pd.DataFrame) -> list[Item]:
    """Return the lengths of bearer that are bought: stock_mm, count."""
    return [
        Item(
            "bearer length",
            float(size),
            int(count),
            None,
            price_of(bearer.price_per_m) * float(size) / 1000,
        )
        for size, count in zip(bought["stock_mm"], bought["count"], strict=True)
    ]


def step(rates: Rates, key: str, operation: str, count: float, unit: str) -> Operation:
    """Return one step of the work at the job's rate.

    Parameters
    ----------
    rates : Rates
        ``[rates]`` of the job.
    key : str
        Its key there, for example ``"packer_min"``.
    operation, count, unit : str, float, str
        As for `Operation`.
    """
    given = key in rates.model_fields_set
    source = f"job.toml, rates.{key}" if given else f"rates.{key}, from memory"
    return Operation(operation, count, unit, float(getattr(rates, key)), source)


def packing_steps(
    rates: Rates, supports: int, packers: int, screws: pd.DataFrame
) -> Sequence[Operation]:
    """Return the steps that all bases on packers share."""
    return (
        step(rates, "mark_support_min", "mark out and level a support", supports, "support"),
        step(rates, "packer_min", "lay a packer", packers, "packer"),
        step(
            rates,
            "screw_min",
            "pre-drill and drive a screw",
            int(screws["length_mm"].notna().sum()),
            "screw",
        ),
    )
