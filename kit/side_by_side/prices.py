"""Prices that can be turned: each as so many times what the job file says."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from kit.base.bill import Bill
from kit.job import Base, Job
from kit.parts import Answer
from kit.side_by_side.position import TIMES, Position, Setting


@dataclass(frozen=True)
class _Price:
    """A kind of price: how its items' names begin in a bill, and how it is turned."""

    words: str
    item: str
    of_job: Callable[[Job, float], Job] = lambda job, _times: job
    of_base: Callable[[Base, float], Base] = lambda base, _times: base


def prices_of(a: Answer, b: Answer) -> Iterator[Setting]:
    """Yield the price of everything that either base takes, where it has one."""
    for price in _PRICES:
        if any(_priced(answer.bill, price.item) for answer in (a, b)):
            yield _setting(a, b, price, ("cost", "cost_and_labour"))
    if a.job.rates.hour_price or b.job.rates.hour_price:
        yield _setting(a, b, _LABOUR, ("cost_and_labour",))


def _priced(bill: Bill, words: str) -> bool:
    return any(_is(item.item, words) and item.cost > 0 for item in bill.items)


def _is(item: str, words: str) -> bool:
    """Tell whether an item is of a kind; what follows a comma is its size."""
    return item.split(",", maxsplit=1)[0] == words


def _setting(a: Answer, b: Answer, price: _Price, criteria: tuple[str, ...]) -> Setting:
    def at(times: float) -> Position:
        bases = price.of_base(a.base, times), price.of_base(b.base, times)
        jobs = price.of_job(a.job, times), price.of_job(b.job, times)
        return Position(jobs, a.survey, bases)

    key, words = f"price {price.words}", f"price of {price.words}"
    return Setting(key, words, "times what it is", 1.0, 0.0, TIMES, criteria, at)


def _times(price: float | None, times: float) -> float | None:
    return None if price is None else price * times


def _packers(job: Job, times: float) -> Job:
    packers = tuple(
        one.model_copy(update={"price": _times(one.price, times)}) for one in job.stock.packers
    )
    return _with_stock(job, {"packers": packers})


def _screws(job: Job, times: float) -> Job:
    return _with_stock(job, {"screw_price": _times(job.stock.screw_price, times)})


def _with_stock(job: Job, update: dict[str, object]) -> Job:
    return job.model_copy(update={"stock": job.stock.model_copy(update=update)})


def _bearers(base: Base, times: float) -> Base:
    price = {"price_per_m": _times(base.bearer.price_per_m, times)}
    return base.model_copy(update={"bearer": base.bearer.model_copy(update=price)})


def _feet(base: Base, times: float) -> Base:
    feet = tuple(one.model_copy(update={"price": _times(one.price, times)}) for one in base.feet)
    return base.model_copy(update={"feet": feet})


def _boards(base: Base, times: float) -> Base:
    if base.ladder is None:
        return base
    boards = tuple(
        one.model_copy(update={"price_per_m": _times(one.price_per_m, times)})
        for one in base.ladder.boards
    )
    return base.model_copy(update={"ladder": base.ladder.model_copy(update={"boards": boards})})


def _bags(base: Base, times: float) -> Base:
    if base.compound is None:
        return base
    price = {"price": _times(base.compound.price, times)}
    return base.model_copy(update={"compound": base.compound.model_copy(update=price)})


def _hour(job: Job, times: float) -> Job:
    price = {"hour_price": _times(job.rates.hour_price, times)}
    return job.model_copy(update={"rates": job.rates.model_copy(update=price)})


_PRICES = (
    _Price("packers", "packer", of_job=_packers),
    _Price("screws", "screw", of_job=_screws),
    _Price("bearers", "bearer length", of_base=_bearers),
    _Price("screw feet", "screw foot", of_base=_feet),
    _Price("ladder boards", "ladder board", of_base=_boards),
    _Price("compound", "compound bag", of_base=_bags),
)

_LABOUR = _Price("an hour of work", "", of_job=_hour)
