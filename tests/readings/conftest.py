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


def mixed_network(seed: int, own_error_mm_per_m: float = 0.4) -> Network:
    """15 points in three rows: two set-ups of a staff, a spirit level, a straight edge, heights.

    The two set-ups share four points; the level goes along the middle row and across, two lines
    both ways round; each row has one placement of the straight edge; the heights table reads
    five points above a datum of its own.
    """
    rng = np.random.default_rng(seed)
    x, y = np.meshgrid([0.0, 710, 1390, 2120, 2800], [60.0, 900, 1710])
    names = np.array([f"{row}{i + 1}" for row in "ABC" for i in range(5)])
    place = pd.DataFrame({"point": names, "x_mm": x.ravel(), "y_mm": y.ravel()})
    true = dict(zip(names, rng.normal(0, 4, 15) - 0.002 * x.ravel(), strict=True))
    rows = {
        "staff": [("S1", p) for p in names[[0, 1, 2, 5, 6, 7, 10, 11, 12]]]
        + [("S2", p) for p in names[[2, 3, 4, 7, 8, 9, 12, 13, 6]]],
        "straightedge": [(f"E{r + 1}", names[5 * r + i]) for r in range(3) for i in (0, 1, 2, 3)],
        "heights": [("", p) for p in names[[0, 4, 7, 10, 14]]],
    }
    line = {"S1": 1412.0 + rng.normal(0, 30), "S2": 1337.0 + rng.normal(0, 30), "": 12.0}
    sd = {"staff": 0.5, "straightedge": 0.3, "heights": 0.6, "level": 0.4}
    tables = []
    for kind, booked in rows.items():
        some = pd.DataFrame(booked, columns=["setup", "point"]).merge(place, on="point", how="left")
        h = some["point"].map(true).to_numpy()
        if kind == "straightedge":
            slope = some["setup"].map({"E1": 1.4, "E2": -0.7, "E3": 0.2}).to_numpy()
            observed = 15.0 + slope * some["x_mm"].to_numpy() / 1000 - h
        else:
            observed = some["setup"].map(line).to_numpy() + (1 if kind == "heights" else -1) * h
        some["observed_mm"] = observed + rng.normal(0, sd[kind], len(some))
        tables.append(table_of(some.assign(sd_mm=sd[kind]), f"{kind}.csv", kind))
    tables.append(_levels(rng, place.set_index("point"), true, own_error_mm_per_m, sd["level"]))
    return Network(Readings(tuple(tables)), true)


def _levels(rng, place: pd.DataFrame, true: dict, error: float, sd: float) -> Table:
    lines = [("B1", "B2"), ("B2", "B3"), ("B3", "B4"), ("B4", "B5"), ("A2", "B2"), ("B4", "C4"),
             ("A5", "B5"), ("B1", "C1"), ("B2", "B3"), ("B4", "B5")]  # fmt: skip
    rows = []
    for number, (start, end) in enumerate(lines):
        turned = -1.0 if number >= 8 else 1.0
        span = np.hypot(*(place.loc[end] - place.loc[start])) / 1000
        rise = true[end] - true[start] + turned * error * span + rng.normal(0, sd)
        rows.append((number + 2, end, np.nan, np.nan, rise, sd, "", start, turned))
    columns = ["row", "point", "x_mm", "y_mm", "observed_mm", "sd_mm", "setup", "start", "turned"]
    frame = pd.DataFrame(rows, columns=columns)
    return Table("level.csv", "level", "", frame, pd.DataFrame(index=frame.index))


@pytest.fixture
def mixed() -> Callable[..., Network]:
    return mixed_network
