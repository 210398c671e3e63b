"""Demo jobs solved once, in every way of building, in inches, and as long as a hall."""

import csv
import datetime
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import kit
from kit.as_built import Checked
from kit.job import Job
from kit.job.model import AsBuilt
from kit.parts import Answer

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="session")
def ways() -> dict[str, Answer]:
    """The reading room solved in every way of building, by the word of its method."""
    job = kit.read_job(DATA / "reading-room")
    found: dict[str, Answer] = {}
    last: Answer | None = None
    for base in job.bases:
        last = kit.solve(job, base.name, before=last)
        found[base.method] = last
    return found


@pytest.fixture(scope="session")
def reading_room(ways: dict[str, Answer]) -> Answer:
    """Low bookcases on a boarded floor, one unit deeper than the others."""
    return ways["packers"]


@pytest.fixture(scope="session")
def boot_room() -> Answer:
    """Lockers round a corner: two runs, a hatch, no screw into the floor."""
    return kit.solve(kit.read_job(DATA / "boot-room"))


@pytest.fixture(scope="session")
def inch_room(ways: dict[str, Answer]) -> Answer:
    """The reading room shown in inches."""
    job = ways["packers"].job.model_copy(update={"units": "in"})
    return kit.solve(job, before=ways["packers"])


def _made_job(folder: Path, units: list[tuple[str, float, float]], deg: float, base: str) -> Job:
    """Write a job of one run on a floor that waves and falls both ways, and read it."""
    folder.mkdir()
    cos, sin = math.cos(math.radians(deg)), math.sin(math.radians(deg))
    lines = ["point,x_mm,y_mm,height_mm"]
    reach = int(sum(wide for _, wide, _ in units))
    for x in range(0, reach + 400, 400):
        for y in (40, 260, 480):
            z = 3 * math.sin(x / 1700) - x / 1500 + y / 300
            lines.append(f"P{len(lines)},{cos * x - sin * y:.1f},{sin * x + cos * y:.1f},{z:.1f}")
    (folder / "heights.csv").write_text("\n".join(lines))
    run = f'[[run]]\nname = "A"\ndirection_deg = {deg}\n' + "".join(
        f'[[run.unit]]\nname = "{name}"\nwidth_mm = {wide}\ndepth_mm = {deep}\n'
        "height_mm = 900\nmass_kg = 40\ncontents_kg = 80\n"
        for name, wide, deep in units
    )
    (folder / "job.toml").write_text(
        'schema = 1\ntitle = "Market hall"\nunits = "mm"\n[floor]\nkind = "solid"\n'
        'services = "unknown"\n[[survey]]\nkind = "heights"\nfile = "heights.csv"\nsd_mm = 0.5\n'
        f'{run}[[base]]\nname = "b"\n{base}\n[stock]\n'
        "packers = [{mm = 1}, {mm = 3}, {mm = 6}, {mm = 18}]\nscrews_mm = [20, 25, 30, 40, 50]\n"
    )
    return kit.read_job(folder)


@pytest.fixture(scope="session")
def made_rooms(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Answer]:
    """Made jobs: a long run, one small unit, a slanting run, feet and stacks that stand close."""
    on_packers = 'method = "packers"\nheight_mm = [50, 75]'
    on_feet = (
        'method = "feet"\nheight_mm = [50, 75]\n'
        "feet = [{low_mm = 40, high_mm = 105, plate_mm = 55}]"
    )
    on_stacks = 'method = "stacks"\nheight_mm = [50, 75]'
    made = {
        "long": ([(f"press {n + 1}", 600, 420) for n in range(20)], 0, on_packers),
        "small": ([("stool box", 430, 350)], 0, on_packers),
        "slant": ([("one", 800, 400), ("two", 700, 400), ("three", 900, 520)], 37, on_packers),
        "feet": ([(f"rather long name of a press {n}", 400, 420) for n in range(12)], 0, on_feet),
        "narrow": ([(f"slot {n + 1}", 130, 420) for n in range(24)], 0, on_stacks),
    }
    root = tmp_path_factory.mktemp("made")
    return {
        name: kit.solve(_made_job(root / name, units, deg, base))
        for name, (units, deg, base) in made.items()
    }


