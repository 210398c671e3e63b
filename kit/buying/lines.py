"""One line of a buying list: what is wanted of a thing, what is there, how it is sold."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from kit.base.bill import Item
from kit.buying.details import detail_of
from kit.buying.things import Key
from kit.job import Base, Job, Packer, Stock

#: Round-off of a percentage is no whole piece.
_CLOSED = 1e-9


@dataclass(frozen=True)
class Line:
    """One thing on the list.

    Parameters
    ----------
    item : str
        What it is.
    detail : str
        What else is said of it at the counter: section, grade; empty where there is nothing.
    size_mm : float
        Thickness or length by which it is sold, as printed on it [mm]; nan where it has none.
    plan : int
        How many the plan takes on the floor as it is expected.
    enough : int
        How many suffice with the certainty that was asked for.
    spares : int
        How many more are taken along.
    in_stock : int or None
        How many are there; None where nobody said, and then none is counted on.
    sold_by : str
        What they are sold by: "pack", "box", "length", "board", "bag", "piece".
    pack : int
        How many are in one of these.
    price : float
        Of one, in the job's money; nan where none is given.
    """

    item: str
    detail: str
    size_mm: float
    plan: int
    enough: int
    spares: int
    in_stock: int | None
    sold_by: str
    pack: int
    price: float

    @property
    def to_buy(self) -> int:
        """How many are wanted beyond what is there."""
        return max(0, self.enough + self.spares - (self.in_stock or 0))

    @property
    def packs(self) -> int:
        """How many packs, boxes, lengths … that takes."""
        return -(-self.to_buy // self.pack)

    @property
    def bought(self) -> int:
        """How many come with these."""
        return self.packs * self.pack

    @property
    def cost(self) -> float:
        """Of all that are bought; nan where no price is given, 0 where none is bought."""
        return self.price * self.bought if self.bought else 0.0


def spares_of(stock: Stock, item: Item, enough: int) -> int:
    """Return how many more are taken along of a thing of which so many suffice.

    Of packers and screws ``stock.spare_percent``, rounded up, which is at least one of each kind
    that is on the list; none with 0 per cent. Of other things none (common practice, no source).
    """
    if item.item not in ("packer", "screw"):
        return 0
    return math.ceil(enough * stock.spare_percent / 100 - _CLOSED)


def lines_of(
    job: Job, base: Base, items: Mapping[Key, Item], enough: Mapping[Key, int]
) -> tuple[Line, ...]:
    """Return the lines of a list.

    Parameters
    ----------
    job, base : Job, Base
        What is in stock, and how it is sold; what the base is made of.
    items : mapping of Key to Item
        Each thing, its count that of the plan.
    enough : mapping of Key to int
        How many of each suffice.
    """
    return tuple(
        _line(job, base, item, enough[key])
        for key, item in items.items()
        if enough[key] or item.count
    )


def _line(job: Job, base: Base, item: Item, enough: int) -> Line:
    sold_by, pack = _sold(job.stock, item)
    return Line(
        item=item.item,
        detail=detail_of(job, base, item),
        size_mm=item.size_mm,
        plan=item.count,
        enough=enough,
        spares=spares_of(job.stock, item, enough),
        in_stock=_in_stock(job.stock, item),
        sold_by=sold_by,
        pack=pack,
        price=item.price,
    )


def _sold(stock: Stock, item: Item) -> tuple[str, int]:
    """Return what a thing is sold by, and how many are in one of these."""
    if item.item == "packer":
        return "pack", _printed(stock, item)[0].pack
    if item.item == "screw":
        return "box", stock.screw_box
    words = {"bearer": "length", "ladder": "board", "plinth": "board", "compound": "bag"}
    return words.get(item.item.split()[0], "piece"), 1


def _in_stock(stock: Stock, item: Item) -> int | None:
    """Return how many there are; packers printed alike are counted together."""
    if item.item != "packer":
        return item.in_stock
    counts = [kind.count for kind in _printed(stock, item)]
    known = [count for count in counts if count is not None]
    return sum(known) if known else None


def _printed(stock: Stock, item: Item) -> list[Packer]:
    """Return the kinds of packer on which that size is printed, as they are listed."""
    return [kind for kind in stock.packers if kind.mm == item.size_mm]
