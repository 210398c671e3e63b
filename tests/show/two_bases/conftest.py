"""The reading room built in all five ways, and two of them compared at a time."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest

import kit
from kit.answer import Answer
from kit.job import Base, Job
from kit.side_by_side import Comparison, compare

DATA = Path(__file__).parents[3] / "data"

#: Few floors: what is drawn is looked at, not how often which base wins.
FLOORS = 12

FEET = (
    {"low_mm": 30.0, "high_mm": 55.0, "plate_mm": 50.0, "price": 1.2},
    {"low_mm": 45.0, "high_mm": 90.0, "plate_mm": 50.0, "bears_n": 1500.0, "price": 1.6},
)
LADDER = {"boards": ({"mm": 70.0, "price_per_m": 4.0}, {"mm": 95.0, "price_per_m": 5.5})}
COMPOUND = {
    "least_mm": 3.0,
    "greatest_mm": 40.0,
    "powder_kg_per_l": 1.7,
    "set_kg_per_l": 1.9,
    "drying": ({"to_mm": 5.0, "days": 1.0}, {"to_mm": 40.0, "days": 4.0}),
    "price": 22.0,
}


def _bases(first: Base) -> tuple[Base, ...]:
    bearer = first.bearer.model_copy(update={"price_per_m": 1.3})
    kept = first.model_dump(
        exclude_unset=True, exclude={"bearer", "name", "method", "height_mm", "plinth"}
    )
    plinth = {"plinth": first.plinth.model_dump()} if first.plinth else {}
    given: list[dict[str, Any]] = [
        {"name": "screw feet", "method": "feet", "height_mm": (40, 80), "feet": FEET, **plinth},
        {"name": "frame", "method": "ladder", "height_mm": (45, 80), "ladder": LADDER, **plinth},
        {"name": "pour", "method": "compound", "height_mm": (3, 40), "compound": COMPOUND},
    ]
    return (
        first.model_copy(update={"bearer": bearer}),
        first.model_copy(update={"name": "stacks", "method": "stacks"}),
        *(Base.model_validate({**kept, **one}) for one in given),
    )


def _job(folder: str, **update: Any) -> Job:
    job = kit.read_job(DATA / folder)
    packers = tuple(
        one.model_copy(update={"price": 0.01 * one.mm + 0.05}) for one in job.stock.packers
    )
    stock = job.stock.model_copy(update={"packers": packers, "screw_price": 0.04})
    rates = job.rates.model_copy(update={"hour_price": 30.0})
    given = {"bases": _bases(job.bases[0]), "stock": stock, "rates": rates}
    return job.model_copy(update={**given, **update})


@pytest.fixture(scope="session")
def room() -> Job:
    """Return the reading room with five bases and prices."""
    return _job("reading-room")


@pytest.fixture(scope="session")
def answers(room: Job) -> Mapping[str, Answer]:
    """Return the reading room solved, by the method of its base."""
    return {base.method: kit.solve(room, base.name) for base in room.bases}


@pytest.fixture(scope="session")
def pairs(answers: Mapping[str, Answer]) -> Mapping[tuple[str, str], Comparison]:
    """Return all pairs of methods compared."""
    return {
        (one, other): compare(answers[one], answers[other], floors=FLOORS)
        for one, other in combinations(answers, 2)
    }


@pytest.fixture(scope="session")
def solved_as() -> Callable[..., Comparison]:
    """Return what compares two methods of the reading room with other figures in its job."""

    def compared(one: str, other: str, **update: Any) -> Comparison:
        job = _job("reading-room", **update)
        names = {base.method: base.name for base in job.bases}
        first = kit.solve(job, names[one])
        return compare(first, kit.solve(job, names[other]), floors=2)

    return compared


@pytest.fixture(scope="session")
def corner() -> Comparison:
    """Return the boot room, two runs round a corner, as it is and on a frame that bridges."""
    job = kit.read_job(DATA / "boot-room")
    given = {"name": "frame", "method": "ladder", "height_mm": (45, 120), "ladder": LADDER}
    job = job.model_copy(update={"bases": (job.bases[0], Base.model_validate(given))})
    return compare(kit.solve(job, job.bases[0].name), kit.solve(job, "frame"), floors=2)
