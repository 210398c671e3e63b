"""Demo jobs with one base of one's own, and a compound to pour."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import kit
from kit.job import Base, Job
from kit.parts import Answer

DATA = Path(__file__).parents[2] / "data"

COMPOUND = {
    "least_mm": 3.0,
    "greatest_mm": 30.0,
    "powder_kg_per_l": 1.7,
    "set_kg_per_l": 2.0,
    "drying": ({"to_mm": 10.0, "days": 1.0}, {"to_mm": 30.0, "days": 3.0}),
    "price": 21.5,
}


@pytest.fixture(scope="session")
def pour_of() -> Callable[..., Base]:
    """Make a base of compound; say how the compound and the base differ."""

    def make(compound: dict[str, Any] | None = None, **changes: Any) -> Base:
        told = {"name": "pour", "method": "compound", "height_mm": (2.0, 40.0)}
        return Base.model_validate({**told, "compound": COMPOUND | (compound or {}), **changes})

    return make


@pytest.fixture(scope="session")
def job_with() -> Callable[..., Job]:
    """Read a demo job and give it one base; say how else it differs."""

    def make(folder: str, base: Base, **changes: Any) -> Job:
        job = kit.read_job(DATA / folder)
        return job.model_copy(update={"bases": (base,), **changes})

    return make


@pytest.fixture(scope="session")
def with_run() -> Callable[..., Job]:
    """Change the first run of a job."""

    def make(job: Job, **changes: Any) -> Job:
        first, *others = job.runs
        return job.model_copy(update={"runs": (first.model_copy(update=changes), *others)})

    return make


@pytest.fixture(scope="session")
def poured(pour_of: Callable[..., Base], job_with: Callable[..., Job]) -> Answer:
    """Pour compound in the reading room."""
    return kit.solve(job_with("reading-room", pour_of()))
