"""Jobs on made floors: a market hall's stalls on a floor that falls."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

import kit
from kit.answer import survey_floor
from kit.job import Job
from kit.parts import Survey

HALL = """
schema = 1
title = "Market hall"
[floor]
kind = "solid"
services = "no_fixings"
[[survey]]
kind = "heights"
file = "h.csv"
sd_mm = 0.1
[stock]
packers = [{mm = 1}, {mm = 2}, {mm = 5}, {mm = 10}, {mm = 20}]
packer_size_mm = [75, 45]
[[base]]
name = "stalls"
height_mm = [30, 200]
max_stack_mm = 110
max_pieces = 12
end_inset_mm = 5
bearer = { thickness_mm = 22, width_mm = 45 }
"""


def _runs(runs: Sequence[dict[str, Any]]) -> str:
    text = ""
    for run in runs:
        text += f'[[run]]\nname = "{run["name"]}"\norigin_mm = {list(run.get("origin", (0, 0)))}\n'
        text += f"direction_deg = {run.get('direction', 0)}\nleft_wall = true\nright_wall = true\n"
        for number, width in enumerate(run["widths"], start=1):
            text += f'[[run.unit]]\nname = "stall {number}"\nwidth_mm = {width}\ndepth_mm = 500\n'
            text += f"height_mm = 900\nmass_kg = 30\ngap_before_mm = {run.get('gap', 0)}\n"
    return text


@pytest.fixture(scope="session")
def hall(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., tuple[Job, Survey]]:
    """Make a job and its survey: height(x, y) of the floor, runs, levels and other keys."""

    def make(
        height: Callable[[Any, Any], Any],
        runs: Sequence[dict[str, Any]],
        levels: dict[str, Any] | None = None,
        reach: tuple[float, float] = (6000, 800),
        xs: Any = None,
        **base: Any,
    ) -> tuple[Job, Survey]:
        folder: Path = tmp_path_factory.mktemp("hall")
        (folder / "job.toml").write_text(HALL + _runs(runs))
        along = np.linspace(0, reach[0], 25) if xs is None else xs
        x, y = (g.ravel() for g in np.meshgrid(along, np.linspace(0, reach[1], 5)))
        names = [f"P{number}" for number in range(len(x))]
        told = {"point": names, "x_mm": x, "y_mm": y, "height_mm": height(x, y)}
        pd.DataFrame(told).to_csv(folder / "h.csv", index=False)
        job = kit.read_job(folder)
        changes = dict(base) if levels is None else {**base, "levels": levels}
        plain = job.bases[0].model_validate({**job.bases[0].model_dump(), **changes})
        job = job.model_copy(update={"bases": (plain,)})
        return job, survey_floor(job)

    return make