#: Heights [mm] along a press hall, wall and front: falls to the right, a hump every third place.
_HALL = "point,x_mm,y_mm,height_mm,sd_mm\n" + "".join(
    f"Q{n}-{y},{n * 620},{y},{2.5 * (n % 3) - 1.1 * n - 0.004 * y:.1f},0.4\n"
    for n in range(21)
    for y in (10, 290, 610)
)

_HALL_JOB = """schema = 1
title = "Press hall, long wall"
units = "mm"

[floor]
kind = "solid"
services = "unknown"

[[survey]]
kind = "heights"
file = "heights.csv"

[[run]]
name = "A"
{units}
[[base]]
name = "base"
height_mm = [70, 110]
plinth = {{ set_back_mm = 45, thickness_mm = 18, board_mm = [95, 120, 145] }}

[stock]
packers = [ {{mm = 1}}, {{mm = 3}}, {{mm = 6}}, {{mm = 18, measured_mm = 17.8}} ]
screws_mm = [30, 50, 70]
"""

_HALL_UNIT = """
  [[run.unit]]
  name = "press {number}"
  width_mm = {wide}
  depth_mm = 560
  height_mm = 900
  side_mm = 18
  mass_kg = 30
  contents_kg = 50
"""


def _hall(folder: Path, widths: tuple[float, ...]) -> Answer:
    units = "".join(_HALL_UNIT.format(number=n, wide=wide) for n, wide in enumerate(widths, 1))
    (folder / "job.toml").write_text(_HALL_JOB.format(units=units))
    (folder / "heights.csv").write_text(_HALL)
    return kit.solve(kit.read_job(folder))


@pytest.fixture(scope="session")
def long_hall(tmp_path_factory: pytest.TempPathFactory) -> Answer:
    """A run of more than 12 m: 21 units of three widths."""
    return _hall(tmp_path_factory.mktemp("hall"), (540.0, 600.0, 630.0) * 7)


@pytest.fixture(scope="session")
def one_small_unit(tmp_path_factory: pytest.TempPathFactory) -> Answer:
    """One unit of 230 mm."""
    return _hall(tmp_path_factory.mktemp("small"), (230.0,))


@pytest.fixture(scope="session")
def checked(reading_room: Answer) -> Checked:
    """The reading room's base as it was read: two stacks are built wrong."""
    return kit.check_base(reading_room.job, answer=reading_room)


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Checked]:
    """Return what reads a base by a staff from two set-ups, and checks it.

    Its tops are where `off_mm`, a function of support and x, puts them; what it says nothing of
    (nan) is not read.
    """

    def make(answer: Answer, off_mm: Callable[[str, float], float], **keys: Any) -> Checked:
        folder, supports = tmp_path_factory.mktemp("built"), answer.supports
        rows = [
            (setup, name, f"{collimation - off:.3f}")
            for setup, collimation in (("T1", 1290.25), ("T2", 1311.5))
            for name, x in supports[["support", "x_mm"]].itertuples(index=False)
            if math.isfinite(off := off_mm(str(name), float(x)))
        ]
        with (folder / "read.csv").open("w", newline="", encoding="utf-8") as file:
            csv.writer(file).writerows([("setup", "point", "reading_mm"), *rows])
        survey = {"kind": "staff", "file": "read.csv", "sd_mm": 0.1}
        given: dict[str, Any] = {
            "date": datetime.date(2026, 11, 20),
            "by": "Wren Alder",
            "instrument": "laser level",
            "base": answer.base.name,
            "survey": (survey,),
        }
        as_built = AsBuilt.model_validate(given | keys)
        job = answer.job.model_copy(update={"as_built": as_built, "folder": folder})
        return kit.check_base(job, answer=replace(answer, job=job))

    return make
