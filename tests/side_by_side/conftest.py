"""Demo jobs with several bases, solved once."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

import kit
from kit.job import Job
from kit.parts import Answer
from kit.side_by_side import Comparison

DATA = Path(__file__).parents[2] / "data"


@cache
def _job(name: str) -> Job:
    return kit.read_job(DATA / name)


@cache
def _answer(name: str, base: str) -> Answer:
    job = _job(name)
    first = _answer(name, job.bases[0].name) if base != job.bases[0].name else None
    return kit.solve(job, base, before=first)


@cache
def _comparison(name: str, a: str, b: str) -> Comparison:
    return kit.compare(_answer(name, a), _answer(name, b), floors=60)


@pytest.fixture(scope="session")
def job_of() -> Callable[[str], Job]:
    return _job


@pytest.fixture(scope="session")
def answer_of() -> Callable[[str, str], Answer]:
    return _answer


@pytest.fixture(scope="session")
def comparison_of() -> Callable[[str, str, str], Comparison]:
    return _comparison


@pytest.fixture(scope="session")
def packers_and_feet() -> Comparison:
    return _comparison("reading-room", "bearers on packers", "screw feet")
