"""Demo jobs and made ones, solved once."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

import kit
from kit.job import Packer
from kit.parts import Answer

DATA = Path(__file__).parents[2] / "data"


@cache
def _answer(name: str, base: str = "") -> Answer:
    job = kit.read_job(DATA / name)
    return kit.solve(job, base or job.bases[0].name)


@cache
def _alone(*packers: Packer, height: float = 31.5, **changes: object) -> Answer:
    """Solve one unit by itself in the reading room, on stacks of some packers."""
    job = _answer("reading-room").job
    run = job.runs[0]
    unit = run.units[2].model_copy(
        update={"name": "plan chest", "width_mm": 830.0, "divisions_mm": (310.0,)}
    )
    alone = run.model_copy(update={"units": (unit,), "origin_mm": (640.0, 0.0)})
    base = job.bases[0].model_copy(
        update={"height_mm": (height, height), "max_pieces": 20, "plinth": None, **changes}
    )
    stock = job.stock.model_copy(update={"packers": packers})
    return kit.solve(job.model_copy(update={"runs": (alone,), "bases": (base,), "stock": stock}))


@pytest.fixture(scope="session")
def answer_of() -> Callable[..., Answer]:
    return _answer


@pytest.fixture(scope="session")
def alone() -> Callable[..., Answer]:
    return _alone


@pytest.fixture(scope="session")
def reading_room() -> Answer:
    return _answer("reading-room")
