"""Jobs whose tables are written by the test itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from kit.job.model import Job
from kit.readings import Readings, Table

Tables = dict[str, str | bytes]
MakeJob = Callable[..., Job]


def job_of(folder: Path, surveys: list[dict[str, object]]) -> Job:
    unit = {"name": "bench", "width_mm": 900.0, "depth_mm": 320.0, "height_mm": 450.0}
    return Job.model_validate(
        {
            "schema": 1,
            "title": "Boot room, window wall",
            "floor": {"kind": "boarded", "board_mm": 21.0},
            "survey": tuple(surveys),
            "run": ({"unit": (unit,)},),
            "base": ({"name": "packers", "height_mm": 60.0},),
            "stock": {"packers": ({"mm": 3.0},)},
            "folder": folder,
        }
    )


@pytest.fixture
def make_job(tmp_path: Path) -> MakeJob:
    """Write tables into a job folder, one survey each: ``kind``, ``text`` and further keys."""

    def make(**tables: dict[str, object]) -> Job:
        surveys = []
        for name, table in tables.items():
            keys = dict(table)
            content = keys.pop("text")
            keys.setdefault("file", f"{name}.csv")
            raw = content.encode() if isinstance(content, str) else content
            (tmp_path / str(keys["file"])).write_bytes(raw)
            surveys.append(keys)
        return job_of(tmp_path, surveys)

    make.of = job_of  # type: ignore[attr-defined]
    return make


@dataclass(frozen=True)
class Network:
    """Made-up readings of a made-up floor, with what is true."""

    readings: Readings
    height_mm: dict[str, float]


def table_of(rows: pd.DataFrame, survey: str, kind: str, datum: str = "") -> Table:
    rows = rows.assign(row=np.arange(2, len(rows) + 2))
    columns = ["row", "point", "x_mm", "y_mm", "observed_mm", "sd_mm", "setup"]
    return Table(survey, kind, datum, rows[columns], pd.DataFrame(index=rows.index))


def random_network(
    seed: int, points: int = 12, setups: int = 3, kinds: tuple[str, ...] = ("staff",)
) -> Network:
    """Every kind reads a random half or more of the points, never the same way twice."""
    rng = np.random.default_rng(seed)
    names = np.array([f"P{i}" for i in range(points)])
    x, y = rng.uniform(0, 5000, points), rng.uniform(0, 3000, points)
    true = rng.normal(0, 4, points)
    tables = []
    for number, kind in enumerate(kinds):
        parts = []
        for s in range(setups if kind == "staff" else 1):
            some = np.sort(rng.permutation(points)[: rng.integers(points * 2 // 3, points + 1)])
            sd = rng.choice([0.3, 0.5, 0.9], len(some))
            level = rng.uniform(1100, 1700) if kind == "staff" else rng.uniform(-50, 50)
            sign = -1 if kind == "staff" else 1
            observed = level + sign * true[some] + rng.normal(0, sd)
            parts.append(
                pd.DataFrame(
                    {
                        "point": names[some],
                        "x_mm": x[some],
                        "y_mm": y[some],
                        "observed_mm": observed,
                        "sd_mm": sd,
                        "setup": f"S{s + 1}" if kind == "staff" else "",
                    }
                )
            )
        tables.append(table_of(pd.concat(parts, ignore_index=True), f"t{number}.csv", kind))
    return Network(Readings(tuple(tables)), dict(zip(names, true, strict=True)))


@pytest.fixture
def network() -> Callable[..., Network]:
    return random_network


@pytest.fixture
def table() -> Callable[..., Table]:
    return table_of


@pytest.fixture
def staff() -> Callable[[dict[str, dict[str, float]]], Readings]:
    """Readings from set-ups, points strung along x; a list holds repeated readings."""

    def make(setups: dict[str, dict[str, float]], sd_mm: float = 0.5) -> Readings:
        numbers = {p: i for i, p in enumerate(dict.fromkeys(p for s in setups.values() for p in s))}
        rows = [
            {"setup": setup, "point": p, "x_mm": 400.0 * numbers[p], "y_mm": 30.0 * numbers[p] ** 2,
             "observed_mm": reading, "sd_mm": sd_mm}
            for setup, book in setups.items()
            for p, reading in book.items()
        ]  # fmt: skip
        return Readings((table_of(pd.DataFrame(rows), "readings.csv", "staff"),))

    return make
