"""The demo jobs solved."""

from __future__ import annotations

from pathlib import Path

import pytest

import kit
from kit.answer import Answer

DATA = Path(__file__).parents[3] / "data"
DEMOS = ("reading-room", "boot-room", "market-counter")


@pytest.fixture(scope="session")
def demos() -> dict[str, Answer]:
    """Return the demo jobs solved, by the names of their folders."""
    return {name: kit.solve(kit.read_job(DATA / name)) for name in DEMOS}


@pytest.fixture(scope="session")
def reading_room(demos: dict[str, Answer]) -> Answer:
    """Return the reading room: boards, three rows, a pipe, a limited bag."""
    return demos["reading-room"]
