"""Cautions in the words of what lies there: bearer, member or row, with screws or without."""

from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from kit.base.cautions import (
    NO_APPROVAL,
    base_cautions,
    standing_cautions,
    survey_cautions,
    unused_cautions,
)
from kit.base.cuts import CutPlan
from kit.base.datum import Bound, Datum, Window
from kit.base.layout import lay_out
from kit.base.stack_plan import without_stacks
from kit.floor import HighPoint
from kit.job import Base, Floor, Job
from kit.methods.method import no_cuts

BASE: dict[str, Any] = {"name": "b", "height_mm": 60.0, "end_inset_mm": 30.0}


def job_of() -> Job:
    unit = {"name": "case", "width_mm": 900.0, "depth_mm": 320.0, "height_mm": 500.0,
            "side_mm": 19.0, "mass_kg": 20.0}  # fmt: skip
    return Job.model_validate(
        {
            "schema": 1,
            "title": "boot room",
            "floor": {"kind": "solid"},
            "survey": ({"kind": "heights", "file": "h.csv"},),
            "run": ({"name": "A", "unit": (unit,)},),
            "base": (BASE,),
            "stock": {"packers": ({"mm": 3.0},)},
            "folder": Path(),
        }
    )


def high_point() -> HighPoint:
    rivals = pd.DataFrame({"x_mm": [], "y_mm": [], "height_mm": [], "sd_mm": [], "share": []})
    return HighPoint(100.0, 50.0, 0.0, 0.3, 0.99, 0.0, rivals, None, 0.1)


@pytest.mark.parametrize(
    ("along", "what"),
    [
        ("bearer", "the bearer clears it"),
        ("row", "it is no higher than beside it"),
        ("member", "it is no higher than beside it"),
    ],
)
def test_floor_that_nobody_read_is_told_by_what_lies_there(along: str, what: str) -> None:
    under = pd.DataFrame(
        {"bearer": ["B", "F", "F"], "own_x_mm": [10.0, 450.0, 700.0], "surveyed": [1, 0, 0]}
    ).astype({"surveyed": bool})
    (said,) = survey_cautions((), (), high_point(), under, along)
    assert said == (
        f"The floor under {along} F was not surveyed at x = 450 to 700 mm: check by hand that"
        f" {what}."
    )


@pytest.mark.parametrize("along", ["bearer", "member"])
def test_a_side_beyond_an_end_is_told_by_what_lies_there(along: str) -> None:
    job = job_of()
    layout = lay_out(job, job.bases[0])
    window = Window(Bound(60.0, "asked"), Bound(60.0, "asked"))
    plan = without_stacks(60.0, len(layout.supports), [(60.0, 60.0)])
    datum, cuts = Datum(window, plan, 0.0, 0.0, 0.0), no_cuts()
    assert isinstance(cuts, CutPlan)
    said = list(base_cautions(job, layout, cuts, datum, along))
    # sides of 19: their middles at 9.5, the row from 30 on
    assert said[0] == (
        f"The left side of unit 'case' stands 20 mm beyond the end of {along} B; that end"
        " carries it."
    )
    assert len(said) == 4  # both ends of two rows


@pytest.mark.parametrize("services", ["unknown", "checked", "no_fixings"])
def test_without_screws_one_sentence_is_left_for_what_the_fitter_fixes(services: Any) -> None:
    floor = Floor(kind="boarded", board_mm=21.0, services=services)
    said = list(standing_cautions(floor, screws=False, known_services=True))
    assert said[0].startswith("Hold point: this base puts no screw into the floor; before you fix")
    assert ("Nobody has said" in said[0]) == (services == "unknown")
    assert sum("locate" in text for text in said) == 1
    rest = " ".join(said[1:])
    for words in ("screw", "Pre-drill", "packer", "522.6.201"):
        assert words not in rest
    assert "loose boards" in rest
    assert said[-1] == NO_APPROVAL


def test_keys_that_are_not_used_are_named_in_the_order_of_the_table() -> None:
    given = {**BASE, "method": "feet", "feet": ({"low_mm": 40.0, "high_mm": 65.0},)}
    assert list(unused_cautions(Base.model_validate({**given, "max_pieces": 3}))) == [
        "Given in the job file, and not used by this way of building: end_inset_mm, max_pieces."
    ]
    assert list(unused_cautions(Base.model_validate({**given, "end_inset_mm": 0.0}))) == []
    assert list(unused_cautions(Base.model_validate(BASE))) == []
