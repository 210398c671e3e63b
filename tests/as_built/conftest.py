"""A finished base to be checked: the demo base as planned, and readings that a test makes up."""

import csv
import datetime
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

import pytest

import kit
from kit.job import Job
from kit.job.model import AsBuilt
from kit.parts import Answer

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="session")
def reading_room() -> Answer:
    return kit.solve(kit.read_job(DATA / "reading-room"))


@pytest.fixture(scope="session")
def boot_room() -> Answer:
    return kit.solve(kit.read_job(DATA / "boot-room"))


@pytest.fixture(scope="session")
def market_counter() -> Answer:
    return kit.solve(kit.read_job(DATA / "market-counter"))


@pytest.fixture
def as_read(tmp_path: Path) -> Callable[..., Job]:
    """Return what turns rows of a table into the job of an answer with that table as built."""

    def make(
        answer: Answer,
        rows: Iterable[Iterable[object]],
        header: tuple[str, ...] = ("setup", "point", "reading_mm"),
        *,
        survey: Mapping[str, Any] | None = None,
        **keys: object,
    ) -> Job:
        with (tmp_path / "read.csv").open("w", newline="", encoding="utf-8") as file:
            csv.writer(file).writerows([header, *rows])
        one = {"kind": "staff", "file": "read.csv", "sd_mm": 0.1, **(survey or {})}
        as_built = AsBuilt.model_validate(
            {
                "date": datetime.date(2026, 11, 20),
                "by": "Wren Alder",
                "instrument": "laser level",
                "base": answer.base.name,
                "survey": (one,),
                **keys,
            }
        )
        return answer.job.model_copy(update={"as_built": as_built, "folder": tmp_path})

    return make


@pytest.fixture
def staff() -> Callable[..., list[tuple[object, ...]]]:
    """Return what reads tops of supports with a staff, twice, without error."""

    def read(
        answer: Answer, top_mm: Callable[[float, float], float], *, leave: tuple[str, ...] = ()
    ) -> list[tuple[object, ...]]:
        supports = answer.supports
        return [
            (setup, name, f"{collimation - top_mm(float(x), float(y)):.6f}")
            for setup, collimation in (("T1", 1290.25), ("T2", 1311.5))
            for name, x, y in zip(
                supports["support"], supports["x_mm"], supports["y_mm"], strict=True
            )
            if name not in leave
        ]

    return read
